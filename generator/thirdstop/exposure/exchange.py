"""Matte light to and fro between patches, to convergence (radiosity).

The light that one patch sends another goes both ways alike, so each pair is computed once. Pairs that are
near for their size are computed by their quarters. Axes: p patches, e emitters, n pairs.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from thirdstop.exposure.arrays import Index, Single, raise_to
from thirdstop.exposure.mesh import Patches
from thirdstop.exposure.returns import Returns
from thirdstop.exposure.sight import (
    Blockers,
    Sight,
    pass_both_ways,
    pass_one_way,
    pass_solids,
    transmission,
)
from thirdstop.typed import Array, Mask

_BLOCK = 80_000
"""Pairs at a time: what stays in a processor's cache."""

_PAIRS = 1500
"""Near pairs at a time, likewise."""

_MIRRORED = 64
"""Rows at a time that are copied across the diagonal."""

_NEAR = 2.5
"""Pairs whose squared distance is less than this many times both areas are computed by their quarters."""

_BLUNT = 0.826
"""Of a near pair's mean area, what 1/(π d² + A) takes: with it two squares that meet at a right angle have,
by their quarters, the factor that they have, 0.2000 (Howell C-14). As a disc far off it would be 1.
"""

_BALANCINGS = 4
"""Rounds of scaling."""

_MOST_RAISED = 1.03
"""How far a patch is scaled up: what pairs of middles miss evenly. More is missing where something near is
not seen by middles, in the crook of a neck or the fold of a card."""

_ROUNDS = 40
_SETTLED = 1e-5
"""Rounds end when what is open is less than this share of the light that first arrives."""


@dataclass(frozen=True, eq=False)
class Exchange:
    """Who lights whom: what goes between any two patches, and what makes that a closed room."""

    kernel: Single
    """Shape (p, p), symmetric, 1/m²: both cosines over π d², and what stands between."""
    scale: Single
    """Shape (p,): of a patch as receiver and as sender."""
    area_m2: Single
    """Shape (p,)."""
    own: Single
    """Shape (p,): share of its own exitance that each patch receives, or a little less than none."""

    def arriving(self, exitance: Array) -> Array:
        """Illuminance of the patches, shape (e, p), for their exitance (e, p)."""
        light = exitance.astype(np.float32)
        sent = (light * (self.scale * self.area_m2)) @ self.kernel
        return np.asarray(sent * self.scale + light * self.own, dtype=float)


def exchange(patches: Patches, kernel: Single) -> Exchange:
    """A kernel with its rows closed.

    Whoever stands in a closed room sees something in every direction, so that factors add up to 1 (after van
    Leersum, 1989). Receivers and senders are scaled alike, so that light still goes both ways alike; what is
    missing then is something near, and counts as bright as the patch itself.
    """
    area, stops = patches.area_m2.astype(np.float32), patches.stops_share.astype(np.float32)
    scale = _balance(kernel, area * stops)
    seen = scale * (kernel @ (scale * area * stops))
    own = (1.0 - seen) / np.maximum(stops, 1e-6)
    return Exchange(kernel, scale, area, own.astype(np.float32))


def kernel_between(patches: Patches, blockers: Blockers, seen: Sight) -> Single:
    """What goes between any two patches, in 1/m²: both cosines over π d², and what stands between; shape
    (p, p), symmetric.
    """
    count = len(patches.place_m)
    kernel = np.empty((count, count), dtype=np.float32)
    columns = Columns.of(patches.place_m, patches.normal, patches.area_m2)
    near = []
    for rows, rest in _blocks(patches.side):
        part, close = _by_middles(columns[rows], columns[rest])
        i, j = np.divmod(close, part.shape[1])
        near.append((i + rows.start, j + rest.start))
        passed = np.empty_like(part)
        pass_solids(seen.spheres[:, :, rows], seen.spheres[:, :, rest], passed)
        part *= passed
        kernel[rows, rest] = part
        kernel[rows, rows.start : rest.start] = 0.0
    i, j = (np.concatenate(index) for index in zip(*near, strict=True))
    _mend_near(patches, kernel, i, j)
    pass_one_way(blockers, seen, kernel)
    _mirror(kernel)
    kernel[seen.lost] = 0.0
    kernel[:, seen.lost] = 0.0
    return kernel


def _blocks(side: Index) -> Iterator[tuple[slice, slice]]:
    """Patches in ascending order some at a time, each with those after them that may see them: those of one
    flat side don't see each other.
    """
    ends = [*np.flatnonzero(np.diff(side)) + 1, len(side)]
    start = 0
    for end in ends:
        while start < end:
            first = start if side[start] < 0 else end
            stop = min(start + max(8, _BLOCK // max(1, len(side) - first)), end)
            yield slice(start, stop), slice(first, None)
            start = stop


def extended(kernel: Single, patches: Patches, blockers: Blockers, seen: Sight, flats: int) -> Single:
    """The kernel of all patches, of which the first have one; the first `flats` blockers stand between those
    already.
    """
    first, count = len(kernel), len(patches.place_m)
    whole = np.empty((count, count), dtype=np.float32)
    whole[:first, :first] = kernel
    pass_both_ways(blockers, seen[:first], whole, flats)
    columns = Columns.of(patches.place_m, patches.normal, patches.area_m2)
    part, close = _by_middles(columns[first:], columns)
    _mend_near(patches, part, *np.divmod(close, count), first)
    part *= transmission(blockers, seen[first:], seen)
    whole[first:] = part
    whole[:first, first:] = part[:, :first].T
    return whole


def _mirror(upper: Single) -> None:
    """Copy what is above the diagonal below it."""
    for start in range(0, len(upper), _MIRRORED):
        rows, rest = slice(start, start + _MIRRORED), slice(start + _MIRRORED, None)
        upper[rest, rows] = upper[rows, rest].T
        corner = upper[rows, rows]
        below = _below(len(corner))
        corner[below] = corner.T[below]


@lru_cache(maxsize=_MIRRORED)
def _below(size: int) -> Mask:
    """What lies below the diagonal of a square."""
    below: Mask = np.tri(size, k=-1, dtype=bool)
    below.flags.writeable = False  # shared by everyone who asks
    return below


@dataclass(frozen=True, eq=False)
class Columns:
    """Patches or receptors prepared for products with each other, single precision. Axis p."""

    place: Single
    """Shape (6, p): place, 1, |place|², and half the area that it stands for."""
    normal: Single
    """Shape (4, p): normal, and -normal·place."""

    @classmethod
    def of(cls, place: Array, normal: Array, area_m2: Array) -> "Columns":
        """Places and normals (p, 3), and the areas (p,) that they stand for; 0 for a receptor."""
        square, height = np.einsum("pi,pi->p", place, place), -np.einsum("pi,pi->p", normal, place)
        return cls(
            np.stack([*place.T, np.ones(len(place)), square, 0.5 * area_m2]).astype(np.float32),
            np.stack([*normal.T, height]).astype(np.float32),
        )

    def __getitem__(self, index: slice) -> "Columns":
        return Columns(self.place[:, index], self.normal[:, index])


def _by_middles(mine: Columns, columns: Columns) -> tuple[Single, Index]:
    """The kernel by the patches' middles, (mine, columns), and the places in it, in a row, of pairs that are
    near for their size.
    """
    twice, (one, length, half) = -2.0 * mine.place[:3], mine.place[3:]
    square = np.stack([*twice, length, one]).T @ columns.place[:5]
    raise_to(1e-8, square)
    part = mine.normal.T @ columns.place[:4]
    raise_to(0.0, part)
    leaving = mine.place[:4].T @ columns.normal
    raise_to(0.0, leaving)
    part *= leaving
    part /= square
    # As discs of both areas where near: 1/(π d² + A), with A the mean area, for 1/(π d²).
    pi = np.float32(np.pi)
    blunt = np.stack([*(pi * twice), pi * length + half, pi * one, one]).T @ columns.place
    part /= blunt
    # d² < near · 2 A, by what there is: π d² + A > (π + 1 / (2 near)) d²
    square *= np.float32(np.pi + 0.5 / _NEAR)
    return part, np.flatnonzero(blunt > square)


def _mend_near(patches: Patches, kernel: Single, i: Index, j: Index, first: int = 0) -> None:
    """Put the mean over 4 × 4 quarters into the kernel between pairs of its rows and columns, where there is
    any light; its rows begin at the patch `first`.
    """
    lit = np.flatnonzero(kernel[i, j] > 0)
    for start in range(0, len(lit), _PAIRS):
        a, b = (index[lit[start : start + _PAIRS]] for index in (i, j))
        kernel[a, b] = _by_quarters(patches, a + first, b)


def _by_quarters(patches: Patches, i: Index, j: Index) -> Single:
    """The kernel between the patches of each pair by their quarters, shape (n,)."""
    # axes: a quarters of the first, b of the second, n pairs: last, since they are many
    (px, py, pz), (nx, ny, nz), mine = (part.take(i, -1)[..., :, None, :] for part in patches.quarters)
    (qx, qy, qz), (mx, my, mz), theirs = (part.take(j, -1)[..., None, :, :] for part in patches.quarters)
    x, y, z = qx - px, qy - py, qz - pz
    square = np.maximum(x * x + y * y + z * z, np.float32(1e-8))
    kernel = np.maximum(x * nx + y * ny + z * nz, 0)
    kernel *= np.maximum(-x * mx - y * my - z * mz, 0)
    blunt = np.float32(np.pi) * square + np.float32(0.5 * _BLUNT) * (mine + theirs)
    kernel *= mine * theirs / (square * blunt)
    area = patches.area_m2.astype(np.float32)
    return np.asarray(kernel.sum(axis=(0, 1)) / (area[i] * area[j]))


def _balance(kernel: Single, stops_m2: Single) -> Single:
    """Scale of each patch, shape (p,), with which none gets more light than from all around.

    The scaling that keeps a matrix symmetric: Knight, Ruiz & Uçar, A Symmetry Preserving Algorithm for Matrix
    Scaling, 2014.
    """
    scale = np.ones(len(kernel), dtype=np.float32)
    for _ in range(_BALANCINGS):
        whole = kernel @ (stops_m2 * scale)
        scale = np.clip(np.sqrt(scale / np.maximum(whole, 1e-6)), 0.5, _MOST_RAISED)
    return np.asarray(scale, dtype=np.float32)


def solve(returns: Returns, between: Exchange, direct_lx_s: Array, thrown_lx_s: Array) -> Array:
    """All but direct illuminance of the patches, shape (e, p).

    `direct_lx_s` (e, p) is the lamps' light; `thrown_lx_s` (e, p) is what metallised sides throw from the
    lamps.
    """
    source = thrown_lx_s + between.arriving(returns.exitance(direct_lx_s, np.zeros_like(direct_lx_s)))
    return np.array([_settled(returns, between, one) for one in source]).reshape(source.shape)


def _settled(returns: Returns, between: Exchange, source: Array) -> Array:
    """The x that is the source and what comes of x in one bounce, shape (p,).

    By conjugate residuals (GCR: Eisenstat, Elman & Schultz, 1983): plain bounces need sixty in a white room.
    """
    light, left = np.zeros_like(source), source
    steps: list[tuple[Array, Array]] = []
    none = np.zeros((1, len(source)))
    for _ in range(_ROUNDS):
        if float(np.abs(left).max(initial=0.0)) <= _SETTLED * float(np.abs(source).max(initial=0.0)):
            break
        step = left
        image = step - between.arriving(returns.exitance(none, step[None]))[0]
        for earlier, its_image in steps:
            share = float(image @ its_image)
            step, image = step - share * earlier, image - share * its_image
        length = float(np.sqrt(image @ image))
        step, image = step / length, image / length
        steps.append((step, image))
        share = float(left @ image)
        light, left = light + share * step, left - share * image
    return light


def closed_factors(
    patches: Patches, blockers: Blockers, places: Array, normals: Array, at: Sight, seen: Sight
) -> Single:
    """Configuration factors of all patches at other flat receivers, rows closed, shape (k, p)."""
    columns = Columns.of(patches.place_m, patches.normal, patches.area_m2)
    weight, _ = _by_middles(Columns.of(places, normals, np.zeros(len(places))), columns)
    weight *= patches.area_m2.astype(np.float32)
    weight *= transmission(blockers, at, seen)
    whole = weight @ patches.stops_share.astype(np.float32)
    weight /= np.where(whole > 1e-6, whole, 1.0)[:, None]
    return weight
