"""Light straight from a lamp's face: exact for a Lambertian face in full view, by samples otherwise."""

import numpy as np

from thirdstop.exposure.arrays import Index, Single, raise_to
from thirdstop.exposure.emission import (
    emitter_samples_m,
    face_area_m2,
    reach_m,
    rectangle_m,
    relative_luminance,
)
from thirdstop.exposure.factors import receptor_illuminance, receptor_weight
from thirdstop.exposure.receivers import Receivers
from thirdstop.exposure.sight import Blockers, Sight, sight, surely_hidden, transmission
from thirdstop.staging.shapes import Beam, Emitter, Lambertian, Panel, outline_points
from thirdstop.typed import Array, Mask

_NEAR = 1.5
"""Exact factors within this many half-diagonals of a lamp's face where samples are few; elsewhere always."""

_MANY = 200
"""From so many samples on, a receptor is a measuring point rather than one place of a surface."""

_MOST_PARTLY = 377
"""No more samples than this where part of a face is hidden, however near."""

_BLOCK = 60_000
"""Pairs of a receiver and a sample at a time: what stays in a processor's cache."""

_TELLING = 160
"""So many samples must as good as make up the light of a measuring point."""

_MORE = 4
"""How many times the samples a place gets that is near for the lamp's size; the square of it if very near."""


def direct_light(
    emitter: Emitter,
    blockers: Blockers,
    at: Receivers,
    samples: int,
    partly: int = 1,
    beside_lx_s: float = 0.0,
) -> Array:
    """Luminous exposure for the emitter's own luminance at receivers, shape (n,), lx·s.

    `samples` places on the face, and up to sixteen times as many for receivers that are near for its size;
    `partly` times as many where something hides part of the face. `beside_lx_s` is the most that receivers
    get beside which these are of little weight.
    """
    beside = beside_lx_s / max(emitter.luminance_cd_s_m2, 1e-300)
    light = np.zeros(len(at.place_m))
    rows = np.flatnonzero(_may_see(emitter, at))
    needed = _needed(emitter, at.place_m[rows], samples)
    steps = (
        (1, needed <= samples),
        (_MORE, needed > samples),
        (_MORE**2, needed > _MORE * samples),
    )
    for times, wanted in steps:
        part = rows[wanted if times <= _MORE else wanted & _worth(emitter, light[rows], samples, beside)]
        if len(part):
            light[part] = _by_samples(emitter, blockers, at[part], times * samples, partly)
    return emitter.luminance_cd_s_m2 * light


def _worth(emitter: Emitter, light: Array, samples: int, beside: float) -> Mask:
    """Which receivers are worth most samples: points, and places with a hundredth of the brightest one's; all
    before a beam, of which few samples may miss what shines there.
    """
    if samples >= _MANY or not isinstance(emitter.emission, Lambertian):
        return np.ones(len(light), dtype=bool)
    return np.asarray(light > 0.01 * light.max(initial=beside))


def _may_see(emitter: Emitter, at: Receivers) -> Mask:
    """Which receivers lie before the face and have some of its rectangle over their horizon, shape (n,)."""
    height = at.direction @ rectangle_m(emitter).T - np.einsum("ni,ni->n", at.direction, at.place_m)[:, None]
    return np.asarray(
        ((at.place_m - emitter.centre_m) @ emitter.normal > 0) & ((height > 0).any(axis=1) | at.dome)
    )


def _needed(emitter: Emitter, places_m: Array, samples: int) -> Array:
    """How many samples make their spacing a fair share of the distance to the face, shape (n,), from 1."""
    spacing = emission_width(emitter) / (24.0 if samples >= _MANY else 9.0)
    area = face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m)
    near = np.maximum(face_distance_m(emitter, places_m), 1e-3)
    return np.asarray(np.maximum(area / (spacing * near) ** 2, 1.0))


def emission_width(emitter: Emitter) -> float:
    """Width of the emission in units of the distance: 3 for a Lambertian face, less for a narrow beam."""
    emission = emitter.emission
    if isinstance(emission, Lambertian):
        return 3.0
    edge_deg = emission.half_angle_deg if isinstance(emission, Beam) else emission.cutoff_deg
    return min(3.0, 3.0 * float(np.tan(np.radians(edge_deg))))


def face_distance_m(face: Panel | Emitter, places_m: Array) -> Array:
    """Distance to the nearest place on the face's rectangle, shape (n,)."""
    u, v = face.half_u_m, face.half_v_m
    lengths = np.sqrt([u @ u, v @ v])
    along, across, height = (
        np.array([u / lengths[0], v / lengths[1], face.normal]) @ (places_m - face.centre_m).T
    )
    beside = np.maximum(np.abs(along) - lengths[0], 0.0), np.maximum(np.abs(across) - lengths[1], 0.0)
    return np.asarray(np.sqrt(height**2 + beside[0] ** 2 + beside[1] ** 2))


def _by_samples(emitter: Emitter, blockers: Blockers, at: Receivers, samples: int, partly: int) -> Array:
    """Light for unit luminance, shape (n,); a place that sees part of the face gets more samples of it."""
    light, telling, share = _sampled(emitter, blockers, at, samples)
    more = min(partly * samples, _MOST_PARTLY)
    if more > samples:
        # Where no sample is seen, some of the face may be seen between them.
        dark = np.flatnonzero(share == 0.0)
        share[dark[_sees_nothing(emitter, blockers, at.seen[dark])]] = 1.0
        hidden = np.flatnonzero(share < 0.999)
        if len(hidden):
            light[hidden] = _sampled(emitter, blockers, at[hidden], more)[0]
    for times, least in ((_MORE, _TELLING), (_MORE**2, _TELLING / _MORE)):
        few = np.flatnonzero((light > 0) & (telling < least))
        if samples >= _MANY and len(few):
            light[few] = _sampled(emitter, blockers, at[few], times * samples)[0]
    return light


def _sees_nothing(emitter: Emitter, blockers: Blockers, seen: Sight) -> Mask:
    """Places from which all of a lamp's rectangle is surely hidden, shape (n,)."""
    corners = sight(blockers, rectangle_m(emitter), on_flat=own_flat(emitter, blockers))
    return surely_hidden(blockers, seen, corners)


def own_flat(emitter: Emitter, blockers: Blockers) -> int:
    """Which of the flat faces a lamp's own is; -2 for none."""
    return next((k for k, face in enumerate(blockers.flats) if face is emitter), -2)


def _sampled(emitter: Emitter, blockers: Blockers, at: Receivers, samples: int) -> tuple[Array, Array, Array]:
    """Light for unit luminance, how many samples as good as make it up, the share that passes: all (n,)."""
    faces = emitter_samples_m(emitter, samples)
    seen = sight(blockers, faces, on_flat=own_flat(emitter, blockers))
    step = max(8, _BLOCK // len(faces))
    whole, light, squares = np.zeros((3, len(at.place_m)))
    for start in range(0, len(whole), step):
        part = slice(start, start + step)
        weight = _sample_weights(emitter, faces, at[part])
        whole[part] = weight.sum(axis=1)
        weight *= transmission(blockers, at.seen[part], seen)
        light[part] = weight.sum(axis=1)
        squares[part] = np.einsum("ns,ns->n", weight, weight)
    share = light / np.maximum(whole, 1e-300)
    telling = light * light / np.maximum(squares, 1e-300)
    if isinstance(emitter.emission, Lambertian):
        near = np.flatnonzero((light > 0) & _is_near(emitter, at.place_m, samples))
        if len(near):
            light[near] *= _whole_light(emitter, at, near, samples) / whole[near]
    return light, telling, share


def _sample_weights(emitter: Emitter, faces: Array, at: Receivers) -> Single:
    """Illuminance from each sample's share of the face at unit axial luminance, shape (n, samples)."""
    share_m2 = face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m) / len(faces)
    # |p − y|² and both projections as products, to make no (n, samples, 3) array; all from the face's middle,
    # near which single precision is finest.
    place, face = at.place_m - emitter.centre_m, faces - emitter.centre_m
    samples = _columns(face, np.ones(len(face)), np.einsum("si,si->s", face, face)).T
    height = -np.einsum("ni,ni->n", place, at.direction)
    square = _columns(-2.0 * place, np.einsum("ni,ni->n", place, place), np.ones(len(place))) @ samples
    # A place nearer than its sample's own size sees a disc, not a point.
    raise_to(share_m2 / np.pi, square)
    inverse = 1.0 / np.sqrt(square)
    weight: Single = receptor_weight(
        (_columns(at.direction, height) @ samples[:4]) * inverse, at.dome[:, None]
    )
    leaving = (place @ emitter.normal).astype(np.float32)[:, None] * inverse
    weight *= leaving
    if not isinstance(emitter.emission, Lambertian):
        weight *= relative_luminance(emitter.emission, leaving)
    weight /= square
    weight *= np.float32(share_m2)
    return weight


def _columns(*parts: Array) -> Single:
    """Arrays (n, …) side by side, in single precision."""
    side_by_side: Array = np.column_stack(parts)
    return side_by_side.astype(np.float32)


def _is_near(emitter: Emitter, places_m: Array, samples: int) -> Mask:
    if samples >= _MANY:
        return np.ones(len(places_m), dtype=bool)
    return np.asarray(np.linalg.norm(places_m - emitter.centre_m, axis=1) < _NEAR * reach_m(emitter))


def _whole_light(emitter: Emitter, at: Receivers, near: Index, samples: int) -> Array:
    """Exact light of a Lambertian face in full view for unit luminance, shape (near,)."""
    polygon = _edge(emitter, 96 if samples >= _MANY else 16)
    return receptor_illuminance(polygon[None] - at.place_m[near][:, None], at.direction[near], at.dome[near])


def _edge(emitter: Emitter, segments: int) -> Array:
    """The face's outline, shape (n, 3); an ellipse as a polygon of the same area."""
    if emitter.outline != "ellipse":
        return emitter.corners_m
    turn = 2.0 * np.pi / segments
    swell = float(np.sqrt(turn / np.sin(turn)))
    return outline_points(
        "ellipse", emitter.centre_m, swell * emitter.half_u_m, swell * emitter.half_v_m, segments
    )
