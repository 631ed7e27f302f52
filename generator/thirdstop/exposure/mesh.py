"""The scene cut up: patches that exchange light, and finer elements of flat ones that points look at.

Both sides of a translucent sheet have the same cuts, so that light can pass to the twin on the other side.
Axes: p patches, n elements, c cells (four to each element).
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import TypeAlias

import numpy as np

from thirdstop.exposure.arrays import Index, Single
from thirdstop.exposure.bodies import BodyMesh
from thirdstop.exposure.cuts import divided, meetings
from thirdstop.exposure.direct import face_distance_m
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.receivers import Eyes
from thirdstop.exposure.sides import Flats, Side, Sides, flats, grid, places, quarters, turned_quarters
from thirdstop.staging.materials import Translucent
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Mask

SizeRule: TypeAlias = Callable[[Index, Array, Array], Mask]
"""Which rectangles are too large: by side, place in metres and longer edge in metres."""

_BROAD = ("backdrop", "fixed", "seat")
"""Panels that are cut like the room, being as large or as far."""

_LARGE_ROOM_M2 = 120.0
"""Area of all six surfaces from which a room's patches grow with it: 4 × 6 m under 3.6 m."""

_LARGE_CELL_M = 0.07
"""Cells that are larger are seen by four places each."""

_MOST_HALVINGS = 12


def _single(array: Array) -> Single:
    """A copy in single precision, its last axis without gaps."""
    return array.astype(np.float32, order="C")


@dataclass(frozen=True, eq=False)
class Patches:
    """Pieces of everything, flat ones first, that receive light and send it. Axis p.

    Near its neighbours a patch is not one place but four: where one wall lights the next, light falls off so
    steeply from the corner that the middle of a patch gets less than the whole does on average.
    """

    place_m: Array
    normal: Array
    area_m2: Array
    quarter_m: Array
    """Shape (p, 4, 3): middles of its four quarters."""
    quarter_normal: Array
    """Shape (p, 4, 3)."""
    quarter_area_m2: Array
    """Shape (p, 4); 0 where a body's quarter is buried in another solid."""
    size_m: Array
    """Root of its area, what is buried of it included."""
    flat: Index
    """Index among the flat blockers; -1 on the room and on bodies."""
    solid: Index
    """Index of the body solid; -1 on flat patches."""
    side: Index
    """Side; -1 on a body."""
    twin: Index
    """Patch on the other side of the sheet, or the patch itself."""
    stops_share: Array
    """Share of arriving light that does not pass straight through."""

    @cached_property
    def quarters(self) -> tuple[Single, Single, Single]:
        """Places (3, 4, p), normals (3, 4, p) and areas (4, p) of quarters, single precision."""
        place, normal, area = self.quarter_m.T, self.quarter_normal.T, self.quarter_area_m2.T
        return _single(place), _single(normal), _single(area)

    def joined(self, more: "Patches", sides: int) -> "Patches":
        """These, then others whose sides come after so many."""
        parts = {f.name: (getattr(self, f.name), getattr(more, f.name)) for f in fields(Patches)}
        parts["side"] = (self.side, np.where(more.side < 0, -1, more.side + sides))
        parts["twin"] = (self.twin, more.twin + len(self.twin))
        return Patches(**{name: np.concatenate(part) for name, part in parts.items()})


@dataclass(frozen=True, eq=False)
class Elements:
    """Pieces of flat patches, with four cells each, in order. Axis n."""

    side: Index
    patch: Index
    """Ascending."""
    twin: Index
    """Element on the other side of the sheet, or the element itself."""
    cells: Flats

    def joined(self, more: "Elements", sides: int, patches: int) -> "Elements":
        """These, then others whose sides and patches come after so many."""
        return Elements(
            np.concatenate([self.side, more.side + sides]),
            np.concatenate([self.patch, more.patch + patches]),
            np.concatenate([self.twin, more.twin + len(self.twin)]),
            self.cells.joined(more.cells),
        )


@dataclass(frozen=True, eq=False)
class Spots:
    """Places by which it is told how much of cells is seen: middles of small ones, then four of each large
    one, no two in a line with its edges. Axis n.

    Edges of what hides a cell mostly run along its own: places in two rows would tell half of it at a time.
    """

    small: Index
    large: Index
    """Cells, ascending."""
    place_m: Array
    flat: Index
    """Index among the flat blockers; -1 on the room."""

    def shares(self, passed: Single) -> Single:
        """What passes from cells, shape (k, c), of what passes from spots (k, n)."""
        found = np.empty((len(passed), len(self.small) + len(self.large)), dtype=np.float32)
        found[:, self.small] = passed[:, : len(self.small)]
        quarter = passed[:, len(self.small) :]
        found[:, self.large] = (quarter[:, ::4] + quarter[:, 1::4] + quarter[:, 2::4] + quarter[:, 3::4]) / 4
        return found


@dataclass(frozen=True, eq=False)
class Mesh:
    """Everything cut up."""

    sides: Sides
    patches: Patches
    elements: Elements

    @cached_property
    def cell_patch(self) -> Index:
        """Shape (c,): the patch of each cell, ascending."""
        return np.repeat(self.elements.patch, 4)

    @cached_property
    def cell_normal(self) -> Array:
        """Shape (c, 3)."""
        return self.sides.normal[self.elements.cells.side]

    @cached_property
    def cell_surface(self) -> Index:
        """Shape (c,): index among the scene's surfaces; -1 for an emitter's face."""
        return self.sides.surface[self.elements.cells.side]

    @cached_property
    def cell_twin(self) -> Index:
        """Shape (c,)."""
        return np.asarray((4 * self.elements.twin[:, None] + np.arange(4)).ravel())

    @cached_property
    def spots(self) -> Spots:
        """Of all cells, one or four of each."""
        cells = self.elements.cells
        is_large = cells.area_m2 > _LARGE_CELL_M**2
        small, large = np.flatnonzero(~is_large), np.flatnonzero(is_large)
        side = np.concatenate([cells.side[small], np.repeat(cells.side[large], 4)])
        fine_m = places(self.sides, side[len(small) :], turned_quarters(cells.bounds[large]))
        return Spots(small, large, np.concatenate([cells.place_m[small], fine_m]), self.sides.flat[side])

    def patch_means(self, cells: Array) -> Array:
        """Means over patches, shape (e, p), of what cells (e, c) have; 0 on bodies."""
        found = np.zeros((len(cells), len(self.patches.side)))
        flat = self.patches.side >= 0
        for e, row in enumerate(cells * self.elements.cells.area_m2):
            whole = np.bincount(self.cell_patch, row, len(flat))
            found[e, flat] = whole[flat] / self.patches.area_m2[flat]
        return found

    def joined(self, more: "Mesh") -> "Mesh":
        """The whole of it, then pieces of other sides."""
        sides, patches = len(self.sides), len(self.patches.twin)
        return Mesh(
            Sides(self.sides.each + more.sides.each),
            self.patches.joined(more.patches, sides),
            self.elements.joined(more.elements, sides, patches),
        )


def build(scene: Scene, sides: Sides, bodies: BodyMesh, quality: Quality) -> Mesh:
    """Cut sides of a scene up, finer near its measuring points and lamps; bodies are cut already."""
    quality = _for_size(sides, quality)
    parts = [_largest(scene, sides, k, quality) for k in range(len(sides))]
    side, bounds = (np.concatenate(part) for part in zip(*parts, strict=True))
    rule, least_m = _patch_rule(scene, sides, quality), quality.smallest_patch_m
    patches = flats(sides, *refine(sides, side, bounds, rule, least_m)[:2])
    rule, least_m = _size_rule(scene, sides, quality), quality.smallest_element_m
    side, bounds, patch = refine(sides, patches.side, patches.bounds, rule, least_m)
    cells = flats(sides, np.repeat(side, 4), quarters(bounds))
    elements = Elements(side, patch, _twins(sides, side), cells)
    return Mesh(sides, _patches(sides, patches, bodies), elements)


def _for_size(sides: Sides, quality: Quality) -> Quality:
    """A large room is cut no finer than into as many patches as a small one; near things stay as they are."""
    area_m2 = float(sides.area_m2[sides.flat < 0].sum())
    swell = max(1.0, float(np.sqrt(area_m2 / _LARGE_ROOM_M2)))
    return replace(
        quality, room_patch_m=swell * quality.room_patch_m, room_element_m=swell * quality.room_element_m
    )


def _largest(scene: Scene, sides: Sides, index: int, quality: Quality) -> tuple[Index, Array]:
    """One side in the largest patches that it may have: side and bounds."""
    largest_m = quality.room_patch_m if _is_broad(sides.each[index]) else quality.panel_patch_m
    largest = largest_m / sides.half_lengths_m[index]
    u, v = (divided(at, size) for at, size in zip(meetings(scene, sides, index), largest, strict=True))
    return grid(index, u, v)


def _is_broad(side: Side) -> bool:
    """Whether a side belongs to the room or is cut like it."""
    return side.flat < 0 or (isinstance(side.face, Panel) and side.face.role in _BROAD)


def is_sheet(panel: Panel) -> bool:
    """Whether light passes from one side to the other, so that both must have the same cuts."""
    return any(isinstance(m, Translucent) for m in (panel.front, panel.back))


def _is_paired(side: Side) -> bool:
    return isinstance(side.face, Panel) and is_sheet(side.face)


def refine(
    sides: Sides, side: Index, bounds: Array, too_large: SizeRule, least_m: float
) -> tuple[Index, Array, Index]:
    """Halve parameter rectangles along their longer edges while too large, which none is up to `least_m`:
    side, bounds and origin of each, ascending in origin.
    """
    origin = np.arange(len(side))
    done: list[tuple[Index, Array, Index]] = []
    for _ in range(_MOST_HALVINGS):
        extent = (bounds[:, 1::2] - bounds[:, ::2]) * sides.half_lengths_m[side]
        length_m = extent.max(axis=1)
        split = length_m > least_m
        if (long := np.flatnonzero(split)).size:
            split[long] = too_large(side[long], places(sides, side[long], bounds[long]), length_m[long])
        done.append((side[~split], bounds[~split], origin[~split]))
        low, high = _halves(bounds[split], extent[split].argmax(axis=1))
        bounds = np.concatenate([low, high])
        side, origin = np.tile(side[split], 2), np.tile(origin[split], 2)
        if not len(side):
            break
    done.append((side, bounds, origin))
    side, bounds, origin = (np.concatenate(parts) for parts in zip(*done, strict=True))
    order = np.argsort(origin, kind="stable")
    return side[order], bounds[order], origin[order]


def _halves(bounds: Array, axis: Index) -> tuple[Array, Array]:
    """Lower and upper half of each rectangle along its axis (0 u, 1 v)."""
    rows = np.arange(len(bounds))
    middle = 0.5 * (bounds[rows, 2 * axis] + bounds[rows, 2 * axis + 1])
    low, high = bounds.copy(), bounds.copy()
    low[rows, 2 * axis + 1] = middle
    high[rows, 2 * axis] = middle
    return low, high


def _patch_rule(scene: Scene, sides: Sides, quality: Quality) -> SizeRule:
    """Patches are smaller near points that look at them, since light varies there as the point sees it, and
    near lamps.
    """
    paired = np.array([_is_paired(s) for s in sides.each])
    idle = sides.surface < 0
    eyes = Eyes.of(scene.points)

    def too_large(side: Index, place_m: Array, length_m: Array) -> Mask:
        near = eyes.distance_m(place_m, sides.normal[side], length_m, paired[side])
        lamp = _to_lamp(scene, place_m, sides.normal[side], length_m, paired[side])
        near = np.minimum(quality.patch_point_share * near, quality.patch_lamp_share * lamp)
        limit = np.maximum(near, quality.smallest_patch_m)
        return np.asarray((length_m > limit * 1.0001) & ~idle[side])

    return too_large


def _size_rule(scene: Scene, sides: Sides, quality: Quality) -> SizeRule:
    """Elements are smaller near points and bodies that they face, and near lamps that light them."""
    broad = np.array([_is_broad(s) for s in sides.each])
    largest = np.where(broad, quality.room_element_m, quality.panel_element_m)
    dark = sides.surface < 0
    eyes = Eyes.of(scene.points)
    paired = np.array([_is_paired(s) for s in sides.each])

    def too_large(side: Index, place_m: Array, length_m: Array) -> Mask:
        normal, both = sides.normal[side], paired[side]
        to_lamp = np.where(dark[side], np.inf, _to_lamp(scene, place_m, normal, length_m, both))
        near = quality.point_share * eyes.distance_m(place_m, normal, length_m, both)
        near = np.minimum(near, quality.lamp_share * to_lamp)
        near = np.minimum(near, quality.body_share * _to_body(scene, place_m, normal, both))
        return np.asarray(length_m > 1.0001 * np.clip(near, quality.smallest_element_m, largest[side]))

    return too_large


def _to_lamp(scene: Scene, place_m: Array, normal: Array, length_m: Array, paired: Mask) -> Array:
    """Distance of each element to the nearest lamp's face that can light it or its twin, metres."""
    near = np.full(len(place_m), np.inf)
    for emitter in scene.emitters:
        offset = place_m - emitter.centre_m
        reach = float(np.linalg.norm(emitter.half_u_m) + np.linalg.norm(emitter.half_v_m))
        lit = offset @ emitter.normal > -length_m
        lit &= (np.einsum("ni,ni->n", offset, normal) < reach) | paired
        near = np.minimum(near, np.where(lit, face_distance_m(emitter, place_m), np.inf))
    return near


def _to_body(scene: Scene, place_m: Array, normal: Array, paired: Mask) -> Array:
    """Least distance of each element to a body that it or its twin faces, metres; a little less than true."""
    if not scene.solids:
        return np.full(len(place_m), np.inf)
    # axes: o solids, i the solid's own axes, n elements
    scaled = np.array([(s.axes / s.semi_axes_m).T for s in scene.solids])
    centre = np.array([s.centre_m for s in scene.solids])
    semi = np.array([s.semi_axes_m for s in scene.solids])
    unit = (scaled.reshape(-1, 3) @ place_m.T).reshape(*scaled.shape[:2], -1)
    unit -= scaled @ centre[:, :, None]
    square = np.einsum("oin,oin->on", unit, unit)
    gap = (np.sqrt(square) - 1.0) * semi.min(axis=1)[:, None]
    facing = centre @ normal.T - np.einsum("ni,ni->n", place_m, normal) > -semi.max(axis=1)[:, None]
    counts = (facing | paired) & (square > 1.0)
    return np.asarray(np.where(counts, gap, np.inf).min(axis=0))


def _patches(sides: Sides, cut: Flats, bodies: BodyMesh) -> Patches:
    """Flat patches, then those of bodies."""
    quarter = flats(sides, np.repeat(cut.side, 4), quarters(cut.bounds))
    normal, none = sides.normal[cut.side], np.full(len(bodies.solid), -1)
    twin = np.concatenate([_twins(sides, cut.side), len(cut.side) + np.arange(len(none))])
    stops = np.array([side.stops for side in sides.each])
    return Patches(
        place_m=np.concatenate([cut.place_m, bodies.place_m]),
        normal=np.concatenate([normal, bodies.normal]),
        area_m2=np.concatenate([cut.area_m2, bodies.quarter_area_m2.sum(axis=1)]),
        quarter_m=np.concatenate([quarter.place_m.reshape(-1, 4, 3), bodies.quarter_m]),
        quarter_normal=np.concatenate([np.repeat(normal[:, None], 4, axis=1), bodies.quarter_normal]),
        quarter_area_m2=np.concatenate([quarter.area_m2.reshape(-1, 4), bodies.quarter_area_m2]),
        size_m=np.concatenate([np.sqrt(cut.area_m2), bodies.size_m]),
        flat=np.concatenate([sides.flat[cut.side], none]),
        solid=np.concatenate([np.full(len(cut.side), -1), bodies.solid]),
        side=np.concatenate([cut.side, none]),
        twin=twin,
        stops_share=np.concatenate([stops[cut.side], np.ones(len(none))]),
    )


def _twins(sides: Sides, side: Index) -> Index:
    """Pieces of the two sides of a sheet run alike, so the twin lies one side's length away."""
    twin = np.arange(len(side))
    count = np.bincount(side, minlength=len(sides))
    shift = np.zeros(len(sides), dtype=int)
    for k, one in enumerate(sides.each):
        if _is_paired(one):
            shift[k] = count[k] if one.sign > 0 else -count[k]
    return twin + shift[side]
