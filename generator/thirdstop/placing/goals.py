"""How far a set-up is from what the recipe wants, each in stops."""

import math
from dataclasses import dataclass

from thirdstop.checks.backdrop import facing_reflectance, tone_stops
from thirdstop.checks.places import backdrop_point, background
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Staging


@dataclass(frozen=True)
class Goal:
    """One wanted value against what the set-up gives."""

    name: str
    """'ratio', 'backdrop light', 'backdrop tone', 'key reading'."""
    wanted: float
    """In stops."""
    found: float
    """In stops."""
    within: float
    """In stops."""

    @property
    def off(self) -> float:
        """In stops; positive: too much."""
        return self.found - self.wanted

    @property
    def met(self) -> bool:
        """Whether it comes within its tolerance."""
        return abs(self.off) <= self.within + 1e-9


def goals_of(staging: Staging, readings: Readings) -> dict[str, Goal]:
    """Everything that the recipe wants, by name."""
    target = staging.target
    found = {}
    if target.ratio is not None:
        wanted = math.log2(target.ratio)
        found["ratio"] = Goal("ratio", wanted, readings.ratio.stops, target.within_stops)
    point = backdrop_point(staging)
    if point is not None and point in readings.readings:
        light = readings[point].stops_from_key
        if target.backdrop_light_stops is not None:
            found["backdrop light"] = Goal(
                "backdrop light", target.backdrop_light_stops, light, target.within_stops
            )
        if target.backdrop_tone_stops is not None:
            tone = tone_stops(light, facing_reflectance(staging, background(staging)))
            found["backdrop tone"] = Goal(
                "backdrop tone", target.backdrop_tone_stops, tone, target.within_stops
            )
    return found


def key_off_stops(staging: Staging, readings: Readings) -> float:
    """How far the key reading is over the aperture, in stops."""
    return 2.0 * math.log2(readings[readings.key_point].f_number / staging.meter.aperture)
