"""The meter's equations and constants against the standards of exposure, as far as each may be trusted."""

import math

import pytest

from exposure.stagings import CLICKS, lamp_place, staging, transport
from thirdstop.book.habits import MeterModel
from thirdstop.checks.backdrop import tone_stops
from thirdstop.constants import METER_CONSTANT_FLAT, MID_GREY_REFLECTANCE
from thirdstop.exposure import stops
from thirdstop.exposure.meter import read


@pytest.mark.parametrize(
    ("ev", "flat", "dome_330", "dome_340", "luminance"),
    [
        (0, 2.5, 3.3, 3.4, 0.125),
        (5, 80, 105.6, 108.8, 4),
        (10, 2560, 3379.2, 3481.6, 128),
        (12, 10240, 13516.8, 13926.4, 512),
    ],
)
def test_steady_light(ev: int, flat: float, dome_330: float, dome_340: float, luminance: float) -> None:
    """Illuminance of an exposure value at ISO 100, E = C·2^EV/S, and luminance L = K·2^EV/S with K = 12.5
    (ISO 2720:1974, by secondary pages; constants by J. Conrad, Exposure Metering).
    """
    shutter_s = 1 / 128
    number = stops.f_number_of(ev - 7)  # Av = Ev − Tv of the APEX system (ASA PH2.5-1960), Tv = log2 128

    for constant, lux in ((250, flat), (330, dome_330), (340, dome_340), (12.5, luminance)):
        assert stops.luminous_exposure(number, 100, constant) / shutter_s == pytest.approx(lux)


def test_constants_lie_where_the_standard_lets_them() -> None:
    """ISO 2720 leaves C to the maker: 240 to 400 for flat, 320 to 540 for hemispherical receptors (from
    memory; either range is three quarters of a stop wide, so a constant is a setting and not a truth).
    """
    usual = MeterModel()

    assert 240 <= usual.flat_constant <= 400
    assert 320 <= usual.dome_constant <= 540


@pytest.mark.parametrize(("constant", "reflectance"), [(250, 0.157080), (330, 0.119000), (340, 0.115500)])
def test_implied_reflectance(constant: float, reflectance: float) -> None:
    """A reflected meter of K = 12.5 agrees with an incident one on a matte surface of πK/C, not of 18 %."""
    number = 8.0
    lux_seconds = stops.luminous_exposure(number, 100, constant)
    nit_seconds = stops.luminous_exposure(number, 100, 12.5)

    assert math.pi * nit_seconds / lux_seconds == pytest.approx(reflectance, abs=1e-6)


def test_a_grey_card_is_a_fifth_of_a_stop_over_a_flat_reading() -> None:
    """log2(0.18/0.15708) = 0.1965: what a reflected reading of the card is over a flat incident one (ISO 2720
    does not define 18 %).
    """
    implied = math.pi * 12.5 / MeterModel().flat_constant

    assert tone_stops(0.0, implied) == pytest.approx(-0.1965, abs=1e-4)


def test_a_grey_card_lands_on_the_standard_output_level() -> None:
    """At the metered aperture an 18 % card gives the sensor 0.65·L·t/N² (ISO 12232, from memory), within an
    eighth of a stop of 10/S, the standard output sensitivity's exposure; and from there 78/S, saturation, is
    log2 7.8 = 2.9635 stops away against log2(1/0.18) = 2.4739 to a perfect white.
    """
    lux_seconds = stops.luminous_exposure(8.0, 100, METER_CONSTANT_FLAT)
    at_sensor = 0.65 * MID_GREY_REFLECTANCE * lux_seconds / math.pi / 8.0**2

    assert abs(math.log2(at_sensor / (10 / 100))) < 1 / 8
    assert stops.stops(78 / 10) == pytest.approx(2.963474, abs=1e-6)
    assert stops.stops(1 / MID_GREY_REFLECTANCE) == pytest.approx(2.473931, abs=1e-6)


@pytest.mark.parametrize(
    ("shutter", "together", "f_number", "share", "under"),
    [
        (250, 324, 11.384200, 0.012346, 6.321928),
        (125, 328, 11.454257, 0.024390, 5.321928),
        (60, 336.666667, 11.604597, 0.049505, 4.263034),
        (8, 445, 13.341664, 0.280899, 1.356144),
    ],
)
def test_flash_and_steady_light(
    shutter: int, together: float, f_number: float, share: float, under: float
) -> None:
    """H = H_flash + E·t, as a flash meter counts what is steady within its gate (ISO 10157:1991, by its
    abstract): 320 lx·s of flash in 1000 lx, and how far the room's light is under the flash.
    """
    usual = staging(lamps=[lamp_place("key", CLICKS)], ambient_lux=1000.0, shutter_s=1 / shutter)
    found = read(usual, transport(usual.scene, [[320.0] * len(usual.scene.points)]))

    assert found.ambient_stops_under is not None
    assert found.ambient_stops_under == pytest.approx(under, abs=1e-6)
    steady = 320 / 2**found.ambient_stops_under
    assert 320 + steady == pytest.approx(together)
    assert stops.f_number(320 + steady, 100, 250) == pytest.approx(f_number, abs=1e-6)
    assert steady / (320 + steady) == pytest.approx(share, abs=1e-6)


@pytest.mark.parametrize(
    ("ambient_lux", "aperture", "under"),
    [(150, 8.0, 7.4), (600, 8.0, 5.4), (150, 2.8284, 4.4), (600, 2.8284, 2.4)],
)
def test_room_light_under_a_key(ambient_lux: float, aperture: float, under: float) -> None:
    """At ISO 100 and 1/160 s: 150 lux is 7.4 stops under f/8 on a flat receptor, a modelling lamp's 600 lux
    5.4 (the same arithmetic, C = 250).
    """
    light = stops.luminous_exposure(aperture, 100, METER_CONSTANT_FLAT)
    usual = staging(lamps=[lamp_place("key", CLICKS)], ambient_lux=ambient_lux)
    found = read(usual, transport(usual.scene, [[light] * len(usual.scene.points)]))

    assert found.ambient_stops_under == pytest.approx(under, abs=0.05)


@pytest.mark.parametrize(
    ("tenths", "meter", "camera"),
    [
        (50, "f/5.6", "f/5.6"),
        (53, "f/5.6 + 3/10", "f/6.3"),
        (57, "f/5.6 + 7/10", "f/7.1"),
        (59, "f/5.6 + 9/10", "f/8"),
        (60, "f/8", "f/8"),
        (67, "f/8 + 7/10", "f/10"),
    ],
)
def test_a_reading_on_the_meter_and_on_the_camera(tenths: int, meter: str, camera: str) -> None:
    """One exposure on a flash meter's scale, the full mark below and tenths, and on a camera's thirds: f/8
    and seven tenths is f/10 (common practice, no source).
    """
    number = stops.f_number_of(tenths / 10)

    assert stops.tenths_mark(number) == meter
    assert stops.third_mark(number) == camera
