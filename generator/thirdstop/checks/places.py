"""Where the checks find things in a staging: the key, the sheet, a sitter's measuring points."""

from thirdstop.exposure.readings import Readings
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import LampPlace, Staging


def emitter(staging: Staging, name: str) -> Emitter:
    """The luminous face of that lamp; KeyError where there is none."""
    for one in staging.scene.emitters:
        if one.name == name:
            return one
    raise KeyError(name)


def key_emitter(staging: Staging) -> Emitter:
    """The key's luminous face."""
    return emitter(staging, staging.key)


def lamp_place(staging: Staging, name: str) -> LampPlace:
    """What is known of a lamp's power; KeyError where there is no such lamp."""
    for lamp in staging.lamps:
        if lamp.emitter == name:
            return lamp
    raise KeyError(name)


def sheets(staging: Staging) -> list[Panel]:
    """The backdrop's panels: the sheet, and what of it lies on the floor."""
    return [panel for panel in staging.scene.panels if panel.role == "backdrop"]


def main_sheet(staging: Staging) -> Panel | None:
    """The upright sheet behind the sitter; None where the wall itself is the backdrop."""
    upright = [panel for panel in sheets(staging) if abs(float(panel.normal[2])) < 0.7]
    return upright[0] if upright else None


def background(staging: Staging) -> Panel:
    """What is behind the sitter: the upright sheet, or else the back wall; KeyError without either."""
    sheet = main_sheet(staging)
    if sheet is not None:
        return sheet
    for panel in staging.scene.panels:
        if panel.name == "back wall":
            return panel
    raise KeyError("back wall")


def points(staging: Staging, words: str, sitter: int | None = None) -> list[MeasuringPoint]:
    """Measuring points whose name holds these words, of one sitter where an index is given."""
    return [
        point
        for point in staging.scene.points
        if words in point.name and (sitter is None or point.sitter == sitter)
    ]


def backdrop_point(staging: Staging) -> str | None:
    """Name of the measuring point on the backdrop behind the head; None where there is none."""
    found = points(staging, "behind head") or points(staging, "backdrop")
    return found[0].name if found else None


INDIRECT = 0.05
"""Where the lit side has less than this share from the key itself, the key works by way of something."""


def key_is_indirect(readings: Readings) -> bool:
    """Whether the key lights the face by way of a wall or a sheet: the lit side gets under 5 % straight."""
    point = readings.ratio.lit_point
    return point in readings.readings and readings[point].budget.get("key", 0.0) < INDIRECT
