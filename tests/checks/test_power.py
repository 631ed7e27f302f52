"""Clicks against a lamp's range, and the remedies' arithmetic."""

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import power
from thirdstop.checks.findings import Finding
from thirdstop.exposure.readings import LampReading
from thirdstop.staging.vectors import vec


def _finding(exact: float, click: int | None = None) -> Finding:
    chosen = round(exact) if click is None else click
    shown = "1/4" if 1 <= chosen <= 25 else ""
    reading = LampReading("key", chosen, 25, shown, True, exact)
    return power.run(samples.staging(), samples.readings(lamps=[reading]))[0]


@pytest.mark.parametrize(("exact", "verdict"), [(0, "look"), (1, "pass"), (25, "pass"), (26, "look")])
def test_limits_are_the_first_and_last_click(exact: float, verdict: str) -> None:
    """Clicks 1 and 25 of 25 exist, 0 and 26 don't."""
    assert _finding(exact).verdict == verdict


def test_margin_counts_clicks_to_the_nearer_end() -> None:
    """Click 20 of 25 has 5 above it and 19 below; click 27 is 2 too many."""
    assert _finding(20).margin == 5
    assert _finding(27).margin == -2


def test_short_by_a_stop_and_a_half() -> None:
    """4.5 clicks over is 1.5 stops: ISO 100 to 400 (whole stops up), f/8 to f/4.8, so f/4.5."""
    found = _finding(29.5, 30)
    assert "1.5 stops short" in found.text
    assert "ISO to 400" in found.remedy
    assert "f/4.5" in found.remedy


def test_too_bright_by_two_stops() -> None:
    """Click −5 is 6 clicks, 2 stops, under the lowest: a filter of density 0.6, or f/8 to f/16."""
    found = _finding(-5)
    assert "neutral filter of 2.0 stops (density 0.6)" in found.remedy
    assert "f/16" in found.remedy


def test_distance_follows_the_disc_not_the_inverse_square() -> None:
    """One stop from a disc of radius 0.45 m at 1.2 m: d² = (0.45² + 1.2²)/2 − 0.45² (Howell B-12)."""
    centre = vec(0.0, -1.2, 1.2)
    staging = samples.staging(samples.lamp(centre_m=centre))
    assert power.distance_for_m(staging, "key", 1.0) == pytest.approx(np.sqrt((0.45**2 + 1.44) / 2 - 0.45**2))
    assert power.distance_for_m(staging, "key", 1.0) == pytest.approx(0.7866, abs=5e-5)


def test_no_distance_gives_more_than_the_face_itself() -> None:
    """Even at the face of a disc of radius 0.45 m there is only 1 + (d/r)² more: 3.02 stops at 1.2 m."""
    staging = samples.staging(samples.lamp(centre_m=vec(0.0, -1.2, 1.2)))
    assert power.distance_for_m(staging, "key", 3.01) is not None
    assert power.distance_for_m(staging, "key", 3.03) is None


def test_never_sends_a_lamp_nearer_than_half_a_metre() -> None:
    """Two stops more would need 0.46 m: the string is not suggested."""
    assert "string" not in _finding(31).remedy
    assert "string" in _finding(28).remedy
