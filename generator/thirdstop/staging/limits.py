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
    """Notes the worst way in which a thing's outline, shape (n, 3), leaves the room, if it does."""
    lo, hi = shape_m.min(axis=0), shape_m.max(axis=0)
    ways = (
        (room.left_m - lo[0], "left wall", f"{abs(lo[0] - room.left_m):.2f} m beyond it"),
        (hi[0] - room.right_m, "right wall", f"{abs(hi[0] - room.right_m):.2f} m beyond it"),
        (room.front_m - lo[1], "front wall", f"{abs(lo[1] - room.front_m):.2f} m beyond it"),
        (hi[1] - room.back_m, "back wall", f"{abs(hi[1] - room.back_m):.2f} m beyond it"),
        (-lo[2], "floor", f"{-lo[2]:.2f} m below it"),
        (
            hi[2] - room.height_m,
            "ceiling",
            f"its top edge at {np.ceil(hi[2] * 100 - 1e-6) / 100:.2f} m, "
            f"the ceiling is at {room.height_m:.2f} m",
        ),
    )
    over_m, what, words = max(ways, key=lambda way: float(way[0]))
    if over_m > TOUCHING_M:
        amount = f"{np.ceil(float(over_m) * 100 - 1e-6):.0f} cm"
        problems.add(
            path, f"'{name}' would go through the {what}", words, f"a place at least {amount} further in"
        )
