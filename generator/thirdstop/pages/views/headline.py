"""The five figures of a recipe, its powers, and what its numbers rest on."""

from dataclasses import dataclass

import numpy as np

from thirdstop.checks.parts import parts_of
from thirdstop.exposure.readings import LampReading, RatioReading
from thirdstop.exposure.stops import meter_mark, third_mark
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure, told
from thirdstop.pages.views.metering import first_of, said
from thirdstop.staging.materials import Material
from thirdstop.staging.staging import Staging

SIGNS = {"lit to shadow": "lit : shadow", "key to fill": "key : fill"}
"""How a convention is printed beside its ratio."""

LEVEL_WITH_CAMERA_DEG = 3.0
"""A key nearer than this to the camera line is said to be on it."""


@dataclass(frozen=True)
class Headline:
    """One of the five figures: what it is, and what it must be read with."""

    name: str
    figure: Figure
    says: str
    brief: str
    """The same where there is little room."""


@dataclass(frozen=True)
class Power:
    """A lamp's setting."""

    name: str
    click: str
    """'click 17', or 'out of range'."""
    says: str
    """'of 25, to start; the trigger shows 1/8 + 1/3'."""
    details: tuple[str, ...]


def five(evaluated: Evaluated) -> tuple[Headline, ...]:
    """Ratio, aperture, click, light on the backdrop, ceiling needed."""
    staging, readings = evaluated.staging, evaluated.readings
    key = powers(evaluated)[0]
    backdrop = readings.readings.get("backdrop behind head")
    light = figures.stops(backdrop.stops_from_key) if backdrop else figures.NONE
    ratio, iso = readings.ratio, f"ISO {staging.meter.iso:g}"
    return (
        Headline("ratio", Figure(figures.ratio(ratio.ratio)), ratio_says(ratio), ratio_brief(ratio)),
        Headline(
            "aperture",
            Figure(aperture(staging)),
            f"on the camera, {iso}; {_metered(evaluated)}",
            f"at {iso}",
        ),
        Headline("click", Figure(key.click), key.says.split(";")[0], key.says.split(",")[0]),
        Headline(
            "backdrop light", light, "light on the backdrop, from the key reading", "light on the backdrop"
        ),
        Headline("ceiling", figures.length_up(highest_m(staging)), "ceiling needed", "ceiling needed"),
    )


def _metered(evaluated: Evaluated) -> str:
    """What the meter shows for it: 'the meter reads f/8 + 1/10 under the chin'."""
    readings = evaluated.readings
    shown = meter_mark(readings[readings.key_point].f_number, evaluated.staging.meter.step_stops)
    return f"the meter reads {shown} under the chin"


def aperture(staging: Staging) -> str:
    """The camera's mark: 'f/8'."""
    return third_mark(staging.meter.aperture)


def ratio_says(ratio: RatioReading) -> str:
    """Convention, difference and band: 'lit : shadow, 2.3 stops apart; 4.2 to 6.1:1 …'."""
    band = figures.ratio_band(ratio.low, ratio.high)
    return f"{SIGNS[ratio.convention]}, {figures.apart(ratio.stops)} apart; {band} in nine cases of ten"


def ratio_brief(ratio: RatioReading) -> str:
    """Convention and difference: 'lit : shadow, 2.3 stops'."""
    return f"{SIGNS[ratio.convention]}, {figures.apart(ratio.stops)}"


def ratio_between(ratio: RatioReading, staging: Staging) -> str:
    """Which two points: 'sitter’s left cheek to sitter’s right cheek'."""
    first = first_of(staging)
    return f"{said(ratio.lit_point, first)} to {said(ratio.shadow_point, first)}"


def powers(evaluated: Evaluated) -> tuple[Power, ...]:
    """Every lamp's setting, the key first."""
    places = {lamp.emitter: lamp for lamp in evaluated.staging.lamps}
    found = []
    for reading in evaluated.readings.lamps:
        place = places[reading.emitter]
        details = [f"group {place.group}" if place.group else "no flash group"]
        if place.modelling:
            details.append("modelling lamp on")
        if place.gel:
            details.append(f"gel: {place.gel}")
        found.append(Power(reading.emitter, *_click(reading), tuple(details)))
    return tuple(found)


def _click(lamp: LampReading) -> tuple[str, str]:
    if not 1 <= lamp.click <= lamp.clicks:
        beyond = lamp.click - lamp.clicks if lamp.click > lamp.clicks else lamp.click - 1
        way = "over full power" if beyond > 0 else "under its lowest power"
        return "out of range", f"{abs(beyond)} clicks {way}"
    how = "to start" if lamp.predicted else "as the recipe says"
    return f"click {lamp.click}", f"of {lamp.clicks}, {how}; shows {lamp.shown}"


def key_side(staging: Staging) -> str:
    """'KEY CAMERA-RIGHT', for the box at the card's head."""
    bearing = staging.item(staging.key).bearing_deg
    if abs(bearing) < LEVEL_WITH_CAMERA_DEG:
        return "KEY ON THE CAMERA LINE"
    return "KEY CAMERA-RIGHT" if bearing > 0 else "KEY CAMERA-LEFT"


def highest_m(staging: Staging) -> float:
    """Top of everything that stands in the room: lamps, cards, blockers with what holds them, sitters."""
    tops = [float(sitter.crown_m[2]) for sitter in staging.sitters]
    for item in staging.items:
        if item.kind in ("lamp", "card", "blocker"):
            tops += [float(np.max(part.polygon[:, 2])) + part.half_m for part in parts_of(item)]
        elif item.kind == "backdrop":
            tops.append(item.height_m + float(abs(item.half_v_m[2])))
    return max(tops)


def mark_place(staging: Staging) -> str:
    """Where M is taped: '1.40 m from the left wall, 1.60 m from the back wall'."""
    room = staging.room
    side = "left" if "left" in room.corner else "right"
    end = "back" if "back" in room.corner else "front"
    across_m = -room.left_m if side == "left" else room.right_m
    along_m = room.back_m if end == "back" else -room.front_m
    across, along = (figures.told(figures.length(m)) for m in (across_m, along_m))
    return f"{across} from the {side} wall, {along} from the {end} wall"


def doors(staging: Staging) -> str:
    """Each door by its wall and its two edges from M."""
    words = []
    for door in staging.room.doors:
        figure = figures.across if door.wall in ("back wall", "front wall") else _along_y
        words.append(f"door in the {door.wall} from {told(figure(door.from_m))} to {told(figure(door.to_m))}")
    return "; ".join(words) if words else "no door is given"


def _along_y(y_m: float) -> Figure:
    return figures.along(-y_m)


def room_size(staging: Staging) -> str:
    """Wide, long, high: '3.00 m × 4.50 m × 2.40 m'."""
    room = staging.room
    wide, long, high = (figures.length(size) for size in (room.width_m, room.length_m, room.height_m))
    return f"{wide} × {long} × {high}"


def surfaces(staging: Staging) -> str:
    """What the room was reckoned with: 'walls back 0.80, front 0.40, …; none measured'."""
    panels = {panel.name: panel.front for panel in staging.scene.panels[:6]}
    walls = ", ".join(
        f"{name.removesuffix(' wall')} {_reflectance(panels[name])}" for name in panels if "wall" in name
    )
    others = ", ".join(f"{name} {_reflectance(panels[name])}" for name in panels if "wall" not in name)
    measured = sum(front.provenance == "measured" for front in panels.values())
    known = {0: "none of them measured", 6: "all measured"}.get(measured, f"{measured} of 6 measured")
    return f"walls {walls}; {others}; {known}"


def _reflectance(material: Material) -> str:
    return f"{material.reflectance:.2f}"
