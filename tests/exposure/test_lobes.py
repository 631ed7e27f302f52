"""The metallised lobe: energy, reciprocity, and the mirror that it nears."""

import math

import numpy as np
import pytest

from exposure.sets import BLACK, far_room, lamp, panel, point, vec
from thirdstop.exposure.flash import direct_exposure
from thirdstop.exposure.lobes import mirrors, throw
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.sides import sides_of
from thirdstop.exposure.sight import Blockers
from thirdstop.exposure.surfaces import diffuse_albedo, lobe, lobe_albedo, lobe_scale
from thirdstop.exposure.transport import solve
from thirdstop.staging.materials import Matte, Metallised
from thirdstop.staging.shapes import Beam
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

FAR_ROOM = far_room()


def directions(count: int) -> tuple[Array, Array]:
    """Directions over the half-space of +z, and their weights cos θ dω."""
    s = (np.arange(count) + 0.5) / count
    turn = 2 * math.pi * (np.arange(2 * count) + 0.5) / (2 * count)
    sine, angle = (a.ravel() for a in np.meshgrid(np.sqrt(s), turn, indexing="ij"))
    vectors = np.stack([sine * np.cos(angle), sine * np.sin(angle), np.sqrt(1 - sine**2)], axis=1)
    return vectors, np.full(len(vectors), math.pi / len(vectors))


def brdf(alpha: float, arriving: Array, leaving: Array) -> Array:
    """The lossless lobe for unit vectors about the normal +z."""
    half = arriving + leaving
    half_cosine_square = half[:, 2] ** 2 / (half * half).sum(axis=1)
    return lobe(
        alpha, arriving[:, 2] * np.ones(len(half)), leaving[:, 2] * np.ones(len(half)), half_cosine_square
    )


@pytest.mark.parametrize("alpha", [0.15, 0.3, 0.5])
@pytest.mark.parametrize("cosine", [1.0, 0.7, 0.3])
def test_albedo_is_the_sum_over_directions(alpha: float, cosine: float) -> None:
    """What the lobe returns by facets is what its BRDF returns over all directions, and never more than 1."""
    out, weight = directions(700)
    arriving = np.array([[math.sqrt(1 - cosine**2), 0, cosine]])

    assert lobe_albedo(alpha, cosine) == pytest.approx(float(brdf(alpha, arriving, out) @ weight), rel=3e-3)
    assert lobe_albedo(alpha, cosine) < 1


def test_lobe_is_reciprocal() -> None:
    """Light goes the same way back: the BRDF is symmetric (Walter et al. 2007)."""
    rng = np.random.default_rng(1)
    a, b = rng.normal(size=(2, 50, 3))
    a, b = (np.abs(v) / np.linalg.norm(v, axis=1)[:, None] for v in (a, b))

    assert brdf(0.3, a, b) == pytest.approx(brdf(0.3, b, a))


def test_lobe_and_matte_return_the_stated_reflectance() -> None:
    """At normal incidence lobe and matte part together return `reflectance`."""
    silver = Metallised(0.8, 0.3, 0.25)

    assert 0.8 * 0.25 + lobe_scale(silver) * lobe_albedo(0.3, 1.0) == pytest.approx(0.8)
    assert lobe_scale(silver) * diffuse_albedo(0.3) < 0.6


def test_throw_is_the_brdf() -> None:
    """The quadrature's radiance for one ray of light is BRDF × illuminance."""
    card = panel("silver", vec(0, 0, 0), vec(0, 0, 1), 0.1, 0.1, Metallised(0.8, 0.3, 0.25))
    mirror = mirrors(sides_of(FAR_ROOM, (card,)), Blockers((card,), ()), 1)[0]
    arriving, leaving = vec(0.6, 0, 0.8), np.array([[0, 0.6, 0.8], [-0.6, 0, 0.8], [0, 0.8, -0.6]])
    radiance = throw(mirror, arriving[None, None], np.array([[5.0]]), leaving[None])[0]
    expected = 5.0 * mirror.scale * brdf(0.3, arriving[None], leaving)

    assert radiance == pytest.approx(expected, rel=1e-5)  # single precision
    assert radiance[2] == 0


def test_smooth_silver_nears_a_mirror() -> None:
    """A nearly smooth fabric shows a point the lamp's image behind it, times its reflectance: the reading is
    that of the mirrored lamp, seen whole.
    """
    card = panel("silver", vec(0, 0, 0), vec(0, 0, 1), 1.6, 1.6, Metallised(0.8, 0.1, 0.0), BLACK)
    key = lamp(centre=vec(-0.8, 0, 1.0), normal=vec(0, 0, -1), size_m=0.6, outline="rectangle")
    eye = point("eye", vec(0.8, 0, 1.0), vec(0, 0, -1))
    quality = Quality(lobe_cells=6400, lobe_lamp_samples=144)
    bounced = solve(Scene((*FAR_ROOM, card), (), (key,), (eye,)), quality).bounced_lx_s[0, 0, 6]
    image = lamp(centre=vec(-0.8, 0, -1.0), normal=vec(0, 0, 1), size_m=0.6, outline="rectangle")

    # The lobe still has a width of some 6°, which blurs the image; 3 %.
    assert bounced == pytest.approx(0.8 * direct_exposure(image, eye), rel=0.03)


def test_all_matte_metallised_is_matte() -> None:
    """A metallised side without a lobe reads as the matte one of its reflectance."""
    key = lamp(centre=vec(0, 0.7, 1.2), normal=vec(0, -0.5, -1), emission=Beam(30.0))
    eye = point("eye", vec(0.3, -0.6, 0.8), vec(0, 0.5, -1), "dome")
    readings = [
        solve(
            Scene(
                (*FAR_ROOM, panel("card", vec(0, 0, 0), vec(0, 0, 1), 1, 1, front, BLACK)), (), (key,), (eye,)
            )
        ).total_lx_s
        for front in (Metallised(0.8, 0.3, 1.0), Matte(0.8))
    ]

    assert readings[0] == pytest.approx(readings[1])
