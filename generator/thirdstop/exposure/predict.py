"""A staging's readings with their bands, in one call."""

from collections.abc import Callable

import numpy as np

from thirdstop.exposure.charging import charge
from thirdstop.exposure.degenerate import refuse
from thirdstop.exposure.deviations import Deviation, deviations
from thirdstop.exposure.learned import left_open
from thirdstop.exposure.meter import lamp_readings, levels, moves, powers_at, ratio_points, read
from thirdstop.exposure.quality import ANSWER, ROUGH, Quality
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.transport import Kept, solve
from thirdstop.exposure.uncertainty import TOLERANCES, Tolerances, Variation
from thirdstop.staging.staging import Scene, Staging
from thirdstop.typed import Array

LARGE_STOPS = 0.25
"""A cause that moves some reading by more than this at one node is evaluated at the other one too."""


def predict(
    staging: Staging, quality: Quality = ANSWER, spread: Quality = ROUGH, kept: Kept | None = None
) -> Readings:
    """The readings, with bands from every stated tolerance: thirty to fifty further evaluations at `spread`.

    Lamps are charged with their known output first (see `charging`).
    Raises ValueError that names what in the scene has no size, place or direction.
    """
    refuse(staging.scene)
    lit = charge(staging)
    return read(lit, solve(lit.scene, quality, kept), variations(lit, spread, kept=kept))


def variations(
    staging: Staging,
    quality: Quality = ROUGH,
    tolerances: Tolerances = TOLERANCES,
    kept: Kept | None = None,
) -> list[Variation]:
    """What each tolerance of place, aim and surface does, by re-evaluated scenes at the same clicks.

    What may be one-sided is evaluated at both nodes of its distribution, and so is what is large; the rest
    is so small that it is linear. The staging's lamps must be charged.
    """
    kept = kept or Kept()
    nominal = solve(staging.scene, quality, kept)
    powers = powers_at(staging, nominal, [lamp.click for lamp in lamp_readings(staging, nominal)])
    before = levels(nominal, powers)
    points = ratio_points(staging, nominal, before)

    def moved(scene: Scene) -> tuple[Array, float]:
        return moves(
            staging, nominal, (before, levels(solve(scene, quality, kept, staging.scene), powers)), points
        )

    found = [_varied(staging.scene, one, moved) for one in deviations(staging, tolerances)]
    return found + left_open(staging, moved, points)


def _varied(scene: Scene, one: Deviation, moved: Callable[[Scene], tuple[Array, float]]) -> Variation:
    node = one.spread.node
    reading, ratio = moved(one.applied(scene, node))
    other, other_ratio = -reading, -ratio
    if one.bends or max(float(np.abs(reading).max()), abs(ratio)) > LARGE_STOPS:
        other, other_ratio = moved(one.applied(scene, -node))
    return Variation(
        one.cause,
        np.array([reading, other]),
        np.array([ratio, other_ratio]),
        one.spread.weight,
        one.apart,
    )
