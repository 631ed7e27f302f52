"""Which way the three legs of a stand point: one under the load of a boom, turned as little as the room asks.

The feet stand 120° apart at the leg reach R from the column, so the line between two of them passes R/2 from
it: that is the nearest that a column may stand to a wall.
"""

import numpy as np

from thirdstop.staging.staging import Room, Support
from thirdstop.staging.vectors import bearing_of, vec
from thirdstop.typed import Array

PLUMB_M = 0.02
"""A load nearer to the column than this on the plan hangs over it."""
LOW_M = 0.30
"""Legs pass under a fixed thing that is higher than this."""
_TURNS_DEG = (0.0, *(sign * turn for turn in range(1, 61) for sign in (1.0, -1.0)))
"""Past 60° the next leg is nearer."""


def wanted_leg_deg(support: Support) -> float:
    """Direction of the first leg on the plan, degrees from +x toward +y, before the room is asked.

    Under the load; toward the camera where the load hangs over the column.
    """
    x, y = (support.load_m - support.base_m)[:2]
    return -90.0 if np.hypot(x, y) <= PLUMB_M else float(np.degrees(np.arctan2(y, x)))


def first_leg_deg(support: Support, room: Room) -> float:
    """The same, turned by as few whole degrees as keep every foot inside the room; as wanted if none do."""
    wanted = wanted_leg_deg(support)
    for turn in _TURNS_DEG:
        if _stand_free(_feet_m(support, wanted + turn), room):
            return wanted + turn
    return wanted


def feet_m(support: Support, room: Room) -> Array:
    """Where the three legs end on the floor, shape (3, 3): first the one under the load."""
    return _feet_m(support, first_leg_deg(support, room))


def leg_bearing_deg(support: Support, room: Room) -> float:
    """Direction of the first leg from the line toward the camera, degrees, positive to camera-right."""
    angle = np.radians(first_leg_deg(support, room))
    return bearing_of(vec(float(np.cos(angle)), float(np.sin(angle)), 0.0))


def leg_off_load_deg(support: Support, room: Room) -> float:
    """By how many degrees the room turns the first leg from where it is wanted."""
    return abs(first_leg_deg(support, room) - wanted_leg_deg(support))


def _feet_m(support: Support, first_deg: float) -> Array:
    angles = np.radians(first_deg) + 2 * np.pi * np.arange(3) / 3
    ring = np.stack([np.cos(angles), np.sin(angles), np.zeros(3)], axis=1)
    feet: Array = support.base_m + support.leg_reach_m * ring
    return feet


def _stand_free(feet: Array, room: Room) -> bool:
    low, high = np.array([room.left_m, room.front_m]), np.array([room.right_m, room.back_m])
    inside = (feet[:, :2] >= low) & (feet[:, :2] <= high)
    things = [np.asarray(thing.footprint_m)[:, :2] for thing in room.fixed if thing.bottom_m < LOW_M]
    on = [(feet[:, :2] > thing.min(axis=0)) & (feet[:, :2] < thing.max(axis=0)) for thing in things]
    return bool(inside.all()) and not any(one.all(axis=1).any() for one in on)
