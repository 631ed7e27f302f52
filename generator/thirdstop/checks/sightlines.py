"""Whether one place sees another: straight lines past panels, solids and lamps."""

from collections.abc import Collection

import numpy as np

from thirdstop.staging.shapes import Ellipsoid, Outline
from thirdstop.staging.staging import Scene
from thirdstop.staging.vectors import cross
from thirdstop.typed import Array, Mask, Vec

_ROOM = frozenset({"wall", "ceiling", "floor"})
_ENDS = 1e-6
"""Share of a line at either end that does not count, so that a thing does not hide itself."""


def passing(scene: Scene, start_m: Array, ends_m: Array, leave_out: Collection[str] = ()) -> Array:
    """Share of light that goes straight from a place to each end, shape (n,): 0 blocked, between: nets.

    `start_m` is one place, shape (3,), or one for each end, shape (n, 3). `leave_out` names panels, solids
    and emitters that don't count. The room's own surfaces never do.
    """
    share = np.ones(len(ends_m))
    for panel in scene.panels:
        if panel.role not in _ROOM and panel.name not in leave_out:
            hit = crosses(panel.outline, panel.centre_m, panel.half_u_m, panel.half_v_m, start_m, ends_m)
            share = np.where(hit, share * panel.straight, share)
    for lamp in scene.emitters:
        if lamp.name not in leave_out:
            hit = crosses(lamp.outline, lamp.centre_m, lamp.half_u_m, lamp.half_v_m, start_m, ends_m)
            share = np.where(hit, 0.0, share)
    for solid in scene.solids:
        if solid.name not in leave_out:
            share = np.where(enters(solid, start_m, ends_m), 0.0, share)
    return share


def crosses(outline: Outline, centre_m: Vec, u_m: Vec, v_m: Vec, start_m: Array, ends_m: Array) -> Mask:
    """Whether the line from a place (or each place) to each end goes through a flat face, shape (n,)."""
    normal = cross(u_m, v_m)
    along = ends_m - start_m
    rate = along @ normal
    ahead = (centre_m - start_m) @ normal
    t = np.divide(ahead, rate, out=np.full(len(ends_m), -1.0), where=np.abs(rate) > 1e-15)
    offset = start_m + t[:, None] * along - centre_m
    inside = within(outline, offset @ u_m / (u_m @ u_m), offset @ v_m / (v_m @ v_m))
    return np.asarray((t > _ENDS) & (t < 1 - _ENDS) & inside)


def within(outline: Outline, u: Array, v: Array) -> Mask:
    """Whether places, in half-widths of a face, lie inside its outline."""
    if outline == "ellipse":
        return np.asarray(u * u + v * v <= 1)
    inside = (np.abs(u) <= 1) & (np.abs(v) <= 1)
    return np.asarray(inside & (np.abs(u) + np.abs(v) <= np.sqrt(2.0)) if outline == "octagon" else inside)


def enters(solid: Ellipsoid, start_m: Array, ends_m: Array) -> Mask:
    """Whether the line from a place (or each place) to each end goes through an ellipsoid, shape (n,).

    In the frame where the solid is the unit sphere, the line's nearest place to the centre lies inside.
    """
    a = (start_m - solid.centre_m) @ solid.axes / solid.semi_axes_m
    b = (ends_m - solid.centre_m) @ solid.axes / solid.semi_axes_m
    along = b - a
    t = np.clip(
        -np.sum(along * a, axis=1) / np.maximum(np.sum(along * along, axis=1), 1e-18), _ENDS, 1 - _ENDS
    )
    nearest = a + t[:, None] * along
    return np.asarray(np.sum(nearest * nearest, axis=1) < 1 - 1e-9)
