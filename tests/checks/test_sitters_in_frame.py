"""Every sitter's head inside the picture: extents against hand-made geometry, remedies put back in."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import sitters_in_frame
from thirdstop.checks.findings import Finding
from thirdstop.staging.shapes import Ellipsoid, Panel
from thirdstop.staging.staging import CameraView, SitterPlace, Staging
from thirdstop.staging.vectors import vec

HALF_WIDTH_M = 0.075
"""Of the samples' head, across."""
NEAR_M = 0.5
"""A camera there has a field narrower than a head, with 85 mm."""


def _staging(
    view: CameraView,
    sitters: Sequence[SitterPlace] | None = None,
    framing: str = "head and shoulders",
    more: Sequence[Panel] = (),
    solids: Sequence[Ellipsoid] = (),
) -> Staging:
    people = [samples.sitter()] if sitters is None else list(sitters)
    heads = [samples.head(one) for one in people]
    return samples.staging(
        sitters=people, view=view, framing=framing, more_panels=more, solids=[*heads, *solids]
    )


def _found(*given: object, **more: object) -> list[Finding]:
    return sitters_in_frame.run(_staging(*given, **more), samples.readings())  # type: ignore[arg-type]


def _aside(view: CameraView, x_m: float) -> CameraView:
    return replace(view, focal_plane_m=view.focal_plane_m + vec(x_m, 0, 0))


def _edge_m(view: CameraView) -> float:
    """Camera's x at which the right edge's plane touches the head: tangent plane of its ellipse on the plan.

    A line x = k + t·y touches x²/a² + y²/b² = 1 where k² = a² + (t b)².
    """
    t = view.tan_half_across
    depth_m = 0.12 - float(view.lens_m[1])
    return float(np.hypot(HALF_WIDTH_M, 0.095 * t)) - t * depth_m


@pytest.mark.parametrize(("inside_m", "verdict"), [(0.004, "pass"), (-0.004, "look")])
def test_touching_the_edge_is_the_limit(inside_m: float, verdict: str) -> None:
    """The camera moved to camera-left until the head touches the right edge, and 4 mm either way."""
    view = samples.camera()
    found = _found(_aside(view, _edge_m(view) + inside_m))[0]
    assert found.verdict == verdict
    assert "right edge" in found.text


def test_a_head_wholly_out_is_a_halt() -> None:
    """Moved on by more than the whole head, nothing shows; a little less and some does."""
    view = samples.camera()
    t = view.tan_half_across
    gone = -float(np.hypot(HALF_WIDTH_M, 0.095 * t)) - t * (0.12 - float(view.lens_m[1]))
    assert _found(_aside(view, gone - 0.002))[0].verdict == "halt"
    assert _found(_aside(view, gone + 0.002))[0].verdict == "look"


def test_level_camera_near_the_floor() -> None:
    """At 25 cm nothing of a seated head shows; raised by what is said, all of it does."""
    view = samples.camera(height_m=0.25)
    found = _found(view)[0]
    assert found.verdict == "halt"
    assert "up" in found.remedy
    raised = replace(view, focal_plane_m=view.focal_plane_m + vec(0, 0, -(found.margin or 0)))
    assert f"{-(found.margin or 0) * 100:.0f} cm up" in found.remedy
    assert _found(raised)[0].verdict == "pass"


def test_lens_named_is_the_longest_that_does() -> None:
    """Put back in, the lens that is named takes the head in, one of a millimetre more doesn't."""
    found = _found(samples.camera(NEAR_M))[0]
    assert found.verdict == "look"
    mm = int(found.remedy.split("a lens of ")[1].split(" mm")[0])
    assert _found(samples.camera(NEAR_M, focal_length_m=mm / 1000))[0].verdict == "pass"
    assert _found(samples.camera(NEAR_M, focal_length_m=(mm + 1) / 1000))[0].verdict == "look"


def test_distance_named_takes_the_head_in() -> None:
    """So does the distance: a centimetre less cuts it."""
    found = _found(samples.camera(NEAR_M))[0]
    back_m = int(found.remedy.split("Take the camera ")[1].split(" cm farther back")[0]) / 100
    assert _found(samples.camera(NEAR_M + back_m))[0].verdict == "pass"
    assert _found(samples.camera(NEAR_M + back_m - 0.01))[0].verdict == "look"


def test_no_distance_is_named_where_the_room_has_none() -> None:
    """With the wall 50 cm behind the camera nothing is left to go back."""
    room = replace(samples.ROOM, front_m=-NEAR_M - 0.5)
    staging = replace(_staging(samples.camera(NEAR_M)), room=room)
    remedy = sitters_in_frame.run(staging, samples.readings())[0].remedy
    assert "farther back" not in remedy
    assert "a lens of" in remedy


def test_two_side_by_side_want_the_other_format() -> None:
    """56 cm apart, upright at 2 m: the second is out; turned and moved as told, both are in."""
    pair = [samples.sitter(), samples.sitter(1, vec(0.56, 0.0, 1.2))]
    first, second = _found(samples.camera(), pair)
    assert (first.verdict, second.verdict) == ("pass", "halt")
    assert second.remedy.startswith("Turn the camera to its other format and move it ")
    move_m = int(second.remedy.split("move it ")[1].split(" cm to camera-right")[0]) / 100
    turned = samples.camera(across_m=0.036, upright_m=0.024)
    assert {one.verdict for one in _found(_aside(turned, move_m), pair)} == {"pass"}
    assert "closer together" in second.remedy


def test_a_brim_counts_and_belongs_to_its_head() -> None:
    """A brim that reaches past the edge cuts that sitter's head, not the other's."""
    pair = [samples.sitter(), samples.sitter(1, vec(-0.30, 0.0, 1.2))]
    turned = samples.camera(across_m=0.036, upright_m=0.024)
    brim = Panel(
        "brim", "brim", vec(-0.30, 0.1, 1.26), vec(0.2, 0, 0), vec(0, 0.2, 0), samples.GREY, samples.GREY
    )
    assert [one.verdict for one in _found(turned, pair)] == ["pass", "pass"]
    assert [one.verdict for one in _found(turned, pair, more=[brim])] == ["pass", "look"]


def test_a_head_may_be_cropped_above_the_brow() -> None:
    """Framed as a head, the top edge may cut the crown; framed wider, it may not."""
    view = samples.camera(1.0, height_m=1.09)
    assert _found(view)[0].verdict == "look"
    assert _found(view, framing="head")[0].verdict == "pass"
    lower = samples.camera(1.0, height_m=1.0)
    assert _found(lower, framing="head")[0].verdict == "look"


def test_full_length_wants_the_feet_too() -> None:
    """Feet on the floor below the bottom edge: only a full length minds."""
    axes = np.eye(3)
    leg = Ellipsoid("leg", "lower leg", 0, vec(0, 0.1, 0.25), vec(0.05, 0.05, 0.25), axes, samples.GREY)
    view = samples.camera()
    assert _found(view, solids=[leg])[0].verdict == "pass"
    found = _found(view, solids=[leg], framing="full length")[0]
    assert found.verdict == "look"
    assert "bottom edge" in found.text


def test_framed_hands_need_no_head() -> None:
    """Only the hands are looked at, and nothing is said where none are staged."""
    hand = Ellipsoid("hand", "hand", 0, vec(0, -0.2, 0.7), vec(0.04, 0.05, 0.03), np.eye(3), samples.GREY)
    view = samples.camera(1.2, height_m=0.7)
    assert _found(view, solids=[hand], framing="hands")[0].verdict == "pass"
    assert _found(samples.camera(1.2, height_m=1.8), solids=[hand], framing="hands")[0].verdict == "halt"
    assert _found(view, framing="hands") == []


def test_a_move_and_a_lens_together_take_everyone_in() -> None:
    """Low and near, no move is enough by itself: raised and aside, with that lens, all are in."""
    pair = [samples.sitter(), samples.sitter(1, vec(0.56, 0.0, 1.2))]
    low = samples.camera(1.5, height_m=0.25)
    remedy = _found(low, pair)[1].remedy
    told = re.match(
        r"Move the camera (\d+) cm to camera-right and (\d+) cm up and use a lens of (\d+) mm", remedy
    )
    assert told is not None, remedy
    aside_m, up_m, mm = int(told[1]) / 100, int(told[2]) / 100, int(told[3])
    for focal_mm, fits in ((mm, True), (mm + 1, False)):
        view = _aside(samples.camera(1.5, 0.25 + up_m, focal_mm / 1000), aside_m)
        assert all(one.verdict == "pass" for one in _found(view, pair)) is fits
