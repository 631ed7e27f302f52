"""Which way the legs of a stand point: under the load, and inside the room."""

import numpy as np
import pytest

from thirdstop.staging.legs import feet_m, first_leg_deg, leg_bearing_deg, leg_off_load_deg
from thirdstop.staging.staging import Fixed, Room, Support
from thirdstop.staging.vectors import vec

ROOM = Room(-1.5, 1.5, -3.0, 1.5, 2.4)
REACH_M = 0.5


def _stand(x_m: float, y_m: float, load_x_m: float | None = None) -> Support:
    top = vec(x_m, y_m, 2.0)
    load = top if load_x_m is None else vec(load_x_m, y_m, 2.0)
    return Support("stand", vec(x_m, y_m, 0), top, REACH_M, 3.0, load, 3.0)


def test_feet_stand_120_degrees_apart_at_the_reach() -> None:
    """An equilateral triangle about the column: sides R·√3."""
    feet = feet_m(_stand(0.0, 0.0), ROOM)
    sides = [np.linalg.norm(feet[k] - feet[k - 1]) for k in range(3)]
    assert sides == pytest.approx([REACH_M * 3**0.5] * 3)
    assert feet.mean(axis=0) == pytest.approx([0, 0, 0])


def test_leg_goes_under_the_load() -> None:
    """A boom to camera-right: the leg points 90° camera-right; a plain stand's toward the camera."""
    assert leg_bearing_deg(_stand(0.0, 0.0, 1.0), ROOM) == pytest.approx(90.0)
    assert leg_bearing_deg(_stand(0.0, 0.0), ROOM) == pytest.approx(0.0)
    assert leg_off_load_deg(_stand(0.0, 0.0, 1.0), ROOM) == 0


@pytest.mark.parametrize("gap_m", [0.26, 0.35, 0.45])
def test_near_a_wall_all_feet_stay_inside(gap_m: float) -> None:
    """From R/2 to R from the left wall some turn of the legs fits, and the smallest one is taken."""
    support = _stand(-1.5 + gap_m, -1.0, 1.0)
    assert leg_off_load_deg(support, ROOM) == 0  # the boom points away from the wall
    toward = _stand(-1.5 + gap_m, -1.0, -1.5)
    assert leg_off_load_deg(toward, ROOM) > 0
    assert feet_m(toward, ROOM)[:, 0].min() >= -1.5
    # one foot of the turned stand, by hand: cos of its angle from the wall's normal is no more than gap/R
    angle = np.radians(180 - first_leg_deg(toward, ROOM))
    assert np.cos(angle) <= gap_m / REACH_M
    assert np.cos(abs(angle) - np.radians(1.0)) > gap_m / REACH_M


def test_nearer_than_half_the_reach_no_turn_fits() -> None:
    """24 cm from a wall with a reach of 50 cm: as wanted, for the room's own check to refuse."""
    assert leg_off_load_deg(_stand(-1.5 + 0.24, -1.0), ROOM) == 0


def test_legs_keep_off_what_stands_on_the_floor_and_pass_under_the_rest() -> None:
    """A box where the leg would end turns it; one that hangs 40 cm up doesn't."""
    corners = np.array([(-0.1, -0.7), (0.1, -0.7), (0.1, -0.4), (-0.1, -0.4)])
    for bottom_m, turned in ((0.0, True), (0.4, False)):
        room = Room(-1.5, 1.5, -3.0, 1.5, 2.4, fixed=(Fixed("box", corners, bottom_m, 1.0),))
        assert (leg_off_load_deg(_stand(0.0, 0.0), room) > 0) == turned
