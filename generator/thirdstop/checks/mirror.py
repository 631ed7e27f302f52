"""Reflections in a small convex mirror: a cornea, the front of a spectacle lens."""

import numpy as np

from thirdstop.typed import Array, Vec

_STEPS = 25


def reflecting_normals(centre_m: Vec, radius_m: float, viewer_m: Vec, sources_m: Array) -> Array:
    """Where on a convex sphere a viewer sees each source: outward unit normals there, shape (n, 3).

    At the place of reflection the normal halves the angle between the directions to source and viewer; found
    by putting it there again and again. It converges for spheres that are small against both distances.
    """
    normals = _halving(centre_m, viewer_m, sources_m)
    for _ in range(_STEPS):
        before = normals
        normals = _halving(centre_m + radius_m * before, viewer_m, sources_m)
        if np.array_equal(normals, before):
            break
    return normals


def _halving(places_m: Array, viewer_m: Vec, sources_m: Array) -> Array:
    return _units(_units(sources_m - places_m) + _units(viewer_m - places_m))


def _units(vectors: Array) -> Array:
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return np.asarray(vectors / np.maximum(length, 1e-12))


def mirrored(directions: Array, normals: Array) -> Array:
    """Directions of light after reflection at surfaces with those unit normals, shape (n, 3)."""
    return np.asarray(directions - 2 * np.sum(directions * normals, axis=-1, keepdims=True) * normals)


def angles_to_face_deg(starts_m: Array, directions: Array, outline_m: Array, normal: Vec) -> Array:
    """Angle from each ray to a flat convex face as seen from the ray's start, degrees, shape (n,).

    0 where the ray meets the face. `directions` are unit vectors, shape (n, 3); `outline_m` (m, 3) is the
    face's outline and `normal` its normal. Exact: the least angle to the great-circle arcs of its edges.
    """
    # axes: ray, corner, xyz
    corners = _units(outline_m[None, :, :] - starts_m[:, None, :])
    onward = np.roll(corners, -1, axis=1)
    poles = _units(np.cross(corners, onward))
    height = np.einsum("nmk,nk->nm", poles, directions)
    flat = directions[:, None, :] - height[..., None] * poles
    # the foot of the ray on the arc's circle lies between the arc's ends
    between = (np.einsum("nmk,nmk->nm", np.cross(corners, flat), poles) >= 0) & (
        np.einsum("nmk,nmk->nm", np.cross(flat, onward), poles) >= 0
    )
    to_arc = np.abs(np.arcsin(np.clip(height, -1, 1)))
    to_end = np.arccos(np.clip(np.einsum("nmk,nk->nm", corners, directions), -1, 1))
    angles = np.degrees(np.where(between, to_arc, to_end).min(axis=1))
    return np.where(_meets(starts_m, directions, outline_m, normal), 0.0, angles)


def _meets(starts_m: Array, directions: Array, outline_m: Array, normal: Vec) -> Array:
    rate = directions @ normal
    ahead = (outline_m[0] - starts_m) @ normal
    t = np.divide(ahead, rate, out=np.full(len(rate), -1.0), where=np.abs(rate) > 1e-12)
    places = starts_m + t[:, None] * directions
    edges = np.roll(outline_m, -1, axis=0) - outline_m
    # axes: ray, edge, xyz
    sides = np.cross(edges[None, :, :], places[:, None, :] - outline_m[None, :, :]) @ normal
    same = (sides >= 0).all(axis=1) | (sides <= 0).all(axis=1)
    return np.asarray((t > 1e-9) & same)
