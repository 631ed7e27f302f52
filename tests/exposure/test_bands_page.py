"""The page on bands says what the code does."""

from pathlib import Path

import pytest

from thirdstop.exposure.spreads import Spread
from thirdstop.exposure.uncertainty import TOLERANCES
from thirdstop.staging.lamps import SPREAD_STOPS

PAGE = (Path(__file__).parents[2] / "docs" / "bands.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("row", "spread", "amount"),
    [
        ("height", TOLERANCES.position_m, "{:.0f} cm"),
        ("its lean, its swing", TOLERANCES.aim_deg, "{:.0f}°"),
        ("axis of the floor", TOLERANCES.sitter_m, "{:.0f} cm"),
        ("a sitter's turn", TOLERANCES.turn_deg, "{:.0f}°"),
        ("a measured reflectance", TOLERANCES.measured_share, "{:.0f} %"),
        ("a published reflectance", TOLERANCES.published_share, "{:.0f} %"),
        ("an assumed reflectance", TOLERANCES.assumed_share, "{:.0f} %"),
        ("a metallised cloth's roughness", TOLERANCES.roughness_share, "{:.0f} %"),
        ("a grid's cut-off", TOLERANCES.beam_share, "{:.0f} %"),
        ("what a net lets through", TOLERANCES.straight_share, "{:.0f} %"),
        ("the calibration of each receptor", TOLERANCES.calibration_stops, "{:g} stop"),
        ("about each of two axes", TOLERANCES.held_deg, "{:.0f}°"),
        ("the computation", TOLERANCES.computation_stops, "{:g} stop"),
    ],
)
def test_tolerances(row: str, spread: Spread, amount: str) -> None:
    """Each row of the table has the tolerance and the distribution that are computed with."""
    times = 100 if amount.endswith(("cm", "%")) else 1

    assert f"{row} | {amount.format(times * spread.half_width)} | {spread.shape} |" in PAGE


def test_outputs() -> None:
    """A lamp's output by how it is known, and the least that a reflectance is known to."""
    amounts = ", ".join(f"{SPREAD_STOPS[known]:g}" for known in ("metered", "guide number", "energy"))

    assert f"| a lamp's output: metered, guide number, watt-seconds | {amounts} stop | normal |" in PAGE
    assert f"| any reflectance | at least {TOLERANCES.least_reflectance:g}, at most half-way" in PAGE
