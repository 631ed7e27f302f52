"""Catchlights in a staged face: hour, offset, size, lids."""

import math

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import catchlights
from thirdstop.checks.catchlights import Catchlight
from thirdstop.checks.findings import Finding
from thirdstop.staging.materials import Matte, Translucent
from thirdstop.staging.staging import Staging
from thirdstop.staging.vectors import direction_at, unit, vec

EYES_MIDDLE = vec(0.0, 0.02, 1.22)
VIEW = samples.camera(height_m=1.22)


def _key(
    bearing_deg: float, elevation_deg: float, distance_m: float = 1.2, size_m: float = 0.3
) -> samples.Thing:
    """A face looking at the eyes from that direction."""
    centre = EYES_MIDDLE + distance_m * direction_at(bearing_deg, elevation_deg)
    return samples.lamp(centre_m=centre, normal=unit(EYES_MIDDLE - centre), width_m=size_m, height_m=size_m)


def _staging(*things: samples.Thing, **sitter: object) -> Staging:
    return samples.staging(*things, sitters=[samples.sitter(**sitter)], view=VIEW)  # type: ignore[arg-type]


def _finding(*things: samples.Thing, **sitter: object) -> Finding:
    return catchlights.run(_staging(*things, **sitter), samples.readings())[0]


def _one(*things: samples.Thing) -> Catchlight:
    staging = _staging(*things)
    return catchlights.catchlights(staging, staging.sitters[0], 1)[0]


@pytest.mark.parametrize(
    ("bearing", "elevation", "hour"),
    [(0, 40, 12), (40, 0, 3), (-40, 0, 9), (0, -40, 6), (50, 30, 2), (-50, 30, 10)],
)
def test_hour_as_the_camera_sees_it(bearing: float, elevation: float, hour: int) -> None:
    """A convex mirror keeps sides: a lamp at camera-right shows at camera-right, a high one on top."""
    assert _one(_key(bearing, elevation)).hour == hour


def test_offset_is_near_the_closed_form() -> None:
    """40° up from the lens's direction: 7.8 mm · sin 20° = 2.67 mm; the near camera takes off under 3 %."""
    found = _one(_key(0, 40, distance_m=1.2))
    assert found.offset_m * 1000 == pytest.approx(7.8 * math.sin(math.radians(20)), rel=0.03)


def test_size_grows_with_the_face() -> None:
    """A 0.6 m face at 1.2 m shows about 7.8/2 mm · 0.6/1.2 = 1.95 mm; half the face half as large."""
    large, small = _one(_key(0, 40, size_m=0.6)), _one(_key(0, 40, size_m=0.3))
    assert large.size_m * 1000 == pytest.approx(1.95, rel=0.1)
    assert small.size_m == pytest.approx(large.size_m / 2, rel=0.05)


@pytest.mark.parametrize(("elevation", "verdict"), [(55.0, "pass"), (66.0, "look")])
def test_upper_lid_takes_a_lamp_at_sixty(elevation: float, verdict: str) -> None:
    """The lid's edge is where a lamp 60° up shows: below it most of the shape stays, above it is gone."""
    assert _finding(_key(0, elevation, size_m=0.2)).verdict == verdict


@pytest.mark.parametrize(("bearing", "verdict"), [(35.0, "pass"), (70.0, "look")])
def test_ten_to_two(bearing: float, verdict: str) -> None:
    """11° up, the shape lies atan(sin b / tan 11°) from twelve: 71° for b = 35°, 78° for 70°."""
    found = _finding(_key(bearing, 11))
    assert found.verdict == verdict


def test_margin_is_the_angle_inside_ten_to_two() -> None:
    """A lamp over the nose: each pupil, 31 mm aside, has it at atan((31/1200 + 31/1915)/sin 40°) = 3.7°."""
    found = _finding(_key(0, 40))
    aside = 0.031 / 1.2 + 0.031 / 1.915
    expected = 75 - math.degrees(math.atan(aside / math.sin(math.radians(40))))
    assert found.margin == pytest.approx(expected, abs=0.2)


def test_two_lamps_are_counted() -> None:
    """A second lamp in the eyes is named."""
    second = samples.lamp("second", EYES_MIDDLE + 1.2 * direction_at(-35, 35), width_m=0.3, height_m=0.3)
    found = _finding(_key(30, 35), second)
    assert found.verdict == "look"
    assert "'key' and 'second'" in found.remedy


def test_card_is_fainter_and_only_told() -> None:
    """A white lap card shows low in the eye and is no fault; a black panel does not show."""
    lap = samples.panel(
        name="lap card", centre_m=vec(0, -0.4, 0.85), normal=unit(vec(0, 0.4, 0.37)), height_m=0.6
    )
    found = _finding(_key(20, 35), lap)
    assert found.verdict == "pass"
    assert "a fainter one from 'lap card' at 6 o'clock" in found.text
    black = samples.panel(
        name="lap card", centre_m=vec(0, -0.4, 0.85), normal=vec(0, 0, 1), material=Matte(0.04)
    )
    assert "lap card" not in _finding(_key(20, 35), black).text


def test_sheet_lit_from_behind_is_the_catchlight() -> None:
    """Where the key works through a translucent sheet, the sheet is what must show; a white card is not."""
    centre = EYES_MIDDLE + 0.8 * direction_at(30, 35)
    by_sheet = samples.readings(samples.reading("left cheek", 0.0, key=0.0, sheet=1.0))
    for material, count in ((Translucent(0.4, 0.4), 1), (samples.WHITE, 0)):
        sheet = samples.panel(
            name="sheet", centre_m=centre, normal=unit(EYES_MIDDLE - centre), width_m=0.5, height_m=0.5,
            material=material,
        )  # fmt: skip
        staging = _staging(_key(30, 35, distance_m=1.6), sheet)
        found = catchlights.run(staging, by_sheet)[0]
        assert found.verdict == "pass"
        assert ("not computed" in found.text) == (count == 0)


def test_lamp_behind_a_flag_gives_none() -> None:
    """A blocker between lamp and eyes takes the catchlight."""
    flag = samples.panel(
        "blocker", "flag", EYES_MIDDLE + 0.5 * direction_at(0, 40), width_m=0.8, height_m=0.8
    )
    found = _finding(_key(0, 40), flag)
    assert found.verdict == "look"
    assert "0 catchlights" in found.text


def test_eyes_that_look_away_want_none() -> None:
    """A profile looks 90° past the lens."""
    assert _finding(_key(120, 10), turn_deg=90.0).verdict == "pass"


def test_outline_is_what_is_clipped() -> None:
    """The outline has the stated size."""
    found = _one(_key(0, 30))
    assert found.size_m == pytest.approx(np.ptp(found.outline_m, axis=0).max())
