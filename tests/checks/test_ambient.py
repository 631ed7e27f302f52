"""Room light against the house limit of 6 stops under the key."""

from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks import ambient
from thirdstop.checks.findings import Finding


def _finding(under: float | None, shutter_s: float = 1 / 160) -> Finding:
    staging = samples.staging()
    staging = replace(staging, meter=replace(staging.meter, shutter_s=shutter_s))
    return ambient.run(staging, samples.readings(ambient_stops_under=under))[0]


@pytest.mark.parametrize(
    ("under", "verdict"), [(6.0, "pass"), (5.99, "look"), (6.32, "pass"), (5.32, "look")]
)
def test_six_stops(under: float, verdict: str) -> None:
    """320 lx·s of flash over 1000 lx for 1/250 s is 6.32 stops, for 1/125 s 5.32 (H = E·t)."""
    assert _finding(under).verdict == verdict


def test_unknown_is_worth_a_look() -> None:
    """Nobody stated the room's light: a frame without flash will tell."""
    found = _finding(None)
    assert found.verdict == "look"
    assert "flash off" in found.remedy


def test_one_stop_short_wants_half_the_light() -> None:
    """Half the room's light is one stop less, as is f/8 to f/11."""
    found = _finding(5.0)
    assert "50 %" in found.remedy
    assert "f/11" in found.remedy


def test_shutter_is_offered_only_where_it_is_enough() -> None:
    """1/60 to 1/200 s is 1.74 stops; 1/160 to 1/200 is 0.32."""
    assert "1/200 s" in _finding(5.0, 1 / 60).remedy
    assert "1/200 s" not in _finding(5.0, 1 / 160).remedy


def test_the_rooms_light_is_named() -> None:
    """How many lux the number rests on, at which shutter time."""
    staging = samples.staging()
    staging = replace(staging, meter=replace(staging.meter, ambient_lux=150.0, shutter_s=1 / 160))
    text = ambient.run(staging, samples.readings(ambient_stops_under=7.4))[0].text
    assert "150 lux, is 7.4 stops under the key reading at 1/160 s" in text
