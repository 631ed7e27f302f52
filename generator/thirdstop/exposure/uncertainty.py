"""How sure a reading is: the tolerances of a set, stated once, and how they combine into a band.

Causes are independent of each other; what moves together (one paint on four walls, one cloth on two cards, a
lamp's output at all points) is one cause. Each is evaluated at the nodes of its distribution, so that its
mean square counts bends and one-sided effects too; mean squares add (JCGM 100:2008, Guide to the Expression
of Uncertainty in Measurement, 5.1.2), and 1.645 times their root is the half-width of a 90 % band (G.1.3).
Axes: p measuring points.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from thirdstop.exposure.spreads import NINE_IN_TEN, Spread, even, normal
from thirdstop.staging.materials import Material, Provenance
from thirdstop.typed import Array


@dataclass(frozen=True)
class Tolerances:
    """How exactly people build and meter a set, and how well gear and surfaces are known.

    Common practice, no source, unless one is named.
    """

    position_m: Spread = field(default=normal(0.05))
    """Of a lamp, card or blocker, along each of three axes by itself: by tape and string."""
    aim_deg: Spread = field(default=normal(5.0))
    """Of a face, about each of its two axes."""
    sitter_m: Spread = field(default=normal(0.03))
    """Of a sitter, along each axis of the floor; eye height is in the heights of lamps and cards."""
    turn_deg: Spread = field(default=normal(5.0))
    """Of a sitter about the vertical."""
    measured_share: Spread = field(default=normal(0.05))
    """Of a measured reflectance, as a share of the value."""
    published_share: Spread = field(default=even(0.10))
    """Of a reflectance by a published value."""
    assumed_share: Spread = field(default=even(0.20))
    """Of a reflectance that nobody measured."""
    least_reflectance: float = 0.01
    """No reflectance is known better than this: dark ones differ by more than a share of the value."""
    roughness_share: Spread = field(default=even(0.30))
    """Of a metallised cloth's roughness."""
    beam_share: Spread = field(default=even(0.10))
    """Of a dish's half-angle or a grid's cut-off."""
    straight_share: Spread = field(default=even(0.10))
    """Of what a net lets through."""
    calibration_stops: Spread = field(default=normal(0.1))
    """Of each receptor of the meter; cancels between readings with one receptor."""
    held_deg: Spread = field(default=normal(5.0))
    """Of the direction in which the meter is held, about each of two axes, for each reading by itself."""
    computation_stops: Spread = field(default=normal(0.03))
    """Of the computation, for each reading by itself."""

    def reflectance(self, provenance: Provenance) -> Spread:
        """Of a surface's reflectance as a share of the value."""
        return {
            "measured": self.measured_share,
            "published": self.published_share,
            "assumed": self.assumed_share,
        }[provenance]

    def half_width(self, material: Material) -> float:
        """Half-width of a surface's reflectance: its share of the value, but no more than half-way to a
        perfect white, and no less than `least_reflectance`.
        """
        share = self.reflectance(material.provenance).half_width * material.reflectance
        return max(min(share, (1.0 - material.reflectance) / 2.0), self.least_reflectance)


TOLERANCES = Tolerances()


@dataclass(frozen=True, eq=False)
class Variation:
    """What one cause does at the two outer nodes of its distribution."""

    cause: str
    """In words, with the length, angle or share to be careful about; the same words are one cause."""
    reading_stops: Array
    """Shape (2, p): by how much each reading moves at + and at - its node."""
    ratio_stops: Array
    """Shape (2,): by how much the ratio moves."""
    weight: float
    """Weight of each node in a mean square."""
    apart: bool = False
    """Whether it befalls each reading by itself: then readings share nothing of it."""


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
    ratio_points: tuple[int, int],
    points: int,
    variations: Sequence[Variation],
    step_stops: float,
    tolerances: Tolerances = TOLERANCES,
) -> Bands:
    """Combine independent causes; `key` is the index of the key reading among `points` readings.

    The meter's step rounds evenly, within half a step, each reading by itself.
    """
    total, from_key = np.zeros(points), np.zeros(points)
    of_key: dict[str, float] = defaultdict(float)
    of_ratio: dict[str, float] = defaultdict(float)
    step = even(step_stops / 2).standard ** 2 + tolerances.computation_stops.standard**2
    alone = Variation("", np.zeros((2, points)), np.zeros(2), 0.0, apart=True)
    for one in (*variations, alone):
        square = _mean_square(one.reading_stops, one.weight) + (step if one is alone else 0.0)
        total += square
        if one.apart:
            from_key += square + square[key]
            ratio = float(square[list(ratio_points)].sum())
        else:
            from_key += _mean_square(one.reading_stops - one.reading_stops[:, [key]], one.weight)
            ratio = float(_mean_square(one.ratio_stops, one.weight))
        cause = one.cause or "the meter's step and the computation"
        of_key[cause] += float(square[key])
        of_ratio[cause] += ratio
    from_key[key] = 0.0
    return Bands(
        reading_stops=NINE_IN_TEN * np.sqrt(total),
        from_key_stops=NINE_IN_TEN * np.sqrt(from_key),
        ratio_stops=NINE_IN_TEN * float(np.sqrt(sum(of_ratio.values()))),
        key_causes=_largest(of_key),
        ratio_causes=_largest(of_ratio),
    )


def _mean_square(at_nodes: Array, weight: float) -> Array:
    return np.asarray(weight * (at_nodes**2).sum(axis=0))


def _largest(squares: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """The two causes with the largest mean squares, as 90 % half-widths; equal ones in their given order."""
    ordered = sorted(squares.items(), key=lambda item: -round(item[1], 9))
    return tuple((cause, NINE_IN_TEN * float(np.sqrt(square))) for cause, square in ordered[:2])
