"""The scene cut up: patches that receive light, elements that send it, cells that measuring points look at.

A side is one face of a panel, or of an emitter, which returns nothing but stands in the way. Sides of a
panel come in pairs with the same cuts, so that light can pass a translucent sheet to the element's twin.
Axes: s sides, p patches, n elements, c cells (four to each flat element).
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.bodies import body_mesh
from thirdstop.exposure.emission import concentric, face_area_m2
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.sight import Blockers
from thirdstop.exposure.surfaces import Finish, finish_of
from thirdstop.staging.materials import Material, Matte
from thirdstop.staging.shapes import Emitter, Outline, Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Mask, Vec

ROOM = 6
"""The room's surfaces are the first six panels; only their fronts are seen."""

_BLACK = Matte(0.0)

SizeRule: TypeAlias = Callable[[Index, Array, Array], Mask]
"""Which rectangles are too large: by side, place in metres and longer edge in metres."""


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

    @property
    def normal(self) -> Vec:
        """Unit vector out of this side."""
        return self.sign * self.face.normal

    @property
    def finish(self) -> Finish:
        """What it returns and passes, after what a net lets straight through."""
        straight = self.face.straight if isinstance(self.face, Panel) else 0.0
        return finish_of(self.material, 1.0 - straight)


@dataclass(frozen=True, eq=False)
class Flats:
    """Rectangles of the parameter square of a side, with their shape in space. Axis n."""

    side: Index
    bounds: Array
    """Shape (n, 4): u from, u to, v from, v to, in half-widths."""
    place_m: Array
    corners_m: Array
    """Shape (n, 4, 3)."""
    area_m2: Array


@dataclass(frozen=True, eq=False)
class Mesh:
    """Patches and elements of everything, flat ones first; cells of the flat elements."""

    sides: tuple[Side, ...]
    patch_place_m: Array
    patch_normal: Array
    patch_flat: Index
    patch_solid: Index
    place_m: Array
    normal: Array
    area_m2: Array
    patch: Index
    """Patch of each element, ascending."""
    twin: Index
    """Element on the other side of the sheet, or the element itself."""
    surface: Index
    """Index among the scene's surfaces; -1 for an emitter's face."""
    on_flat: Index
    on_solid: Index
    side: Index
    """Side of each element; -1 on a body."""
    direct_share: Array
    """Exitance for direct illuminance; without a metallised lobe, which is computed by itself."""
    indirect_share: Array
    """Exitance for all other illuminance; a lobe counts as matte here."""
    through_share: Array
    """Exitance for illuminance on the twin."""
    stops_share: Array
    """Share of arriving light that does not pass straight through."""
    patch_matters: Mask
    """Shape (p,): whether a patch's illuminance is returned to anybody."""
    cells: Flats
    """Four to each flat element, in the elements' order."""

    @property
    def flat_count(self) -> int:
        """How many elements are flat."""
        return len(self.cells.side) // 4


def sides_of(scene: Scene, blockers: Blockers) -> tuple[Side, ...]:
    """Every side that light can meet: room fronts, both sides of panels, both sides of emitters."""
    sides = [Side(p, p.front, 1.0, k, -1) for k, p in enumerate(scene.panels[:ROOM])]
    for flat, face in enumerate(blockers.flats):
        surface = ROOM + flat if isinstance(face, Panel) else -1
        front, back = (face.front, face.back) if isinstance(face, Panel) else (_BLACK, _BLACK)
        sides += [Side(face, front, 1.0, surface, flat), Side(face, back, -1.0, surface, flat)]
    return tuple(sides)


def outline_map(outline: Outline, square: Array) -> Array:
    """Points of the parameter square [-1, 1]² to the outline, in half-widths, shape (..., 2)."""
    if outline == "ellipse":
        return concentric(square)
    if outline == "octagon":
        reach = np.abs(square).max(axis=-1)
        diagonal = np.abs(square).sum(axis=-1) / np.sqrt(2.0)
        return np.asarray(square * (reach / np.maximum(np.maximum(reach, diagonal), 1e-300))[..., None])
    return square


def flats(sides: tuple[Side, ...], side: Index, bounds: Array) -> Flats:
    """Parameter rectangles as places, corners and areas; areas of one side sum to the side's own."""
    u0, u1, v0, v1 = bounds.T
    square = np.stack(
        [np.stack([u, v], axis=-1) for u, v in ((u1, v1), (u0, v1), (u0, v0), (u1, v0))]
        + [np.stack([(u0 + u1) / 2, (v0 + v1) / 2], axis=-1)],
        axis=1,
    )
    uv = square.copy()
    for outline in ("ellipse", "octagon"):
        chosen = np.array([s.face.outline == outline for s in sides])[side]
        if chosen.any():
            uv[chosen] = outline_map(outline, square[chosen])
    centre = np.array([s.face.centre_m for s in sides])[side]
    half_u = np.array([s.face.half_u_m for s in sides])[side]
    half_v = np.array([s.face.half_v_m for s in sides])[side]
    points = centre[:, None] + uv[..., :1] * half_u[:, None] + uv[..., 1:] * half_v[:, None]
    return Flats(side, bounds, points[:, 4], points[:, :4], _areas(sides, side, bounds, uv[:, :4]))


def _areas(sides: tuple[Side, ...], side: Index, bounds: Array, corners: Array) -> Array:
    whole = np.array([face_area_m2(s.face.outline, s.face.half_u_m, s.face.half_v_m) for s in sides])
    share = (bounds[:, 1] - bounds[:, 0]) * (bounds[:, 3] - bounds[:, 2]) / 4.0
    octagon = np.array([s.face.outline == "octagon" for s in sides])[side]
    if octagon.any():
        diagonals = np.stack([corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]])
        quad = np.abs(diagonals[0, :, 0] * diagonals[1, :, 1] - diagonals[0, :, 1] * diagonals[1, :, 0])
        total = np.bincount(side[octagon], quad[octagon], len(sides))
        share[octagon] = quad[octagon] / total[side[octagon]]
    return np.asarray(whole[side] * share)


def grid(side: Side, index: int, largest_m: float) -> tuple[Index, Array]:
    """A side's parameter square in equal rectangles no longer than `largest_m`: side and bounds."""
    u_count = max(1, int(np.ceil(2 * np.linalg.norm(side.face.half_u_m) / largest_m - 1e-9)))
    v_count = max(1, int(np.ceil(2 * np.linalg.norm(side.face.half_v_m) / largest_m - 1e-9)))
    u, v = np.linspace(-1, 1, u_count + 1), np.linspace(-1, 1, v_count + 1)
    i, j = np.divmod(np.arange(u_count * v_count), v_count)
    return np.full(u_count * v_count, index), np.stack([u[i], u[i + 1], v[j], v[j + 1]], axis=1)


def quarters(bounds: Array) -> Array:
    """Each parameter rectangle in four, in order, shape (4n, 4)."""
    u0, u1, v0, v1 = bounds.T
    um, vm = (u0 + u1) / 2, (v0 + v1) / 2
    parts = [(u0, um, v0, vm), (um, u1, v0, vm), (u0, um, vm, v1), (um, u1, vm, v1)]
    return np.stack([np.stack(part, axis=1) for part in parts], axis=1).reshape(-1, 4)


def refine(
    sides: tuple[Side, ...], side: Index, bounds: Array, too_large: SizeRule
) -> tuple[Index, Array, Index]:
    """Halve parameter rectangles along their longer edges while too large: side, bounds and origin of each.

    `too_large(side, place_m, length_m)` says which edges of which length are; ascending in origin.
    """
    origin = np.arange(len(side))
    lengths = np.array([[np.linalg.norm(s.face.half_u_m), np.linalg.norm(s.face.half_v_m)] for s in sides])
    for _ in range(12):
        extent = np.stack([bounds[:, 1] - bounds[:, 0], bounds[:, 3] - bounds[:, 2]], axis=1) * lengths[side]
        place = flats(sides, side, bounds).place_m
        axis = extent.argmax(axis=1)
        split = too_large(side, place, extent.max(axis=1))
        if not split.any():
            break
        middle = np.where(axis == 0, bounds[:, :2].mean(axis=1), bounds[:, 2:].mean(axis=1))
        low, high = bounds.copy(), bounds.copy()
        rows = np.arange(len(side))
        low[rows, 2 * axis + 1] = middle
        high[rows, 2 * axis] = middle
        bounds = np.concatenate([np.where(split[:, None], low, bounds), high[split]])
        side, origin = np.concatenate([side, side[split]]), np.concatenate([origin, origin[split]])
    order = np.argsort(origin, kind="stable")
    return side[order], bounds[order], origin[order]


def build(scene: Scene, blockers: Blockers, quality: Quality) -> Mesh:
    """Cut the scene up, finer near measuring points and lamps."""
    sides = sides_of(scene, blockers)
    parts = [grid(s, k, _patch_m(s, quality)) for k, s in enumerate(sides)]
    patch_side = np.concatenate([part[0] for part in parts])
    patches = flats(sides, patch_side, np.concatenate([part[1] for part in parts]))
    side, bounds, origin = refine(sides, patches.side, patches.bounds, _size_rule(scene, sides, quality))
    elements = flats(sides, side, bounds)
    return _assemble(scene, sides, patches, elements, origin, quality)


def _patch_m(side: Side, quality: Quality) -> float:
    return quality.room_patch_m if side.flat < 0 else quality.panel_patch_m


def _size_rule(scene: Scene, sides: tuple[Side, ...], quality: Quality) -> SizeRule:
    points = np.array([p.place_m for p in scene.points]).reshape(-1, 3)
    lamps = np.array([e.centre_m for e in scene.emitters]).reshape(-1, 3)
    largest = np.array([quality.room_element_m if s.flat < 0 else quality.panel_element_m for s in sides])
    idle = np.array([s.surface < 0 for s in sides])

    def too_large(side: Index, place_m: Array, length_m: Array) -> Mask:
        near = np.minimum(
            quality.point_share * _nearest(place_m, points), quality.lamp_share * _nearest(place_m, lamps)
        )
        limit = np.clip(near, quality.smallest_element_m, largest[side])
        return np.asarray((length_m > limit * 1.0001) & ~idle[side])

    return too_large


def _nearest(place_m: Array, others_m: Array) -> Array:
    if not len(others_m):
        return np.full(len(place_m), np.inf)
    square = ((place_m[:, None] - others_m) ** 2).sum(axis=2)
    return np.asarray(np.sqrt(square.min(axis=1)))


def _assemble(
    scene: Scene,
    sides: tuple[Side, ...],
    patches: Flats,
    elements: Flats,
    origin: Index,
    quality: Quality,
) -> Mesh:
    bodies = body_mesh(scene, quality)
    normals = np.array([s.normal for s in sides])
    flat = np.array([s.flat for s in sides])
    surface = np.array([s.surface for s in sides])
    finish = np.array([s.finish.shares for s in sides])
    flat_count, patch_count = len(elements.side), len(patches.side)
    body_count = len(bodies.area_m2)
    cells = flats(sides, np.repeat(elements.side, 4), quarters(elements.bounds))
    shares = np.concatenate([finish[elements.side], bodies.shares])
    patch = np.concatenate([origin, patch_count + bodies.patch])
    area = np.concatenate([elements.area_m2, bodies.area_m2])
    returned = np.bincount(
        patch, area * (shares[:, 1] + shares[:, 2]), patch_count + len(bodies.patch_place_m)
    )
    return Mesh(
        sides=sides,
        patch_place_m=np.concatenate([patches.place_m, bodies.patch_place_m]),
        patch_normal=np.concatenate([normals[patches.side], bodies.patch_normal]),
        patch_flat=np.concatenate([flat[patches.side], np.full(len(bodies.patch_place_m), -1)]),
        patch_solid=np.concatenate([np.full(patch_count, -1), bodies.patch_solid]),
        place_m=np.concatenate([elements.place_m, bodies.place_m]),
        normal=np.concatenate([normals[elements.side], bodies.normal]),
        area_m2=area,
        patch=patch,
        twin=np.concatenate([_twins(sides, elements.side), flat_count + np.arange(body_count)]),
        surface=np.concatenate([surface[elements.side], len(scene.panels) + bodies.solid]),
        on_flat=np.concatenate([flat[elements.side], np.full(body_count, -1)]),
        on_solid=np.concatenate([np.full(flat_count, -1), bodies.solid]),
        side=np.concatenate([elements.side, np.full(body_count, -1)]),
        direct_share=shares[:, 0],
        indirect_share=shares[:, 1],
        through_share=shares[:, 2],
        stops_share=shares[:, 3],
        patch_matters=returned > 0,
        cells=cells,
    )


def _twins(sides: tuple[Side, ...], side: Index) -> Index:
    """Elements of the two sides of a panel run alike, so the twin lies one side's length away."""
    twin = np.arange(len(side))
    count = np.bincount(side, minlength=len(sides))
    shift = np.zeros(len(sides), dtype=int)
    for k, one in enumerate(sides):
        if one.flat >= 0:
            shift[k] = count[k] if one.sign > 0 else -count[k]
    return twin + shift[side]
