"""Sides of flat faces, and rectangles of a side's parameter square as places in space.

A side is one face of a panel, or of an emitter, which returns nothing but stands in the way.
Axes: s sides, n rectangles.
"""

import itertools
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.emission import concentric, face_area_m2
from thirdstop.exposure.surfaces import Finish, finish_of
from thirdstop.staging.materials import Material, Matte
from thirdstop.staging.shapes import Emitter, Outline, Panel
from thirdstop.typed import Array, Mask, Vec

ROOM = 6
"""The room's surfaces are the first six panels; only their fronts are seen."""

_BLACK = Matte(0.0)


@dataclass(frozen=True, eq=False)
class Side:
    """One face of a panel or emitter."""

    face: Panel | Emitter
    material: Material
    sign: float
    """+1 the front, -1 the back."""
    surface: int
    """Index among the scene's surfaces; -1 for an emitter."""
    flat: int
    """Index among the flat blockers; -1 for the room."""

    @cached_property
    def normal(self) -> Vec:
        """Unit vector out of this side."""
        return self.sign * self.face.normal

    @property
    def stops(self) -> float:
        """Share of arriving light that a net does not let straight through."""
        return 1.0 - self.face.straight if isinstance(self.face, Panel) else 1.0

    @property
    def finish(self) -> Finish:
        """What it returns and passes, after what a net lets straight through."""
        return finish_of(self.material, self.stops)


@dataclass(frozen=True, eq=False)
class Flats:
    """Rectangles of the parameter square of a side, with their shape in space. Axis n."""

    sides: "Sides"
    side: Index
    bounds: Array
    """Shape (n, 4): u from, u to, v from, v to, in half-widths."""
    place_m: Array
    area_m2: Array

    @cached_property
    def corners_m(self) -> Array:
        """Shape (n, 4, 3)."""
        return _in_space(self.sides, self.side, _corners(self.sides, self.side, self.bounds))

    def joined(self, more: "Flats") -> "Flats":
        """These, then others whose sides come after those of these."""
        return Flats(
            Sides(self.sides.each + more.sides.each),
            np.concatenate([self.side, more.side + len(self.sides)]),
            np.concatenate([self.bounds, more.bounds]),
            np.concatenate([self.place_m, more.place_m]),
            np.concatenate([self.area_m2, more.area_m2]),
        )


@dataclass(frozen=True, eq=False)
class Sides:
    """All sides, and their frames as arrays."""

    each: tuple[Side, ...]

    def __getitem__(self, index: slice) -> "Sides":
        return Sides(self.each[index])

    def __len__(self) -> int:
        return len(self.each)

    @cached_property
    def frame_m(self) -> Array:
        """Shape (s, 3, 3): centre, half-edge u, half-edge v."""
        return np.array([(s.face.centre_m, s.face.half_u_m, s.face.half_v_m) for s in self.each])

    @cached_property
    def normal(self) -> Array:
        """Shape (s, 3)."""
        return np.array([s.normal for s in self.each])

    @cached_property
    def half_lengths_m(self) -> Array:
        """Shape (s, 2): lengths of the half-edges."""
        return np.asarray(np.linalg.norm(self.frame_m[:, 1:], axis=2))

    @cached_property
    def area_m2(self) -> Array:
        """Shape (s,)."""
        return np.array([face_area_m2(s.face.outline, s.face.half_u_m, s.face.half_v_m) for s in self.each])

    @cached_property
    def flat(self) -> Index:
        """Shape (s,): index among the flat blockers."""
        return np.array([s.flat for s in self.each])

    @cached_property
    def surface(self) -> Index:
        """Shape (s,): index among the scene's surfaces."""
        return np.array([s.surface for s in self.each])

    @cached_property
    def outline(self) -> dict[Outline, Mask]:
        """Which sides have an outline that is no rectangle, each shape (s,); only outlines that there are."""
        found = np.array([s.face.outline for s in self.each])
        outlines: tuple[Outline, ...] = ("ellipse", "octagon")
        return {one: found == one for one in outlines if (found == one).any()}


def sides_of(walls: tuple[Panel, ...], flats: tuple[Panel | Emitter, ...]) -> Sides:
    """Every side that light can meet: room fronts, both sides of panels, both sides of emitters."""
    sides = [Side(p, p.front, 1.0, k, -1) for k, p in enumerate(walls)]
    surfaces = itertools.count(len(walls))
    for flat, face in enumerate(flats):
        surface = next(surfaces) if isinstance(face, Panel) else -1
        front, back = (face.front, face.back) if isinstance(face, Panel) else (_BLACK, _BLACK)
        sides += [Side(face, front, 1.0, surface, flat), Side(face, back, -1.0, surface, flat)]
    return Sides(tuple(sides))


def outline_map(outline: Outline, square: Array) -> Array:
    """Points of the parameter square [-1, 1]² to the outline, in half-widths, shape (..., 2)."""
    if outline == "ellipse":
        return concentric(square)
    if outline == "octagon":
        reach = np.abs(square).max(axis=-1)
        diagonal = np.abs(square).sum(axis=-1) / np.sqrt(2.0)
        return np.asarray(square * (reach / np.maximum(np.maximum(reach, diagonal), 1e-300))[..., None])
    return square


def places(sides: Sides, side: Index, bounds: Array) -> Array:
    """Middles of parameter rectangles in space, shape (n, 3)."""
    middle = 0.5 * (bounds[:, ::2] + bounds[:, 1::2])
    return _in_space(sides, side, _mapped(sides, side, middle[:, None]))[:, 0]


def flats(sides: Sides, side: Index, bounds: Array) -> Flats:
    """Parameter rectangles as places, corners and areas; areas of one side sum to the side's own."""
    return Flats(sides, side, bounds, places(sides, side, bounds), _areas(sides, side, bounds))


def _corners(sides: Sides, side: Index, bounds: Array) -> Array:
    """Corners of parameter rectangles in half-widths on each side's own outline, shape (n, 4, 2)."""
    return _mapped(sides, side, np.stack([bounds[:, [1, 0, 0, 1]], bounds[:, [3, 3, 2, 2]]], axis=2))


def _mapped(sides: Sides, side: Index, square: Array) -> Array:
    """Parameters (n, k, 2) of the square as half-widths on each side's own outline."""
    for outline, has in sides.outline.items():
        chosen = has[side].nonzero()[0]
        if len(chosen):
            square = square.copy()
            square[chosen] = outline_map(outline, square[chosen])
    return square


def _in_space(sides: Sides, side: Index, uv: Array) -> Array:
    """Half-widths (n, k, 2) as places, shape (n, k, 3)."""
    # coordinates first, along which there are only three, so that what is multiplied runs along the sides
    centre, u, v = sides.frame_m.transpose(1, 2, 0).take(side, 2)[..., None]
    found = u * uv[:, :, 0]
    found += v * uv[:, :, 1]
    found += centre
    return np.ascontiguousarray(found.transpose(1, 2, 0))


def _areas(sides: Sides, side: Index, bounds: Array) -> Array:
    share = (bounds[:, 1] - bounds[:, 0]) * (bounds[:, 3] - bounds[:, 2]) / 4.0
    if "octagon" in sides.outline and (octagon := sides.outline["octagon"][side]).any():
        corners = _corners(sides, side, bounds)
        diagonals = np.stack([corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]])
        quad = np.abs(diagonals[0, :, 0] * diagonals[1, :, 1] - diagonals[0, :, 1] * diagonals[1, :, 0])
        total = np.bincount(side[octagon], quad[octagon], len(sides))
        share[octagon] = (quad / np.where(total > 0, total, 1.0)[side])[octagon]
    return np.asarray(sides.area_m2[side] * share)


def grid(index: int, u: Array, v: Array) -> tuple[Index, Array]:
    """One side's parameter square cut along those lines, which begin at -1 and end at 1: side and bounds."""
    i, j = np.divmod(np.arange((len(u) - 1) * (len(v) - 1)), len(v) - 1)
    return np.full(len(i), index), np.stack([u[i], u[i + 1], v[j], v[j + 1]], axis=1)


def quarters(bounds: Array) -> Array:
    """Each parameter rectangle in four, in order, shape (4n, 4)."""
    parts = np.repeat(bounds[:, None], 4, axis=1)
    middle = (bounds[:, None, ::2] + bounds[:, None, 1::2]) / 2
    parts[:, ::2, 1] = parts[:, 1::2, 0] = middle[..., 0]
    parts[:, :2, 3] = parts[:, 2:, 2] = middle[..., 1]
    return parts.reshape(-1, 4)


def turned_quarters(bounds: Array) -> Array:
    """The same, each moved by an eighth of the rectangle's edges, so that the four middles lie evenly at four
    places along either edge; shape (4n, 4).
    """
    ways = np.array([[1.0, -1.0], [1.0, 1.0], [-1.0, -1.0], [-1.0, 1.0]]) / 8
    edges = bounds[:, 1::2] - bounds[:, ::2]
    moves = (ways * edges[:, None]).reshape(-1, 2)
    return np.asarray(quarters(bounds) + np.repeat(moves, 2, axis=1))
