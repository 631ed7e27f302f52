r"""Shadows of one lamp: how much of its light is kept from a place, how soft, and what the lens sees.

A face of extent D at distance a from an edge, and a surface at b behind the edge:

    face      |--D--|          the shadow's soft rim there is D·b/a wide (similar triangles)
                \ /
    edge   ======x
                / \
    surface   |-----|  D·b/a
"""

import numpy as np

from thirdstop.checks.faces import spread_m
from thirdstop.checks.places import background, sheets
from thirdstop.checks.sightlines import crosses, enters, passing, within
from thirdstop.exposure.emission import relative_luminance
from thirdstop.staging.shapes import Ellipsoid, Emitter, Panel
from thirdstop.staging.staging import Staging
from thirdstop.typed import Array, Mask, Vec

FACE_PLACES = 89
"""Places on a lamp's face."""
_ACROSS, _UPRIGHT = 11, 15
_OFF_SHEET_M = 1e-4


def softness_m(emitter: Emitter, edge_m: Vec, place_m: Vec) -> float:
    """Width of the soft rim of a shadow at a place whose edge is there: the face's larger extent × b/a."""
    extent_m = 2 * max(float(np.linalg.norm(emitter.half_u_m)), float(np.linalg.norm(emitter.half_v_m)))
    to_edge_m = float(np.linalg.norm(edge_m - emitter.centre_m))
    behind_m = float(np.linalg.norm(place_m - edge_m))
    return extent_m * behind_m / max(to_edge_m, 1e-6)


def sent(emitter: Emitter, places_m: Array, toward: Vec | None = None) -> tuple[Array, Array]:
    """What each place on the face would send to each place, relative, shape (n, m), and the places, (m, 3).

    L·cos at the face/d², and cos at the receiving surface too where its normal `toward` is given.
    """
    face = spread_m(emitter, FACE_PLACES)
    # axes: place, place on the face, xyz
    way = places_m[:, None, :] - face[None, :, :]
    distance = np.linalg.norm(way, axis=2)
    cosine = way @ emitter.normal / distance
    weight = relative_luminance(emitter.emission, cosine) * np.maximum(cosine, 0.0) / distance**2
    if toward is not None:
        weight = weight * np.maximum(-(way @ toward) / distance, 0.0)
    return np.asarray(weight), face


def kept_by_panel(panel: Panel, emitter: Emitter, places_m: Array, toward: Vec | None = None) -> Array:
    """Share of the light that a lamp would send each place which one panel keeps off, shape (n,).

    With `toward` the places are of a surface with that normal.
    """
    weight, face = sent(emitter, places_m, toward)
    starts, ends = _pairs(places_m, face)
    hit = crosses(panel.outline, panel.centre_m, panel.half_u_m, panel.half_v_m, starts, ends)
    return _share(weight, np.asarray(hit.reshape(weight.shape) * (1.0 - panel.straight), dtype=float))


def kept_by_solids(solids: tuple[Ellipsoid, ...], emitter: Emitter, places_m: Array) -> Array:
    """Share of the light that a lamp would send each place which bodies keep off, shape (n,)."""
    weight, face = sent(emitter, places_m)
    hit = np.zeros(weight.shape, dtype=bool)
    for solid in solids:
        near = _in_reach(solid, places_m, face)
        starts, ends = _pairs(places_m[near], face)
        hit[near] |= enters(solid, starts, ends).reshape(-1, len(face))
    return _share(weight, hit)


def _in_reach(solid: Ellipsoid, places_m: Array, face: Array) -> Mask:
    """From which places some line to the face may meet a body, shape (n,): most see the lamp far past it.

    No line strays from the one to the face's middle by more than the face reaches from there.
    """
    middle = face.mean(axis=0)
    reach_m = np.linalg.norm(face - middle, axis=1).max() + solid.semi_axes_m.max()
    along, to_solid = middle - places_m, solid.centre_m - places_m
    t = np.clip(np.sum(to_solid * along, axis=1) / np.sum(along * along, axis=1), 0.0, 1.0)
    return np.asarray(np.linalg.norm(to_solid - t[:, None] * along, axis=1) <= reach_m)


def left_by_things(staging: Staging, emitter: Emitter, places_m: Array) -> Array:
    """Share of a lamp's light that panels and other lamps leave each place, bodies aside, shape (n,)."""
    weight, face = sent(emitter, places_m)
    starts, ends = _pairs(places_m, face)
    aside = {solid.name for solid in staging.scene.solids} | {emitter.name} | _behind(staging)
    return _share(weight, passing(staging.scene, starts, ends, aside).reshape(weight.shape))


def _pairs(places_m: Array, face: Array) -> tuple[Array, Array]:
    return np.repeat(places_m, len(face), axis=0), np.tile(face, (len(places_m), 1))


def _share(weight: Array, taken: Array) -> Array:
    whole = weight.sum(axis=1)
    kept: Array = np.divide((weight * taken).sum(axis=1), whole, out=np.zeros(len(whole)), where=whole > 0)
    return kept


def _behind(staging: Staging) -> set[str]:
    return {background(staging).name} | {panel.name for panel in sheets(staging)}


def seen_background_m(staging: Staging) -> Array:
    """Places of the backdrop that the picture shows past sitters and things, shape (n, 3); n may be 0.

    A lattice of 11 × 15 over the picture, each line from the lens followed to the sheet (or the back wall);
    what lies on the floor is left out.
    """
    camera, panel = staging.camera, background(staging)
    s, t = np.meshgrid(_steps(_ACROSS) * camera.tan_half_across, _steps(_UPRIGHT) * camera.tan_half_upright)
    rays = camera.forward + s.ravel()[:, None] * camera.right + t.ravel()[:, None] * camera.up
    rate = rays @ panel.normal
    ahead = float((panel.centre_m - camera.lens_m) @ panel.normal)
    far = np.divide(ahead, rate, out=np.full(len(rate), -1.0), where=np.abs(rate) > 1e-9)
    places = camera.lens_m + far[:, None] * rays
    offset = places - panel.centre_m
    u, v = panel.half_u_m, panel.half_v_m
    on = (far > 0) & within(panel.outline, offset @ u / (u @ u), offset @ v / (v @ v))
    places = places[on] + _OFF_SHEET_M * toward_lens(staging)
    seen: Array = places[passing(staging.scene, camera.lens_m, places, _behind(staging)) > 0]
    return seen


def toward_lens(staging: Staging) -> Vec:
    """Unit normal of the background on the side of the lens."""
    panel = background(staging)
    normal: Vec = panel.normal
    return normal if float(normal @ (staging.camera.lens_m - panel.centre_m)) > 0 else -normal


def _steps(count: int) -> Array:
    return np.asarray((2 * np.arange(count) + 1) / count - 1)
