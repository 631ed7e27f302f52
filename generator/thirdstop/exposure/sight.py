"""Who sees whom: what stands between two sets of places, as small matrix products.

An ellipsoid becomes the unit sphere of its own axes. There a place p has the tangent length a = √(|p|² − 1),
and the sphere blocks p–q exactly when p·q + a_p·a_q < 1: the angle between the two exceeds the sum of their
horizon angles. On the surface a = 0 and the test is the surface's own horizon.

A flat face has the signed distance h from its plane and x, y in half-widths. It blocks p–q exactly when h
differs in sign and the crossing lies inside each edge, which is a sum of two products:
|h_p|·(1 − x_q) + |h_q|·(1 − x_p) > 0. Edges of octagons alike; an ellipse needs the squares.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from thirdstop.exposure.arrays import Floats, Index, Single
from thirdstop.staging.shapes import Ellipsoid, Emitter, Outline, Panel
from thirdstop.typed import Array, Mask, Vec

_DIAGONAL = float(np.sqrt(2.0))

_BLOCK = 80_000
"""Pairs that are tested at a time: what stays in a processor's cache."""

_FEW = 20_000
"""Pairs that are sooner tested than sorted out."""

_PLACES = 1500
"""Places at a time of which all that solids see of them stays in it."""


@dataclass(frozen=True, eq=False)
class Blockers:
    """Everything that stands in the way: flat faces (panels, then emitters) and ellipsoids."""

    flats: tuple[Panel | Emitter, ...]
    solids: tuple[Ellipsoid, ...]
    walls: tuple[Panel, ...] = ()
    """The room's planes: what lies behind one of them sees nothing."""

    @cached_property
    def planes(self) -> Array:
        """Shape (3, o flats, 4): normals, u and v in half-widths, each with what takes the centre off."""
        axes = np.empty((3, len(self.flats), 4))
        for k, face in enumerate(self.flats):
            u, v = face.half_u_m, face.half_v_m
            axes[:, k, :3] = face.normal, u / (u @ u), v / (v @ v)
            axes[:, k, 3] = -axes[:, k, :3] @ face.centre_m
        return axes

    @cached_property
    def middle_m(self) -> Vec:
        """Amid the solids: places are taken from here before they go into single precision, shape (3,)."""
        return np.mean([s.centre_m for s in self.solids], axis=0) if self.solids else np.zeros(3)

    @cached_property
    def spheres(self) -> Single:
        """Scaled axes of solids, each with what takes the centre off, and a row of zeros where the tangent
        length will stand, shape (o solids, 4, 4); for places from `middle_m`.
        """
        axes = np.zeros((len(self.solids), 4, 4), dtype=np.float32)
        for k, solid in enumerate(self.solids):
            scaled = (solid.axes / solid.semi_axes_m).T
            axes[k, :3, :3] = scaled
            axes[k, :3, 3] = scaled @ (self.middle_m - solid.centre_m)
        return axes

    @cached_property
    def room(self) -> Array:
        """Normals of the room's planes, and what takes their distance from the origin off, shape (w, 4)."""
        planes = [(*wall.normal, -wall.normal @ wall.centre_m) for wall in self.walls]
        return np.array(planes).reshape(-1, 4)

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
    flats: Single
    """Shape (3, o flats, n): signed distance from the plane, m, exactly 0 on the face itself; along u and
    along v in half-widths."""
    lost: Mask
    """Shape (n,): outside the room, so seen by nobody."""

    @property
    def heights_m(self) -> Single:
        """Shape (o flats, n): signed distance from the plane."""
        return np.asarray(self.flats[0])

    @cached_property
    def reach_m(self) -> tuple[Single, Single]:
        """Height of the place farthest behind each face, then farthest before it, (o flats,); 0 for none."""
        return self.heights_m.min(axis=1, initial=0.0), self.heights_m.max(axis=1, initial=0.0)

    def __getitem__(self, index: slice | Index) -> "Sight":
        if isinstance(index, slice):
            return Sight(self.spheres[:, :, index], self.flats[:, :, index], self.lost[index])
        # twice as quick as by brackets
        return Sight(self.spheres.take(index, 2), self.flats.take(index, 2), self.lost[index])

    def with_flats(self, blockers: Blockers, places_m: Array) -> "Sight":
        """The same places (n, 3) as the `blockers` see them, whose last ones are new; none lies on those."""
        planes = blockers.planes[:, self.flats.shape[1] :]
        more = _from_planes(planes.reshape(-1, 4), places_m).astype(np.float32)
        flats = np.concatenate([self.flats, more.reshape(3, planes.shape[1], len(places_m))], axis=1)
        return Sight(self.spheres, flats, self.lost)

    def joined(self, more: "Sight") -> "Sight":
        """These places, then others, all as the same blockers see them."""
        return Sight(
            np.concatenate([self.spheres, more.spheres], axis=2),
            np.concatenate([self.flats, more.flats], axis=2),
            np.concatenate([self.lost, more.lost]),
        )


def _from_planes(planes: Array, places_m: Array) -> Array:
    """What planes (o, 4) make of places (n, 3), shape (o, n)."""
    found = planes[:, :3] @ places_m.T
    found += planes[:, 3:]
    return found


def sight(
    blockers: Blockers, places_m: Array, on_flat: Index | int = -1, on_solid: Index | int = -1
) -> Sight:
    """Places (n, 3) prepared for tests. `on_flat`, `on_solid`: index of the blocker that each lies on, or -1.

    Places inside a solid are seen by nobody: they become its centre, for which every test says 'blocked'.
    """
    solid = on_solid if isinstance(on_solid, np.ndarray) else np.full(len(places_m), on_solid)
    return replace(
        _before_flats(blockers, places_m, on_flat), spheres=_unit_spheres(blockers, places_m, solid)
    )


def _before_flats(blockers: Blockers, places_m: Array, on_flat: Index | int) -> Sight:
    """Places as flat faces alone see them, as if there were no solids."""
    planes, count = blockers.planes.reshape(-1, 4), len(places_m)
    found, outside = np.empty((len(planes), count), dtype=np.float32), np.zeros(count, dtype=bool)
    for start in range(0, count, _PLACES):
        part = slice(start, start + _PLACES)
        found[:, part] = _from_planes(planes, places_m[part])
        outside[part] = (_from_planes(blockers.room, places_m[part]) < -1e-7).any(axis=0)
    flats = found.reshape(3, len(blockers.flats), count)
    if isinstance(on_flat, np.ndarray):
        rows = np.flatnonzero(on_flat >= 0)
        flats[0, on_flat[rows], rows] = 0.0
    elif on_flat >= 0:
        flats[0, on_flat] = 0.0
    return Sight(np.empty((0, 4, count), dtype=np.float32), flats, outside)


def _unit_spheres(blockers: Blockers, places_m: Array, on_solid: Index) -> Single:
    """Every place in every solid's own axes, with the tangent length: (o, 4, n)."""
    axes = blockers.spheres
    place = np.ones((4, len(places_m)), dtype=np.float32)
    place[:3] = (places_m - blockers.middle_m).T
    spheres = (axes.reshape(-1, 4) @ place).reshape(len(axes), 4, len(places_m))
    unit = spheres[:, :3]
    square = np.einsum("oin,oin->on", unit, unit)
    rows = np.flatnonzero(on_solid >= 0)
    own = on_solid[rows]
    unit[own, :, rows] /= np.sqrt(square[own, rows])[:, None]
    square[own, rows] = 1.0
    square -= 1.0
    inside = (square < 0.0).ravel().nonzero()[0]
    square.ravel()[inside] = 0.0
    np.sqrt(square, out=spheres[:, 3])
    solid, place_inside = np.divmod(inside, len(places_m))
    spheres[solid, :, place_inside] = 0.0
    return spheres


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
    _pass_the_rest(blockers, rows, columns, passed)
    return passed


def transmission_to(blockers: Blockers, rows: Sight, places_m: Array, on_flat: Index) -> tuple[Single, Sight]:
    """The same to many places (n, 3), and those as flat faces alone see them: with solids they are tested
    some at a time, and how solids see them is not kept.
    """
    passed = np.empty((len(rows.lost), len(places_m)), dtype=np.float32)
    for start in range(0, len(places_m), _PLACES):
        part = slice(start, start + _PLACES)
        spheres = _unit_spheres(blockers, places_m[part], np.full(len(places_m[part]), -1))
        pass_solids(rows.spheres, spheres, passed[:, part])
    columns = _before_flats(blockers, places_m, on_flat)
    _pass_the_rest(blockers, rows, columns, passed)
    return passed, columns


def _pass_the_rest(blockers: Blockers, rows: Sight, columns: Sight, passed: Single) -> None:
    passed[rows.lost] = 0.0
    passed[:, columns.lost] = 0.0
    pass_flats(blockers, rows, columns, passed)


def pass_flats(blockers: Blockers, rows: Sight, columns: Sight, light: Floats, first: int = 0) -> None:
    """Multiply `light` (rows, columns) by what flat faces, from the `first` on, let straight through."""
    for k in _meeting(rows, columns, first):
        for r, c in _crossings(blockers, k, rows, columns):
            _dim(light, r, c, blockers.straight(k))
    for k in _meeting(columns, rows, first):
        for c, r in _crossings(blockers, k, columns, rows):
            _dim(light, r, c, blockers.straight(k))


def _meeting(before: Sight, behind: Sight, first: int = 0) -> Iterable[int]:
    """The flat faces, from the `first` on, which some places lie before and some of the others behind."""
    meet = (before.reach_m[1] > 0) & (behind.reach_m[0] < 0)
    return (k for k in meet.nonzero()[0].tolist() if k >= first)


def _dim(light: Floats, r: Index, c: Index, straight: float) -> None:
    """Multiply some entries."""
    at, every = r * light.shape[1] + c, light.reshape(-1)
    every[at] = straight * every[at] if straight else 0.0


def pass_solids(rows: Single, columns: Single, passed: Single) -> None:
    """Fill `passed` (r, c) with 0 where a solid blocks, else 1: `rows` (o, 4, r) and `columns` (o, 4, c)."""
    if not len(rows):
        passed[...] = 1.0
        return
    least, value = np.matmul(rows[0].T, columns[0], out=passed), np.empty_like(passed)
    for p, q in zip(rows[1:], columns[1:], strict=True):
        np.matmul(p.T, q, out=value)
        np.minimum(least, value, out=least)
    np.greater_equal(least, 1.0, out=passed)


def pass_one_way(blockers: Blockers, places: Sight, upper: Single) -> None:
    """Multiply what goes between some places by what flat faces let straight through; `upper` (n, n) holds it
    above the diagonal.
    """
    for k in _meeting(places, places):
        for r, c in _crossings(blockers, k, places, places):
            _dim(upper, np.minimum(r, c), np.maximum(r, c), blockers.straight(k))


def pass_both_ways(blockers: Blockers, places: Sight, kernel: Single, first: int) -> None:
    """Multiply what goes between places, `kernel` (n, n), by what flat faces from the `first` on let straight
    through.
    """
    for k in _meeting(places, places, first):
        for r, c in _crossings(blockers, k, places, places):
            _dim(kernel, r, c, blockers.straight(k))
            _dim(kernel, c, r, blockers.straight(k))


def _crossings(blockers: Blockers, flat: int, before: Sight, behind: Sight) -> Iterator[tuple[Index, Index]]:
    """Places before a face and places behind it between which it stands, as two index arrays at a time."""
    outline = blockers.flats[flat].outline
    r, c = (before.heights_m[flat] > 0).nonzero()[0], (behind.heights_m[flat] < 0).nonzero()[0]
    mine, theirs = _flat(before, flat, r), _flat(behind, flat, c)
    if len(r) * len(c) < _FEW:
        i, j = _positions(_crosses(outline, mine, theirs))
        yield r[i], c[j]
        return
    room, their_room = _room_by_edges(mine), _room_by_edges(theirs)
    step = max(8, _BLOCK // len(c))
    for start in range(0, len(r), step):
        part = slice(start, start + step)
        # Columns that no row of this part can be hidden from are left out.
        near = (their_room > -room[:, part].max(axis=1)[:, None]).all(axis=0).nonzero()[0]
        if len(near):
            i, j = _positions(_crosses(outline, mine[:, part], theirs.take(near, 1)))
            yield r[part][i], c[near[j]]


def _room_by_edges(places: Single) -> Single:
    """How far places (4, n) as of `_flat` lie within a face's four edges over how far from its plane, shape
    (4, n): for each edge, what two places on either side of the face have of it adds up to more than 0 where
    they are hidden from each other.
    """
    x, height, y, one = places
    room = np.empty_like(places)
    np.subtract(one, x, out=room[0])
    np.add(one, x, out=room[1])
    np.subtract(one, y, out=room[2])
    np.add(one, y, out=room[3])
    room /= height
    return room


def _positions(hit: Mask) -> tuple[Index, Index]:
    """Rows and columns where a mask is set: as `nonzero`, but thrice as quick, nor is `divmod` as quick."""
    every, width = hit.ravel().nonzero()[0], hit.shape[1]
    i = every // width
    return i, every - i * width


def surely_hidden(blockers: Blockers, rows: Sight, corners: Sight) -> Mask:
    """Places from which one solid, or one flat face that lets nothing through, hides all corners of a
    polygon, and so, being convex, all of it; shape (rows,).
    """
    hidden = rows.lost.copy()
    if len(rows.spheres):
        hidden |= ((corners.spheres.transpose(0, 2, 1) @ rows.spheres).max(axis=1) < 1.0).any(axis=0)
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
    """x, |h|, y of some places, and ones, shape (4, n)."""
    found = np.ones((4, len(index)), dtype=np.float32)
    height, x, y = places.flats[:, flat]
    found[0] = x.take(index)
    np.abs(height.take(index), out=found[1])
    found[2] = y.take(index)
    return found


def _crosses(outline: Outline, p: Single, q: Single) -> Mask:
    """Whether segments that cross the plane cross it inside the outline, all p (4, n) to all q (4, m)."""
    turned = q[::-1].copy()  # 1, y, |h|, x: so that all sums are products of two rows with two
    return _inside(outline, p[:2].T @ turned[2:], p[1:3].T @ turned[1:3], p[1::2].T @ turned[:3:2])


def _crosses_pairs(outline: Outline, p: Single, q: Single) -> Mask:
    """The same for the nth of both, shape (n,)."""
    (xp, hp, yp, _), (xq, hq, yq, _) = p, q
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
