"""Matte light to and fro between patches and elements, to convergence.

Patches receive, elements send (Cohen, Greenberg, Immel & Brock, An Efficient Radiosity Approach for Realistic
Image Synthesis, 1986). Axes: p patches, r places where they receive, n elements, e emitters.
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


@dataclass(frozen=True, eq=False)
class Exchange:
    """Who lights whom. Axes: k patches that matter, r their places, n elements, p all patches."""

    used: Index
    """Shape (k,): the patches whose light is returned to anybody."""
    spots: Index
    """Shape (r,): where these receive, among the mesh's spots."""
    kernel: Single
    """Shape (r, n): illuminance for unit exitance of each element, before scaling."""
    factors: Array
    """Shape (k, p): the same of patches for unit exitance of each patch, scaled."""
    rows: Array
    """Shape (p,): scale of receivers."""
    columns: Array
    """Shape (p,): scale of senders."""

    def arriving(self, mesh: Mesh, exitance: Array) -> Array:
        """Illuminance at all of the mesh's spots, shape (e, r), for the elements' exitance (e, n)."""
        light = np.zeros((len(exitance), len(mesh.spots.patch)))
        sent = (exitance * self.columns[mesh.patch]).astype(np.float32)
        light[:, self.spots] = (sent @ self.kernel.T) * self.rows[mesh.spots.patch[self.spots]]
        return light


def exchange(mesh: Mesh, blockers: Blockers, spots: Sight, elements: Sight) -> Exchange:
    """Configuration factors with visibility of all elements at the patches that matter.

    A patch gets the mean of its places. A row is divided by its sum over all that stops light, since whoever
    stands in a closed room sees something in every direction (after van Leersum, 1989).
    """
    used = np.flatnonzero(mesh.patch_matters)
    at = np.flatnonzero(mesh.patch_matters[mesh.spots.patch])
    kernel = np.empty((len(at), len(mesh.place_m)), dtype=np.float32)
    senders = Senders.of(mesh)
    step = max(8, _BLOCK // max(1, len(mesh.place_m)))
    for start in range(0, len(at), step):
        part = at[start : start + step]
        place, normal = mesh.spots.place_m[part], mesh.spots.normal[part]
        kernel[start : start + step] = closed_factors(senders, blockers, place, normal, spots[part], elements)
    means = _over_patches(kernel, mesh.spots.patch[at], mesh.spots.share[at])
    factors = np.add.reduceat(means, mesh.starts, axis=1)
    rows, columns = _balance(mesh, used, factors)
    every = np.ones(len(columns))
    every[used] = rows
    return Exchange(used, at, kernel, rows[:, None] * factors * columns, every, columns)


def _over_patches(kernel: Single, patch: Index, share: Array) -> Single:
    """Means of the rows of each patch, shape (k, n); quicker than numpy's `reduceat` down the columns."""
    starts = np.flatnonzero(np.diff(patch, prepend=-1))
    counts = np.diff(starts, append=len(patch))
    weighted = kernel * share.astype(np.float32)[:, None]
    means = weighted[starts]
    for k in range(1, int(counts.max(initial=1))):
        more = np.flatnonzero(counts > k)
        means[more] += weighted[starts[more] + k]
    return np.asarray(means)


def _balance(mesh: Mesh, used: Index, factors: Single) -> tuple[Array, Array]:
    """Scales of receivers (k,) and senders (p,) with which every patch gets light from all around and all
    that it sends arrives.

    Without that a white room, where light bounces ten times, gains or loses some per cent.
    """
    share = mesh.stops_share[mesh.starts]
    target = (np.add.reduceat(mesh.area_m2, mesh.starts) * share)[used]
    flux = factors * share.astype(np.float32)
    flux *= target.astype(np.float32)[:, None]
    exchanged = flux[:, used]
    lost = flux.sum(axis=1, dtype=float) - exchanged.sum(axis=1, dtype=float)
    rows, columns = np.ones(len(used)), np.ones(len(share))
    for _ in range(_BALANCINGS):
        arrived = np.maximum(rows.astype(np.float32) @ exchanged, 1e-12)
        columns[used] = np.clip((target - rows * lost) / arrived, 0.5, 2.0)
        sent = exchanged @ columns[used].astype(np.float32)
        rows = np.clip(target / np.maximum(sent + lost, 1e-12), 0.5, 2.0)
    return rows, columns


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


def solve(mesh: Mesh, between: Exchange, direct_lx_s: Array, thrown_lx_s: Array) -> Array:
    """All but direct illuminance of the patches, shape (e, p); 0 for patches that matter to nobody.

    `direct_lx_s` (e, n) is the lamps' light at the elements; `thrown_lx_s` (e, r) is what metallised sides
    throw at the spots from the lamps.
    """
    used, first = between.used, mesh.starts[between.used]
    none = np.zeros((len(direct_lx_s), len(mesh.starts)))
    source = thrown_lx_s + between.arriving(mesh, exitance(mesh, direct_lx_s, none))
    source = mesh.over_patches(source)
    factors = between.factors[:, used]
    back = factors * mesh.indirect_share[first]
    if mesh.through_share.any():
        place = np.zeros(len(mesh.starts), dtype=int)
        place[used] = np.arange(len(used))
        back[:, place[mesh.patch[mesh.twin[first]]]] += factors * mesh.through_share[first]
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


def exitance(mesh: Mesh, direct_lx_s: Array, other_lx_s: Array) -> Array:
    """Exitance of the elements, shape (e, n), without a lobe's share of direct light.

    `other_lx_s` (e, p) is all but direct illuminance of the patches.
    """
    other = other_lx_s[:, mesh.patch]
    through = mesh.through_share * (direct_lx_s + other)[:, mesh.twin]
    return np.asarray(mesh.direct_share * direct_lx_s + mesh.indirect_share * other + through)
