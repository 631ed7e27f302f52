"""Fit to the room: clearances, legs, the walkway and the camera run, each on both sides of its limit."""

from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import room_fit
from thirdstop.checks.findings import Finding
from thirdstop.checks.walkway import door_middle_m, widest_way
from thirdstop.staging.staging import Door, Fixed, Room, Staging, Support
from thirdstop.staging.vectors import vec

EMPTY = replace(samples.ROOM, doors=(Door("front wall", -0.45, 0.45),))


def _box(
    name: str, x0: float, x1: float, y0: float, y1: float, bottom: float = 0.0, top: float = 2.4
) -> Fixed:
    return Fixed(name, np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), bottom, top)


def _about(staging: Staging, about: str) -> Finding:
    (found,) = [one for one in room_fit.run(staging, samples.readings()) if one.about == about]
    return found


def _upright(top_m: float) -> samples.Thing:
    """A 0.9 m round face that looks level, its top edge at that height."""
    return samples.lamp(centre_m=vec(0.6, -0.8, top_m - 0.45), normal=vec(0, 1, 0))


@pytest.mark.parametrize(
    ("top_m", "verdict"), [(2.34, "pass"), (2.36, "look"), (2.39, "look"), (2.42, "halt")]
)
def test_ceiling(top_m: float, verdict: str) -> None:
    """Under a ceiling of 2.4 m the top edge stays at or under 2.35 m."""
    assert _about(samples.staging(_upright(top_m)), "key").verdict == verdict


def test_round_box_limit_of_a_low_room() -> None:
    """An upright 0.9 m round box can't have its middle over 2.4 − 0.45 = 1.95 m: at 2.0 m it is through."""
    found = _about(samples.staging(_upright(2.45)), "key")
    assert "5 cm into the ceiling" in found.text or "6 cm into the ceiling" in found.text
    assert found.remedy.startswith("Lower it by 1")


def test_body_counts_as_well() -> None:
    """A shell that reaches 3 cm from the right wall is worth a look though the face is far from it."""
    shell = np.array([(1.2, -0.8, 1.5), (1.47, -0.8, 1.5), (1.47, -0.8, 1.7), (1.2, -0.8, 1.7)])
    key = samples.lamp(centre_m=vec(0.6, -0.8, 1.6), normal=vec(0, 1, 0), body=[shell])
    found = _about(samples.staging(key), "key")
    assert found.verdict == "look"
    assert "the right wall by 3 cm with its body" in found.text


def test_floor_may_be_touched() -> None:
    """A card may stand on the floor, not in it."""
    low = samples.panel(centre_m=vec(-0.6, -0.3, 0.60), normal=vec(0, -1, 0), height_m=1.2)
    assert _about(samples.staging(samples.lamp(), low), "card").verdict == "pass"
    under = samples.panel(centre_m=vec(-0.6, -0.3, 0.58), normal=vec(0, -1, 0), height_m=1.2)
    assert _about(samples.staging(samples.lamp(), under), "card").verdict == "halt"


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.06, "pass"), (0.04, "look")])
def test_fixed_thing_beside(gap_m: float, verdict: str) -> None:
    """A cupboard beside a card at its own height."""
    card = samples.panel(centre_m=vec(-0.6, -0.3, 1.2), normal=vec(0, -1, 0))
    room = replace(EMPTY, fixed=(_box("cupboard", -1.5, -1.0 - gap_m, -0.6, 0.0, 0.0, 1.0),))
    assert _about(samples.staging(samples.lamp(), card, room=room), "card").verdict == verdict


def test_beam_over_a_card() -> None:
    """A beam whose underside is 4 cm over the card's top edge, and not beside it."""
    card = samples.panel(centre_m=vec(-0.6, -0.3, 1.2), normal=vec(0, -1, 0))
    beam = _box("beam", -1.5, 1.5, -0.4, -0.2, 1.84, 2.4)
    found = _about(samples.staging(samples.lamp(), card, room=replace(EMPTY, fixed=(beam,))), "card")
    assert found.verdict == "look"
    assert "'beam' by 4 cm" in found.text


def _stand(x_m: float, y_m: float, boom: bool = False) -> Support:
    return Support(
        "stand",
        vec(x_m, y_m, 0),
        vec(x_m, y_m, 1.8),
        0.5,
        5.0,
        vec(x_m, y_m, 1.8),
        3.0,
        "boom" if boom else None,
    )


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.51, None), (0.49, "look"), (0.26, "look"), (0.24, "halt")])
def test_legs_beside_a_wall(gap_m: float, verdict: str | None) -> None:
    """Legs of 0.5 m need 0.5 m to a wall, 0.25 m with two of them along it."""
    key = samples.lamp(support=_stand(1.5 - gap_m, -1.0))
    found = [one for one in room_fit.run(samples.staging(key), samples.readings()) if "legs" in one.about]
    assert [one.verdict for one in found] == ([] if verdict is None else [verdict])


@pytest.mark.parametrize(("front_m", "verdict"), [(-2.51, "pass"), (-2.49, "look")])
def test_half_a_metre_behind_the_camera(front_m: float, verdict: str) -> None:
    """The focal plane stands at 2.0 m from the nose."""
    room = replace(EMPTY, front_m=front_m)
    assert _about(samples.staging(room=room), "camera").verdict == verdict


def test_what_a_house_keeps_free_behind_the_camera() -> None:
    """80 cm by its habits: 70 cm are too little, and the set comes no farther forward."""
    staging = samples.staging(room=replace(EMPTY, front_m=-2.7), behind_camera_m=0.8)
    found = _about(staging, "camera")
    assert (found.verdict, found.limit) == ("look", 0.8)
    assert "80 cm is wanted" in found.text.replace("\u00a0", " ")
    assert room_fit.forward_m(staging, 1.0) == 0.0
    assert room_fit.forward_m(replace(staging, behind_camera_m=0.5), 1.0) == pytest.approx(0.2)


def test_a_room_too_short_for_what_is_kept_free_is_said() -> None:
    """9 m behind the camera can't be had by bringing the mark into the back wall."""
    staging = samples.staging(room=replace(EMPTY, front_m=-2.7), behind_camera_m=9.0)
    assert _about(staging, "camera").remedy.startswith("The room is too short for that")
    near = samples.staging(room=replace(EMPTY, front_m=-2.7), behind_camera_m=0.8)
    assert _about(near, "camera").remedy.startswith("Bring camera and set 10")


def test_cupboard_behind_the_camera() -> None:
    """A cupboard 30 cm behind the focal plane, 25 cm off its line, is in the way; one 35 cm off is not."""
    near = replace(EMPTY, fixed=(_box("cupboard", 0.25, 1.0, -3.0, -2.3),))
    far = replace(EMPTY, fixed=(_box("cupboard", 0.35, 1.0, -3.0, -2.3),))
    assert _about(samples.staging(room=near), "camera").verdict == "look"
    assert _about(samples.staging(room=far), "camera").verdict == "pass"


def _way(room: Room, *things: samples.Thing) -> Finding:
    return _about(samples.staging(*things, room=room, view=samples.camera(distance_m=1.0)), "walkway")


def test_door_is_the_narrowest_place_of_an_empty_room() -> None:
    """With nothing in the way a door of 0.9 m is what is narrow."""
    high = samples.lamp(centre_m=vec(1.0, 0.9, 2.2), normal=vec(0, 0, -1), width_m=0.2, height_m=0.2)
    bare = samples.staging(high, room=EMPTY, view=samples.camera(distance_m=1.0))
    way = widest_way(bare, EMPTY.doors[0])
    assert way.width_m == pytest.approx(0.9)
    assert way.between == ("the front wall", "the front wall")


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.61, "pass"), (0.59, "look")])
def test_gap_between_two_boxes(gap_m: float, verdict: str) -> None:
    """Cupboards from either wall leave a passage of that width, at no whole number of lattice steps."""
    x = 0.137
    room = replace(
        EMPTY,
        fixed=(
            _box("left cupboard", -1.5, x - gap_m / 2, -2.2, -1.9),
            _box("right cupboard", x + gap_m / 2, 1.5, -2.2, -1.9),
        ),
    )
    found = _way(room)
    assert found.verdict == verdict
    assert "'" not in found.text.split("between")[0]
    assert "left cupboard" in found.text


def test_stand_legs_narrow_the_way() -> None:
    """A stand whose legs' circle ends 0.5 m from the left wall, the other side shut by a cupboard."""
    key = samples.lamp(
        centre_m=vec(-0.5, -1.9, 2.3),
        normal=vec(0, 1, 0),
        width_m=0.2,
        height_m=0.2,
        support=_stand(-0.5, -1.9),
    )
    room = replace(EMPTY, fixed=(_box("cupboard", -0.1, 1.5, -2.1, -1.7),))
    found = _way(room, key)
    assert found.verdict == "look"
    assert found.margin == pytest.approx(-0.10)
    assert "the legs of 'key'" in found.text


def test_no_way_at_all() -> None:
    """A wall of boxes leaves 0."""
    found = _way(replace(EMPTY, fixed=(_box("cupboard", -1.5, 1.5, -1.4, -1.1),)))
    assert found.margin == pytest.approx(-0.6)


def test_what_hangs_over_two_metres_is_walked_under() -> None:
    """A beam at 2.05 m does not narrow the way, one at 1.95 m does."""
    high = replace(EMPTY, fixed=(_box("beam", -1.5, 1.5, -1.4, -1.1, 2.05, 2.4),))
    low = replace(EMPTY, fixed=(_box("beam", -1.5, 1.5, -1.4, -1.1, 1.95, 2.4),))
    assert _way(high).verdict == "pass"
    assert _way(low).verdict == "look"


def test_the_better_door_counts() -> None:
    """With one door shut off by a cupboard the other one is used; without any door the check can't tell."""
    shut = _box("cupboard", -1.5, 1.5, -3.0, -2.6)
    two = replace(EMPTY, fixed=(shut,), doors=(*EMPTY.doors, Door("left wall", -2.4, -1.6)))
    assert _way(replace(EMPTY, fixed=(shut,))).verdict == "look"
    assert _way(two).verdict == "pass"
    assert "states no door" in _way(replace(EMPTY, doors=())).text


@pytest.mark.parametrize(
    ("wall", "x", "y"),
    [("left wall", -1.5, 0.5), ("right wall", 1.5, 0.5), ("front wall", 0.5, -3.0), ("back wall", 0.5, 1.5)],
)
def test_middle_of_a_door(wall: str, x: float, y: float) -> None:
    """A door from 0.1 to 0.9 m along each wall."""
    door = Door(wall, 0.1, 0.9)  # type: ignore[arg-type]
    assert door_middle_m(EMPTY, door)[:2] == pytest.approx([x, y])


@pytest.mark.parametrize(("behind_m", "most_m"), [(0.85, 0.3), (0.55, 0.0), (3.0, 1.0)])
def test_how_far_a_set_can_come_forward(behind_m: float, most_m: float) -> None:
    """50 cm stay free behind the focal plane, at 2 m from the mark; in steps of 10 cm, a metre asked for."""
    staging = samples.staging(room=replace(EMPTY, front_m=-2.0 - behind_m))
    assert room_fit.forward_m(staging, 1.0) == pytest.approx(most_m)


def test_a_set_comes_forward_until_a_thing_meets_a_fixed_one() -> None:
    """A card whose face is 38 cm from a cupboard toward the camera comes 30 cm, with 5 cm left clear."""
    card = samples.panel(centre_m=vec(-0.9, -0.3, 1.2), normal=vec(0, -1, 0), width_m=0.4)
    cupboard = _box("cupboard", -1.2, -0.6, -1.3, -0.68, 0.0, 2.0)
    room = replace(EMPTY, front_m=-6.0, fixed=(cupboard,))
    assert room_fit.forward_m(samples.staging(card, room=room), 1.0) == pytest.approx(0.3)
