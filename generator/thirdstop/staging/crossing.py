"""Whether flat convex polygons and ellipsoids stand in one place. Polygons have shape (n, 3), metres."""

import numpy as np

from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.vectors import cross, unit
from thirdstop.typed import Array, Vec

TOUCHING_M = 0.01
"""Two things may touch, or a soft edge give way, by this much."""
ONE_PLANE_M = 0.005
"""Faces nearer than this, side by side, are in one place."""
_PARALLEL = 1e-3


def normal_of(polygon: Array) -> Vec:
    """Unit normal of a convex polygon, by Newell's sum over its corners; zeros where it has no area."""
    spokes = polygon[1:] - polygon[0]
    total: Vec = np.cross(spokes[:-1], spokes[1:]).sum(axis=0)
    return unit(total) if float(np.linalg.norm(total)) > 1e-12 else total


def crossing_m(a: Array, b: Array) -> float:
    """Length of the line along which two polygons cut each other, 0 where they don't.

    They must reach through one another by more than TOUCHING_M on both sides.
    """
    if _apart(a, b):
        return 0.0
    normal_a, normal_b = normal_of(a), normal_of(b)
    along = cross(normal_a, normal_b)
    if float(np.linalg.norm(along)) < _PARALLEL:
        return 0.0
    along = unit(along)
    of_a = _chord(a, normal_b, float(b[0] @ normal_b), along)
    of_b = _chord(b, normal_a, float(a[0] @ normal_a), along)
    if of_a is None or of_b is None:
        return 0.0
    length_m = min(of_a[1], of_b[1]) - max(of_a[0], of_b[0])
    return length_m if length_m > TOUCHING_M else 0.0


def _chord(polygon: Array, normal: Vec, offset_m: float, along: Vec) -> tuple[float, float] | None:
    """From where to where along the line a plane cuts the polygon; None where it only touches it."""
    beyond = polygon @ normal - offset_m
    if beyond.min() > -TOUCHING_M or beyond.max() < TOUCHING_M:
        return None
    before, corners = np.roll(beyond, 1), np.roll(polygon, 1, axis=0)
    cut = (before > 0) != (beyond > 0)
    share = before[cut] / (before[cut] - beyond[cut])
    places = (corners[cut] + share[:, None] * (polygon[cut] - corners[cut])) @ along
    return float(places.min()), float(places.max())


def side_by_side(a: Array, b: Array) -> bool:
    """Whether two polygons lie in one plane, within ONE_PLANE_M, and cover each other in part."""
    if _apart(a, b):
        return False
    normal = normal_of(a)
    if float(np.abs((b - a[0]) @ normal).max()) > ONE_PLANE_M:
        return False
    edges = np.concatenate([polygon - np.roll(polygon, 1, axis=0) for polygon in (a, b)])
    lengths = np.linalg.norm(edges, axis=1)
    axes = np.cross(normal, edges[lengths > 1e-9] / lengths[lengths > 1e-9, None])
    # separating axis theorem: no edge's normal may part them
    on_a, on_b = a @ axes.T, b @ axes.T
    overlap_m = np.minimum(on_a.max(axis=0), on_b.max(axis=0)) - np.maximum(
        on_a.min(axis=0), on_b.min(axis=0)
    )
    return bool((overlap_m > TOUCHING_M).all())


def _apart(a: Array, b: Array) -> bool:
    """Whether boxes about the two, with sides along the axes, are apart."""
    return bool(((a.min(axis=0) > b.max(axis=0)) | (b.min(axis=0) > a.max(axis=0))).any())


def cuts_solid(polygon: Array, solid: Ellipsoid, by_m: float = TOUCHING_M) -> bool:
    """Whether a polygon reaches into an ellipsoid by more than that."""
    shrunk = np.maximum(solid.semi_axes_m - by_m, 1e-3)
    # in the solid's own axes and lengths it is a ball of radius 1
    return _from_origin((polygon - solid.centre_m) @ solid.axes / shrunk) < 1.0


def _from_origin(polygon: Array) -> float:
    """Distance from the origin to a polygon, its inside included."""
    normal = normal_of(polygon)
    edges = polygon - np.roll(polygon, 1, axis=0)
    if (np.einsum("ij,ij->i", np.cross(normal, edges), -polygon) >= 0).all():
        return abs(float(polygon[0] @ normal))
    starts = np.roll(polygon, 1, axis=0)
    length2 = np.maximum(np.einsum("ij,ij->i", edges, edges), 1e-18)
    share = np.clip(-np.einsum("ij,ij->i", starts, edges) / length2, 0.0, 1.0)
    return float(np.linalg.norm(starts + share[:, None] * edges, axis=1).min())


def solids_overlap(a: Ellipsoid, b: Ellipsoid) -> bool:
    """Whether two ellipsoids reach into each other, told by places on the surface of each."""
    return _holds_any(a, b) or _holds_any(b, a)


def _holds_any(outer: Ellipsoid, inner: Ellipsoid) -> bool:
    places = inner.centre_m + (_BALL * (inner.semi_axes_m - TOUCHING_M)) @ inner.axes.T
    own = (places - outer.centre_m) @ outer.axes / (outer.semi_axes_m - TOUCHING_M)
    return bool((np.einsum("ij,ij->i", own, own) < 1.0).any())


def _ball(count: int = 200) -> Array:
    """Places spread evenly over a ball of radius 1 and its middle, by the golden angle, shape (n + 1, 3)."""
    k = np.arange(count)
    z = 1.0 - (2.0 * k + 1.0) / count
    angle = k * np.pi * (3.0 - np.sqrt(5.0))
    r = np.sqrt(1.0 - z * z)
    ring = np.stack([r * np.cos(angle), r * np.sin(angle), z], axis=1)
    return np.concatenate([ring, np.zeros((1, 3))])


_BALL = _ball()
