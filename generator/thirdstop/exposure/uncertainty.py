"""How sure a reading is: the tolerances of a set, stated once, and how they combine into a band.

Every tolerance is the half-width of its 90 % interval. Causes are independent, small and nearly linear in
stops, so their effects add in quadrature (JCGM 100:2008, Guide to the Expression of Uncertainty in
Measurement, 5.1.2). A lamp's output moves every reading of a one-lamp set alike, so it cancels in a ratio.
Axes: p measuring points.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thirdstop.staging.materials import Provenance
from thirdstop.typed import Array


@dataclass(frozen=True)
class Tolerances:
    """90 % half-widths: how exactly people build a set, and how well a surface is known."""

    position_m: float = 0.05
    """Of a lamp, card or blocker, along each axis: half a hand's breadth by tape and string."""
    aim_deg: float = 5.0
    """Of a face, about each of its two axes."""
    sitter_m: float = 0.03
    """Of the sitter, along each axis of the floor."""
    known_reflectance: float = 0.05
    """Of a measured surface, as a share of the value."""
    published_reflectance: float = 0.10
    """Of a surface by a published value, as a share of the value."""
    assumed_reflectance: float = 0.20
    """Of a surface that nobody measured, as a share of the value."""
    meter_stops: float = 0.1
    """Of the meter's calibration; cancels between two readings of one meter."""
    computation_stops: float = 0.03
    """Of the computation itself, for each reading by itself."""

    def reflectance(self, provenance: Provenance) -> float:
        """Share of the value by which a surface's reflectance may be off."""
        return {
            "measured": self.known_reflectance,
            "published": self.published_reflectance,
            "assumed": self.assumed_reflectance,
        }[provenance]


TOLERANCES = Tolerances()

_STEP_SHARE = 0.45
"""90 % of a value rounded to a step lies within 0.45 of the step (an even distribution)."""


@dataclass(frozen=True, eq=False)
class Variation:
    """What one cause at its 90 % half-width does."""

    cause: str
    """In words; variations of the same cause (a lamp moved along x, y and z) count as one."""
    reading_stops: Array
    """Shape (p,): by how much each reading moves."""
    ratio_stops: float
    """By how much the ratio moves."""


@dataclass(frozen=True, eq=False)
class Bands:
    """90 % half-widths in stops."""

    reading_stops: Array
    """Shape (p,)."""
    from_key_stops: Array
    """Shape (p,): of each reading less the key reading; 0 at the key reading itself."""
    ratio_stops: float
    key_causes: tuple[tuple[str, float], ...]
    """The two largest causes of the key reading's band."""
    ratio_causes: tuple[tuple[str, float], ...]


def bands(
    key: int,
    points: int,
    variations: Sequence[Variation],
    step_stops: float,
    tolerances: Tolerances = TOLERANCES,
) -> Bands:
    """Combine independent causes; `key` is the index of the key reading among `points` readings.

    The meter's step and the computation act on each reading by itself, the meter's calibration on all.
    """
    reading = np.array([v.reading_stops for v in variations]).reshape(len(variations), points)
    from_key = reading - reading[:, key : key + 1]
    ratio = np.array([v.ratio_stops for v in variations])
    single = (_STEP_SHARE * step_stops) ** 2 + tolerances.computation_stops**2
    common = tolerances.meter_stops**2
    of_reading = np.sqrt((reading**2).sum(axis=0) + single + common)
    of_difference = np.sqrt((from_key**2).sum(axis=0) + 2 * single)
    of_difference[key] = 0.0
    names = [v.cause for v in variations]
    return Bands(
        reading_stops=of_reading,
        from_key_stops=of_difference,
        ratio_stops=float(np.sqrt((ratio**2).sum() + 2 * single)),
        key_causes=_largest(names, reading[:, key], [("the meter", common + single)]),
        ratio_causes=_largest(names, ratio, [("the meter's step and the computation", 2 * single)]),
    )


def _largest(
    names: Sequence[str], effects: Array, others: Sequence[tuple[str, float]]
) -> tuple[tuple[str, float], ...]:
    """The two causes with the largest effects, each in stops; equal ones in their given order."""
    squares: dict[str, float] = defaultdict(float)
    for name, effect in zip(names, effects, strict=True):
        squares[name] += float(effect) ** 2
    for name, square in others:
        squares[name] += square
    ordered = sorted(squares.items(), key=lambda item: -round(item[1], 9))
    return tuple((name, float(np.sqrt(square))) for name, square in ordered[:2])
