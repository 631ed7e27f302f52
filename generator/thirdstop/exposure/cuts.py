"""Where the sides of a room are cut: along what stands on them or close before them, then evenly."""

import itertools
import math

import numpy as np

from thirdstop.exposure.sides import ROOM, Sides
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Mask

_BESIDE_M = 0.4
"""What is nearer than this to a wall cuts it along its edges."""

_APART_M = 0.05
"""Lines along which a wall is cut are no closer than this."""


def divided(lines: Array, largest: float) -> Array:
    """Lines, ascending, with as many between them as leave no gap larger than that."""
    found = []  # as numbers, since they are few
    for low, high in itertools.pairwise(lines.tolist()):
        count = max(math.ceil((high - low) / largest - 1e-9), 1)
        step = (high - low) / count
        found += [k * step + low for k in range(count)]
    return np.array([*found, lines[-1]])


def meetings(scene: Scene, sides: Sides, index: int) -> tuple[Array, Array]:
    """Lines in a side's parameters, u and v, from edge to edge, along which something stands on a side of the
    room or close before it: a patch half behind a cupboard would count as free or as covered.
    """
    whole = np.array([-1.0, 1.0])
    if sides.flat[index] >= 0:
        return whole, whole
    rectangles = [p.corners_m for p in scene.panels[ROOM:] if p.outline == "rectangle"]
    if not rectangles:
        return whole, whole
    centre, *edges = sides.frame_m[index]
    # axes: o panels, 4 corners
    corners = np.array(rectangles) - centre
    following = np.concatenate([corners[:, 1:], corners[:, :1]], axis=1)
    beside = np.maximum(corners @ sides.normal[index], following @ sides.normal[index]) < _BESIDE_M
    u, v = (_lines(corners, following, beside, edge) for edge in edges)
    return u, v


def _lines(corners: Array, following: Array, beside: Mask, edge: Array) -> Array:
    """Where edges of panels, from `corners` to `following`, run at one place of a side's half-edge: such
    places, ascending, from -1 to 1, none close to the next.
    """
    half_m = float(np.sqrt(edge @ edge))
    start, end = corners @ edge / half_m**2, following @ edge / half_m**2
    lines = np.unique(start[beside & (np.abs(start - end) < 1e-6)])
    return _apart(lines.tolist(), _APART_M / half_m)


def _apart(lines: list[float], least: float) -> Array:
    """Ascending lines within [-1, 1] without those nearer than `least` to one before them or to the end."""
    kept = [-1.0]
    for line in lines:
        if kept[-1] + least < line < 1.0 - least:
            kept.append(line)
    return np.array([*kept, 1.0])
