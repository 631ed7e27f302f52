"""Light under a brim: safe elevations by atan(h/b), shares by halves."""

import math
import re

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import brim
from thirdstop.checks.findings import Finding
from thirdstop.staging.shapes import Panel
from thirdstop.staging.vectors import direction_at, unit, vec
from thirdstop.typed import Array


def _brim_outline(b_mm: float, h_mm: float) -> Array:
    """A wide flat brim in the head's frame: front edge b out from and h above the pupil."""
    b, h = b_mm / 1000, h_mm / 1000
    return np.array([(b, -0.3, h), (b, 0.3, h), (-0.2, 0.3, h), (-0.2, -0.3, h)])


# Derived: elevation at which a straight brim edge cuts off light from straight ahead, atan(h/b).
@pytest.mark.parametrize(
    ("b_mm", "h_mm", "safe_deg"),
    [
        (38, 60, 57.652557),
        (64, 60, 43.152390),
        (76, 60, 38.290163),
        (102, 60, 30.465545),
        (64, 40, 32.005383),
        (50, 50, 45.0),
        (70, 50, 35.537678),
        (100, 40, 21.801409),
    ],
)
def test_safe_elevation_straight_ahead(b_mm: float, h_mm: float, safe_deg: float) -> None:
    """Narrow to wide brims: 38 to 102 mm out, 40 to 60 mm above the pupil."""
    assert brim.safe_elevation_deg([_brim_outline(b_mm, h_mm)], 0.0) == pytest.approx(safe_deg, abs=1e-6)


@pytest.mark.parametrize("azimuth_deg", [20.0, 40.0, 60.0])
def test_safe_elevation_off_the_nose_line(azimuth_deg: float) -> None:
    """To the side a straight edge is farther away by 1/cos: atan(h·cos a / b) is less."""
    expected = math.degrees(math.atan(60 * math.cos(math.radians(azimuth_deg)) / 64))
    found = brim.safe_elevation_deg([_brim_outline(64, 60)], math.radians(azimuth_deg))
    assert found == pytest.approx(expected, abs=1e-9)


def test_brow_without_a_hat() -> None:
    """The brow lets 60° through at every bearing; a wide brim is lower than that."""
    assert brim.safe_elevation_deg([], 0.0) == 60.0
    assert brim.safe_elevation_deg([], math.radians(60)) == 60.0
    assert brim.safe_elevation_deg([_brim_outline(20, 60)], 0.0) == 60.0


def _worn(b_m: float = 0.064, h_m: float = 0.06) -> Panel:
    """A straight-edged brim over both pupils (which stand at y = 0.02, z = 1.22), 40 cm deep."""
    cloth = samples.GREY
    return Panel(
        "brim", "brim", vec(0, 0.02 - b_m + 0.2, 1.22 + h_m), vec(0.25, 0, 0), vec(0, 0.2, 0), cloth, cloth
    )


def _key(elevation_deg: float, distance_m: float = 1.2, size_m: float = 0.02) -> samples.Thing:
    """A face straight ahead of the eyes at that elevation, looking at them; small unless told."""
    e = math.radians(elevation_deg)
    centre = vec(0, 0.02 - distance_m * math.cos(e), 1.22 + distance_m * math.sin(e))
    toward = unit(vec(0, 0.02, 1.22) - centre)
    return samples.lamp(centre_m=centre, normal=toward, width_m=size_m, height_m=size_m)


def _finding(key: samples.Thing, *panels: Panel, chin_deg: float = 0.0) -> Finding:
    who = samples.sitter(hat="brim" if panels else None, chin_deg=chin_deg)
    staging = samples.staging(key, sitters=[who], more_panels=panels)
    return brim.run(staging, samples.readings())[0]


@pytest.mark.parametrize(("elevation", "verdict"), [(42.0, "pass"), (44.5, "look")])
def test_either_side_of_the_brims_edge(elevation: float, verdict: str) -> None:
    """64 mm out and 60 mm up the brim cuts at 43.15°; a 2 cm face spans ±0.5°."""
    assert _finding(_key(elevation), _worn()).verdict == verdict


def test_margin_is_from_the_upper_edge() -> None:
    """A 0.6 m face at 1.2 m and 20° has its upper edge about 14° higher: 43.15 − 34 leaves some 9°."""
    found = _finding(_key(20.0, size_m=0.6), _worn())
    upper = 20 + math.degrees(math.atan(0.3 / 1.2))
    assert found.margin == pytest.approx(43.15 - upper, abs=0.3)


def test_half_a_face_sends_half_its_light() -> None:
    """A face whose middle stands at the cut-off shows its lower half: 50 % but for the cosine."""
    staging = samples.staging(
        _key(43.152390, size_m=0.3), sitters=[samples.sitter(hat="brim")], more_panels=[_worn()]
    )
    assert brim.eye_light(staging, staging.sitters[0], 0).share == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(("elevation", "verdict"), [(38.0, "pass"), (41.0, "look")])
def test_a_third_of_a_stop_may_be_hidden(elevation: float, verdict: str) -> None:
    """A round face of 30 cm at 1.2 m, cut at 43.15°: the share left is a disc less its segment (its area is
    (acos d − d √(1 − d²)) / π of the disc at a distance of d radii), 92 % and 69 %.
    """
    d = math.tan(math.radians(43.152390 - elevation)) / math.tan(math.atan(0.15 / 1.2))
    left = 1 - (math.acos(d) - d * math.sqrt(1 - d * d)) / math.pi
    found = _finding(_key(elevation, size_m=0.3), _worn())

    assert found.verdict == verdict
    assert "over the" in found.text
    assert int(re.findall(r"(\d+) % in", found.text)[0]) == pytest.approx(100 * left, abs=1.0)


def test_lowering_by_what_is_told_clears_the_brim() -> None:
    """Moved straight down by the named length, the edge that was cut off passes."""
    key = _key(44.5)
    staging = samples.staging(key, sitters=[samples.sitter(hat="brim")], more_panels=[_worn()])
    light = brim.eye_light(staging, staging.sitters[0], 0)
    assert light.lower_m > 0
    lower = samples.lamp(
        centre_m=key.item.centre_m - vec(0, 0, light.lower_m + 0.005),
        normal=key.item.normal,
        width_m=0.02,
        height_m=0.02,
    )
    assert _finding(lower, _worn()).verdict == "pass"


def test_brow_cuts_at_sixty() -> None:
    """Without a hat 58° reaches the eyes, 62° doesn't; a chin lifted 10° lets 62° in."""
    assert _finding(_key(58.0)).verdict == "pass"
    assert _finding(_key(62.0)).verdict == "look"
    assert _finding(_key(62.0), chin_deg=10.0).verdict == "pass"


def test_key_from_behind_lights_no_eye() -> None:
    """A lamp behind the face plane sends the eyes nothing."""
    behind = samples.lamp(centre_m=vec(0.8, 0.8, 1.5))
    found = _finding(behind)
    assert found.verdict == "look"
    assert "0 %" in found.text


def test_a_key_by_way_of_a_sheet_is_not_asked_for() -> None:
    """Where the lit side gets under 5 % from the key itself, no eye is meant to see the lamp."""
    behind = samples.lamp(centre_m=vec(0.8, 0.8, 1.5))
    staging = samples.staging(behind)
    by_wall = samples.readings(samples.reading("left cheek", 0.0, key=0.04, walls=0.96))
    direct = samples.readings(samples.reading("left cheek", 0.0, key=0.06, walls=0.94))
    assert brim.run(staging, by_wall)[0].verdict == "pass"
    assert brim.run(staging, direct)[0].verdict == "look"


@pytest.mark.parametrize(("bearing", "share"), [(58.0, 1.0), (62.0, 0.0)])
def test_nose_hides_what_lies_60_degrees_across_it(bearing: float, share: float) -> None:
    """A small lamp at camera-right stands on the sitter's left; the right eye loses it past 60°."""
    who = samples.sitter()
    right_eye = who.eyes_m[0]
    centre = right_eye + 1.2 * direction_at(bearing, 0.0)
    key = samples.lamp(centre_m=centre, normal=unit(right_eye - centre), width_m=0.02, height_m=0.02)
    staging = samples.staging(key, sitters=[who])
    assert brim.eye_light(staging, who, 0).share == pytest.approx(share)
    assert brim.eye_light(staging, who, 1).share == pytest.approx(1.0)


def test_a_blocker_between_counts() -> None:
    """A flag between lamp and eyes takes all."""
    flag = samples.panel("blocker", "flag", vec(0, -0.5, 1.4), vec(0, -1, 0), 0.6, 0.6)
    who = samples.sitter()
    staging = samples.staging(_key(20.0), flag, sitters=[who])
    assert brim.eye_light(staging, who, 0).share == 0.0
