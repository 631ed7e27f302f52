"""The room about the mark, its six panels, fixed things, and the sheet behind the sitter."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from thirdstop.book.found import found_in
from thirdstop.book.recipe import Backdrop, MarkPlace
from thirdstop.book.studio import DoorModel, FixedModel, Studio
from thirdstop.staging.lookup import find, paint
from thirdstop.staging.materials import Matte
from thirdstop.staging.measuring import Sheet
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.shapes import Panel, Role
from thirdstop.staging.staging import Door, Fixed, Room
from thirdstop.staging.vectors import vec
from thirdstop.typed import Vec

WALL_BEHIND_SHEET_M = 0.30
"""Default distance from the sheet to the back wall."""
SHEET_TO_WALL_M = 0.01
"""Least distance from the sheet to the back wall."""
SWEEP_OVER_FLOOR_M = 0.003


class Planned(Protocol):
    """A recipe, or a set-up of readings: what says where M is and what hangs behind it."""

    @property
    def mark(self) -> MarkPlace | None:
        """Where M is taped."""
        ...

    @property
    def backdrop(self) -> Backdrop:
        """What is behind."""
        ...


def room_of(recipe: Planned, studio: Studio, problems: Problems) -> Room:
    """The room with its walls placed about M."""
    width_m, length_m = studio.room.width.m, studio.room.length.m
    sheet_m = recipe.backdrop.distance.m if recipe.backdrop.distance is not None else 1.2
    left_m, back_m, corner = width_m / 2, sheet_m + WALL_BEHIND_SHEET_M, "back left corner"
    mark = recipe.mark
    if mark is not None:
        back_m = mark.back_wall.m
        if (mark.left_wall is None) == (mark.right_wall is None):
            problems.add(
                ("mark",),
                "the mark needs its distance from one side wall",
                "",
                "left_wall: 1.5 m, or right_wall",
            )
        elif mark.left_wall is not None:
            left_m = mark.left_wall.m
        elif mark.right_wall is not None:
            left_m, corner = width_m - mark.right_wall.m, "back right corner"
    if not 0 < left_m < width_m or not 0 < back_m < length_m:
        problems.add(
            ("mark",),
            f"the mark must lie inside the room of {width_m:.2f} × {length_m:.2f} m",
            f"{left_m:.2f} m from the left wall, {back_m:.2f} m from the back wall",
            "a place inside",
        )
        # the middle of the room, so that one fault doesn't make everything else one
        left_m, back_m = width_m / 2, length_m / 2
    room = Room(
        left_m=-left_m,
        right_m=width_m - left_m,
        front_m=back_m - length_m,
        back_m=back_m,
        height_m=studio.room.height.m,
        corner=corner,
    )
    doors = tuple(_door(door, room) for door in studio.room.doors)
    fixed = tuple(_fixed(thing, room) for thing in studio.room.fixed)
    return Room(
        room.left_m, room.right_m, room.front_m, room.back_m, room.height_m, doors, fixed, room.corner
    )


def _door(door: DoorModel, room: Room) -> Door:
    """A door's two ends along its wall; 'left end' is as one faces that wall from inside."""
    start, width = door.from_corner.m, door.width.m
    if door.wall == "back wall":
        ends = (room.left_m + start, room.left_m + start + width)
    elif door.wall == "front wall":
        ends = (room.right_m - start - width, room.right_m - start)
    elif door.wall == "left wall":
        ends = (room.front_m + start, room.front_m + start + width)
    else:
        ends = (room.back_m - start - width, room.back_m - start)
    return Door(door.wall, *ends)


def _fixed(thing: FixedModel, room: Room) -> Fixed:
    x0, y1 = room.left_m + thing.left_wall.m, room.back_m - thing.back_wall.m
    x1, y0 = x0 + thing.width.m, y1 - thing.length.m
    footprint = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    return Fixed(thing.name, footprint, thing.bottom.m, thing.top.m)


def room_panels(room: Room, studio: Studio) -> list[Panel]:
    """Left wall, right wall, back wall, front wall, floor, ceiling, fronts facing inward."""
    surfaces = studio.room.surfaces
    measured = surfaces.measured is not None
    hx, hy, hz = room.width_m / 2, room.length_m / 2, room.height_m / 2
    cx, cy = (room.left_m + room.right_m) / 2, (room.front_m + room.back_m) / 2
    x, y, z = vec(hx, 0, 0), vec(0, hy, 0), vec(0, 0, hz)
    rows: tuple[tuple[str, Role, str, Vec, Vec, Vec], ...] = (
        ("left wall", "wall", "left_wall", vec(room.left_m, cy, hz), y, z),
        ("right wall", "wall", "right_wall", vec(room.right_m, cy, hz), z, y),
        ("back wall", "wall", "back_wall", vec(cx, room.back_m, hz), x, z),
        ("front wall", "wall", "front_wall", vec(cx, room.front_m, hz), z, x),
        ("floor", "floor", "floor", vec(cx, cy, 0), x, y),
        ("ceiling", "ceiling", "ceiling", vec(cx, cy, room.height_m), y, x),
    )
    panels = []
    for name, role, key, centre, u, v in rows:
        value = getattr(surfaces, key)
        known = measured or found_in(studio.calibration, name, value)
        matte = paint(value, studio, None, ("room", "surfaces", key), known)
        panels.append(_panel(name, role, centre, u, v, matte))
    return panels


def _panel(name: str, role: Role, centre: Vec, u: Vec, v: Vec, matte: Matte) -> Panel:
    return Panel(name, role, centre, u, v, matte, matte)


def fixed_panels(room: Room, studio: Studio) -> list[Panel]:
    """Four sides, top and underside of each fixed thing, facing outward."""
    panels: list[Panel] = []
    for index, (thing, model) in enumerate(zip(room.fixed, studio.room.fixed, strict=True)):
        matte = paint(model.reflectance, studio, None, ("room", "fixed", index, "reflectance"))
        (x0, y0), (x1, y1) = thing.footprint_m[0], thing.footprint_m[2]
        lo, hi = vec(x0, y0, thing.bottom_m), vec(x1, y1, thing.top_m)
        middle, half = (lo + hi) / 2, (hi - lo) / 2
        x, y, z = vec(half[0], 0, 0), vec(0, half[1], 0), vec(0, 0, half[2])
        sides = (
            ("right", x, y, z),
            ("left", -x, z, y),
            ("rear", y, z, x),
            ("front", -y, x, z),
            ("top", z, x, y),
        )
        for word, out, u, v in sides:
            panels.append(_panel(f"{thing.name} {word}", "fixed", middle + out, u, v, matte))
        if thing.bottom_m > 0:
            panels.append(_panel(f"{thing.name} underside", "fixed", middle - z, y, x, matte))
    return panels


@dataclass(frozen=True, eq=False)
class Hung:
    """What hangs behind the sitter: panels for the scene, the sheet to measure, and words."""

    panels: tuple[Panel, ...]
    sheet: Sheet
    gear: str
    matte: Matte


def hang_backdrop(recipe: Planned, studio: Studio, room: Room, problems: Problems) -> Hung:
    """The sheet of the recipe, or the back wall itself where it names none."""
    wanted = recipe.backdrop
    path: Path = ("backdrop", "sheet")
    if wanted.sheet is None:
        wall = paint(studio.room.surfaces.back_wall, studio, None, path)
        sheet = Sheet(room.back_m, room.left_m, room.right_m, room.height_m)
        return Hung((), sheet, "the back wall", wall)
    model = find(studio.backdrops, wanted.sheet, "backdrop", problems, path)
    distance_m = wanted.distance.m if wanted.distance is not None else room.back_m - WALL_BEHIND_SHEET_M
    if distance_m > room.back_m - SHEET_TO_WALL_M:
        problems.add(
            ("backdrop", "distance") if wanted.distance else ("backdrop",),
            f"the sheet would hang in or behind the back wall, which is {room.back_m:.2f} m behind the mark",
            f"{distance_m:.2f} m",
            f"{room.back_m - SHEET_TO_WALL_M:.2f} m or less",
        )
        distance_m = room.back_m - 0.05
    if model is None:
        return Hung((), Sheet(distance_m, -0.5, 0.5, room.height_m), wanted.sheet, Matte(0.2))
    matte = paint(model.reflectance, studio, None, path, model.measured is not None)
    middle_x = wanted.across.m if wanted.across is not None else 0.0
    left_m, right_m = middle_x - model.width.m / 2, middle_x + model.width.m / 2
    top_m = min(model.height.m, room.height_m)
    _inside(left_m, right_m, room, problems)
    centre = vec(middle_x, distance_m, top_m / 2)
    panels = [
        _panel("backdrop", "backdrop", centre, vec(model.width.m / 2, 0, 0), vec(0, 0, top_m / 2), matte)
    ]
    if wanted.sweep is not None and wanted.sweep.m > 0:
        _sweep_inside(wanted.sweep.m, distance_m - room.front_m, problems)
        half_m = wanted.sweep.m / 2
        over = vec(middle_x, distance_m - half_m, SWEEP_OVER_FLOOR_M)
        panels.append(
            _panel("backdrop sweep", "backdrop", over, vec(model.width.m / 2, 0, 0), vec(0, half_m, 0), matte)
        )
    return Hung(tuple(panels), Sheet(distance_m, left_m, right_m, top_m), model.name, matte)


def _sweep_inside(sweep_m: float, free_m: float, problems: Problems) -> None:
    if sweep_m > free_m:
        problems.add(
            ("backdrop", "sweep"),
            f"the sweep would reach through the front wall, which is {free_m:.2f} m before the sheet",
            f"{sweep_m:.2f} m",
            f"{free_m:.2f} m or less",
        )


def _inside(left_m: float, right_m: float, room: Room, problems: Problems) -> None:
    if left_m < room.left_m - 1e-9 or right_m > room.right_m + 1e-9:
        problems.add(
            ("backdrop",),
            f"the sheet would reach through a wall: it spans {left_m:.2f} to {right_m:.2f} m of M, "
            f"the walls stand at {room.left_m:.2f} and {room.right_m:.2f} m",
            "",
            "another 'across', a narrower sheet, or M nearer to the middle",
        )
