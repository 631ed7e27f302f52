"""What can't stand where it is put: a face or a box through a wall, the floor or the ceiling."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.sitter import Sitter
from thirdstop.staging.staging import Room
from thirdstop.typed import Array

Keys: TypeAlias = tuple[str, str, str]
"""What moves a thing across, along and up: ("'across'", "'along'", "'height'")."""

TOUCHING_M = 1e-6
FLUSH_M = 0.002
"""A face this near to a surface of the room lies in it, and nothing comes between."""
SOFT_M = 0.03
"""Backs and shoulders lean on walls by so much."""


def outline_of(sitter: Sitter) -> Array:
    """Corners of the boxes about a sitter's solids and brim, shape (n, 3), metres.

    Feet rest on the floor, and what leans on a wall gives way a little.
    """
    boxes = np.concatenate([solid.extent_m for solid in sitter.solids])
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


@dataclass(frozen=True)
class WayOut:
    """How a thing leaves the room through one of its surfaces."""

    over_m: float
    """How far it reaches beyond."""
    what: str
    """'left wall', 'ceiling'."""
    axis: int
    words: str
    """The same in words: '0.12 m beyond it'."""
    way: str
    """The way back in: 'further from it', 'lower'."""


def refuse_outside(
    name: str, shape_m: Array, room: Room, problems: Problems, path: Path, keys: Keys | None = None
) -> None:
    """Notes the worst way in which a thing's outline, shape (n, 3), leaves the room, if it does.

    `name` stands as it is in the sentence: ''key'', 'the camera'. `keys` move it, for each axis.
    """
    if out := way_out(shape_m, room):
        refuse_way_out(name, out, problems, path, keys)


def refuse_way_out(name: str, out: WayOut, problems: Problems, path: Path, keys: Keys | None = None) -> None:
    """Notes a way in which something leaves the room."""
    by = f", by {keys[out.axis]}" if keys is not None else ""
    write = f"at least {amount(out.over_m)} {out.way}{by}"
    problems.add(path, f"{name} would go through the {out.what}", out.words, write)


def amount(length_m: float) -> str:
    """What must be given way, in whole centimetres, rounded up."""
    return f"{np.ceil(length_m * 100 - 1e-6):.0f} cm"


def way_out(shape_m: Array, room: Room) -> WayOut | None:
    """The worst way in which an outline, shape (n, 3), leaves the room; None where it is inside."""
    worst = max(_ways_out(shape_m, room), key=lambda found: found.over_m)
    return worst if worst.over_m > TOUCHING_M else None


def _ways_out(shape_m: Array, room: Room) -> list[WayOut]:
    (left, front, low), (right, back, high) = shape_m.min(axis=0), shape_m.max(axis=0)
    top = f"its top edge at {np.ceil(high * 100 - 1e-6) / 100:.2f} m, the ceiling is at {room.height_m:.2f} m"
    walls = (
        (room.left_m - left, "left wall", 0),
        (right - room.right_m, "right wall", 0),
        (room.front_m - front, "front wall", 1),
        (back - room.back_m, "back wall", 1),
    )
    below_m, above_m = -float(low), float(high) - room.height_m
    return [
        *(
            WayOut(float(over_m), what, axis, f"{over_m:.2f} m beyond it", "further from it")
            for over_m, what, axis in walls
        ),
        WayOut(below_m, "floor", 2, f"{below_m:.2f} m below it", "higher"),
        WayOut(above_m, "ceiling", 2, top, "lower"),
    ]
