"""A reading as the meter shows it, as the camera is set, and what its band is made of."""

from functools import cache

import pytest

from staging.books import loaded, staged
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.stops import tenths_mark, third_mark
from thirdstop.exposure.transport import solve
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.metering import all_metered, where
from thirdstop.reporting import readings_json, readings_table


@cache
def evaluated() -> Evaluated:
    """The demo's everyday portrait, read quickly and without what takes further evaluations."""
    here = charge(staged("borrowed-window"))
    return Evaluated(loaded("borrowed-window"), here, read(here, solve(here.scene, SCAN)), (), ())


def test_each_reading_is_on_the_meters_scale_and_on_the_cameras() -> None:
    """Full marks and tenths stand beside the camera's thirds, in the page's table and the terminal's."""
    one = evaluated()
    lines = {line[:24].strip(): line for line in readings_table(one).splitlines()}
    for shown in all_metered(one):
        number = one.readings[shown.point].f_number
        assert (shown.reads, shown.camera) == (tenths_mark(number), third_mark(number))
        assert f" {tenths_mark(number)} " in lines[shown.point]
        assert f" {third_mark(number)} " in lines[shown.point]


@pytest.mark.parametrize("head", ["0 deg", "45 deg camera-right", "90 deg camera-right"])
def test_the_dome_is_as_far_behind_the_nose_however_the_head_is_turned(head: str) -> None:
    """3 cm along the face's own line, in profile too, where they are to the side of the camera's."""
    turned = staged("from-the-wings", ("head: 90 deg camera-right", f"head: {head}"))
    dome = next(point for point in turned.scene.points if point.name == "chin dome")
    assert "0.10\u00a0m below and 0.03\u00a0m behind the nose tip" in where(turned, dome)


@pytest.mark.parametrize("band", ["the key reading's band", "the ratio's band"])
def test_bands_name_their_two_largest_causes(band: str) -> None:
    """With the length, angle or share to be careful about, and what it is worth."""
    (line,) = (line for line in readings_table(evaluated()).splitlines() if band in line)

    assert line.count("±") >= 2
    assert line.count("stop") >= 2
    told = readings_json(evaluated())
    assert len(told["key_causes"]) == len(told["ratio"]["causes"]) == 2
