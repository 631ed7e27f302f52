"""Light straight from a lamp's face: exact for a Lambertian face in full view, by samples otherwise."""

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.emission import emitter_samples_m, face_area_m2, relative_luminance
from thirdstop.exposure.factors import receptor_illuminance, receptor_weight
from thirdstop.exposure.sight import Blockers, Sight, sight, transmission
from thirdstop.staging.shapes import Emitter, Lambertian, outline_points
from thirdstop.typed import Array, Mask

_NEAR = 1.5
"""Exact factors within this many half-diagonals of a lamp's face where samples are few; elsewhere always."""


def direct_light(
    emitter: Emitter,
    blockers: Blockers,
    places_m: Array,
    directions: Array,
    dome: Mask,
    seen: Sight,
    samples: int,
) -> Array:
    """Luminous exposure for the emitter's own luminance at receptors, shape (n,), lx·s.

    Places and directions (n, 3); `dome` (n,) tells the receptor; `seen` are the places as blockers see them.
    """
    light = np.zeros(len(places_m))
    front = np.flatnonzero((places_m - emitter.centre_m) @ emitter.normal > 0)
    if len(front) == 0:
        return light
    faces = emitter_samples_m(emitter, samples)
    own = next((k for k, face in enumerate(blockers.flats) if face is emitter), -2)
    passed = transmission(blockers, seen[front], sight(blockers, faces, on_flat=own))
    weight = _sample_weights(emitter, faces, places_m[front], directions[front], dome[front])
    light[front] = (weight * passed).sum(axis=1)
    if isinstance(emitter.emission, Lambertian):
        _make_exact(emitter, light, front, weight, places_m, directions, dome)
    return emitter.luminance_cd_s_m2 * light


def _sample_weights(emitter: Emitter, faces: Array, places: Array, directions: Array, dome: Mask) -> Array:
    """Illuminance from each sample's share of the face at unit axial luminance, shape (n, samples)."""
    share_m2 = face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m) / len(faces)
    # |p − y|² and both projections as products, to make no (n, samples, 3) array.
    square = (
        np.einsum("ni,ni->n", places, places)[:, None]
        - 2.0 * places @ faces.T
        + np.einsum("si,si->s", faces, faces)[None]
    )
    # A place nearer than its sample's own size sees a disc, not a point.
    square = np.maximum(square, share_m2 / np.pi)
    inverse = 1.0 / np.sqrt(square)
    leaving = ((places - emitter.centre_m) @ emitter.normal)[:, None] * inverse
    arriving = (directions @ faces.T - np.einsum("ni,ni->n", places, directions)[:, None]) * inverse
    bright = relative_luminance(emitter.emission, leaving) * leaving
    return np.asarray(share_m2 * bright * receptor_weight(arriving, dome[:, None]) / square)


def _make_exact(
    emitter: Emitter,
    light: Array,
    front: Index,
    weight: Array,
    places: Array,
    directions: Array,
    dome: Mask,
) -> None:
    """Near a Lambertian face: the exact light of the whole face × the share of it that is seen."""
    count = weight.shape[1]
    reach = _NEAR * float(np.hypot(np.linalg.norm(emitter.half_u_m), np.linalg.norm(emitter.half_v_m)))
    close = light[front] > 0
    if count < 200:
        close &= np.linalg.norm(places[front] - emitter.centre_m, axis=1) < reach
    near = front[close]
    if len(near) == 0:
        return
    polygon = _edge(emitter, 256 if count >= 200 else 16)
    exact = receptor_illuminance(polygon[None] - places[near][:, None], directions[near], dome[near])
    whole = weight[close].sum(axis=1)
    light[near] = exact * light[near] / whole


def _edge(emitter: Emitter, segments: int) -> Array:
    """The face's outline, shape (n, 3); an ellipse as a polygon of the same area."""
    if emitter.outline != "ellipse":
        return emitter.corners_m
    turn = 2.0 * np.pi / segments
    swell = float(np.sqrt(turn / np.sin(turn)))
    return outline_points(
        "ellipse", emitter.centre_m, swell * emitter.half_u_m, swell * emitter.half_v_m, segments
    )
