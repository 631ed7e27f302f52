"""The picture's pyramid: lens geometry by the thin-lens equation, both sides of the 5 cm limit."""

from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import in_frame
from thirdstop.checks.findings import Finding
from thirdstop.checks.view import outside_by_m, to_view
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec

HALF_AT_NOSE = 0.5 * 0.024 / samples.camera().image_distance_m * (2.0 - samples.camera().image_distance_m)
"""Half the width of the field at the nose."""


def _card(x_m: float, width_m: float = 0.8, y_m: float = 0.0, z_m: float = 1.2) -> samples.Thing:
    """A card flat to the camera whose edge nearer to the axis stands at x."""
    return samples.panel(centre_m=vec(x_m - width_m / 2, y_m, z_m), normal=vec(0, -1, 0), width_m=width_m)


def _finding(*things: samples.Thing, **more: object) -> Finding:
    staging = samples.staging(samples.lamp(), *things, **more)  # type: ignore[arg-type]
    return in_frame.run(staging, samples.readings())[1]


def test_field_is_the_thin_lens_field() -> None:
    """85 mm at 2.0 m from the lens draws 0.5407 m across 24 mm (thin lens, m = f/(u − f) = 0.044386)."""
    view = samples.camera(distance_m=2.0 + 0.085 * (1 + 0.085 / 1.915))
    assert 2 * view.tan_half_across * 2.0 == pytest.approx(0.5407059, rel=1e-6)
    assert 2 * view.tan_half_upright * 2.0 == pytest.approx(0.8110588, rel=1e-6)


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.051, "pass"), (0.049, "look"), (-0.02, "look")])
def test_card_beside_the_frame(gap_m: float, verdict: str) -> None:
    """At the nose's depth a card is clear from 5 cm outside the frame's edge on."""
    assert _finding(_card(-HALF_AT_NOSE - gap_m)).verdict == verdict


def test_margin_is_the_gap_at_the_cards_own_depth() -> None:
    """A card 12 cm outside the edge clears it by 12 cm, 7 cm more than wanted."""
    found = _finding(_card(-HALF_AT_NOSE - 0.1201))
    assert found.margin == pytest.approx(0.07)
    assert "12 cm" in found.text


def test_card_in_the_picture_says_how_far_to_move() -> None:
    """A card 3.2 cm past the left edge must move 4 cm to camera-left (rounded up)."""
    found = _finding(_card(-HALF_AT_NOSE + 0.032))
    assert found.verdict == "look"
    assert found.margin == pytest.approx(-0.09)
    assert "4 cm to camera-left" in found.remedy


def test_moving_as_told_leaves_the_picture() -> None:
    """Moved by the margin, the card no longer shows."""
    found = _finding(_card(-HALF_AT_NOSE + 0.032))
    assert found.margin is not None
    assert _finding(_card(-HALF_AT_NOSE + 0.032 + found.margin)).text.count("clears the picture") == 1


def test_depth_counts() -> None:
    """The field shrinks in proportion to the distance from the lens: the same x half-way is farther out."""
    view = samples.camera()
    half_way_y = float(view.lens_m[1]) / 2
    near = _finding(_card(-HALF_AT_NOSE, y_m=half_way_y))
    assert near.margin == pytest.approx(np.floor((HALF_AT_NOSE / 2 - 0.05) * 100) / 100)


def test_far_corner_uses_the_larger_of_across_and_up() -> None:
    """A card past a corner of the frame is measured by the larger of the two offsets at its depth."""
    view = samples.camera()
    half_up = HALF_AT_NOSE * 1.5
    corner = np.array([(HALF_AT_NOSE + 0.1, 0.0, 1.2 + half_up + 0.2), (1.0, 0.0, 2.0), (0.9, 0.0, 2.0)])
    assert outside_by_m(view, to_view(view, corner)) == pytest.approx(0.2)


def test_slant_past_the_corner_needs_the_exact_growth() -> None:
    """A slanted edge that no single side keeps out: at (w + d, h + d) it meets the frame grown by d."""
    view = samples.camera()
    w, h, d = HALF_AT_NOSE, HALF_AT_NOSE * 1.5, 0.07
    # the edge x + z' = w + h + 2d runs past the corner; its ends lie over and beside the frame
    slant = np.array([(w + d - 0.4, 0.0, 1.2 + h + d + 0.4), (w + d + 0.4, 0.0, 1.2 + h + d - 0.4)])
    assert outside_by_m(view, to_view(view, slant)) == pytest.approx(d, abs=1e-6)


def test_behind_the_lens_is_out() -> None:
    """A lamp beside the photographer is out of the picture at any size."""
    found = _finding(_card(0.4, y_m=-2.2))
    assert found.verdict == "pass"
    assert found.margin is None


def test_behind_the_sheet_does_not_count() -> None:
    """A card in the middle of the field but behind the backdrop sheet does not show."""
    assert _finding(_card(0.4, y_m=1.3)).verdict == "pass"
    assert _finding(_card(0.4, y_m=1.1)).verdict == "look"


def test_hidden_behind_the_sitter() -> None:
    """A small lamp in the field that a trunk hides from the lens does not show; without the trunk it does."""
    hidden = samples.panel(centre_m=vec(0, 0.6, 1.0), normal=vec(0, -1, 0), width_m=0.1, height_m=0.1)
    trunk = Ellipsoid("torso", "torso", 0, vec(0, 0, 1.0), vec(0.3, 0.15, 0.3), np.eye(3), samples.GREY)
    assert _finding(hidden).verdict == "look"
    assert _finding(hidden, solids=(trunk,)).verdict == "pass"


def test_low_card_is_told_to_go_down() -> None:
    """A lap card that pokes 2 cm over the bottom edge is nearest out downward."""
    half_up = HALF_AT_NOSE * 1.5
    lap = samples.panel(
        centre_m=vec(0, 0.0, 1.2 - half_up + 0.02 - 0.3), normal=vec(0, -1, 0), width_m=0.5, height_m=0.6
    )
    found = _finding(lap)
    assert "2 cm down" in found.remedy
    assert "bottom edge" in found.text


def test_no_move_through_the_wall() -> None:
    """In a narrow room the shortest way out is through the wall, so another is named."""
    room = replace(samples.ROOM, left_m=-0.5, right_m=0.5)
    low = samples.panel(centre_m=vec(-0.2, 0, 1.2), normal=vec(0, -1, 0), width_m=0.5, height_m=0.3)
    assert "camera-left" in _finding(low).remedy
    assert "camera-left" not in _finding(low, room=room).remedy


def test_stand_legs_count() -> None:
    """In a full-length picture the legs of a stand outside the frame reach into it."""
    view = samples.camera(2.9, 1.0, 0.05)
    half = view.tan_half_across * (2.9 - view.image_distance_m)
    foot, top = vec(half + 0.3, 0, 0), vec(half + 0.3, 0, 1.9)
    support = Support("stand", foot, top, 0.5, 2.0, top, 3.0)
    key = samples.lamp(centre_m=vec(half + 0.7, 0, 1.9), normal=vec(-1, 0, 0), support=support)
    found = in_frame.run(samples.staging(key, view=view, framing="full length"), samples.readings())[0]
    assert found.verdict == "look"
    assert "its stand's legs" in found.text


def test_closest_string_is_where_it_would_come_within_5_cm() -> None:
    """A card flat to the camera slides in along its line until its edge is 5 cm outside."""
    card = _card(-HALF_AT_NOSE - 0.40, width_m=0.2)
    staging = samples.staging(samples.lamp(), card)
    item = staging.items[1]
    # its middle is 0.1 m further out than its edge, and it slides along the frame's own depth
    closest = HALF_AT_NOSE + 0.05 + 0.1
    assert closest <= in_frame.closest_string_m(staging, item) <= closest + 0.01
    assert "stays clear to a string of" in _finding(card).text


def test_legs_on_the_floor_are_moved_aside_not_down() -> None:
    """A low camera sees a stand's legs at the bottom edge, the shortest way out, and the floor is there."""
    view = samples.camera(height_m=0.45)
    base, top = vec(-0.35, 0.0, 0.0), vec(-0.35, 0.0, 0.9)
    stand = Support("stand", base, top, 0.4, 2.0, top, 1.0)
    high = samples.panel(centre_m=vec(-0.9, 0.0, 1.7), normal=vec(0, -1, 0), width_m=0.3, height_m=0.3)
    card = replace(high, item=replace(high.item, support=stand))
    found = _finding(card, view=view)
    assert found.verdict == "look"
    assert "its stand's legs" in found.text
    assert "to camera-left" in found.remedy
    assert " down" not in found.remedy
    narrow = replace(samples.ROOM, left_m=-1.06, right_m=0.3)
    assert _finding(card, view=view, room=narrow).remedy.startswith("No move aside")


def test_a_face_on_a_stand_may_still_go_up() -> None:
    """Where only the face shows, the shortest way out may be upward: its column grows under it."""
    card = samples.panel(centre_m=vec(0.0, 0.0, 1.2 + 0.36), normal=vec(0, -1, 0), width_m=0.3, height_m=0.3)
    assert " up at its own depth" in _finding(card).remedy
