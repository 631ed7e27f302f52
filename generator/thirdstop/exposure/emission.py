"""How the luminous face of a lamp shines: relative luminance against the angle from its normal."""

import math
from functools import lru_cache

import numpy as np

from thirdstop.exposure.arrays import Floats
from thirdstop.staging.shapes import Beam, Emission, Emitter, Gridded, Outline
from thirdstop.typed import Array, Vec

_ROOT = math.sqrt(2.0)
_OCTAGON = 8.0 * (_ROOT - 1.0)
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0

_GRAZING = 1e-9
"""Cosine below which a wide beam grows no brighter."""

_MEAN_SQUARE = {"rectangle": 1 / 3, "ellipse": 1 / 4, "octagon": (4 + _ROOT) / (6 * (2 + _ROOT))}
"""Mean of x² over a face within half-widths of 1; of a regular polygon, R² (2 + cos 2π/n)/12."""


def relative_luminance(emission: Emission, cosine: Floats) -> Floats:
    """Luminance over the luminance along the normal, same shape as `cosine`; 0 behind the face."""
    front = np.maximum(cosine, 0.0)
    if isinstance(emission, Gridded):
        tangent = np.sqrt(np.maximum(1.0 - front * front, 0.0)) / np.maximum(front, 1e-12)
        return np.maximum(0.0, 1.0 - tangent / math.tan(math.radians(emission.cutoff_deg)))
    if isinstance(emission, Beam):
        # wider than 60° the luminance itself has no limit toward the edge of sight; its light has
        shining = np.power(np.maximum(front, _GRAZING), beam_exponent(emission) - 1.0)
        return np.asarray(shining * (cosine > 0))
    return np.asarray(cosine > 0, dtype=cosine.dtype)


def beam_exponent(beam: Beam) -> float:
    """The n of a luminous intensity that goes as cosⁿ and is half at the half-angle; 1 at 60°."""
    return math.log(0.5) / math.log(math.cos(math.radians(beam.half_angle_deg)))


def projected_integral_sr(emission: Emission) -> float:
    """∫ g(θ) cos θ dω over the half-space in front, in sr: light per unit area and axial luminance.

    π for a Lambertian face, 2π/(n+1) for a beam, π(1 − c/tan c) for a grid with cut-off c.
    """
    if isinstance(emission, Gridded):
        cutoff = math.radians(emission.cutoff_deg)
        return math.pi * (1.0 - cutoff / math.tan(cutoff))
    if isinstance(emission, Beam):
        return 2.0 * math.pi / (beam_exponent(emission) + 1.0)
    return math.pi


def face_area_m2(outline: Outline, half_u_m: Vec, half_v_m: Vec) -> float:
    """Area of a flat face with half-edges u and v, m²."""
    share = {"rectangle": 4.0, "ellipse": math.pi, "octagon": _OCTAGON}[outline]
    return share * float(np.linalg.norm(half_u_m) * np.linalg.norm(half_v_m))


@lru_cache(maxsize=64)
def face_samples(outline: Outline, count: int) -> Array:
    """Places evenly spread over a face, shape (about count, 2), in half-widths; each for an equal area.

    A rank-1 lattice with the golden ratio: its points never line up with a straight edge, as a square grid's
    do. A disc takes it through the concentric map (Shirley & Chiu, A Low Distortion Map Between Disk and
    Square, 1997); an octagon leaves out what falls off its corners. Then it is stretched a little, so that
    the places' mean squares are the face's own: with the symmetry, their sum is right for whatever varies as
    a polynomial of third degree, be they ever so few.
    """
    if outline == "octagon":
        square = _lattice(math.ceil(count * 4.0 / _OCTAGON))
        even = np.asarray(square[np.abs(square).sum(axis=1) < _ROOT])
    else:
        square = _lattice(count)
        even = concentric(square) if outline == "ellipse" else square
    found = _stretched(even, _MEAN_SQUARE[outline])
    found.flags.writeable = False  # kept for whoever asks next
    return found


def _lattice(count: int) -> Array:
    """Shape (count, 2), in [-1, 1]², with a partner opposite each place."""
    steps = np.arange(count) - (count - 1) / 2.0
    return 2.0 * np.stack([steps / count, np.mod(0.5 + steps * _GOLDEN, 1.0) - 0.5], axis=1)


def _stretched(places: Array, mean_square: float) -> Array:
    """Places whose mean squares along every axis are as asked; unchanged where they are too few for it."""
    if len(places) < 4:
        return places
    spread, axes = np.linalg.eigh(places.T @ places / len(places))
    return np.asarray(places @ (axes * np.sqrt(mean_square / spread)) @ axes.T)


def concentric(square: Array) -> Array:
    """Points of the square [-1, 1]² to the unit disc, area for area, shape (..., 2)."""
    a, b = square[..., 0], square[..., 1]
    wide = np.abs(a) > np.abs(b)
    radius = np.where(wide, a, b)
    safe = np.where(radius == 0, 1.0, radius)
    angle = np.where(wide, (np.pi / 4) * b / safe, np.pi / 2 - (np.pi / 4) * a / safe)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=-1)


def rectangle_m(emitter: Emitter) -> Array:
    """Corners of the rectangle about an emitter's face, in turn, shape (4, 3), metres."""
    edges = np.stack([emitter.half_u_m, emitter.half_v_m])
    return np.asarray(emitter.centre_m + np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)]) @ edges)


def reach_m(emitter: Emitter) -> float:
    """How far an emitter's rectangle reaches from its middle, metres."""
    return float(np.hypot(np.linalg.norm(emitter.half_u_m), np.linalg.norm(emitter.half_v_m)))


def emitter_samples_m(emitter: Emitter, count: int) -> Array:
    """Places evenly spread over an emitter's face, shape (≤ count, 3), metres."""
    uv = face_samples(emitter.outline, count)
    return emitter.centre_m + uv[:, :1] * emitter.half_u_m + uv[:, 1:] * emitter.half_v_m
