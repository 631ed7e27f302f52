"""Matte light to and fro between patches and elements, to convergence.

Patches receive, elements send (Cohen, Greenberg, Immel & Brock, An Efficient Radiosity Approach for Realistic
Image Synthesis, 1986). Axes: p patches, n elements, e emitters.
"""

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.mesh import Mesh
from thirdstop.exposure.sight import Blockers, Sight, transmission
from thirdstop.typed import Array


def kernel(mesh: Mesh, blockers: Blockers, patches: Sight, elements: Sight) -> Array:
    """Illuminance at each patch for unit exitance of each element, shape (p, n).

    A row is divided by its sum over all that stops light, since whoever stands in a closed room sees
    something in every direction (after van Leersum, 1989).
    """
    weight = factors(mesh.patch_place_m, mesh.patch_normal, mesh)
    weight *= transmission(blockers, patches, elements)
    whole = weight @ mesh.stops_share
    return np.asarray(weight / np.where(whole > 1e-6, whole, 1.0)[:, None])


def factors(places: Array, normals: Array, mesh: Mesh) -> Array:
    """Configuration factors of elements by their centres, as discs where near, shape (p, n)."""
    square = (
        np.einsum("pi,pi->p", places, places)[:, None]
        - 2.0 * places @ mesh.place_m.T
        + np.einsum("ni,ni->n", mesh.place_m, mesh.place_m)
    )
    square = np.maximum(square, 0.0)
    arriving = normals @ mesh.place_m.T - np.einsum("pi,pi->p", places, normals)[:, None]
    leaving = places @ mesh.normal.T - np.einsum("ni,ni->n", mesh.place_m, mesh.normal)
    facing = np.maximum(arriving, 0.0) * np.maximum(leaving, 0.0)
    spread = np.maximum(square * (np.pi * square + mesh.area_m2), 1e-12)
    return np.asarray(facing * mesh.area_m2 / spread)


def solve(mesh: Mesh, kernel: Array, direct_lx_s: Array, thrown_lx_s: Array) -> Array:
    """All but direct illuminance of the patches, shape (e, p).

    `direct_lx_s` (e, n) is the lamps' light at the elements; `thrown_lx_s` (e, p) is what metallised sides
    throw at the patches from the lamps.
    """
    first = exitance(mesh, direct_lx_s, np.zeros_like(thrown_lx_s))
    source = thrown_lx_s + first @ kernel.T
    count = len(mesh.patch_place_m)
    back = _by_patch(kernel * mesh.indirect_share, mesh.patch, count)
    through = mesh.through_share > 0
    if through.any():
        np.add.at(back.T, mesh.patch[mesh.twin[through]], (kernel * mesh.through_share)[:, through].T)
    return np.asarray(np.linalg.solve(np.eye(count) - back, source.T).T)


def _by_patch(columns: Array, patch: Index, count: int) -> Array:
    """Columns of each patch's elements added up, shape (p, p); elements ascend by patch."""
    starts = np.searchsorted(patch, np.arange(count))
    return np.asarray(np.add.reduceat(columns, starts, axis=1))


def exitance(mesh: Mesh, direct_lx_s: Array, other_lx_s: Array) -> Array:
    """Exitance of the elements, shape (e, n), without a lobe's share of direct light.

    `other_lx_s` (e, p) is all but direct illuminance of the patches.
    """
    other = other_lx_s[:, mesh.patch]
    through = mesh.through_share * (direct_lx_s + other)[:, mesh.twin]
    return np.asarray(mesh.direct_share * direct_lx_s + mesh.indirect_share * other + through)
