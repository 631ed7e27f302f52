"""Matte light to and fro between patches and elements, to convergence.

Patches receive, elements send (Cohen, Greenberg, Immel & Brock, An Efficient Radiosity Approach for Realistic
Image Synthesis, 1986). Axes: p patches, n elements, e emitters.
"""

from dataclasses import dataclass

import numpy as np

from thirdstop.exposure.arrays import Index, Single
from thirdstop.exposure.mesh import Mesh
from thirdstop.exposure.sight import Blockers, Sight, transmission
from thirdstop.typed import Array

_BLOCK = 150_000
"""Pairs at a time: what stays in a processor's cache."""

_BALANCINGS = 4
"""Rounds of scaling rows and columns in turn; the first one does nearly all."""

_SWEEPS = 60
_SETTLED = 1e-6
"""Sweeps end when the last one brings less than this share of the brightest patch's light."""


def kernel(mesh: Mesh, blockers: Blockers, patches: Sight, elements: Sight) -> Single:
    """Illuminance at each patch for unit exitance of each element, shape (p, n); 0 for patches that matter
    to nobody.

    A row is divided by its sum over all that stops light, since whoever stands in a closed room sees
    something in every direction (after van Leersum, 1989).
    """
    weight = np.zeros((len(mesh.patch_place_m), len(mesh.place_m)), dtype=np.float32)
    used = np.flatnonzero(mesh.patch_matters)
    senders = Senders.of(mesh)
    step = max(8, _BLOCK // max(1, len(mesh.place_m)))
    for start in range(0, len(used), step):
        rows = used[start : start + step]
        place, normal = mesh.patch_place_m[rows], mesh.patch_normal[rows]
        weight[rows] = closed_factors(senders, blockers, place, normal, patches[rows], elements)
    return _balanced(mesh, used, weight)


def _balanced(mesh: Mesh, used: Index, kernel: Single) -> Single:
    """The kernel with rows and columns scaled so that every patch gets light from all around, and all that it
    sends arrives.

    Without that a white room, where light bounces ten times, gains or loses some per cent.
    """
    starts = np.searchsorted(mesh.patch, np.arange(len(kernel)))
    target = np.add.reduceat(mesh.area_m2 * mesh.stops_share, starts)[used]
    flux = _by_patch(kernel[used] * mesh.stops_share.astype(np.float32), mesh) * target[:, None]
    exchanged = flux[:, used]
    lost = flux.sum(axis=1) - exchanged.sum(axis=1)
    rows = np.ones(len(used))
    for _ in range(_BALANCINGS):
        columns = np.clip((target - rows * lost) / np.maximum(rows @ exchanged, 1e-12), 0.5, 2.0)
        rows = np.clip(target / np.maximum(exchanged @ columns + lost, 1e-12), 0.5, 2.0)
    scale = np.ones(len(kernel))
    scale[used] = columns
    kernel[used] *= rows[:, None].astype(np.float32)
    kernel *= scale[mesh.patch].astype(np.float32)
    return kernel


@dataclass(frozen=True, eq=False)
class Senders:
    """Elements as columns for products with receivers, single precision. Axis n."""

    place: Single
    """Shape (5, n): place, 1, |place|²."""
    normal: Single
    """Shape (4, n): normal, and -normal·place."""
    area_m2: Single
    stops_share: Single

    @classmethod
    def of(cls, mesh: Mesh) -> "Senders":
        """The mesh's elements."""
        place, normal = mesh.place_m, mesh.normal
        ones = np.ones(len(place))
        return cls(
            np.stack([*place.T, ones, np.einsum("ni,ni->n", place, place)]).astype(np.float32),
            np.stack([*normal.T, -np.einsum("ni,ni->n", normal, place)]).astype(np.float32),
            mesh.area_m2.astype(np.float32),
            mesh.stops_share.astype(np.float32),
        )


def closed_factors(
    senders: Senders,
    blockers: Blockers,
    places: Array,
    normals: Array,
    seen: Sight,
    elements: Sight,
) -> Single:
    """Configuration factors with visibility of all elements at flat receivers, rows closed, shape (k, n)."""
    weight = _factors(places, normals, senders)
    weight *= transmission(blockers, seen, elements)
    whole = weight @ senders.stops_share
    weight /= np.where(whole > 1e-6, whole, 1.0)[:, None]
    return weight


def _factors(places: Array, normals: Array, senders: Senders) -> Single:
    """Configuration factors of elements by their centres, as discs where near, shape (k, n)."""
    ones = np.ones(len(places))
    at = np.stack([*(-2.0 * places.T), np.einsum("ki,ki->k", places, places), ones], axis=1).astype(
        np.float32
    )
    square = at @ senders.place
    np.maximum(square, 1e-8, out=square)
    facing = np.stack([*normals.T, -np.einsum("ki,ki->k", places, normals)], axis=1).astype(np.float32)
    weight = facing @ senders.place[:4]
    np.maximum(weight, 0.0, out=weight)
    leaving = np.stack([*places.T, ones], axis=1).astype(np.float32) @ senders.normal
    np.maximum(leaving, 0.0, out=leaving)
    weight *= leaving
    weight *= senders.area_m2
    np.multiply(square, np.float32(np.pi), out=leaving)
    leaving += senders.area_m2
    leaving *= square
    weight /= leaving
    return np.asarray(weight)


def solve(mesh: Mesh, kernel: Single, direct_lx_s: Array, thrown_lx_s: Array) -> Array:
    """All but direct illuminance of the patches, shape (e, p).

    `direct_lx_s` (e, n) is the lamps' light at the elements; `thrown_lx_s` (e, p) is what metallised sides
    throw at the patches from the lamps.
    """
    used = np.flatnonzero(mesh.patch_matters)
    starts = np.searchsorted(mesh.patch, np.arange(len(kernel)))
    first = exitance(mesh, direct_lx_s, np.zeros_like(thrown_lx_s))
    source = thrown_lx_s + first.astype(np.float32) @ kernel.T
    factors = _by_patch(kernel[used], mesh)[:, used].astype(float)
    back = factors * mesh.indirect_share[starts[used]]
    through = mesh.through_share[starts[used]]
    if through.any():
        place = np.zeros(len(kernel), dtype=int)
        place[used] = np.arange(len(used))
        twin = place[mesh.patch[mesh.twin[starts[used]]]]
        back[:, twin] += factors * through
    light = np.zeros_like(source)
    light[:, used] = _settled(back, source[:, used])
    return light


def _settled(back: Array, source: Array) -> Array:
    """X = source + back·x for each row of `source`: by sweeps, or at once where sweeps take long."""
    light, arriving = source, source
    for _ in range(_SWEEPS):
        arriving = arriving @ back.T
        light = light + arriving
        if (arriving.max(axis=1, initial=0.0) <= _SETTLED * light.max(axis=1, initial=0.0)).all():
            return light
    return np.asarray(np.linalg.solve(np.eye(len(back)) - back, source.T).T)


def _by_patch(columns: Single, mesh: Mesh) -> Single:
    """Columns of each patch's elements added up, shape (k, p); elements ascend by patch."""
    starts = np.searchsorted(mesh.patch, np.arange(len(mesh.patch_place_m)))
    return np.asarray(np.add.reduceat(columns, starts, axis=1))


def exitance(mesh: Mesh, direct_lx_s: Array, other_lx_s: Array) -> Array:
    """Exitance of the elements, shape (e, n), without a lobe's share of direct light.

    `other_lx_s` (e, p) is all but direct illuminance of the patches.
    """
    other = other_lx_s[:, mesh.patch]
    through = mesh.through_share * (direct_lx_s + other)[:, mesh.twin]
    return np.asarray(mesh.direct_share * direct_lx_s + mesh.indirect_share * other + through)
