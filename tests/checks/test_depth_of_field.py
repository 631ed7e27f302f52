"""Sharp depth against Greenleaf's formulas and a face of known depth."""

import math
from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks import depth_of_field
from thirdstop.checks.findings import Finding
from thirdstop.staging.staging import SitterPlace
from thirdstop.staging.vectors import vec


# Greenleaf, Photographic Optics (1950), formulas as quoted on a public page on depth of field; millimetres.
@pytest.mark.parametrize(
    ("f", "n", "c", "s", "near", "far"),
    [
        (50, 8, 0.03, 3000, 2337.905237, 4185.267857),
        (85, 5.6, 0.03, 2000, 1914.739118, 2093.207866),
        (85, 8, 0.03, 2000, 1880.384145, 2135.867798),
        (50, 5.6, 0.02, 2500, 2252.739331, 2808.231488),
    ],
)
def test_table(f: float, n: float, c: float, s: float, near: float, far: float) -> None:
    """Near and far limits to a nanometre."""
    sharp = depth_of_field.sharp_depth(f / 1000, n, c / 1000, s / 1000)
    assert (sharp.near_m * 1000, sharp.far_m * 1000) == pytest.approx((near, far), abs=1e-6)


def test_hyperfocal_identity() -> None:
    """Focused at the hyperfocal distance the near limit is half of it and the far one infinite."""
    h = 0.05**2 / (8 * 0.00003) + 0.05
    sharp = depth_of_field.sharp_depth(0.05, 8, 0.00003, h)
    assert sharp.near_m == pytest.approx(h / 2)
    assert math.isinf(sharp.far_m)


def test_circle_of_a_full_frame_sensor() -> None:
    """36 × 24 mm: diagonal 43.266615 mm, over 1500 is 0.028844 mm."""
    assert depth_of_field.circle_of_confusion_m(samples.camera()) * 1000 == pytest.approx(0.028844, abs=1e-6)


def _finding(aperture: float, *sitters: SitterPlace) -> Finding:
    staging = samples.staging(sitters=sitters or None)
    staging = replace(staging, meter=replace(staging.meter, aperture=aperture))
    return depth_of_field.run(staging, samples.readings())[0]


# Eye 2 cm behind the nose, ear 12 cm behind it: 10 cm behind the eye at 1.92 m. With c = 0.028844 mm the far
# limit lies 10 cm behind for N = f²·0.1/(c·s·(s + 0.1 − f)) near 6.5.
@pytest.mark.parametrize(
    ("aperture", "verdict"), [(8.0, "pass"), (7.1, "pass"), (6.3, "look"), (5.6, "look")]
)
def test_one_face(aperture: float, verdict: str) -> None:
    """At 85 mm and 2 m a face is sharp to the ear from f/7.1 on."""
    assert _finding(aperture).verdict == verdict


def test_remedy_is_the_first_mark_that_holds() -> None:
    """From f/5.6 the first mark that holds is f/7.1, two clicks."""
    remedy = _finding(5.6568542).remedy
    assert "f/7.1" in remedy
    assert "2 clicks" in remedy


def test_two_rows_need_a_smaller_aperture() -> None:
    """A second sitter 30 cm behind the first one is out at f/8 and holds at f/22."""
    back = samples.sitter(1, vec(0.4, 0.3, 1.2))
    assert _finding(8.0, samples.sitter(), back).verdict == "look"
    assert "all faces need" in _finding(8.0, samples.sitter(), back).text
    assert _finding(32.0, samples.sitter(), back).verdict == "pass"


def test_turned_head_brings_an_ear_forward() -> None:
    """Turned 40°, the near ear is 75 mm · sin 40° nearer than the head's middle: f/5.6 then holds."""
    assert _finding(5.6, samples.sitter(turn_deg=40)).verdict == "pass"
