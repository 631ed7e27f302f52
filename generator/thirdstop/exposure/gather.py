"""What measuring points see: flat cells, body solids and metallised lobes, each by its own quadrature.

Axes: k points, c cells of flat elements, m places on bodies, e emitters, s surfaces of the scene.
"""

from dataclasses import dataclass, replace

import numpy as np

from thirdstop.exposure.arrays import Index, Single, raise_to
from thirdstop.exposure.bodies import Views, views
from thirdstop.exposure.factors import receptor_illuminance, receptor_weight
from thirdstop.exposure.lobes import Mirror
from thirdstop.exposure.mesh import Mesh, Patches, Spots
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.receivers import Receivers
from thirdstop.exposure.sides import ROOM
from thirdstop.exposure.sight import (
    Blockers,
    Sight,
    pair_transmission,
    pass_flats,
    sight,
    transmission,
    transmission_to,
)
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

_BELL = 0.4
"""Standard width of a patch's bell over its size."""

_FAINTEST = -60.0
"""No bell's exponent is less: processors are slow with numbers near the least of single precision."""

_EXACT = 2.5
"""Exact factors for cells nearer than this many of their diagonals."""


@dataclass(frozen=True, eq=False)
class CellView:
    """What points see of some flat cells. Axes: k points, c cells, n spots."""

    factor: Array
    """Shape (k, c): illuminance for unit luminance of a cell in full view."""
    spots: Spots
    seen: Sight
    """By flat faces alone."""
    passed: Single
    """Shape (k, n): share of light that passes from each spot."""

    @property
    def weight(self) -> Array:
        """Shape (k, c): illuminance at each point for unit luminance of each cell."""
        return self.factor * self.spots.shares(self.passed)

    def past(self, blockers: Blockers, points: Receivers, first: int) -> "CellView":
        """What flat blockers, from the `first` on, leave of it."""
        seen, passed = self.seen.with_flats(blockers, self.spots.place_m), self.passed.copy()
        pass_flats(blockers, points.seen, seen, passed, first)
        return replace(self, seen=seen, passed=passed)


def cell_view(points: Receivers, blockers: Blockers, mesh: Mesh) -> CellView:
    """What points see of the cells of flat sides."""
    spots = mesh.spots
    passed, seen = transmission_to(blockers, points.seen, spots.place_m, spots.flat)
    return CellView(_cell_factors(points, mesh), spots, seen, passed)


def _cell_factors(points: Receivers, mesh: Mesh) -> Array:
    """Illuminance at each point for unit luminance of each flat cell in full view, shape (k, c)."""
    cut, normal = mesh.elements.cells, mesh.cell_normal
    square = (
        np.einsum("ki,ki->k", points.place_m, points.place_m)[:, None]
        - 2.0 * points.place_m @ cut.place_m.T
        + np.einsum("ci,ci->c", cut.place_m, cut.place_m)
    )
    square = np.maximum(square, 1e-10)
    root = np.sqrt(square)
    arriving = points.direction @ cut.place_m.T
    arriving -= np.einsum("ki,ki->k", points.place_m, points.direction)[:, None]
    leaving = points.place_m @ normal.T - np.einsum("ci,ci->c", cut.place_m, normal)
    weight = receptor_weight(arriving / root, points.dome[:, None])
    weight *= np.maximum(leaving, 0.0) / root * cut.area_m2 / square
    diagonal = np.linalg.norm(cut.corners_m[:, 0] - cut.corners_m[:, 2], axis=1)
    k, c = np.nonzero((root < _EXACT * diagonal) & (leaving > 0))
    if len(k):
        polygon = cut.corners_m[c] - points.place_m[k][:, None]
        weight[k, c] = receptor_illuminance(polygon, points.direction[k], points.dome[k])
    return np.asarray(weight)


_LEAST_ROOM = 0.8
_MOST_ROOM = 1.03
"""How far the room's share of a view is taken down, where much of it is hidden, and up. More that is missing
is something near which the quadrature does not find, as in the crook of a neck, and no wall."""


@dataclass(frozen=True, eq=False)
class BodyView:
    """What points see of bodies, with how much each place weighs. Axis m."""

    view: Views
    weight: Array
    """Illuminance at the point for unit luminance there."""
    seen: Sight


def body_view(points: Receivers, blockers: Blockers, scene: Scene, quality: Quality) -> BodyView:
    """The visible places on bodies that bear on a reading."""
    found = views(scene, points.place_m, quality.body_samples)
    offset = found.place_m - points.place_m[found.point]
    offset /= np.maximum(np.sqrt(np.einsum("mi,mi->m", offset, offset)), 1e-12)[:, None]
    cosine = np.einsum("mi,mi->m", offset, points.direction[found.point])
    weight = receptor_weight(cosine, points.dome[found.point]) * found.solid_angle_sr
    ahead = np.flatnonzero(weight > 0)
    found, weight = found[ahead], weight[ahead]
    seen = sight(blockers, found.place_m, on_solid=found.solid)
    weight = weight * pair_transmission(blockers, points.seen[found.point], seen)
    kept = np.flatnonzero(weight > 0)
    return BodyView(found[kept], weight[kept], seen[kept])


def close_views(points: Receivers, mesh: Mesh, weight: Array, bodies: BodyView) -> Array:
    """Take the room's weights, in place in `weight` (k, c), to what things before it leave of each view.

    Gives the factor (k,) on all weights for what is open yet. Things near are seen exactly, but of a wall's
    cells some that are half hidden count as seen whole.
    """
    room = (mesh.cell_surface >= 0) & (mesh.cell_surface < ROOM)
    stops = mesh.patches.stops_share[mesh.cell_patch]
    whole = np.where(points.dome, 2.0 * np.pi, np.pi)
    near = weight[:, ~room] @ stops[~room]
    near += np.bincount(bodies.view.point, bodies.weight, len(near))
    far = weight[:, room] @ stops[room]
    scale = np.clip((whole - near) / np.maximum(far, 1e-9), _LEAST_ROOM, _MOST_ROOM)
    weight[:, room] *= scale[:, None]
    seen = near + scale * far
    return np.asarray(whole / np.where(seen > 0.5 * whole, seen, whole))


@dataclass(frozen=True, eq=False)
class Blend:
    """How the light of some patches goes over into that of places on the same side or solid."""

    places: Index
    patches: Index
    bells: Single
    """Shape (places, patches): how much each patch weighs at a place."""
    whole: Single
    """Shape (places,): what all weigh."""


def body_blends(view: Views, patches: Patches) -> list[Blend]:
    """Places where points look at bodies, solid by solid.

    Normals that differ by a radian are as far as a patch's size, or the two sides of a thin limb would mix.
    """
    found = []
    for solid in np.unique(view.solid):
        rows, own = np.flatnonzero(view.solid == solid), np.flatnonzero(patches.solid == solid)
        if len(own):
            exponents = _exponents(view.place_m[rows], patches.place_m[own], patches.size_m[own])
            exponents += _exponents(view.normal[rows], patches.normal[own], np.ones(len(own)))
            found.append(_blend(rows, own, exponents))
    return found


def cell_blends(mesh: Mesh, first: int = 0) -> list[Blend]:
    """Cells, side by side from the `first` side on."""
    cells, patches, found = mesh.elements.cells, mesh.patches, []
    for side in range(first, len(mesh.sides)):
        rows, own = np.flatnonzero(cells.side == side), np.flatnonzero(patches.side == side)
        exponents = _exponents(cells.place_m[rows], patches.place_m[own], patches.size_m[own])
        found.append(_blend(rows, own, exponents))
    return found


def cell_light(blends: list[Blend], mesh: Mesh, light_lx_s: Array) -> Array:
    """Light of cells, shape (e, c), smooth between the patches' (e, p), whose means it keeps.

    Bells alone would level every crest and hollow; so what they take from a patch's mean is given back.
    """
    count = len(mesh.cell_patch)
    levelled = mesh.patch_means(blended(blends, light_lx_s, count))
    return blended(blends, light_lx_s + (light_lx_s - levelled), count)


def blended(blends: list[Blend], light_lx_s: Array, count: int) -> Array:
    """Light of so many places, shape (e, places), smooth between the patches' (e, p)."""
    light, single = np.zeros((len(light_lx_s), count)), light_lx_s.astype(np.float32)
    for blend in blends:
        light[:, blend.places] = single[:, blend.patches] @ blend.bells.T / blend.whole
    return light


def _exponents(places: Array, middles: Array, size: Array) -> Single:
    """Logarithms of normal distributions in the plane about `middles` (k, 3), as wide as bells of that `size`
    (k,), at places (n, 3): shape (n, k), as one product in single precision.
    """
    centre = middles.mean(axis=0)
    a, b = places - centre, middles - centre
    bend = -0.5 / (_BELL * size) ** 2
    top = bend * np.einsum("ki,ki->k", b, b) - 2.0 * np.log(size)
    mine = np.column_stack([a, np.einsum("ni,ni->n", a, a), np.ones(len(a))])
    theirs = np.column_stack([-2.0 * bend[:, None] * b, bend, top])
    return np.asarray(mine.astype(np.float32) @ theirs.astype(np.float32).T)


def _blend(places: Index, patches: Index, exponents: Single) -> Blend:
    """How much patches weigh in the light of places, by the exponents (places, patches) of their bells, which
    it spoils.
    """
    exponents -= exponents.max(axis=1, keepdims=True)
    raise_to(_FAINTEST, exponents)
    bells = np.exp(exponents, out=exponents)
    return Blend(places, patches, bells, bells.sum(axis=1))


def lobe_factors(mirror: Mirror, points: Receivers) -> tuple[Array, Index]:
    """Illuminance for unit luminance of each cell of a metallised side, shape (x, k), at the points that it
    bears upon, and which those are.
    """
    offset = points.place_m[None] - mirror.cells.place_m[:, None]
    square = np.maximum(np.einsum("xki,xki->xk", offset, offset), 1e-10)
    root = np.sqrt(square)
    arriving = -np.einsum("xki,ki->xk", offset, points.direction) / root
    leaving = np.maximum(offset @ mirror.side.normal, 0.0) / root
    weight = receptor_weight(arriving, points.dome) * leaving * mirror.cells.area_m2[:, None] / square
    corners = mirror.cells.corners_m
    diagonal = np.linalg.norm(corners[:, 0] - corners[:, 2], axis=1)[:, None]
    x, k = np.nonzero((root < _EXACT * diagonal) & (leaving > 0))
    if len(x):
        polygon = corners[x] - points.place_m[k][:, None]
        weight[x, k] = receptor_illuminance(polygon, points.direction[k], points.dome[k])
    used = np.flatnonzero(weight.any(axis=0))
    return weight[:, used], used


def lobe_weights(mirror: Mirror, blockers: Blockers, points: Receivers) -> tuple[Array, Index]:
    """The same with what stands between, each cell by sixteen parts of it."""
    fine = mirror.parts(blockers)
    factor, used = lobe_factors(fine, points)
    factor *= transmission(blockers, fine.seen, points.seen[used])
    return factor.reshape(len(mirror.cells.side), 16, len(used)).sum(axis=1), used
