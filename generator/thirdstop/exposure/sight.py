"""Who sees whom: what stands between two sets of places, as small matrix products.

An ellipsoid becomes the unit sphere of its own axes. There a place p has the tangent length a = √(|p|² − 1),
and the sphere blocks p–q exactly when p·q + a_p·a_q < 1: the angle between the two exceeds the sum of their
horizon angles. On the surface a = 0 and the test is the surface's own horizon.

A flat face has the signed distance h from its plane and x, y in half-widths. It blocks p–q exactly when h
differs in sign and the crossing lies inside each edge, which is a sum of two products:
|h_p|·(1 − x_q) + |h_q|·(1 − x_p) > 0. Edges of octagons alike; an ellipse needs the squares.
"""

from dataclasses import dataclass

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.staging.shapes import Ellipsoid, Emitter, Outline, Panel
from thirdstop.typed import Array, Mask

_DIAGONAL = np.sqrt(2.0)


@dataclass(frozen=True, eq=False)
class Blockers:
    """Everything that stands in the way: flat faces (panels, then emitters) and ellipsoids."""

    flats: tuple[Panel | Emitter, ...]
    solids: tuple[Ellipsoid, ...]
    walls: tuple[Panel, ...] = ()
    """The room's planes: what lies behind one of them sees nothing."""

    def straight(self, flat: int) -> float:
        """Share of light that this flat face lets straight through."""
        face = self.flats[flat]
        return face.straight if isinstance(face, Panel) else 0.0


@dataclass(frozen=True, eq=False)
class Sight:
    """Places as the blockers see them. Axes: o blockers, n places."""

    spheres: Array
    """Shape (o solids, n, 4): place in units of the solid's axes, and the tangent length."""
    heights_m: Array
    """Shape (o flats, n): signed distance from the plane; exactly 0 on the face itself."""
    across: Array
    """Shape (o flats, n): along u in half-widths."""
    along: Array
    """Shape (o flats, n): along v in half-widths."""
    lost: Mask
    """Shape (n,): outside the room, so seen by nobody."""

    def __getitem__(self, index: slice | Index | Mask) -> "Sight":
        return Sight(
            self.spheres[:, index],
            self.heights_m[:, index],
            self.across[:, index],
            self.along[:, index],
            self.lost[index],
        )


def sight(
    blockers: Blockers, places_m: Array, on_flat: Index | int = -1, on_solid: Index | int = -1
) -> Sight:
    """Places (n, 3) prepared for tests. `on_flat`, `on_solid`: index of the blocker that each lies on, or -1.

    Places inside a solid are seen by nobody: they become its centre, for which every test says 'blocked'.
    """
    count = len(places_m)
    spheres = np.zeros((len(blockers.solids), count, 4))
    for k, solid in enumerate(blockers.solids):
        unit = (places_m - solid.centre_m) @ (solid.axes / solid.semi_axes_m)
        spheres[k] = _tangents(unit, np.broadcast_to(np.asarray(on_solid) == k, (count,)))
    heights = np.zeros((len(blockers.flats), count))
    across, along = np.zeros_like(heights), np.zeros_like(heights)
    for k, face in enumerate(blockers.flats):
        offset = places_m - face.centre_m
        heights[k] = np.where(np.asarray(on_flat) == k, 0.0, offset @ face.normal)
        across[k] = offset @ (face.half_u_m / (face.half_u_m @ face.half_u_m))
        along[k] = offset @ (face.half_v_m / (face.half_v_m @ face.half_v_m))
    return Sight(spheres, heights, across, along, _outside(blockers.walls, places_m))


def _tangents(unit: Array, on: Mask) -> Array:
    square = np.einsum("ni,ni->n", unit, unit)
    unit = np.where(on[:, None], unit / np.sqrt(np.where(on, square, 1.0))[:, None], unit)
    inside = (square < 1.0) & ~on
    unit[inside] = 0.0
    tangent = np.sqrt(np.maximum(np.where(on | inside, 0.0, square - 1.0), 0.0))
    return np.concatenate([unit, tangent[:, None]], axis=1)


def _outside(walls: tuple[Panel, ...], places_m: Array) -> Mask:
    outside = np.zeros(len(places_m), dtype=bool)
    for wall in walls:
        outside |= (places_m - wall.centre_m) @ wall.normal < -1e-7
    return outside


def transmission(blockers: Blockers, rows: Sight, columns: Sight) -> Array:
    """Share of light that passes between every row place and every column place, shape (rows, columns)."""
    blocked = rows.lost[:, None] | columns.lost[None, :]
    for p, q in zip(rows.spheres, columns.spheres, strict=True):
        blocked |= p @ q.T < 1.0
    passed = np.where(blocked, 0.0, 1.0)
    for k, face in enumerate(blockers.flats):
        for up in (True, False):
            r = np.flatnonzero(rows.heights_m[k] > 0 if up else rows.heights_m[k] < 0)
            c = np.flatnonzero(columns.heights_m[k] < 0 if up else columns.heights_m[k] > 0)
            if len(r) and len(c):
                hit = _crosses(face.outline, _flat(rows, k, r, (-1, 1)), _flat(columns, k, c, (1, -1)))
                block = passed[np.ix_(r, c)]
                passed[np.ix_(r, c)] = np.where(hit, block * blockers.straight(k), block)
    return passed


def pair_transmission(blockers: Blockers, first: Sight, second: Sight) -> Array:
    """Share of light that passes between the nth place of both, shape (n,)."""
    blocked = first.lost | second.lost
    if len(first.spheres):
        blocked |= (np.einsum("oni,oni->on", first.spheres, second.spheres) < 1.0).any(axis=0)
    passed = np.where(blocked, 0.0, 1.0)
    for k, face in enumerate(blockers.flats):
        n = np.flatnonzero(first.heights_m[k] * second.heights_m[k] < 0)
        if len(n):
            hit = _crosses(face.outline, _flat(first, k, n, (n.size,)), _flat(second, k, n, (n.size,)))
            passed[n] = np.where(hit, passed[n] * blockers.straight(k), passed[n])
    return passed


def _flat(places: Sight, flat: int, index: Index, shape: tuple[int, ...]) -> tuple[Array, Array, Array]:
    """|h|, x, y of some places, in a shape that broadcasts against the other set's."""
    return (
        np.abs(places.heights_m[flat][index]).reshape(shape),
        places.across[flat][index].reshape(shape),
        places.along[flat][index].reshape(shape),
    )


def _crosses(outline: Outline, p: tuple[Array, Array, Array], q: tuple[Array, Array, Array]) -> Mask:
    """Whether segments that cross the plane cross it inside the outline."""
    (hp, xp, yp), (hq, xq, yq) = p, q
    whole = hp + hq
    x = xp * hq + xq * hp
    y = yp * hq + yq * hp
    if outline == "ellipse":
        return np.asarray(x * x + y * y < whole * whole)
    x, y = np.abs(x), np.abs(y)
    inside = (x < whole) & (y < whole)
    return np.asarray(inside & (x + y < _DIAGONAL * whole)) if outline == "octagon" else np.asarray(inside)
