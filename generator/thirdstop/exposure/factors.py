"""Exact light from flat polygons of uniform luminance: Lambert's contour formula, and the dome's.

All take polygons relative to the place that is lit, shape (..., n, 3), convex, and give the illuminance for
unit luminance, so π × the configuration factor.
"""

import numpy as np

from thirdstop.exposure.arrays import Floats, raise_to
from thirdstop.typed import Array, Mask

_TINY = 1e-300


def cross(a: Array, b: Array) -> Array:
    """Cross product over the last axis, shape (..., 3); quicker than numpy's for small arrays."""
    product = np.empty(np.broadcast_shapes(a.shape, b.shape))
    product[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    product[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    product[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return product


def _next(array: Array, axis: int) -> Array:
    """The array with its first entry along an axis moved to the end."""
    first, rest = np.split(array, [1], axis=axis)
    return np.concatenate([rest, first], axis=axis)


def _edge_vectors(start: Array, end: Array) -> Array:
    """½ γ Γ of each edge as seen from the origin, shape (..., 3): γ the angle, Γ the unit normal."""
    normal = cross(start, end)
    length = np.sqrt(np.einsum("...i,...i->...", normal, normal))
    angle = np.arctan2(length, np.einsum("...i,...i->...", start, end))
    return np.asarray(normal * (0.5 * angle / np.maximum(length, _TINY))[..., None])


def flux_vector(polygon: Array) -> Array:
    """∫ ω dω over the polygon's solid angle, shape (..., 3); positive along the view when the polygon runs
    clockwise as seen from the origin (so: counter-clockwise seen from the side that it does not show).
    """
    return np.asarray(_edge_vectors(polygon, _next(polygon, -2)).sum(axis=-2))


def solid_angle_sr(polygon: Array) -> Array:
    """Solid angle, shape (...), unsigned (van Oosterom & Strackee, IEEE Trans. Biomed. Eng. 30:125, 1983)."""
    square = np.einsum("...i,...i->...", polygon, polygon)
    unit = polygon / np.sqrt(np.maximum(square, _TINY))[..., None]
    a, b, c = unit[..., :1, :], unit[..., 1:-1, :], unit[..., 2:, :]
    triple = np.einsum("...i,...i->...", a, cross(b, c))
    plain = 1.0 + np.einsum("...i,...i->...", a, b + c) + np.einsum("...i,...i->...", b, c)
    return np.asarray(np.abs(2.0 * np.arctan2(triple, plain).sum(axis=-1)))


def dome_illuminance(polygon: Array, direction: Array) -> Array:
    """Illuminance of a dome looking along `direction` (..., 3) for unit luminance, shape (...).

    The cardioid (1 + cos θ)/2 integrates to ½(Ω + n·Φ), with no horizon to clip at.
    """
    flux = _outward(polygon, flux_vector(polygon))
    return np.asarray(0.5 * (solid_angle_sr(polygon) + np.einsum("...i,...i->...", flux, direction)))


def _outward(polygon: Array, flux: Array) -> Array:
    """The flux vector with the sign that points from the origin to the polygon."""
    side = np.einsum("...i,...i->...", flux, polygon.mean(axis=-2))
    return np.asarray(np.where(side < 0, -1.0, 1.0)[..., None] * flux)


def flat_illuminance(polygon: Array, normal: Array) -> Array:
    """Illuminance of a flat receptor with unit normal (..., 3) for unit luminance, shape (...).

    The polygon is cut at the receptor's horizon first (Baum, Rushmeier & Winget, Improving Radiosity
    Solutions Through the Use of Analytically Determined Form-Factors, 1989).
    """
    start, end = polygon, _next(polygon, -2)
    height = np.einsum("...ni,...i->...n", start, normal)
    next_height = _next(height, -1)
    rise, up, next_up = next_height - height, height > 0, next_height > 0
    share = np.where(up != next_up, -height / np.where(rise == 0, 1.0, rise), 0.0)
    cut = start + share[..., None] * (end - start)
    first = np.where((~up & next_up)[..., None], cut, start)
    last = np.where((up & ~next_up)[..., None], cut, end)
    kept = (up | next_up)[..., None]
    edges = np.where(kept, _edge_vectors(first, last), 0.0).sum(axis=-2)
    # Close the cut polygon along the horizon, from where it leaves to where it enters.
    leave = np.where((up & ~next_up)[..., None], cut, 0.0).sum(axis=-2)
    enter = np.where((~up & next_up)[..., None], cut, 0.0).sum(axis=-2)
    total = edges + _edge_vectors(leave, enter)
    return np.asarray(np.abs(np.einsum("...i,...i->...", total, normal)))


def receptor_illuminance(polygon: Array, direction: Array, dome: Mask) -> Array:
    """Flat or dome illuminance for unit luminance by the mask `dome`, broadcast over (...)."""
    shape = np.broadcast_shapes(polygon.shape[:-2], direction.shape[:-1], np.shape(dome))
    polygons = np.broadcast_to(polygon, (*shape, *polygon.shape[-2:]))
    directions = np.broadcast_to(direction, (*shape, 3))
    domes = np.broadcast_to(dome, shape)
    light = np.zeros(shape)
    if not domes.all():
        light[~domes] = flat_illuminance(polygons[~domes], directions[~domes])
    if domes.any():
        light[domes] = dome_illuminance(polygons[domes], directions[domes])
    return light


def receptor_weight(cosine: Floats, dome: Mask) -> Floats:
    """What a receptor makes of light at an angle: max(0, cos θ) flat, (1 + cos θ)/2 for a dome."""
    flat = cosine.copy()
    raise_to(0.0, flat)
    return np.where(dome, 0.5 * (1.0 + cosine), flat) if dome.any() else flat
