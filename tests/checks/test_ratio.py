"""The ratio against its target in stops."""

from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import ratio
from thirdstop.checks.findings import Finding
from thirdstop.staging.staging import TargetPlace


def _finding(found: float, wanted: float | None = 4.0, band: float = 0.3) -> Finding:
    staging = samples.staging(target=TargetPlace(wanted, "lit to shadow", 1 / 3, None))
    return ratio.run(staging, samples.readings(ratio=found, band_stops=band))[0]


@pytest.mark.parametrize(
    ("stops_off", "verdict"),
    [(0.0, "pass"), (0.333, "pass"), (0.334, "look"), (-0.333, "pass"), (-0.334, "look")],
)
def test_a_third_of_a_stop_either_way(stops_off: float, verdict: str) -> None:
    """4:1 within 1/3 stop reaches from 3.17:1 to 5.04:1."""
    found = _finding(4.0 * 2.0**stops_off)
    assert found.verdict == verdict
    assert found.margin == pytest.approx(1 / 3 - abs(stops_off))


def test_text_states_convention_points_and_stops() -> None:
    """A ratio is never printed without its convention and the difference: 3:1 is 1.58 stops."""
    text = _finding(3.0, 3.0).text
    assert "3:1 lit : shadow" in text
    assert "left cheek to right cheek" in text
    assert "1.6 stops apart" in text


def test_no_target_passes_with_the_number() -> None:
    """Without a target there is nothing to miss."""
    found = _finding(3.7, None)
    assert found.verdict == "pass"
    assert "3.7:1" in found.text


def test_remedy_goes_the_right_way() -> None:
    """Too high wants more light on the shadow side, too low less."""
    assert _finding(8.0).remedy.startswith("Lift")
    assert _finding(2.0).remedy.startswith("Lower")


def test_without_a_card_no_remedy_moves_one() -> None:
    """It is to be set up first; black where the shadow side has too much."""
    target = TargetPlace(4.0, "lit to shadow", 1 / 3, None)
    bare = replace(samples.staging(target=target), items=())
    high, low = (ratio.run(bare, samples.readings(ratio=found))[0].remedy for found in (8.0, 2.0))

    assert high.startswith("Lift the shadow side: set a white card across from the key")
    assert low.startswith("Lower the shadow side: set a black panel across from the key")


def test_wide_band_is_said() -> None:
    """A band of ±1 stop can't settle a third of a stop."""
    assert "let the meter decide" in _finding(4.0, band=1.0).text
    assert "let the meter decide" not in _finding(4.0, band=0.2).text


def test_stops_and_ratio_agree() -> None:
    """The sample's ratio is log2 of its stops, so the check compares like with like."""
    assert samples.readings(ratio=5.0).ratio.stops == pytest.approx(np.log2(5.0))
