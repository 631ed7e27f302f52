"""Bands after a calibration: what it found counts with its own spread and correlation, once."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from staging.books import demo, loaded
from thirdstop.book.loading import load_model
from thirdstop.book.studio import Studio
from thirdstop.exposure.charging import charge
from thirdstop.exposure.deviations import deviations
from thirdstop.exposure.learned import changed, left_open
from thirdstop.exposure.meter import gear_variations, levels, moves, powers_at
from thirdstop.exposure.quality import ROUGH
from thirdstop.exposure.transport import solve
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Scene, Staging
from thirdstop.typed import Array

FOUND = """
calibration:
  measured: 2026-11-21
  readings: 6
  file: first.yaml
  found:
    - {of: battery 400 with round box 90, value: 40 m, spread: 0.2 stops}
    - {of: the dome, value: 340, spread: 0.2 stops, with: [-1]}
    - {of: right wall, value: 0.25, spread: 0.1 stops, with: [0, 0]}
    - {of: left wall, value: 0.61, spread: 0.1 stops, with: [0, 0, 0]}
"""


@cache
def _staging() -> Staging:
    text = (demo().root / "studio.yaml").read_text(encoding="utf-8") + FOUND
    text = text.replace("right_wall: mid-grey paint", "right_wall: 0.25").replace(
        "    energy: 400 J\n",
        "    energy: 400 J\n    calibrated:\n"
        "      - {shaper: round box 90, guide_number: 40 m, spread: 0.2 stops, measured: 2026-11-21}\n",
    )
    studio, _, faults = load_model(Studio, text, "studio.yaml")
    assert studio is not None, faults
    one = loaded("01-")
    staging, found = stage(one.recipe, studio, one.marks)
    assert staging is not None, found
    lit = charge(staging)
    return replace(lit, scene=replace(lit.scene, solids=()))


def test_only_what_still_stands_counts() -> None:
    """A wall that was painted since is assumed again; what stands is covered and no cause of its own."""
    known = _staging().learned
    assert known is not None

    assert [one.name for one in known.things] == ["battery 400 with round box 90", "the dome", "right wall"]
    words = [one.cause for one in deviations(_staging())]
    assert not any("right wall" in cause for cause in words)
    assert any("left wall" in cause for cause in words)


def test_lamp_and_meter_that_go_opposite_ways_cancel_at_the_dome() -> None:
    """Where only their sum is known, a dome's reading is sure and a flat receptor's is not."""
    staging = _staging()
    nominal = solve(staging.scene, ROUGH)
    powers = powers_at(staging, nominal, [16.0])
    before, points = levels(nominal, powers), (0, 1)

    def moved(scene: Scene) -> tuple[Array, float]:
        return moves(staging, nominal, (before, levels(solve(scene, ROUGH), powers)), points)

    found = left_open(staging, moved, points)
    square = sum(one.weight * (one.reading_stops**2).sum(axis=0) for one in found)
    band = 1.645 * np.sqrt(square)
    domes = np.array([point.receptor == "dome" for point in staging.scene.points])

    assert band[domes].max() < 0.03  # the right wall's share is left
    assert band[~domes] == pytest.approx(0.2, abs=0.02)
    assert all("the readings of 2026-11-21 left open" in one.cause for one in found)
    causes = [one.cause for one in gear_variations(staging, nominal, powers, points)]
    assert not any("output" in cause or "dome" in cause for cause in causes)


def test_changes_are_what_they_say() -> None:
    """A stop more output doubles the lamp; a share never leaves 0 to 1."""
    staging = _staging()
    assert staging.learned is not None
    scene = changed(staging.scene, staging.learned, np.array([1.0, 0.0, 3.0]))

    assert scene.emitters[0].luminance_cd_s_m2 == pytest.approx(
        2 * staging.scene.emitters[0].luminance_cd_s_m2
    )
    wall = next(panel for panel in scene.panels if panel.name == "right wall")
    assert 0.25 < wall.front.reflectance < 1.0
