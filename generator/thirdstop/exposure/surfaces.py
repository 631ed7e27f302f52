"""What surfaces return: shares of light for the exchange, and the microfacet lobe of metallised fabric."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from thirdstop.staging.materials import Material, Matte, Metallised
from thirdstop.typed import Array


@dataclass(frozen=True)
class Finish:
    """Exitance for illuminance."""

    direct: float
    """For the lamps' light, without a metallised lobe, which is computed by itself."""
    indirect: float
    """For all other light, where a lobe counts as matte."""
    through: float
    """For light on the other side."""


def finish_of(material: Material, stops: float) -> Finish:
    """Shares of a material that acts on the share `stops` of the light that arrives."""
    if isinstance(material, Matte):
        return Finish(stops * material.reflectance, stops * material.reflectance, 0.0)
    if isinstance(material, Metallised):
        matte = stops * material.reflectance * material.matte_share
        lobe = stops * lobe_scale(material) * diffuse_albedo(material.roughness)
        return Finish(matte, matte + lobe, 0.0)
    returned = stops * material.reflectance
    return Finish(returned, returned, stops * material.transmittance)


def lobe_scale(material: Metallised) -> float:
    """Factor on a lossless lobe, so that lobe and matte part return `reflectance` at normal incidence."""
    return material.reflectance * (1.0 - material.matte_share) / lobe_albedo(material.roughness, 1.0)


def shadowing(cosine: Array, alpha: float) -> Array:
    """Smith's G1 for GGX (Walter et al., Microfacet Models for Refraction through Rough Surfaces, 2007)."""
    square = np.maximum(cosine * cosine, 1e-12)
    return np.asarray(2.0 / (1.0 + np.sqrt(1.0 + alpha * alpha * (1.0 / square - 1.0))))


def lobe(alpha: float, cos_in: Array, cos_out: Array, half_cosine_square: Array) -> Array:
    """The lossless GGX lobe's BRDF in 1/sr: D·G1(in)·G1(out)/(4 cos cos); 0 below either horizon."""
    a2 = alpha * alpha
    facets = a2 / (np.pi * (half_cosine_square * (a2 - 1.0) + 1.0) ** 2)
    i, o = np.maximum(cos_in, 1e-6), np.maximum(cos_out, 1e-6)
    value = facets * shadowing(i, alpha) * shadowing(o, alpha) / (4.0 * i * o)
    return np.asarray(np.where((cos_in > 0) & (cos_out > 0), value, 0.0))


@lru_cache(maxsize=256)
def lobe_albedo(alpha: float, cosine: float) -> float:
    """Share of light at this cosine of incidence that the lossless lobe returns (quadrature over facets)."""
    tilt = (np.arange(400) + 0.5) / 400  # share of D cos θ_h, so tan² = α² u/(1 − u)
    turn = 2 * np.pi * (np.arange(128) + 0.5) / 128
    half_cos = 1.0 / np.sqrt(1.0 + alpha * alpha * tilt / (1.0 - tilt))[:, None]
    half_sin = np.sqrt(1.0 - half_cos**2)
    sine = np.sqrt(max(0.0, 1.0 - cosine * cosine))
    facing = sine * half_sin * np.cos(turn) + cosine * half_cos
    out = 2.0 * facing * half_cos - cosine
    seen = (facing > 0) & (out > 0)
    both = shadowing(np.array(cosine), alpha) * shadowing(out, alpha)
    return float(np.where(seen, both * facing / (cosine * half_cos), 0.0).mean())


@lru_cache(maxsize=64)
def diffuse_albedo(alpha: float) -> float:
    """Share of diffuse light that the lossless lobe returns."""
    nodes, weights = np.polynomial.legendre.leggauss(24)
    cosines = 0.5 * (nodes + 1.0)
    return float(sum(w * c * lobe_albedo(alpha, float(c)) for w, c in zip(weights, cosines, strict=True)))
