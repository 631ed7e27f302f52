"""How a stated value may lie about what is stated: a normal or an even distribution around it.

Each has the nodes of its three-point Gauss rule (0 and ± `node`), which give the mean square of an effect
exactly if it is a straight line or a parabola (Abramowitz & Stegun, Handbook of Mathematical Functions,
25.4.30 and 25.4.46; numbers from memory).
"""

import math
from dataclasses import dataclass
from typing import Literal

NINE_IN_TEN = 1.6448536269514722
"""Half of the interval that holds 90 % of a normal distribution, in standard deviations."""


@dataclass(frozen=True)
class Spread:
    """A distribution about 0 in the unit of the value.

    `half_width` holds 90 % of a normal distribution and all of an even one; both are Type B evaluations
    (JCGM 100:2008, 4.3.5 and 4.3.7).
    """

    shape: Literal["normal", "even"]
    half_width: float

    @property
    def standard(self) -> float:
        """Standard uncertainty."""
        return self.half_width / (NINE_IN_TEN if self.shape == "normal" else math.sqrt(3.0))

    @property
    def node(self) -> float:
        """The outer node of the three-point Gauss rule."""
        return self.standard * math.sqrt(3.0 if self.shape == "normal" else 1.8)

    @property
    def weight(self) -> float:
        """Weight of each outer node."""
        return 1.0 / 6.0 if self.shape == "normal" else 5.0 / 18.0

    def times(self, factor: float) -> "Spread":
        """The same distribution of a value so many times as large."""
        return Spread(self.shape, factor * self.half_width)


def normal(half_width: float) -> Spread:
    """A normal distribution of which 90 % lies within the half-width."""
    return Spread("normal", half_width)


def even(half_width: float) -> Spread:
    """An even distribution between limits: nothing is known but that the value lies there."""
    return Spread("even", half_width)
