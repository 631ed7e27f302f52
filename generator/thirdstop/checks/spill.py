"""Whether the shadow side is lit by the room more than by the card."""

import math
from collections.abc import Mapping

from thirdstop.checks.findings import Check, Finding
from thirdstop.exposure.readings import Readings
from thirdstop.shares import whole_parts
from thirdstop.staging.materials import Translucent
from thirdstop.staging.staging import Staging

_ROOM = ("walls", "ceiling", "floor")


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """The room's share of the light on the shadow side against the cards' share; and each lamp of which
    nothing comes straight to any measuring point.
    """
    return [*_against_the_card(staging, readings), *_facing_away(staging, readings)]


def _facing_away(staging: Staging, readings: Readings) -> list[Finding]:
    if any(isinstance(panel.front, Translucent) for panel in staging.scene.panels):
        return []  # a lamp behind a sheet shines at the sheet
    found = []
    for lamp in staging.lamps:
        word = "key" if lamp.emitter == staging.key else lamp.emitter
        if any(reading.budget.get(word, 0.0) > 0.0 for reading in readings.readings.values()):
            continue
        text = (
            f"Nothing of '{lamp.emitter}' comes straight to any measuring point: it faces away, or something "
            "stands before it. What is read of it comes by way of walls, ceiling, floor or cards."
        )
        remedy = f"If '{lamp.emitter}' is meant to work by a wall, leave it; if not, aim it at the nose."
        found.append(Finding("spill", "look", lamp.emitter, text, remedy))
    return found


def _against_the_card(staging: Staging, readings: Readings) -> list[Finding]:
    point = readings.ratio.shadow_point
    if point not in readings.readings:
        return []
    parts = whole_parts(readings[point].budget)
    cards = [panel.name for panel in staging.scene.panels if panel.role == "card"]
    room = sum(parts.get(name, 0) for name in _ROOM)
    if not cards:
        text = (
            f"There is no card: walls, ceiling and floor give {room} % of the light at {point}, so "
            "another room gives another ratio."
        )
        return [Finding("spill", "pass", "recipe", text)]
    card = sum(parts.get(name, 0) for name in cards)
    text = (
        f"At {point} the room gives {room} % of the light ({_split(parts)}) and the card "
        f"{card} %; the room should not exceed the card."
    )
    if room <= card:
        return [Finding("spill", "pass", "recipe", text, "", (card - room) / 100, 0.0, "share")]
    keep = _kept_off(staging, point, max(_ROOM, key=lambda name: parts.get(name, 0)))
    remedy = _remedy(staging, readings, keep)
    return [Finding("spill", "look", "recipe", text, remedy, (card - room) / 100, 0.0, "share")]


def _split(parts: Mapping[str, int]) -> str:
    return ", ".join(f"{name} {parts.get(name, 0)} %" for name in _ROOM)


def _remedy(staging: Staging, readings: Readings, keep: str) -> str:
    """What also suits the ratio: a card that comes nearer lowers it, spill that is kept off raises it."""
    wanted = staging.target.ratio
    off = None if wanted is None else readings.ratio.stops - math.log2(wanted)
    if off is None or off > staging.target.within_stops:
        return f"Bring the card nearer and aim it again; and {keep}."
    if off < -staging.target.within_stops:
        return f"{keep[0].upper()}{keep[1:]}, which raises the ratio too."
    return (
        f"If it is to travel, {keep}; then bring the card nearer until the meter shows the ratio again. "
        "Here the ratio is as wanted, and the card stays."
    )


def _kept_off(staging: Staging, point: str, largest: str) -> str:
    if largest == "walls":
        return f"set a black panel against the {_near_wall(staging, point)}, or flag the lamp off the walls"
    if largest == "ceiling":
        return "flag the lamp's upper edge off the ceiling, or lower and lean the lamp"
    return "lay black cloth on the floor between lamp and sitter, taped flat"


def _near_wall(staging: Staging, name: str) -> str:
    """The side wall that the shadow point looks toward, as the camera sees it."""
    for point in staging.scene.points:
        if point.name == name:
            return "left wall" if float(point.direction[0]) < 0 else "right wall"
    return "nearest wall"


CHECK = Check(
    "spill",
    "Lit by the room",
    run,
    "The budget of the shadow side splits its light by where it last came from. When walls, ceiling and "
    "floor together give more than the cards, the ratio belongs to this room and changes with it; blocking "
    "that spill makes the set-up travel. Without a card the sentence only tells the share. A lamp of which "
    "nothing comes straight to any measuring point is named: a wall may be meant, or a side mistaken.",
)
