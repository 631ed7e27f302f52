"""The scene cut up: patches that receive light, elements that send it, cells that measuring points look at.

Both sides of a translucent sheet have the same cuts, so that light can pass to the element's twin.
Axes: p patches, n elements, c cells (four to each flat element).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeAlias

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.bodies import BodyMesh, body_mesh
from thirdstop.exposure.direct import face_distance_m
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.receivers import seen_from_m
from thirdstop.exposure.sides import Flats, Side, Sides, flats, grid, places, quarters, sides_of
from thirdstop.exposure.sight import Blockers
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

_MOST_HALVINGS = 12


@dataclass(frozen=True, eq=False)
class Spots:
    """Places at which patches receive light: four on a large flat patch, one on others. Axis r.

    A patch must get what its whole area gets on average. Where one wall lights the next, light falls off so
    steeply from the corner that the middle of a patch gets less than that average: with one place on each
    patch of 0.6 m, readings on the shadow side came out up to 0.07 stop too dark.
    """

    place_m: Array
    normal: Array
    flat: Index
    """Index among the flat blockers; -1 on the room and on bodies."""
    solid: Index
    """Index of the body solid; -1 on flat patches."""
    side: Index
    """Side; -1 on a body."""
    size_m: Array
    """Root of the area that it stands for."""
    patch: Index
    share: Array
    """Of its patch's area; a patch's shares add up to 1."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """Patches and elements of everything, flat ones first; cells of the flat elements."""

    sides: Sides
    patch_place_m: Array
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
    spots: "Spots"
    """Where patches receive, ascending in patch."""
    cells: Flats
    """Four to each flat element, in the elements' order."""

    @cached_property
    def starts(self) -> Index:
        """Shape (p,): first element of each patch."""
        return np.searchsorted(self.patch, np.arange(len(self.patch_place_m)))

    def over_patches(self, at_spots: Array) -> Array:
        """Means over patches (e, p) of what is given at the receivers (e, r)."""
        starts = np.searchsorted(self.spots.patch, np.arange(len(self.patch_place_m)))
        return np.asarray(np.add.reduceat(at_spots * self.spots.share, starts, axis=1))

    @property
    def flat_count(self) -> int:
        """How many elements are flat."""
        return len(self.cells.side) // 4


def build(scene: Scene, blockers: Blockers, quality: Quality) -> Mesh:
    """Cut the scene up, finer near measuring points and lamps."""
    sides = sides_of(scene, blockers)
    quality = _for_size(sides, quality)
    parts = [_patches(sides, k, quality) for k in range(len(sides.each))]
    patch_side = np.concatenate([part[0] for part in parts])
    patch_bounds = np.concatenate([part[1] for part in parts])
    patches = flats(sides, *refine(sides, patch_side, patch_bounds, _patch_rule(scene, sides, quality))[:2])
    side, bounds, origin = refine(sides, patches.side, patches.bounds, _size_rule(scene, sides, quality))
    return _assemble(scene, sides, patches, flats(sides, side, bounds), origin, quality)


def _for_size(sides: Sides, quality: Quality) -> Quality:
    """A large room is cut no finer than into as many patches as a small one; near things stay as they are."""
    area_m2 = float(sides.area_m2[sides.flat < 0].sum())
    swell = max(1.0, float(np.sqrt(area_m2 / _LARGE_ROOM_M2)))
    return replace(
        quality, room_patch_m=swell * quality.room_patch_m, room_element_m=swell * quality.room_element_m
    )


def _patches(sides: Sides, index: int, quality: Quality) -> tuple[Index, Array]:
    largest_m = quality.room_patch_m if _is_broad(sides.each[index]) else quality.panel_patch_m
    counts = np.ceil(2 * sides.half_lengths_m[index] / largest_m - 1e-9).astype(int)
    return grid(sides, index, max(1, int(counts[0])), max(1, int(counts[1])))


def _is_broad(side: Side) -> bool:
    """Whether a side belongs to the room or is cut like it."""
    return side.flat < 0 or (isinstance(side.face, Panel) and side.face.role in _BROAD)


def _is_paired(side: Side) -> bool:
    """Whether light passes to the other side, which then must have the same cuts."""
    face = side.face
    return isinstance(face, Panel) and any(isinstance(m, Translucent) for m in (face.front, face.back))


def refine(sides: Sides, side: Index, bounds: Array, too_large: SizeRule) -> tuple[Index, Array, Index]:
    """Halve parameter rectangles along their longer edges while too large: side, bounds and origin of each,
    ascending in origin.
    """
    origin = np.arange(len(side))
    done: list[tuple[Index, Array, Index]] = []
    for _ in range(_MOST_HALVINGS):
        extent = (bounds[:, 1::2] - bounds[:, ::2]) * sides.half_lengths_m[side]
        split = too_large(side, places(sides, side, bounds), extent.max(axis=1))
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
    middle = np.where(axis == 0, bounds[:, :2].mean(axis=1), bounds[:, 2:].mean(axis=1))
    low, high = bounds.copy(), bounds.copy()
    rows = np.arange(len(bounds))
    low[rows, 2 * axis + 1] = middle
    high[rows, 2 * axis] = middle
    return low, high


def _patch_rule(scene: Scene, sides: Sides, quality: Quality) -> SizeRule:
    """Patches are smaller near points that look at them, since light varies there as the point sees it, and
    along the room's edges, where one wall's light on the next falls off quickly.
    """
    paired = np.array([_is_paired(s) for s in sides.each])
    idle = sides.surface < 0
    room = sides.flat < 0

    def too_large(side: Index, place_m: Array, length_m: Array) -> Mask:
        near = seen_from_m(scene.points, place_m, sides.normal[side], length_m, paired[side])
        limit = np.maximum(quality.patch_point_share * near, quality.smallest_patch_m)
        corner = np.maximum(_to_edge(sides, side, place_m), quality.corner_m)
        limit = np.where(room[side], np.minimum(limit, corner), limit)
        return np.asarray((length_m > limit * 1.0001) & ~idle[side])

    return too_large


def _to_edge(sides: Sides, side: Index, place_m: Array) -> Array:
    """Distance of each place to the nearest edge of its side's rectangle, metres."""
    frame, half = sides.frame_m[side], sides.half_lengths_m[side]
    along = np.einsum("nki,ni->nk", frame[:, 1:], place_m - frame[:, 0]) / half
    return np.asarray((half - np.abs(along)).min(axis=1))


def _size_rule(scene: Scene, sides: Sides, quality: Quality) -> SizeRule:
    """Elements are smaller near points and bodies that they face, and near lamps that light them."""
    broad = np.array([_is_broad(s) for s in sides.each])
    largest = np.where(broad, quality.room_element_m, quality.panel_element_m)
    dark = sides.surface < 0
    paired = np.array([_is_paired(s) for s in sides.each])

    def too_large(side: Index, place_m: Array, length_m: Array) -> Mask:
        normal, both = sides.normal[side], paired[side]
        to_lamp = np.where(dark[side], np.inf, _to_lamp(scene, place_m, normal, length_m, both))
        near = quality.point_share * seen_from_m(scene.points, place_m, normal, length_m, both)
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
    # axes: n elements, o solids, i the solid's own axes
    scaled = np.array([s.axes / s.semi_axes_m for s in scene.solids])
    centre = np.array([s.centre_m for s in scene.solids])
    semi = np.array([s.semi_axes_m for s in scene.solids])
    unit = place_m @ scaled.transpose(1, 0, 2).reshape(3, -1)
    unit -= np.einsum("oj,oji->oi", centre, scaled).ravel()
    unit *= unit
    square = unit.reshape(len(place_m), -1, 3).sum(axis=2)
    gap = (np.sqrt(square) - 1.0) * semi.min(axis=1)
    facing = normal @ centre.T - np.einsum("ni,ni->n", place_m, normal)[:, None] > -semi.max(axis=1)
    counts = (facing | paired[:, None]) & (square > 1.0)
    return np.asarray(np.where(counts, gap, np.inf).min(axis=1))


def _assemble(
    scene: Scene,
    sides: Sides,
    patches: Flats,
    elements: Flats,
    origin: Index,
    quality: Quality,
) -> Mesh:
    bodies = body_mesh(scene, quality)
    normals, flat, surface = sides.normal, sides.flat, sides.surface
    finish = np.array([s.finish.shares for s in sides.each])
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
        spots=_spots(sides, patches, bodies, quality),
        cells=cells,
    )


def _spots(sides: Sides, patches: Flats, bodies: BodyMesh, quality: Quality) -> Spots:
    """Four spots to each large flat patch, one to others."""
    count = len(patches.side)
    large = np.sqrt(patches.area_m2) > quality.spot_m
    times = np.where(large, 4, 1)
    bounds = np.where(
        np.repeat(large, 4)[:, None], quarters(patches.bounds), np.repeat(patches.bounds, 4, axis=0)
    )[(np.arange(4) < times[:, None]).ravel()]
    patch = np.repeat(np.arange(count), times)
    side = patches.side[patch]
    cut = flats(sides, side, bounds)
    total = np.bincount(patch, cut.area_m2, count)
    none = np.full(len(bodies.patch_place_m), -1)
    return Spots(
        place_m=np.concatenate([cut.place_m, bodies.patch_place_m]),
        normal=np.concatenate([sides.normal[side], bodies.patch_normal]),
        flat=np.concatenate([sides.flat[side], none]),
        solid=np.concatenate([np.full(len(side), -1), bodies.patch_solid]),
        side=np.concatenate([side, none]),
        size_m=np.concatenate([np.sqrt(cut.area_m2), bodies.patch_size_m]),
        patch=np.concatenate([patch, count + np.arange(len(none))]),
        share=np.concatenate([cut.area_m2 / total[patch], np.ones(len(none))]),
    )


def _twins(sides: Sides, side: Index) -> Index:
    """Elements of the two sides of a sheet run alike, so the twin lies one side's length away."""
    twin = np.arange(len(side))
    count = np.bincount(side, minlength=len(sides.each))
    shift = np.zeros(len(sides.each), dtype=int)
    for k, one in enumerate(sides.each):
        if _is_paired(one):
            shift[k] = count[k] if one.sign > 0 else -count[k]
    return twin + shift[side]
