"""Columns of stands against people, seats, one another and the camera, each on both sides of its limit."""

from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import room_fit
from thirdstop.checks.columns import SEAT_HALF_M, Through
from thirdstop.checks.findings import Finding
from thirdstop.checks.parts import TUBE_HALF_M
from thirdstop.staging.clashes import CAMERA_BACK_M
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.staging import Staging, Support
from thirdstop.staging.vectors import vec


def _stand(x_m: float, y_m: float, top_m: float = 1.15, reach_m: float = 0.4) -> Support:
    base, top = vec(x_m, y_m, 0.0), vec(x_m, y_m, top_m)
    return Support("stand", base, top, reach_m, 2.0, top, 1.0)


def _card(x_m: float, y_m: float, top_m: float = 1.15) -> samples.Thing:
    return samples.panel(centre_m=vec(x_m, y_m, 1.15), support=_stand(x_m, y_m, top_m))


def _limb(name: str, x_m: float, y_m: float, z_m: float, sitter: int = 0) -> Ellipsoid:
    """An ellipsoid of 8 × 20 × 8 cm half-axes: 8 cm across the camera line."""
    size = vec(0.08, 0.20, 0.08)
    return Ellipsoid(name, "thigh", sitter, vec(x_m, y_m, z_m), size, np.eye(3), samples.GREY)


def _column(staging: Staging, name: str = "card") -> Finding | None:
    found = [one for one in room_fit.run(staging, samples.readings()) if one.about == f"{name}: column"]
    return found[0] if found else None


STANDING = samples.sitter(pose="standing")
TOUCH_M = 0.08 + TUBE_HALF_M - 0.01
"""From a limb's middle to a column that touches it: its half, half a tube, less what clothes give way."""


@pytest.mark.parametrize(("beside_m", "through"), [(TOUCH_M - 0.002, True), (TOUCH_M + 0.002, False)])
def test_through_a_leg(beside_m: float, through: bool) -> None:
    """A column 2 mm inside the limit halts and names the leg; 2 mm outside it nothing is said."""
    leg = _limb("right thigh", -0.3, -0.2, 0.5)
    found = _column(samples.staging(_card(-0.3 - beside_m, -0.2), sitters=[STANDING], solids=[leg]))
    assert (found is not None) is through
    if found is not None:
        assert found.verdict == "halt"
        assert "the right thigh of 'sitter'" in found.text
        assert "1 cm camera-left" in found.remedy


def test_a_low_column_stands_under_a_leg() -> None:
    """What ends below the limb is no column through it."""
    leg = _limb("right thigh", -0.3, -0.2, 0.6)
    low = samples.staging(_card(-0.3, -0.2, 0.45), sitters=[STANDING], solids=[leg])
    high = samples.staging(_card(-0.3, -0.2, 0.60), sitters=[STANDING], solids=[leg])
    assert _column(low) is None
    assert _column(high) is not None


def test_the_move_that_is_named_frees_the_column() -> None:
    """Put back in, moved as told, it stands free of both legs; a centimetre less and it doesn't."""
    legs = [_limb("right thigh", -0.3, -0.2, 0.5), _limb("left thigh", -0.12, -0.2, 0.5)]
    found = _column(samples.staging(_card(-0.28, -0.2), sitters=[STANDING], solids=legs))
    assert found is not None
    assert "camera-left" in found.remedy
    move_m = -(found.margin or 0)
    for less_m, free in ((0.0, True), (0.01, False)):
        there = _card(-0.28 - move_m + less_m, -0.2)
        assert (_column(samples.staging(there, sitters=[STANDING], solids=legs)) is None) is free


def test_a_second_sitters_leg_has_the_name_once() -> None:
    """Solids of a further sitter carry the sitter's name before the part's."""
    pair = [STANDING, samples.sitter(1, vec(0.6, 0, 1.5), pose="standing")]
    leg = _limb("sitter 2 left thigh", 0.6, 0.0, 0.5, 1)
    found = _column(samples.staging(_card(0.6, 0.0), sitters=pair, solids=[leg]))
    assert found is not None
    assert "goes through the left thigh of 'sitter 2'." in found.text


@pytest.mark.parametrize(("gap_m", "through"), [(-0.002, True), (0.002, False)])
def test_seat(gap_m: float, through: bool) -> None:
    """A column stands outside a seat; the legs of its stand may reach under it."""
    x_m = -(SEAT_HALF_M + TUBE_HALF_M + gap_m)
    found = _column(samples.staging(_card(x_m, 0.0)))
    assert (found is not None) is through
    assert found is None or "the seat of 'sitter'" in found.text
    assert _column(samples.staging(_card(x_m, 0.0), sitters=[STANDING])) is None


@pytest.mark.parametrize(("apart_m", "through"), [(2 * TUBE_HALF_M - 0.002, True), (0.042, False)])
def test_two_columns(apart_m: float, through: bool) -> None:
    """Two columns in one place are told at both."""
    key = samples.lamp(support=_stand(-0.8, -0.4, 1.8))
    staging = samples.staging(key, _card(-0.8, -0.4 - apart_m))
    assert (_column(staging) is not None) is through
    assert (_column(staging, "key") is not None) is through


@pytest.mark.parametrize(
    ("behind_m", "through"), [(CAMERA_BACK_M + 0.018, True), (CAMERA_BACK_M + 0.022, False)]
)
def test_behind_the_camera(behind_m: float, through: bool) -> None:
    """A column may not stand where the camera's body and what carries it are."""
    found = _column(samples.staging(_card(0.0, -2.0 - behind_m)))
    assert (found is not None) is through
    assert found is None or "the camera" in found.text


def test_column_beside_a_camera_held_upright() -> None:
    """Held upright the body is 10 cm wide, level 14 cm."""
    level = samples.camera(across_m=0.036, upright_m=0.024)
    for view, half_m in ((samples.camera(), 0.05), (level, 0.07)):
        for gap_m, through in ((-0.002, True), (0.002, False)):
            x_m = half_m + TUBE_HALF_M + gap_m
            found = _column(samples.staging(_card(x_m, -1.98), view=view))
            assert (found is not None) is through


def test_what_is_on_a_boom_is_not_sent_to_a_boom() -> None:
    """Its stand goes elsewhere by another side of the boom it has."""
    assert Through("the seat", 0.1, "camera-left").remedy.endswith(" camera-left, or use a boom from beside.")
    boomed = Through("the seat", None, "", on_boom=True)
    assert boomed.remedy == "Put the stand elsewhere, or let the boom come from another side."


def test_no_way_out_is_said() -> None:
    """Where nothing up to 60 cm frees it no move is named."""
    wall = Ellipsoid("torso", "torso", 0, vec(0, 0, 1.0), vec(0.9, 0.9, 0.9), np.eye(3), samples.GREY)
    found = _column(samples.staging(_card(0.0, 0.0), sitters=[STANDING], solids=[wall]))
    assert found is not None
    assert found.margin is None
    assert "elsewhere" in found.remedy


def test_what_has_no_stand_has_no_column() -> None:
    """A card on a lap goes through nothing with a column."""
    card = samples.panel(centre_m=vec(0.0, -0.2, 0.7))
    assert _column(samples.staging(replace(card))) is None
