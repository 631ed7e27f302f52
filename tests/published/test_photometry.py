"""Photographic exposure and flash against published values. Each table names its source."""

import math
from typing import Literal

import numpy as np
import pytest

from exposure.stagings import CLICKS, lamp_place, staging, transport, two_lamps
from thirdstop.exposure import flash, stops
from thirdstop.exposure.meter import read
from thirdstop.staging.shapes import Beam, Emitter, Lambertian, Outline
from thirdstop.staging.staging import TargetPlace

# Exact f-numbers 2^(Av/2) and the marks of common camera scales (ISO 517:2008 gives markings and tolerances;
# the marked numbers are those of camera handbooks, by secondary pages).
F_NUMBERS = [
    (1, 1.414214, "f/1.4", -0.0291),
    (3, 2.828427, "f/2.8", -0.0291),
    (5, 5.656854, "f/5.6", -0.0291),
    (7, 11.313708, "f/11", -0.0811),
    (9, 22.627417, "f/22", -0.0811),
    (2 / 3, 1.259921, "f/1.2", -0.1406),
    (16 / 3, 6.349604, "f/6.3", -0.0226),
    (22 / 3, 12.699208, "f/13", 0.0675),
]


@pytest.mark.parametrize(("av", "exact", "mark", "off"), F_NUMBERS)
def test_third_stop_marks(av: float, exact: float, mark: str, off: float) -> None:
    """An exact f-number has its common mark, which is off by the published part of a stop."""
    number = stops.f_number_of(av)

    assert number == pytest.approx(exact, rel=1e-6)
    assert stops.third_mark(number) == mark
    assert stops.aperture_value(float(mark[2:])) - av == pytest.approx(off, abs=1e-4)


def test_third_stop_scale_from_1_to_32() -> None:
    """The thirty-one thirds from f/1 to f/32 carry the marks of a common camera scale."""
    scale = (
        "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32"
    )

    assert [stops.third_mark(stops.f_number_of(k / 3)) for k in range(31)] == [
        f"f/{m}" for m in scale.split()
    ]


def test_half_stop_scale_from_1_to_32() -> None:
    """The twenty-one halves from f/1 to f/32 carry the marks of a common meter scale."""
    scale = "1 1.2 1.4 1.7 2 2.4 2.8 3.3 4 4.8 5.6 6.7 8 9.5 11 13 16 19 22 27 32"

    assert [stops.half_mark(stops.f_number_of(k / 2)) for k in range(21)] == [f"f/{m}" for m in scale.split()]


@pytest.mark.parametrize(
    ("f_number", "flat", "dome"),
    [
        (1, 2.5, 3.4),
        (math.sqrt(32), 80, 108.8),
        (8, 160, 217.6),
        (math.sqrt(128), 320, 435.2),
        (16, 640, 870.4),
    ],
)
def test_incident_flash_exposure(f_number: float, flat: float, dome: float) -> None:
    """H = C·N²/S at ISO 100 with C = 250 flat and 340 dome (ISO 2720; constants by J. Conrad, Exposure
    Metering: Relating Subject Lighting to Film Exposure).
    """
    assert stops.luminous_exposure(f_number, 100, 250) == pytest.approx(flat, rel=1e-6)
    assert stops.luminous_exposure(f_number, 100, 340) == pytest.approx(dome, rel=1e-6)
    assert stops.luminous_exposure(f_number, 200, 250) == pytest.approx(flat / 2, rel=1e-6)
    assert stops.f_number(flat, 100, 250) == pytest.approx(f_number, rel=1e-6)


@pytest.mark.parametrize(
    ("iso", "guide_number_m"),
    [(50, 42.426407), (64, 48), (200, 84.852814), (400, 120), (800, 169.705627)],
)
def test_guide_number_at_other_iso(iso: float, guide_number_m: float) -> None:
    """A guide number of 60 m at ISO 100 goes with the root of the speed (ISO 1230:2007)."""
    intensity = flash.intensity_cd_s(60, 100, 250)

    assert flash.guide_number_of(intensity, iso, 250) == pytest.approx(guide_number_m, rel=1e-6)
    assert flash.intensity_cd_s(guide_number_m, iso, 250) == pytest.approx(intensity, rel=1e-6)


@pytest.mark.parametrize(
    ("bcps", "flat_m", "dome_m"),
    [
        (500, 14.142136, 12.126781),
        (1000, 20, 17.149859),
        (2000, 28.284271, 24.253563),
        (4000, 40, 34.299717),
        (8000, 56.568542, 48.507125),
    ],
)
def test_guide_number_of_beam_intensity(bcps: float, flat_m: float, dome_m: float) -> None:
    """GN = √(I·S/C), which follows from H = I/d² and H = C·N²/S."""
    assert flash.guide_number_of(bcps, 100, 250) == pytest.approx(flat_m, rel=1e-6)
    assert flash.guide_number_of(bcps, 100, 340) == pytest.approx(dome_m, rel=1e-6)
    assert flash.intensity_cd_s(flat_m, 100, 250) == pytest.approx(bcps, rel=1e-6)


def test_older_guide_number_rule() -> None:
    """GN_ft = √(0.05·BCPS·S) (older US practice, from memory) means a C of 215.278208 lx·s."""
    constant = 1 / (0.05 * 0.3048**2)

    assert constant == pytest.approx(215.278208, rel=1e-8)
    assert flash.guide_number_of(1000, 100, constant) == pytest.approx(21.552615, rel=1e-6)


def lamp(outline: Outline, half_m: float) -> Emitter:
    """A flat Lambertian face."""
    u, v = np.array([half_m, 0, 0]), np.array([0, half_m, 0])
    return Emitter("lamp", np.zeros(3), u, v, outline, Lambertian(), 1.0)


@pytest.mark.parametrize(
    ("energy_j", "efficacy", "light", "intensity", "guide_number_m"),
    [
        (200, 40, 8000, 2546.479089, 31.915382),
        (400, 40, 16000, 5092.958179, 45.135167),
        (400, 15, 6000, 1909.859317, 27.639532),
    ],
)
def test_flat_face_by_energy(
    energy_j: float, efficacy: float, light: float, intensity: float, guide_number_m: float
) -> None:
    """Q = η·W; a flat Lambertian face has the axial intensity Q/π (derived; η by trade sources, 15 to 50)."""
    face = lamp("ellipse", 0.05)
    axial = flash.luminance_from_light(face, flash.light_lm_s(energy_j, efficacy)) * math.pi * 0.05**2

    assert flash.light_lm_s(energy_j, efficacy) == light
    assert axial == pytest.approx(intensity, rel=1e-6)
    assert flash.guide_number_of(axial, 100, 250) == pytest.approx(guide_number_m, rel=1e-6)
    assert flash.luminance_from_intensity(face, axial) == pytest.approx(axial / (math.pi * 0.0025))


def test_isotropic_like_beam_by_energy() -> None:
    """A beam ∝ cosⁿ has the axial intensity Q(n + 1)/2π, which nears Q/2π as the half-angle nears 90°: all
    of its light evenly over half of space.
    """
    face = lamp("ellipse", 0.05)
    wide = Emitter("lamp", face.centre_m, face.half_u_m, face.half_v_m, "ellipse", Beam(89.9999999), 1.0)
    axial = flash.luminance_from_light(wide, 8000) * math.pi * 0.05**2
    # half of the axial intensity at the half-angle
    n = math.log(0.5) / math.log(math.cos(math.radians(89.9999999)))

    assert n == pytest.approx(0.034, abs=5e-4)
    assert axial == pytest.approx(8000 * (n + 1) / (2 * math.pi), rel=1e-9)


def test_third_stop_clicks() -> None:
    """A click is energy × 0.793701, two are 0.629961; 25 settings reach from 1/1 to 1/256."""
    assert flash.power_of_click(25, 25) == 1
    assert flash.power_of_click(24, 25) == pytest.approx(0.793701, abs=1e-6)
    assert flash.power_of_click(23, 25) == pytest.approx(0.629961, abs=1e-6)
    assert flash.power_of_click(1, 25) == pytest.approx(1 / 256)
    assert flash.click_of_power(1 / 256, 25) == pytest.approx(1)


@pytest.mark.parametrize(
    ("second", "together", "more"),
    [
        (8, 11.313708, 1),
        (5.656854, 9.797959, 0.584963),
        (4, 8.944272, 0.321928),
        (2.828427, 8.485281, 0.169925),
    ],
)
def test_adding_lights(second: float, together: float, more: float) -> None:
    """Exposures add, so N = √ΣN²; what another light adds to f/8."""
    of = two_lamps()
    lights = [[stops.luminous_exposure(n, 100, 340)] * len(of.points) for n in (8, second)]
    lamps = [lamp_place(emitter.name, CLICKS) for emitter in of.emitters]
    found = read(staging(of, lamps), transport(of, lights))["chin dome"].f_number

    assert found == pytest.approx(together, rel=1e-6)
    assert stops.aperture_value(found) - stops.aperture_value(8) == pytest.approx(more, abs=1e-6)


@pytest.mark.parametrize(("ratio", "difference"), [(1, 0), (2, 1), (3, 1.584963), (4, 2), (8, 3)])
def test_ratio_in_stops(ratio: float, difference: float) -> None:
    """A lighting ratio in stops is its log2."""
    assert stops.stops(ratio) == pytest.approx(difference, abs=1e-6)
    assert stops.stops_to_ratio(difference) == pytest.approx(ratio, rel=1e-6)


@pytest.mark.parametrize(("convention", "ratio"), [("lit to shadow", 5), ("key to fill", 4)])
def test_two_ratio_conventions(convention: Literal["lit to shadow", "key to fill"], ratio: float) -> None:
    """Key 800 and fill 200 are 5:1 as (key + fill) : fill and 4:1 as key : fill (worked in an encyclopaedia
    article on lighting ratios).
    """
    of = two_lamps()
    lit = [point.name for point in of.points].index("left cheek")
    lights = [[0.0] * len(of.points), [200.0] * len(of.points)]
    lights[0][lit] = 800.0
    lamps = [lamp_place(emitter.name, CLICKS) for emitter in of.emitters]
    wants = TargetPlace(None, convention, 1 / 3, None)
    found = read(staging(of, lamps, wants), transport(of, lights)).ratio

    assert found.ratio == pytest.approx(ratio)
    assert found.lit_point == "left cheek"
