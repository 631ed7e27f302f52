"""Flat polygons in space against half-spaces: exact clipping, what is left over, areas and distances.

A polygon is an array of shape (n, 3), metres, its corners in order; two rows are a segment.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from thirdstop.staging.shapes import Outline, outline_points
from thirdstop.typed import Array, Mask, Vec

_TOGETHER = 4000
"""Places times edges at a time: small shapes at once, many places edge by edge."""

_ROUND = 48
"""Corners of the polygon that stands for an ellipse."""


class HalfSpace(NamedTuple):
    """All places p with `normal` · p ≤ `offset`; the normal need not have length 1."""

    normal: Vec
    offset: float

    def flipped(self) -> "HalfSpace":
        """The other side of the same plane."""
        return HalfSpace(-self.normal, -self.offset)


def clip(polygon: Array, half_space: HalfSpace) -> Array:
    """The part of a convex polygon inside a half-space, shape (m, 3), m = 0 where nothing is.

    Sutherland and Hodgman, Reentrant Polygon Clipping (1974), one plane of it.
    """
    if len(polygon) == 0:
        return polygon
    # as plain numbers: of a few corners they are compared many times faster than as arrays
    beyond = (polygon @ half_space.normal - half_space.offset).tolist()
    if max(beyond) <= 0:
        return polygon
    if min(beyond) > 0:
        return polygon[:0]
    return _cut(polygon, beyond)


def _cut(polygon: Array, beyond: list[float]) -> Array:
    corners = polygon.tolist()
    kept: list[list[float]] = []
    for k in range(len(corners)):
        before, here = beyond[k - 1], beyond[k]
        if (before > 0) != (here > 0):
            share = before / (before - here)
            pairs = zip(corners[k - 1], corners[k], strict=True)
            kept.append([start + share * (end - start) for start, end in pairs])
        if here <= 0:
            kept.append(corners[k])
    return np.array(kept).reshape(-1, polygon.shape[1])


def clip_all(polygon: Array, half_spaces: Iterable[HalfSpace]) -> Array:
    """The part of a convex polygon inside every one of the half-spaces."""
    for half_space in half_spaces:
        polygon = clip(polygon, half_space)
    return polygon


def without(pieces: Iterable[Array], half_spaces: Sequence[HalfSpace]) -> list[Array]:
    """What is left of convex pieces when the convex solid bounded by the half-spaces is taken out of them.

    Each piece is cut along one plane after the other: what lies beyond the plane stays, the rest goes on to
    the next plane. The pieces returned are convex and don't overlap.
    """
    left: list[Array] = []
    for piece in pieces:
        for half_space in half_spaces:
            left.append(clip(piece, half_space.flipped()))
            piece = clip(piece, half_space)
    return [piece for piece in left if len(piece) > 2 and area_m2(piece) > 1e-12]


def area_m2(polygon: Array) -> float:
    """Area of a flat polygon of shape (n, 3) or (n, 2), in the square of its unit."""
    if len(polygon) < 3:
        return 0.0
    spokes = polygon[1:] - polygon[0]
    if polygon.shape[1] == 2:
        return 0.5 * abs(float(np.sum(spokes[:-1, 0] * spokes[1:, 1] - spokes[:-1, 1] * spokes[1:, 0])))
    return 0.5 * float(np.linalg.norm(np.cross(spokes[:-1], spokes[1:]).sum(axis=0)))


def plane_normal(polygon: Array) -> Vec:
    """Normal of a flat polygon, of the length of twice its area (Newell's sum over the corners)."""
    spokes = polygon[1:] - polygon[0]
    normal: Vec = np.cross(spokes[:-1], spokes[1:]).sum(axis=0)
    return normal


def distance_m(polygon: Array, place_m: Vec) -> float:
    """Shortest distance from a place to a flat convex polygon or segment, its inside included."""
    if len(polygon) > 2:
        normal = plane_normal(polygon)
        length = float(np.linalg.norm(normal))
        if length > 1e-12 and _over(polygon, normal, place_m):
            return abs(float((place_m - polygon[0]) @ normal)) / length
    return min(_to_segment_m(polygon[k - 1], polygon[k], place_m) for k in range(len(polygon)))


def _over(polygon: Array, normal: Vec, place_m: Vec) -> bool:
    edges = polygon - np.roll(polygon, 1, axis=0)
    inward = np.cross(normal, edges)
    return bool((np.einsum("ij,ij->i", inward, place_m - polygon) >= 0).all())


def _to_segment_m(a: Vec, b: Vec, place_m: Vec) -> float:
    along = b - a
    length2 = float(along @ along)
    t = 0.0 if length2 == 0 else min(1.0, max(0.0, float((place_m - a) @ along) / length2))
    return float(np.linalg.norm(place_m - a - t * along))


def plan_gap_m(a: Array, b: Array) -> float:
    """Shortest distance on the floor plan between two convex polygons, segments or places; 0 where they meet.

    Only x and y count; shapes (n, 2) or (n, 3). Remembered: while one thing is tried at many places, all
    others stay where they are.
    """
    first, second = (np.asarray(one[:, :2], dtype=float).tobytes() for one in (a, b))
    return _plan_gap_m(first, second)


@lru_cache(maxsize=4096)
def _plan_gap_m(a: bytes, b: bytes) -> float:
    flat_a, flat_b = np.frombuffer(a).reshape(-1, 2), np.frombuffer(b).reshape(-1, 2)
    if _plan_overlap(flat_a, flat_b):
        return 0.0
    return min(_corners_to_edges_m(flat_a, flat_b), _corners_to_edges_m(flat_b, flat_a))


def _corners_to_edges_m(corners: Array, polygon: Array) -> float:
    return float(np.sqrt(_square_to_edges(corners, polygon).min()))


def to_edges_m(places: Array, polygon: Array) -> Array:
    """Distance on the plan from each place to a convex polygon or segment, shape (n,); 0 inside it."""
    distances = np.asarray(np.sqrt(_square_to_edges(places, polygon)))
    if len(polygon) >= 3:
        low, high = polygon[:, :2].min(axis=0), polygon[:, :2].max(axis=0)
        on_plan = places[:, :2]
        within = np.flatnonzero(((on_plan >= low) & (on_plan <= high)).all(axis=1))
        distances[within[_inside(places[within], polygon)]] = 0.0
    return distances


def _inside(places: Array, polygon: Array) -> Mask:
    """Which places lie inside a convex polygon of the plan, its edges left out, shape (n,)."""
    left, right = np.ones(len(places), dtype=bool), np.ones(len(places), dtype=bool)
    for k in range(len(polygon)):
        along = polygon[k] - polygon[k - 1]
        side = along[0] * (places[:, 1] - polygon[k, 1]) - along[1] * (places[:, 0] - polygon[k, 0])
        left &= side > 0
        right &= side < 0
    return left | right


def _square_to_edges(places: Array, polygon: Array) -> Array:
    """Square of the distance on the plan from each place to the nearest edge, shape (n,)."""
    nearest = np.full(len(places), np.inf)
    start = np.roll(polygon[:, :2], 1, axis=0)
    along = polygon[:, :2] - start
    length2 = np.maximum(np.einsum("ki,ki->k", along, along), 1e-18)[:, None]
    step = max(1, _TOGETHER // max(1, len(places)))
    for first in range(0, len(polygon), step):
        # axes: k edges, n places
        part = slice(first, first + step)
        along_x, along_y = along[part, :1], along[part, 1:]
        x, y = places[:, 0] - start[part, :1], places[:, 1] - start[part, 1:]
        t = np.minimum(np.maximum((x * along_x + y * along_y) / length2[part], 0.0), 1.0)
        x -= t * along_x
        y -= t * along_y
        np.minimum(nearest, (x * x + y * y).min(axis=0), out=nearest)
    return nearest


def _plan_overlap(a: Array, b: Array) -> bool:
    """Whether two convex shapes meet: no edge normal of either separates them (separating axis theorem)."""
    edges = np.concatenate([a - np.roll(a, 1, axis=0), b - np.roll(b, 1, axis=0)])
    edges = edges[np.linalg.norm(edges, axis=1) > 1e-12]
    axes = np.concatenate([edges @ np.array([[0.0, 1.0], [-1.0, 0.0]]), edges, np.eye(2)])
    on_a, on_b = a @ axes.T, b @ axes.T
    apart = (on_a.max(axis=0) < on_b.min(axis=0)) | (on_b.max(axis=0) < on_a.min(axis=0))
    return not bool(apart.any())


def outer_outline(outline: Outline, centre_m: Vec, half_u_m: Vec, half_v_m: Vec) -> Array:
    """A face's outline as a polygon that leaves nothing of it out: an ellipse is circumscribed.

    The polygon of an ellipse is larger by at most 0.22 %.
    """
    grow = 1.0 / np.cos(np.pi / _ROUND) if outline == "ellipse" else 1.0
    return outline_points(outline, centre_m, grow * half_u_m, grow * half_v_m, _ROUND)


def circle_on_floor(centre_m: Vec, radius_m: float) -> Array:
    """A circle on the floor as a circumscribed polygon, shape (24, 3), at the centre's height."""
    angles = 2 * np.pi * (np.arange(24) + 0.5) / 24
    r = radius_m / np.cos(np.pi / 24)
    ring = np.stack([np.cos(angles), np.sin(angles), np.zeros(24)], axis=1)
    return np.asarray(centre_m + r * ring)
