"""Distances of straight tubes' axes: to solids, to flat convex polygons, to one another. Metres."""

from collections.abc import Sequence

import numpy as np

from thirdstop.staging.crossing import normal_of
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.typed import Array, Mask

_SMALL = 1e-12


def in_solids(solids: Sequence[Ellipsoid], start_m: Array, end_m: Array, grow_m: float) -> Mask:
    """Whether each of n segments, from `start_m` to `end_m` of shape (n, 3), comes nearer to each of k solids
    than `grow_m`, shape (n, k).

    In a solid's own axes and lengths, longer by that, it is a ball of radius 1.
    """
    if not solids:
        return np.zeros((len(start_m), 0), dtype=bool)
    turn = np.array([(one.axes / (one.semi_axes_m + grow_m)).T for one in solids])
    centres = np.array([one.centre_m for one in solids])
    # axes: segment, solid, own xyz
    start = np.einsum("kij,nkj->nki", turn, start_m[:, None, :] - centres)
    along = np.einsum("kij,nj->nki", turn, end_m - start_m)
    length2 = np.maximum(np.einsum("nki,nki->nk", along, along), _SMALL)
    share = np.clip(-np.einsum("nki,nki->nk", start, along) / length2, 0.0, 1.0)
    nearest = start + share[:, :, None] * along
    return np.asarray(np.einsum("nki,nki->nk", nearest, nearest) < 1.0)


def to_polygon_m(start_m: Array, end_m: Array, polygon: Array) -> Array:
    """Distance of each of n segments to a flat convex polygon, its inside included, shape (n,)."""
    normal = normal_of(polygon)
    before, after = (start_m - polygon[0]) @ normal, (end_m - polygon[0]) @ normal
    to_edges = to_segments_m(start_m, end_m, polygon, np.roll(polygon, -1, axis=0)).min(axis=1)
    found = np.where(_over(start_m, polygon, normal), np.minimum(np.abs(before), to_edges), to_edges)
    found = np.where(_over(end_m, polygon, normal), np.minimum(np.abs(after), found), found)
    step = np.where(np.abs(before - after) > _SMALL, before - after, np.inf)
    cut_m = start_m + (before / step)[:, None] * (end_m - start_m)
    through = (before * after <= 0) & (np.abs(before - after) > _SMALL) & _over(cut_m, polygon, normal)
    return np.asarray(np.where(through, 0.0, found))


def _over(places_m: Array, polygon: Array, normal: Array) -> Mask:
    """Whether the places, shape (n, 3), lie over the polygon's inside, seen along its normal."""
    edges = np.roll(polygon, -1, axis=0) - polygon
    off = places_m[:, None, :] - polygon
    return np.asarray((np.cross(edges, off) @ normal >= 0).all(axis=1))


def to_segments_m(start_m: Array, end_m: Array, first_m: Array, last_m: Array) -> Array:
    """Distance of each of n segments to each of m others, shape (n, m).

    The least of a squared distance over both lengths: unclamped along the one, clamped, then along the other
    and clamped again (a quadratic form over a square, whose least lies inside or on an edge).
    """
    d, e = (end_m - start_m)[:, None, :], (last_m - first_m)[None, :, :]
    r = start_m[:, None, :] - first_m[None, :, :]
    dd, ee = np.maximum((d * d).sum(-1), _SMALL), np.maximum((e * e).sum(-1), _SMALL)
    de, dr, er = (d * e).sum(-1), (d * r).sum(-1), (e * r).sum(-1)
    det = dd * ee - de * de
    # of parallel ones any place of the first will do
    s = np.where(det > _SMALL, np.clip((de * er - dr * ee) / np.maximum(det, _SMALL), 0.0, 1.0), 0.0)
    t = np.clip((de * s + er) / ee, 0.0, 1.0)
    s = np.clip((de * t - dr) / dd, 0.0, 1.0)
    gap = r + s[..., None] * d - t[..., None] * e
    return np.asarray(np.sqrt((gap * gap).sum(-1)))
