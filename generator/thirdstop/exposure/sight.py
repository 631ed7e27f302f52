"""Who sees whom: what stands between two sets of places, as small matrix products.

An ellipsoid becomes the unit sphere of its own axes. There a place p has the tangent length a = √(|p|² − 1),
and the sphere blocks p–q exactly when p·q + a_p·a_q < 1: the angle between the two exceeds the sum of their
horizon angles. On the surface a = 0 and the test is the surface's own horizon.

A flat face has the signed distance h from its plane and x, y in half-widths. It blocks p–q exactly when h
differs in sign and the crossing lies inside each edge, which is a sum of two products:
|h_p|·(1 − x_q) + |h_q|·(1 − x_p) > 0. Edges of octagons alike; an ellipse needs the squares.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from thirdstop.exposure.arrays import Floats, Index, Single
from thirdstop.staging.shapes import Ellipsoid, Emitter, Outline, Panel
from thirdstop.typed import Array, Mask

_DIAGONAL = float(np.sqrt(2.0))

_BLOCK = 150_000
"""Pairs that are tested at a time: what stays in a processor's cache."""

_FEW = 20_000
"""Pairs that are sooner tested than sorted out."""


@dataclass(frozen=True, eq=False)
class Blockers:
    """Everything that stands in the way: flat faces (panels, then emitters) and ellipsoids."""

    flats: tuple[Panel | Emitter, ...]
    solids: tuple[Ellipsoid, ...]
    walls: tuple[Panel, ...] = ()
    """The room's planes: what lies behind one of them sees nothing."""

    @cached_property
    def planes(self) -> Array:
        """Shape (o flats, 3, 4): normal, u and v in half-widths, each with what takes the centre off."""
        rows = []
        for face in self.flats:
            u, v = face.half_u_m, face.half_v_m
            axes = np.array([face.normal, u / (u @ u), v / (v @ v)])
            rows.append(np.column_stack([axes, -axes @ face.centre_m]))
        return np.array(rows).reshape(-1, 3, 4)

    @cached_property
    def spheres(self) -> tuple[Array, Array]:
        """Scaled axes (o solids, 3, 3), and the centre in them (o, 3)."""
        scaled = np.array([s.axes / s.semi_axes_m for s in self.solids]).reshape(-1, 3, 3)
        centre = np.array([s.centre_m for s in self.solids]).reshape(-1, 3)
        return scaled, np.einsum("oi,oij->oj", centre, scaled)

    @cached_property
    def room(self) -> tuple[Array, Array]:
        """Normals (w, 3) of the room's planes and their distances (w,) from the origin."""
        normal = np.array([wall.normal for wall in self.walls]).reshape(-1, 3)
        return normal, np.array([wall.normal @ wall.centre_m for wall in self.walls])

    def with_panels(self, panels: tuple[Panel, ...]) -> "Blockers":
        """The same with further panels, last of the flat faces."""
        return Blockers((*self.flats, *panels), self.solids, self.walls)

    def straight(self, flat: int) -> float:
        """Share of light that this flat face lets straight through."""
        face = self.flats[flat]
        return face.straight if isinstance(face, Panel) else 0.0


@dataclass(frozen=True, eq=False)
class Sight:
    """Places as the blockers see them. Axes: o blockers, n places."""

    spheres: Single
    """Shape (o solids, 4, n): place in units of the solid's axes, and the tangent length."""
    heights_m: Single
    """Shape (o flats, n): signed distance from the plane; exactly 0 on the face itself."""
    across: Single
    """Shape (o flats, n): along u in half-widths."""
    along: Single
    """Shape (o flats, n): along v in half-widths."""
    lost: Mask
    """Shape (n,): outside the room, so seen by nobody."""

    def __getitem__(self, index: slice | Index) -> "Sight":
        if isinstance(index, slice):
            flats = (self.heights_m[:, index], self.across[:, index], self.along[:, index])
        else:  # twice as quick as by brackets
            flats = (self.heights_m.take(index, 1), self.across.take(index, 1), self.along.take(index, 1))
        return Sight(self.spheres[:, :, index], *flats, self.lost[index])

    def with_flats(self, blockers: Blockers, places_m: Array) -> "Sight":
        """The same places (n, 3) as the `blockers` see them, whose last ones are new; none lies on those."""
        planes = _from_planes(blockers, places_m, len(self.heights_m)).astype(np.float32)
        more = planes.transpose(1, 0, 2)
        heights, across, along = (
            np.concatenate([mine, new])
            for mine, new in zip((self.heights_m, self.across, self.along), more, strict=True)
        )
        return Sight(self.spheres, heights, across, along, self.lost)

    def joined(self, more: "Sight") -> "Sight":
        """These places, then others, all as the same blockers see them."""
        return Sight(
            np.concatenate([self.spheres, more.spheres], axis=2),
            np.concatenate([self.heights_m, more.heights_m], axis=1),
            np.concatenate([self.across, more.across], axis=1),
            np.concatenate([self.along, more.along], axis=1),
            np.concatenate([self.lost, more.lost]),
        )


def _from_planes(blockers: Blockers, places_m: Array, first: int = 0) -> Array:
    """Distance from the planes of flat faces from the `first` on, and places across them: (o, 3, n)."""
    planes = blockers.planes[first:]
    return np.asarray(planes[:, :, :3] @ places_m.T + planes[:, :, 3:])


def sight(
    blockers: Blockers, places_m: Array, on_flat: Index | int = -1, on_solid: Index | int = -1
) -> Sight:
    """Places (n, 3) prepared for tests. `on_flat`, `on_solid`: index of the blocker that each lies on, or -1.

    Places inside a solid are seen by nobody: they become its centre, for which every test says 'blocked'.
    """
    count = len(places_m)
    flat = np.broadcast_to(np.asarray(on_flat), (count,))
    solid = np.broadcast_to(np.asarray(on_solid), (count,))
    planes = _from_planes(blockers, places_m)
    rows = np.flatnonzero(flat >= 0)
    planes[flat[rows], 0, rows] = 0.0
    heights, across, along = planes.astype(np.float32).transpose(1, 0, 2)
    return Sight(
        _unit_spheres(blockers, places_m, solid), heights, across, along, _outside(blockers, places_m)
    )


def _unit_spheres(blockers: Blockers, places_m: Array, on_solid: Index) -> Single:
    """Every place in every solid's own axes, with the tangent length: (o, 4, n)."""
    scaled, centre = blockers.spheres
    count = len(scaled)
    spheres = np.empty((count, 4, len(places_m)), dtype=np.float32)
    unit = spheres[:, :3]
    flat = (scaled.transpose(0, 2, 1).reshape(3 * count, 3) @ places_m.T).reshape(unit.shape)
    np.subtract(flat, centre[:, :, None], out=unit, casting="same_kind")
    square = unit[:, 0] * unit[:, 0]
    square += unit[:, 1] * unit[:, 1]
    square += unit[:, 2] * unit[:, 2]
    rows = np.flatnonzero(on_solid >= 0)
    own = on_solid[rows]
    unit[own, :, rows] /= np.sqrt(square[own, rows])[:, None]
    square[own, rows] = 1.0
    inside = square < 1.0
    square -= 1.0
    np.maximum(square, 0.0, out=square)
    np.sqrt(square, out=spheres[:, 3])
    solid, place = np.nonzero(inside)
    spheres[solid, :, place] = 0.0
    return spheres


def _outside(blockers: Blockers, places_m: Array) -> Mask:
    normal, distance = blockers.room
    return np.asarray((normal @ places_m.T < (distance - 1e-7)[:, None]).any(axis=0))


def transmission(blockers: Blockers, rows: Sight, columns: Sight) -> Single:
    """Share of light that passes between every row place and every column place, shape (rows, columns).

    In single precision: the sharpest test, between places eighty radii from a thin limb, is then off by less
    than a thousandth of the limb's width.
    """
    passed = np.empty((len(rows.lost), len(columns.lost)), dtype=np.float32)
    step = max(8, _BLOCK // max(1, len(columns.lost)))
    for start in range(0, len(passed), step):
        part = slice(start, start + step)
        pass_solids(rows.spheres[:, :, part], columns.spheres, passed[part])
    passed[rows.lost] = 0.0
    passed[:, columns.lost] = 0.0
    pass_flats(blockers, rows, columns, passed)
    return passed


def pass_flats(blockers: Blockers, rows: Sight, columns: Sight, light: Floats, first: int = 0) -> None:
    """Multiply `light` (rows, columns) by what flat faces, from the `first` on, let straight through."""
    for k in range(first, len(blockers.flats)):
        for r, c in _crossings(blockers, k, rows, columns):
            _dim(light, r, c, blockers.straight(k))
        for c, r in _crossings(blockers, k, columns, rows):
            _dim(light, r, c, blockers.straight(k))


def _dim(light: Floats, r: Index, c: Index, straight: float) -> None:
    """Multiply some entries."""
    at, every = r * light.shape[1] + c, light.reshape(-1)
    every[at] = straight * every[at] if straight else 0.0


def pass_solids(rows: Single, columns: Single, passed: Single) -> None:
    """Fill `passed` (r, c) with 0 where a solid blocks, else 1: `rows` (o, 4, r) and `columns` (o, 4, c)."""
    least = np.full(passed.shape, 2.0, dtype=np.float32)
    value = np.empty_like(least)
    for p, q in zip(rows, columns, strict=True):
        np.matmul(p.T, q, out=value)
        np.minimum(least, value, out=least)
    np.greater_equal(least, 1.0, out=passed)


def pass_flat(blockers: Blockers, flat: int, places: Sight, upper: Single) -> None:
    """Multiply what goes between some places by what a face lets straight through; `upper` (n, n) holds it
    above the diagonal.
    """
    for r, c in _crossings(blockers, flat, places, places):
        _dim(upper, np.minimum(r, c), np.maximum(r, c), blockers.straight(flat))


def pass_both_ways(blockers: Blockers, places: Sight, kernel: Single, first: int) -> None:
    """Multiply what goes between places, `kernel` (n, n), by what flat faces from the `first` on let straight
    through.
    """
    for k in range(first, len(blockers.flats)):
        for r, c in _crossings(blockers, k, places, places):
            _dim(kernel, r, c, blockers.straight(k))
            _dim(kernel, c, r, blockers.straight(k))


def _crossings(blockers: Blockers, flat: int, before: Sight, behind: Sight) -> Iterator[tuple[Index, Index]]:
    """Places before a face and places behind it between which it stands, as two index arrays at a time."""
    outline = blockers.flats[flat].outline
    c = (behind.heights_m[flat] < 0).nonzero()[0]
    for r in _thirds(before, flat, len(c)) if len(c) else ():
        within = _within_reach(before, behind, flat, r, c)
        step = max(8, _BLOCK // max(1, len(within)))
        far = _flat(behind, flat, within)
        for start in range(0, len(r) if len(within) else 0, step):
            part = r[start : start + step]
            hit = _crosses(outline, _flat(before, flat, part), far).ravel().nonzero()[0]
            if len(hit):
                i, j = np.divmod(hit, len(within))
                yield part[i], within[j]


def _thirds(places: Sight, flat: int, others: int) -> tuple[Index, ...]:
    """Places before a face: those left of it, right of it, and over it, so that each can be told from what
    it can't be hidden from; all at once where there is little to tell.
    """
    before = (places.heights_m[flat] > 0).nonzero()[0]
    if len(before) * others < _FEW:
        return (before,) if len(before) else ()
    across = places.across[flat, before]
    left, right = across < -1.0, across > 1.0
    parts = before[left], before[right], before[~(left | right)]
    return tuple(part for part in parts if len(part))


def _within_reach(rows: Sight, columns: Sight, flat: int, r: Index, c: Index) -> Index:
    """Those columns that do not lie beyond an edge of the face which all rows lie beyond as well."""
    for mine, others in ((rows.across, columns.across), (rows.along, columns.along)):
        places = mine[flat, r]
        if places.min() > 1.0:
            c = c[others[flat, c] < 1.0]
        elif places.max() < -1.0:
            c = c[others[flat, c] > -1.0]
    return c


def surely_hidden(blockers: Blockers, rows: Sight, corners: Sight) -> Mask:
    """Places from which one solid, or one flat face that lets nothing through, hides all corners of a
    polygon, and so, being convex, all of it; shape (rows,).
    """
    hidden = rows.lost.copy()
    for p, q in zip(rows.spheres, corners.spheres, strict=True):
        hidden |= (p.T @ q < 1.0).all(axis=1)
    every = np.arange(len(corners.lost))
    for k, face in enumerate(blockers.flats):
        beyond = rows.heights_m[k][:, None] * corners.heights_m[k] < 0
        n = np.flatnonzero(beyond.all(axis=1) & ~hidden)
        if len(n) and not blockers.straight(k):
            crossed = _crosses(face.outline, _flat(rows, k, n), _flat(corners, k, every))
            hidden[n] |= crossed.all(axis=1)
    return hidden


def pair_transmission(blockers: Blockers, first: Sight, second: Sight) -> Array:
    """Share of light that passes between the nth place of both, shape (n,)."""
    blocked = first.lost | second.lost
    if len(first.spheres):
        blocked |= (np.einsum("oin,oin->on", first.spheres, second.spheres) < 1.0).any(axis=0)
    return np.where(blocked, 0.0, 1.0) * pairs_past_flats(blockers, first, second)


def pairs_past_flats(blockers: Blockers, first: Sight, second: Sight, since: int = 0) -> Array:
    """Share of light that flat faces, from the one numbered `since` on, let straight through between the nth
    place of both, shape (n,).
    """
    passed = np.ones(len(first.lost))
    for k in range(since, len(blockers.flats)):
        n = np.flatnonzero(first.heights_m[k] * second.heights_m[k] < 0)
        if len(n):
            hit = _crosses_pairs(blockers.flats[k].outline, _flat(first, k, n), _flat(second, k, n))
            passed[n[hit]] *= blockers.straight(k)
    return passed


def _flat(places: Sight, flat: int, index: Index) -> Single:
    """x, |h|, y of some places, shape (3, n)."""
    found = np.empty((3, len(index)), dtype=np.float32)
    found[0] = places.across[flat, index]
    np.abs(places.heights_m[flat, index], out=found[1])
    found[2] = places.along[flat, index]
    return found


def _crosses(outline: Outline, p: Single, q: Single) -> Mask:
    """Whether segments that cross the plane cross it inside the outline, all p (3, n) to all q (3, m)."""
    whole = p[1][:, None] + q[1]
    x = p[:2].T @ q[1::-1]
    y = p[1:].T @ q[:0:-1]
    return _inside(outline, x, y, whole)


def _crosses_pairs(outline: Outline, p: Single, q: Single) -> Mask:
    """The same for the nth of both, shape (n,)."""
    (xp, hp, yp), (xq, hq, yq) = p, q
    return _inside(outline, xp * hq + xq * hp, yp * hq + yq * hp, hp + hq)


def _inside(outline: Outline, x: Single, y: Single, whole: Single) -> Mask:
    """Whether (x, y)/whole lies inside the outline in half-widths; spoils x and y."""
    if outline == "ellipse":
        x *= x
        x += y * y
        return np.asarray(x < whole * whole)
    np.abs(x, out=x)
    np.abs(y, out=y)
    if outline == "octagon":
        cut = x + y < _DIAGONAL * whole
        return np.asarray((np.maximum(x, y, out=x) < whole) & cut)
    return np.asarray(np.maximum(x, y, out=x) < whole)
