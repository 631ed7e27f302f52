"""Luminous faces: how they shine and how they are sampled."""

import math

import numpy as np
import pytest

from exposure.sets import lamp, point, vec
from thirdstop.exposure.direct import direct_light
from thirdstop.exposure.emission import (
    beam_exponent,
    face_area_m2,
    face_samples,
    projected_integral_sr,
    relative_luminance,
)
from thirdstop.exposure.flash import direct_exposure, luminance_from_reading
from thirdstop.exposure.receivers import on_surfaces
from thirdstop.exposure.sight import Blockers, sight
from thirdstop.staging.shapes import Beam, Emission, Gridded, Lambertian, Outline


@pytest.mark.parametrize(
    "emission", [Lambertian(), Gridded(40.0), Gridded(15.0), Beam(60.0), Beam(20.0), Beam(75.0)]
)
def test_projected_integral_is_the_sum_over_directions(emission: Emission) -> None:
    """∫ g cos dω in closed form is what a fine sum over the half-space gives."""
    angle = (np.arange(400000) + 0.5) / 400000 * math.pi / 2
    shine = relative_luminance(emission, np.cos(angle)) * np.cos(angle) * np.sin(angle)

    assert projected_integral_sr(emission) == pytest.approx(
        2 * math.pi * shine.mean() * math.pi / 2, rel=1e-5
    )


def test_beam_of_60_degrees_is_lambertian() -> None:
    """Half the intensity at 60° is the cosine law."""
    assert beam_exponent(Beam(60.0)) == pytest.approx(1)
    assert projected_integral_sr(Beam(60.0)) == pytest.approx(math.pi)


@pytest.mark.parametrize("half_angle_deg", [20.0, 45.0, 75.0])
def test_beam_is_half_at_its_half_angle(half_angle_deg: float) -> None:
    """Luminous intensity, luminance × cosine, is half at the half-angle."""
    cosine = np.array([math.cos(math.radians(half_angle_deg))])

    assert float((relative_luminance(Beam(half_angle_deg), cosine) * cosine)[0]) == pytest.approx(0.5)


def test_grid_ends_at_its_cutoff() -> None:
    """A grid falls with the tangent, half at half the cut-off's tangent, and is dark beyond it."""
    tangent = math.tan(math.radians(40.0)) * np.array([0.0, 0.5, 1.0, 1.5])

    assert relative_luminance(Gridded(40.0), 1 / np.sqrt(1 + tangent**2)) == pytest.approx([1, 0.5, 0, 0])


@pytest.mark.parametrize("emission", [Lambertian(), Gridded(40.0), Beam(30.0), Beam(61.0), Beam(85.0)])
def test_nothing_shines_backward(emission: Emission) -> None:
    """Behind its face a lamp is dark."""
    assert relative_luminance(emission, np.array([-1.0, -0.3, 0.0])) == pytest.approx(0)


@pytest.mark.parametrize("half_angle_deg", [61.0, 75.0, 85.0])
def test_a_wide_beam_fades_to_its_edge(half_angle_deg: float) -> None:
    """Wider than 60° its luminance grows toward grazing without limit; its intensity still falls to none."""
    cosine = np.array([1e-2, 1e-6, 1e-12, 0.0])
    intensity = relative_luminance(Beam(half_angle_deg), cosine) * cosine

    assert np.isfinite(intensity).all()
    assert (np.diff(intensity) < 0).all()
    assert intensity[-1] == 0


def test_a_place_close_before_a_narrow_beam_finds_what_shines_at_it() -> None:
    """Three centimetres before a large face it is as before one without end: the luminance times the
    projected solid angle in which a beam shines, ∫ g cos dω, though few samples of the face find next to
    nothing of it beside what a place farther off gets.
    """
    face = lamp("key", vec(0, 0, 1), vec(0, -1, 0), 1.2, "rectangle", Beam(22.0), 100.0)
    blockers, even = Blockers((face,), ()), 100 * projected_integral_sr(Beam(22.0))
    places = np.array([vec(x, -0.03, 1 + z) for x in (-0.2, -0.07, 0.0, 0.13) for z in (-0.19, 0.0, 0.11)])
    at = on_surfaces(places, np.tile(vec(0, 1, 0), (len(places), 1)), sight(blockers, places))

    assert direct_light(face, blockers, at, 18, 1, even) == pytest.approx(even, rel=0.05)


# Areas: π a b; regular octagon 2(√2 − 1)·across² (Euclidean geometry).
@pytest.mark.parametrize(
    ("outline", "area_m2"),
    [("rectangle", 1.2), ("ellipse", 0.3 * math.pi), ("octagon", 1.2 * 2 * (math.sqrt(2) - 1))],
)
def test_area(outline: Outline, area_m2: float) -> None:
    """Area of a face 1.0 × 1.2 m across."""
    assert face_area_m2(outline, vec(0.5, 0, 0), vec(0, 0.6, 0)) == pytest.approx(area_m2)


_CORNER = 2 - math.sqrt(2)
"""Leg of the triangle that an octagon lacks at each corner of its square, in half-widths."""

# Mean square across of evenly spread points: 1/3, 1/4, and the square's less four corners (by integration).
_OCTAGON_MOMENT = (
    4 / 3 - 4 * (_CORNER**4 / 4 + 2 * (1 - _CORNER) * _CORNER**3 / 3 + (1 - _CORNER) ** 2 * _CORNER**2 / 2)
) / (8 * (math.sqrt(2) - 1))


@pytest.mark.parametrize("count", [8, 13, 18, 55, 610])
@pytest.mark.parametrize(
    ("outline", "moment"), [("rectangle", 1 / 3), ("ellipse", 1 / 4), ("octagon", _OCTAGON_MOMENT)]
)
def test_samples_have_the_moments_of_the_shape(outline: Outline, moment: float, count: int) -> None:
    """First to third moments of the samples are those of the shape, be they few or many; none lies off it by
    more than the stretching of a few.
    """
    u, v = face_samples(outline, count).T

    odd = [u, v, u**3, u**2 * v, u * v**2, v**3, u * v]
    assert [values.mean() for values in odd] == pytest.approx([0] * 7, abs=1e-12)
    assert [(u**2).mean(), (v**2).mean()] == pytest.approx([moment, moment], rel=1e-12)
    assert max(np.abs(u).max(), np.abs(v).max()) < (1.0 if count > 50 else 1.05)


def test_few_samples_give_the_light_of_many() -> None:
    """A face a metre square, a metre above a small receiver below its middle: eighteen samples are within two
    thousandths of the exact factor (Howell B-3, four times over).
    """
    x, y = face_samples("rectangle", 18).T / 2
    square = x * x + y * y + 1.0
    few = float((1.0 / (np.pi * square**2)).mean())
    reach = 0.5 / math.sqrt(1.25)
    exact = 4 / (2 * math.pi) * 2 * reach * math.atan(reach)

    assert few == pytest.approx(exact, rel=2e-3)


def test_luminance_from_reading_gives_the_reading() -> None:
    """A lamp charged from a reading reads just that, whatever luminance it had before."""
    key = lamp(emission=Beam(35.0), luminance=17.0)
    on_axis = point("meter", key.centre_m + 2.0 * key.normal, -key.normal, "dome")
    luminance = luminance_from_reading(key, on_axis, 217.6)
    charged = lamp(emission=Beam(35.0), luminance=luminance)

    assert direct_exposure(charged, on_axis) == pytest.approx(217.6)
    with pytest.raises(ValueError, match="'meter' sees nothing of 'key'"):
        luminance_from_reading(key, point("meter", key.centre_m - key.normal, key.normal), 1.0)
