"""Light that a metallised side throws by its microfacet lobe: lamp → side → receiver by quadrature.

Axes: x cells of the side, y places that light it (on a lamp, or patches), q receivers.
"""

from dataclasses import dataclass, replace

import numpy as np

from thirdstop.exposure import exchange
from thirdstop.exposure.arrays import Single, raise_to
from thirdstop.exposure.direct import emission_width, face_distance_m, own_flat
from thirdstop.exposure.emission import emitter_samples_m, face_area_m2, reach_m, relative_luminance
from thirdstop.exposure.mesh import Patches
from thirdstop.exposure.receivers import squares_m2
from thirdstop.exposure.sides import Flats, Side, Sides, flats, grid, quarters
from thirdstop.exposure.sight import Blockers, Sight, sight, transmission
from thirdstop.exposure.surfaces import lobe_scale, shadowing
from thirdstop.staging.materials import Metallised
from thirdstop.staging.shapes import Emitter
from thirdstop.typed import Array

_BLOCK = 60_000
"""Cells times places times receivers at a time: what stays in a processor's cache."""

_MOST = 5
"""At most so many times the cells and samples that are usual."""

_LAMP_SHARE = 0.28
"""Samples of a lamp are no farther apart, seen from a side, than this share of the lobe's or beam's width."""


@dataclass(frozen=True, eq=False)
class Mirror:
    """A metallised side cut into equal cells."""

    side: Side
    index: int
    roughness: float
    scale: float
    """Factor on the lossless lobe, with what a net lets straight through taken off."""
    cells: Flats
    seen: Sight

    def parts(self, blockers: Blockers) -> "Mirror":
        """The same side with each cell in sixteen, in order."""
        cut = self.cells
        fine = flats(cut.sides, np.repeat(cut.side, 16), quarters(quarters(cut.bounds)))
        return replace(self, cells=fine, seen=sight(blockers, fine.place_m, on_flat=self.side.flat))


def mirrors(
    sides: Sides, blockers: Blockers, cells: int, points_m: Array | None = None, share: float = 1.0
) -> list[Mirror]:
    """Every metallised side with a lobe, in about so many cells.

    With `points_m` (k, 3) in up to five times as many, so that the nearest point sees none of them larger
    than `share` of the lobe's roughness.
    """
    found = []
    for k, side in enumerate(sides.each):
        if isinstance(side.material, Metallised) and side.material.matte_share < 1.0:
            count = cells
            if points_m is not None and len(points_m):
                near_m = max(float(face_distance_m(side.face, points_m).min()), 1e-3)
                wanted = sides.area_m2[k] / (share * side.material.roughness * near_m) ** 2
                count = int(np.clip(wanted, cells, _MOST * cells))
            cut = _cells(sides, k, count)
            seen = sight(blockers, cut.place_m, on_flat=side.flat)
            scale = lobe_scale(side.material) * side.stops
            found.append(Mirror(side, k, side.material.roughness, scale, cut, seen))
    return found


def _cells(sides: Sides, index: int, count: int) -> Flats:
    across, along = sides.half_lengths_m[index]
    u_count = max(1, round(float(np.sqrt(count * across / along))))
    v_count = max(1, round(count / u_count))
    return flats(sides, *grid(index, np.linspace(-1, 1, u_count + 1), np.linspace(-1, 1, v_count + 1)))


def thrown(
    mirror: Mirror, blockers: Blockers, emitter: Emitter, samples: int, places_m: Array, seen: Sight
) -> Array:
    """Radiance of each cell that passes toward each place from one lamp, shape (x, q); from up to five times
    as many places on its face as `samples`, where it is large for lobe or beam.
    """
    faces = emitter_samples_m(emitter, _enough(mirror, emitter, samples))
    toward, square = _directions(mirror, faces)
    leaving = -(toward @ emitter.normal)
    arriving = toward @ mirror.side.normal
    share = emitter.luminance_cd_s_m2 / len(faces)
    share *= face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m)
    light = share * relative_luminance(emitter.emission, leaving) * leaving * np.maximum(arriving, 0) / square
    if not light.any():
        return np.zeros((len(square), len(places_m)))
    own = own_flat(emitter, blockers)
    light *= transmission(blockers, mirror.seen, sight(blockers, faces, on_flat=own))
    out, _ = _directions(mirror, places_m)
    return throw(mirror, toward, light, out) * transmission(blockers, mirror.seen, seen)


def _enough(mirror: Mirror, emitter: Emitter, samples: int) -> int:
    """How many places on a lamp's face make their spacing a fair share of the lobe's width and the beam's."""
    area = face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m)
    near_m = max(float(face_distance_m(mirror.side.face, emitter.centre_m[None])[0]), 1e-3)
    angle = min(mirror.roughness, emission_width(emitter) / 3.0)
    return int(np.clip(area / (_LAMP_SHARE * angle * near_m) ** 2, samples, _MOST * samples))


def _directions(mirror: Mirror, places: Array) -> tuple[Array, Array]:
    """Unit vectors from cells to places (x, q, 3) and squared distances (x, q)."""
    offset = places[None] - mirror.cells.place_m[:, None]
    square = np.maximum(np.einsum("xqi,xqi->xq", offset, offset), 1e-8)
    offset /= np.sqrt(square)[..., None]
    return offset, square


def throw(mirror: Mirror, toward: Array, light_lx_s: Array, out: Array) -> Array:
    """Radiance (..., x, q) of the lobe for illuminance (..., x, y) arriving from `toward` (x, y, 3)."""
    normal = mirror.side.normal
    cos_in, cos_out = toward @ normal, out @ normal
    i, o = np.maximum(cos_in, 1e-6), np.maximum(cos_out, 1e-6)
    source = np.where(cos_in > 0, light_lx_s * shadowing(i, mirror.roughness) / (4.0 * i), 0.0)
    radiance = _by_facets(mirror.roughness, source.astype(np.float32), toward, out, i, o)
    return np.asarray(
        np.where(cos_out > 0, mirror.scale * radiance * shadowing(o, mirror.roughness) / o, 0.0)
    )


def _by_facets(alpha: float, source: Single, toward: Array, out: Array, i: Array, o: Array) -> Single:
    """What facets throw of `source` (..., x, y), shape (..., x, q): some cells at a time, since between there
    are arrays of three axes.
    """
    ones = np.ones((*i.shape, 1)), np.ones((*o.shape, 1))
    # a column of ones, so that products are 1 + in·out
    more, onward = (
        np.concatenate(part, axis=2).astype(np.float32) for part in zip((toward, out), ones, strict=True)
    )
    shrink = np.sqrt(0.5 * (1.0 - alpha * alpha))
    mine, theirs = ((shrink * part).astype(np.float32) for part in (i, o))
    thrown = np.empty((*source.shape[:-1], o.shape[1]), dtype=np.float32)
    step = max(1, _BLOCK // max(1, i.shape[1] * o.shape[1]))
    for start in range(0, len(i), step):
        part = slice(start, start + step)
        facets = _facets(more[part], onward[part], mine[part], theirs[part])
        np.matmul(source[..., part, None, :], facets, out=thrown[..., part, None, :])
    thrown *= np.float32(alpha * alpha / np.pi)
    return thrown


def _facets(toward: Single, out: Single, i: Single, o: Single) -> Single:
    """GGX's share of facets that throw light from y to q over that of a smooth side's own, in units of α²/π
    per steradian, shape (x, y, q).

    D = α²/π / (1 − (1 − α²) c²)², where c² = (n·h)² = ½ (i + o)² / (1 + in·out) for the half vector h; so
    with numerator and denominator times 1 + in·out. `i` (x, y) and `o` (x, q) come with √(½ (1 − α²)) in
    them, `toward` (x, y, 4) and `out` (x, q, 4) with a column of ones.
    """
    both = toward @ out.transpose(0, 2, 1)
    raise_to(1e-6, both)
    rest: Single = i[:, :, None] + o[:, None, :]
    rest *= rest
    np.subtract(both, rest, out=rest)
    # Below 0 only below a horizon, whence no light comes.
    raise_to(1e-6, rest)
    np.divide(both, rest, out=rest)
    rest *= rest
    return rest


def thrown_on_patches(
    mirror: Mirror, blockers: Blockers, emitter: Emitter, samples: int, patches: Patches, seen: Sight
) -> Array:
    """Illuminance of patches by one lamp by way of the side's lobe, shape (p,)."""
    light = np.zeros(len(patches.place_m))
    if (emitter.centre_m - mirror.side.face.centre_m) @ mirror.side.normal < -reach_m(emitter):
        return light
    # One height over the side for all of its cells; axes: x cells, q patches.
    leaving = (patches.place_m - mirror.side.face.centre_m) @ mirror.side.normal
    own = np.einsum("qi,qi->q", patches.place_m, patches.normal)
    arriving = mirror.cells.place_m @ patches.normal.T - own
    used = np.flatnonzero((leaving > 0) & (arriving > 0).any(axis=0))
    square = squares_m2(mirror.cells.place_m, patches.place_m[used])
    area = mirror.cells.area_m2[:, None]
    # As a disc where near, as in the exchange.
    factor = leaving[used] * np.maximum(arriving[:, used], 0.0) * area
    factor /= np.maximum(square * (square + area / np.pi), 1e-12)
    radiance = thrown(mirror, blockers, emitter, samples, patches.place_m[used], seen[used])
    light[used] = np.einsum("xq,xq->q", radiance, factor)
    return light


def room_thrown(
    mirror: Mirror, blockers: Blockers, patches: Patches, seen: Sight, exitance: Array, places_m: Array
) -> Array:
    """Radiance of each cell toward each place of the patches' matte light, shape (e, x, q)."""
    normals = np.broadcast_to(mirror.side.normal, mirror.cells.place_m.shape)
    weight = exchange.closed_factors(patches, blockers, mirror.cells.place_m, normals, mirror.seen, seen)
    used = np.flatnonzero(weight.any(axis=0))
    toward, _ = _directions(mirror, patches.place_m[used])
    out, _ = _directions(mirror, places_m)
    return throw(mirror, toward, exitance[:, None, used] * weight[:, used], out)
