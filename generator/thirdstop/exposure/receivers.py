"""Places that receive light, as arrays: measuring points, cells, elements, what points look at on bodies."""

from dataclasses import dataclass

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.sight import Blockers, Sight, sight
from thirdstop.staging.points import MeasuringPoint
from thirdstop.typed import Array, Mask


@dataclass(frozen=True, eq=False)
class Receivers:
    """Axis n."""

    place_m: Array
    """Shape (n, 3)."""
    direction: Array
    """Shape (n, 3): unit vectors out of the receptors."""
    dome: Mask
    """Shape (n,): a dome rather than a flat receptor."""
    seen: Sight
    """The places as blockers see them."""

    def __getitem__(self, index: slice | Index) -> "Receivers":
        return Receivers(self.place_m[index], self.direction[index], self.dome[index], self.seen[index])


def at_points(points: tuple[MeasuringPoint, ...], blockers: Blockers) -> Receivers:
    """Measuring points."""
    place = np.array([p.place_m for p in points]).reshape(-1, 3)
    direction = np.array([p.direction for p in points]).reshape(-1, 3)
    dome = np.array([p.receptor == "dome" for p in points], dtype=bool)
    return Receivers(place, direction, dome, sight(blockers, place))


def on_surfaces(place_m: Array, normal: Array, seen: Sight) -> Receivers:
    """Places on surfaces, which receive as flat receptors do."""
    return Receivers(place_m, normal, np.zeros(len(place_m), dtype=bool), seen)


@dataclass(frozen=True, eq=False)
class Eyes:
    """Measuring points as what is cut up sees them. Axis k."""

    place_m: Array
    direction: Array
    dome: Mask

    @classmethod
    def of(cls, points: tuple[MeasuringPoint, ...]) -> "Eyes":
        """All measuring points."""
        return cls(
            np.array([p.place_m for p in points]).reshape(-1, 3),
            np.array([p.direction for p in points]).reshape(-1, 3),
            np.array([p.receptor == "dome" for p in points], dtype=bool),
        )

    def distance_m(
        self, place_m: Array, normal: Array, length_m: Array, either_side: Mask | None = None
    ) -> Array:
        """Distance of pieces of surface (n, 3) to the nearest point that can look at them, shape (n,).

        What stands between does not count. Pieces of the given length that lie behind a flat receptor, or
        that look away from the point (unless light passes to their other side), are as far as can be.
        """
        # axes: k points, n pieces
        own = np.einsum("ki,ki->k", self.place_m, self.direction)
        ahead = self.direction @ place_m.T - own[:, None]
        before = self.place_m @ normal.T > np.einsum("ni,ni->n", normal, place_m)
        if either_side is not None:
            before |= either_side
        seen = ((ahead > -length_m) | self.dome[:, None]) & before
        squares = np.where(seen, squares_m2(self.place_m, place_m), np.inf)
        return np.asarray(np.sqrt(squares.min(axis=0, initial=np.inf)))


def squares_m2(a: Array, b: Array) -> Array:
    """Squared distances of all to all, never below 0."""
    own = np.einsum("ni,ni->n", a, a)[:, None] + np.einsum("ki,ki->k", b, b)
    return np.asarray(np.maximum(own - 2.0 * a @ b.T, 0.0))
