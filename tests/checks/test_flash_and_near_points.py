"""Distances of lamps from eyes, and of measuring points from panels."""

from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks import flash, near_points
from thirdstop.exposure.readings import LampReading
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Beam, Lambertian, Panel
from thirdstop.staging.vectors import vec

EYE_Y = 0.02


def _dish(gap_m: float, beam: bool = True) -> samples.Thing:
    """A dish of 18 cm straight in front of the eyes."""
    return samples.lamp(
        centre_m=vec(0.0, EYE_Y - gap_m, 1.22),
        normal=vec(0, 1, 0),
        width_m=0.18,
        height_m=0.18,
        emission=Beam(30.0) if beam else Lambertian(),
    )


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.49, "look"), (0.5001, "pass")])
def test_bare_head_half_a_metre(gap_m: float, verdict: str) -> None:
    """A dish straight in front of the eyes needs 50 cm."""
    found = flash.run(samples.staging(_dish(gap_m)), samples.readings())
    assert [one.verdict for one in found] == ["pass", verdict]
    assert all(one.safety for one in found)


def test_nearest_eye_is_to_the_face_not_its_middle() -> None:
    """The pupils, 31 mm to the sides, lie over the dish: the distance is the perpendicular one."""
    dish = _dish(0.7).emitter
    assert dish is not None
    assert flash.nearest_eye_m(dish, samples.sitter()) == pytest.approx(0.7)


def test_a_diffusing_face_is_not_a_bare_head() -> None:
    """A box has no such limit; the rhythm and the question stand in every recipe."""
    found = flash.run(samples.staging(_dish(0.3, beam=False)), samples.readings())
    assert len(found) == 1
    assert "no faster than one in 1.0 s" in found[0].text
    assert "asked" in found[0].text


@pytest.mark.parametrize(("recycle_s", "rhythm"), [(1.0, "one in 1.0 s,"), (1.4, "one in 1.4 s, which is")])
def test_rhythm_waits_for_the_lamp(recycle_s: float, rhythm: str) -> None:
    """A lamp at full power that needs 1.4 s slows the rhythm; one that needs 1 s doesn't."""
    staging = samples.staging()
    slow = replace(staging, lamps=(replace(staging.lamps[0], recycle_s=recycle_s),))
    full = samples.readings(lamps=[LampReading("key", 25, 25, "1/1", True, 25.0)])
    assert f"no faster than {rhythm}" in flash.run(slow, full)[0].text


def test_no_dose_is_ever_named() -> None:
    """The check says that it computes no safe dose."""
    assert "No exposure limit" in flash.CHECK.explains
    assert "No safe dose is computed." in flash.run(samples.staging(_dish(0.3)), samples.readings())[1].text


def _with_point(gap_m: float) -> list[str]:
    card = samples.panel(centre_m=vec(-0.5, 0, 1.2), normal=vec(1, 0, 0))
    point = MeasuringPoint("hands", vec(-0.5 + gap_m, 0.1, 1.1), vec(0, -1, 0), "flat", 0)
    staging = samples.staging(card, extra_points=[point])
    return [one.verdict for one in near_points.run(staging, samples.readings())]


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.029, "look"), (0.031, "pass"), (-0.029, "look")])
def test_three_centimetres_for_the_meter(gap_m: float, verdict: str) -> None:
    """A point 29 mm from a card on either side is refused, one at 31 mm is not."""
    assert _with_point(gap_m) == [verdict]


def test_under_a_hat_no_meter_fits() -> None:
    """A point at the brim is told apart: the hat is not to be moved."""
    brim = Panel("brim", "brim", vec(0, 0, 1.25), vec(0.2, 0, 0), vec(0, 0.2, 0), samples.GREY, samples.GREY)
    point = MeasuringPoint("crown of the nose", vec(0, -0.05, 1.24), vec(0, -1, 0), "flat", 0)
    staging = samples.staging(more_panels=[brim], extra_points=[point])
    found = [one for one in near_points.run(staging, samples.readings()) if one.about == point.name]
    assert found[0].remedy.startswith("No meter fits under the hat")
