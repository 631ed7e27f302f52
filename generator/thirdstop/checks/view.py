r"""The camera's field as a pyramid: lens at the apex, four sides through the edges of the picture.

View axes: right, up, forward, from the lens. Seen from above:

        left   \     forward     /  right
                \       |       /
                 \      |      /        a side's value at a place: how far it stands outside that
                  \     |     /         side, measured along the picture at the place's own depth
                       lens
"""

import numpy as np

from thirdstop.checks.polygons import HalfSpace, clip, clip_all
from thirdstop.staging.staging import CameraView
from thirdstop.typed import Array, Vec

SIDES = ("left", "right", "bottom", "top")
_NEAREST_M = 0.01
"""Nearer to the lens's plane than this nothing counts: it stands beside or behind the lens."""
_STEPS = 26


def to_view(camera: CameraView, places_m: Array) -> Array:
    """Places in view axes, shape (n, 3)."""
    axes = np.stack([camera.right, camera.up, camera.forward], axis=1)
    return np.asarray((places_m - camera.lens_m) @ axes)


def from_view(camera: CameraView, places: Array) -> Array:
    """Places in house axes, shape (n, 3), from view axes."""
    axes = np.stack([camera.right, camera.up, camera.forward])
    return np.asarray(places @ axes + camera.lens_m)


def side_normals(camera: CameraView) -> Array:
    """For each of SIDES, what gives its value from a place in view axes, shape (4, 3)."""
    a, b = camera.tan_half_across, camera.tan_half_upright
    return np.array([[-1, 0, -a], [1, 0, -a], [0, -1, -b], [0, 1, -b]], dtype=float)


def side_values_m(camera: CameraView, view: Array) -> Array:
    """How far places in view axes are outside each side at their own depth, shape (n, 4); negative inside."""
    return np.asarray(view @ side_normals(camera).T)


def in_front(view: Array) -> Array:
    """The part of a polygon in view axes that is in front of the lens."""
    return clip(view, HalfSpace(np.array([0.0, 0.0, -1.0]), -_NEAREST_M))


def pyramid(camera: CameraView, grow_m: float = 0.0) -> list[HalfSpace]:
    """The four sides in view axes, each moved out by `grow_m` at every depth."""
    return [HalfSpace(normal, grow_m) for normal in side_normals(camera)]


def inside(camera: CameraView, view: Array, grow_m: float = 0.0) -> Array:
    """The part of a polygon in view axes that the picture shows."""
    return clip_all(in_front(view), pyramid(camera, grow_m))


def outside_by_m(camera: CameraView, view: Array) -> float:
    """How far a polygon in view axes is outside the picture, at the depth of its nearest place.

    The smallest growth of the picture that would show some of it; 0 where it shows already, infinity where
    it is wholly behind the lens. The distance is along the picture's edges (the larger of across and up).
    """
    front = in_front(view)
    if len(front) == 0:
        return float("inf")
    values = side_values_m(camera, front)
    lower = float(values.min(axis=0).max())
    upper = float(values.max(axis=1).min())
    if upper - lower < 1e-9:
        return max(0.0, lower)
    return _bisected_m(camera, front, max(0.0, lower), max(0.0, upper))


def _bisected_m(camera: CameraView, front: Array, lower: float, upper: float) -> float:
    if len(clip_all(front, pyramid(camera, lower))):
        return lower
    for _ in range(_STEPS):
        middle = 0.5 * (lower + upper)
        if len(clip_all(front, pyramid(camera, middle))):
            upper = middle
        else:
            lower = middle
    return lower


def moves_out_m(camera: CameraView, view: Array) -> Array:
    """How far a polygon must move past each of SIDES to leave the picture, at its own depth, shape (4,)."""
    front = in_front(view)
    return np.asarray(-side_values_m(camera, front).min(axis=0))


def side_direction(camera: CameraView, side: int) -> Vec:
    """Unit direction out of the picture past that side."""
    return (-camera.right, camera.right, -camera.up, camera.up)[side]
