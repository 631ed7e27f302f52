"""The backdrop against the edges of the picture."""

from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import frame_filled
from thirdstop.checks.findings import Finding
from thirdstop.checks.polygons import area_m2
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import CameraView
from thirdstop.staging.vectors import vec

VIEW = samples.camera()
DEPTH = 1.2 - float(VIEW.lens_m[1])
HALF = VIEW.tan_half_across * DEPTH
"""Half the width of the picture at a sheet 1.2 m behind the mark."""


def _finding(*sheets: Panel, framing: CameraView = VIEW) -> Finding:
    return frame_filled.run(samples.staging(sheets=sheets, view=framing), samples.readings())[0]


@pytest.mark.parametrize(("past_m", "verdict"), [(0.051, "pass"), (0.049, "look"), (-0.01, "look")])
def test_five_centimetres_past_the_edge(past_m: float, verdict: str) -> None:
    """A sheet as wide as the picture and 5 cm more on each side."""
    assert _finding(samples.sheet(width_m=2 * (HALF + past_m))).verdict == verdict


def test_margin_is_what_is_over() -> None:
    """12 cm over leaves 7 cm more than wanted."""
    assert _finding(samples.sheet(width_m=2 * (HALF + 0.1201))).margin == pytest.approx(0.07)


def test_bare_part_is_the_strip_beside_the_sheet() -> None:
    """A sheet moved so that its left edge is 10 cm inside leaves 10 cm / picture width bare."""
    sheet = samples.sheet(width_m=3.0)
    moved = replace(sheet, centre_m=sheet.centre_m + vec(1.5 - HALF + 0.10, 0, 0))
    found = _finding(moved)
    assert f"{round(100 * 0.10 / (2 * HALF))} % of the picture" in found.text
    assert "left edge" in found.text
    assert "camera-left by 15 cm" in found.remedy


def test_sweep_covers_the_floor() -> None:
    """A full-length picture sees the floor before the sheet's lower edge; a sweep of 2 m covers it."""
    view = samples.camera(2.9, 1.0, 0.05)
    sheet = samples.sheet(0.9, 2.9, 2.4)
    grey = samples.GREY
    sweep = Panel(
        "backdrop sweep", "backdrop", vec(0, -0.1, 0.003), vec(1.45, 0, 0), vec(0, 1.0, 0), grey, grey
    )
    assert "bottom edge" in _finding(sheet, framing=view).text
    assert _finding(sheet, sweep, framing=view).verdict == "pass"


def test_wall_as_backdrop() -> None:
    """Without a sheet the wall fills what the room fills."""
    assert _finding().verdict == "pass"


def test_pieces_are_exact() -> None:
    """A sheet over the right half of the picture leaves exactly half of it."""
    sheet = samples.sheet(width_m=3.0)
    half = replace(sheet, centre_m=sheet.centre_m + vec(1.5, 0, 0))
    staging = samples.staging(sheets=[half], view=VIEW)
    pieces = frame_filled.bare_pieces(staging, VIEW.tan_half_across, VIEW.tan_half_upright)
    whole = 4 * VIEW.tan_half_across * VIEW.tan_half_upright
    assert sum(area_m2(piece) for piece in pieces) == pytest.approx(whole / 2)
    assert np.concatenate(pieces)[:, 0].max() == pytest.approx(0.0, abs=1e-12)
