"""Nose-shadow geometry and the bands of the trade's names."""

import math
from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import pattern
from thirdstop.staging.staging import SitterPlace
from thirdstop.staging.vectors import direction_at


# Derived: a tip p = 25 mm before a plane, p·tan α aside and p·tan ε / cos α down, in millimetres.
@pytest.mark.parametrize(
    ("azimuth", "elevation", "aside_mm", "down_mm"),
    [
        (0, 45, 0.0, 25.0),
        (30, 30, 14.433757, 16.666667),
        (30, 45, 14.433757, 28.867513),
        (45, 45, 25.0, 35.355339),
        (60, 30, 43.301270, 28.867513),
    ],
)
def test_nose_shadow(azimuth: float, elevation: float, aside_mm: float, down_mm: float) -> None:
    """The shadow of a 25 mm nose on a flat face."""
    aside, down = pattern.nose_shadow_m(azimuth, elevation, 0.025)
    assert (aside * 1000, down * 1000) == pytest.approx((aside_mm, down_mm), abs=1e-6)


@pytest.mark.parametrize(
    ("azimuth", "elevation", "names"),
    [
        (0, 40, ("butterfly",)),
        (10, 24, ()),
        (14.9, 40, ()),
        (15, 40, ("loop",)),
        (45, 40, ("loop", "closed triangle")),
        (45, 28, ("loop",)),
        (55, 40, ("closed triangle",)),
        (80, 10, ("split",)),
        (101, 10, ()),
        (150, 60, ("rim",)),
    ],
)
def test_bands(azimuth: float, elevation: float, names: tuple[str, ...]) -> None:
    """Each band's edges; where two overlap both are named."""
    assert pattern.consistent_with(azimuth, elevation) == names


def _text(bearing_deg: float, elevation_deg: float, who: SitterPlace | None = None) -> str:
    key = samples.lamp(centre_m=samples.NOSE + 1.2 * direction_at(bearing_deg, elevation_deg))
    staging = samples.staging(key, sitters=[who or samples.sitter()])
    return pattern.run(staging, samples.readings())[0].text


def test_side_is_the_sitters_own() -> None:
    """A key at camera-right is on the sitter's left."""
    assert "40° to the sitter's left of the nose line and 30° up" in _text(40, 30)
    assert "40° to the sitter's right" in _text(-40, 30)


def test_face_turned_counts() -> None:
    """A key 55° camera-right of a face turned 30° camera-right stands 25° from the nose line: loop."""
    text = _text(55, 0, samples.sitter(turn_deg=30))
    assert "25° to the sitter's left" in text
    assert "short side" in text


def test_broad_side_is_the_one_nearer_to_the_camera() -> None:
    """A face turned 30° camera-right shows the camera its right cheek; a key from camera-left lights that."""
    assert "broad side" in _text(-40, 30, samples.sitter(turn_deg=30))
    assert "side" not in _text(40, 30).split("nose line")[1].replace("aside", "")


def test_chin_up_lowers_the_key() -> None:
    """A key 30° up is 10° up for a chin lifted by 20°, straight ahead."""
    text = _text(0, 30, samples.sitter(chin_deg=20))
    assert "10° up" in text


def test_direction_keeps_its_angle() -> None:
    """The direction used above has the stated elevation."""
    assert np.degrees(np.arcsin(direction_at(40, 30)[2])) == pytest.approx(30)


@pytest.mark.parametrize(("tip_m", "out_m"), [(0.12, 0.025), (0.115, 0.020), (0.09, 0.0)])
def test_nose_of_the_staged_head(tip_m: float, out_m: float) -> None:
    """A head of 9.5 cm half depth, its middle so far behind the tip: the tip stands out by the difference."""
    who = samples.sitter()
    solid = replace(samples.head(who), centre_m=who.nose_m - tip_m * who.forward)
    assert pattern.nose_out_m(samples.staging(solids=[solid]), who) == pytest.approx(out_m, abs=1e-9)
    assert pattern.nose_out_m(samples.staging(), who) == pattern.NOSE_M


def test_nose_of_an_oblique_head() -> None:
    """5 cm up a head of half height 11.5 cm the face lies 9.5 · sqrt(1 − (5/11.5)²) before its middle."""
    who = samples.sitter()
    solid = replace(samples.head(who), centre_m=who.nose_m - 0.12 * who.forward - 0.05 * who.up)
    expected = 0.12 - 0.095 * math.sqrt(1 - (5 / 11.5) ** 2)
    assert pattern.nose_out_m(samples.staging(solids=[solid]), who) == pytest.approx(expected)
