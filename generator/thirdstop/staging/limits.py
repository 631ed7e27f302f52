"""What can't stand where it is put: a face or a box through a wall, the floor or the ceiling."""

import numpy as np

from thirdstop.staging.crossing import extent_m
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.sitter import Sitter
from thirdstop.staging.staging import Room
from thirdstop.typed import Array

TOUCHING_M = 1e-6
FLUSH_M = 0.002
"""A face this near to a surface of the room lies in it, and nothing comes between."""
SOFT_M = 0.03
"""Backs and shoulders lean on walls by so much."""


def outline_of(sitter: Sitter) -> Array:
    """Corners of the boxes about a sitter's solids and brim, shape (n, 3), metres.

    Feet rest on the floor, and what leans on a wall gives way a little.
    """
    boxes = np.concatenate([extent_m(solid) for solid in sitter.solids])
    boxes[:, :2] += SOFT_M * np.tile([[1.0, 1.0], [-1.0, -1.0]], (len(sitter.solids), 1))
    boxes[:, 2] = np.maximum(boxes[:, 2], 0.0)
    return np.concatenate([boxes, *(panel.corners_m for panel in sitter.panels)])


def refuse_flush(name: str, face_m: Array, room: Room, problems: Problems, path: Path) -> None:
    """Notes a face that lies in a wall, the floor or the ceiling."""
    planes = (
        (0, room.left_m, "left wall"),
        (0, room.right_m, "right wall"),
        (1, room.front_m, "front wall"),
        (1, room.back_m, "back wall"),
        (2, 0.0, "floor"),
        (2, room.height_m, "ceiling"),
    )
    for axis, at_m, what in planes:
        if float(np.abs(face_m[:, axis] - at_m).max()) < FLUSH_M:
            problems.add(path, f"'{name}' would lie in the {what}", "", "1 cm or more off it")


def refuse_outside(name: str, shape_m: Array, room: Room, problems: Problems, path: Path) -> None:
    """Notes the worst way in which a thing's outline, shape (n, 3), leaves the room, if it does.

    `name` stands as it is in the sentence: ''key'', 'the camera'.
    """
    over_m, what, words, way = max(_ways_out(shape_m, room), key=lambda found: found[0])
    if over_m > TOUCHING_M:
        amount = f"{np.ceil(over_m * 100 - 1e-6):.0f} cm"
        problems.add(path, f"{name} would go through the {what}", words, f"at least {amount} {way}")


def _ways_out(shape_m: Array, room: Room) -> list[tuple[float, str, str, str]]:
    """For each surface: metres beyond it, its name, the same in words, and the way back in."""
    (left, front, low), (right, back, high) = shape_m.min(axis=0), shape_m.max(axis=0)
    top = f"its top edge at {np.ceil(high * 100 - 1e-6) / 100:.2f} m, the ceiling is at {room.height_m:.2f} m"
    ways = (
        (room.left_m - left, "left wall", "further from it"),
        (right - room.right_m, "right wall", "further from it"),
        (room.front_m - front, "front wall", "further from it"),
        (back - room.back_m, "back wall", "further from it"),
    )
    found = [(float(over_m), what, f"{over_m:.2f} m beyond it", way) for over_m, what, way in ways]
    below_m, above_m = -float(low), float(high) - room.height_m
    return [
        *found,
        (below_m, "floor", f"{below_m:.2f} m below it", "higher"),
        (above_m, "ceiling", top, "lower"),
    ]
