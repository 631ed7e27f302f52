"""What a studio file can get wrong between its own parts: names that point nowhere, sizes left out."""

import math
from collections.abc import Sequence

from thirdstop.book.marks import Marks
from thirdstop.book.quantities import format_length
from thirdstop.book.studio import FixedModel, LampModel, OutputReading, Studio, SurfaceModel
from thirdstop.errors import Fault
from thirdstop.staging.lamps import face_size
from thirdstop.staging.lookup import Named, find, paint, surface
from thirdstop.staging.problems import Path, Problems

NAMED = (
    "paints",
    "surfaces",
    "backdrops",
    "lamps",
    "shapers",
    "grids",
    "gels",
    "cards",
    "stands",
    "booms",
    "bags",
    "cameras",
)
"""Lists of the studio file in which a name may stand once."""


def check_studio(studio: Studio, marks: Marks) -> list[Fault]:
    """Every fault of the studio file that its own fields can't see one by one."""
    problems = Problems(marks)
    _names(studio, problems)
    _paints(studio, problems)
    for index, lamp in enumerate(studio.lamps):
        _lamp(lamp, studio, problems, ("lamps", index))
    for index, shaper in enumerate(studio.shapers):
        face_size(shaper, problems, ("shapers", index))
    for index, boom in enumerate(studio.booms):
        find(studio.stands, boom.stand, "stand", problems, ("booms", index, "stand"))
    for index, own in enumerate(studio.surfaces):
        _surface(own, problems, ("surfaces", index))
    for index, card in enumerate(studio.cards):
        for at, name in enumerate(card.surfaces):
            surface(name, studio, problems, ("cards", index, "surfaces", at))
        if card.back is not None:
            surface(card.back, studio, problems, ("cards", index, "back"))
    for index, stand in enumerate(studio.stands):
        if stand.lowest.m > stand.highest.m:
            problems.add(
                ("stands", index, "lowest"),
                f"the lowest height is above the highest, {stand.highest}",
                str(stand.lowest),
                f"{stand.highest} or less",
            )
    for index, sheet in enumerate(studio.backdrops):
        if sheet.height.m > studio.room.height.m:
            problems.add(
                ("backdrops", index, "height"),
                f"the sheet's upper edge would be above the ceiling, {studio.room.height}",
                str(sheet.height),
                f"{format_length(_whole_cm_below(studio.room.height.m))} or less",
            )
    _doors(studio, problems)
    _fixed(studio, problems)
    return problems.faults


def _names(studio: Studio, problems: Problems) -> None:
    for key in NAMED:
        pieces: Sequence[Named] = getattr(studio, key)
        seen: set[str] = set()
        for index, piece in enumerate(pieces):
            if piece.name.casefold() in seen:
                problems.add((key, index, "name"), "this name is already taken", piece.name, "another name")
            seen.add(piece.name.casefold())
    both = {stand.name for stand in studio.stands} & {boom.name for boom in studio.booms}
    for index, boom in enumerate(studio.booms):
        if boom.name in both:
            problems.add(("booms", index, "name"), "a stand has this name already", boom.name, "another name")


def _paints(studio: Studio, problems: Problems) -> None:
    surfaces = studio.room.surfaces
    for key in ("back_wall", "front_wall", "left_wall", "right_wall", "ceiling", "floor"):
        paint(getattr(surfaces, key), studio, problems, ("room", "surfaces", key))
    for index, thing in enumerate(studio.room.fixed):
        paint(thing.reflectance, studio, problems, ("room", "fixed", index, "reflectance"))
    for index, sheet in enumerate(studio.backdrops):
        paint(sheet.reflectance, studio, problems, ("backdrops", index, "reflectance"))


def _lamp(lamp: LampModel, studio: Studio, problems: Problems, path: Path) -> None:
    if isinstance(lamp.display, list) and len(lamp.display) != lamp.clicks:
        problems.add(
            (*path, "display"),
            f"there must be one text for each of the {lamp.clicks} clicks",
            f"{len(lamp.display)} texts",
            f"{lamp.clicks} texts, lowest first, or 'fractions'",
        )
    for index, reading in enumerate(lamp.readings):
        at: Path = (*path, "readings", index)
        find(studio.shapers, reading.shaper, "shaper", problems, (*at, "shaper"))
        if not 1 <= reading.click <= lamp.clicks:
            problems.add(
                (*at, "click"),
                f"this lamp has the clicks 1 to {lamp.clicks}",
                str(reading.click),
                str(lamp.clicks),
            )
        if reading.masking == "open room" and reading.in_room is None:
            problems.add(
                (*at, "masking"),
                "a reading in the open room needs to say where the lamp stood",
                "open room",
                "in_room: {left_wall: 1.5 m, back_wall: 1 m, height: 1.2 m, facing: front wall}",
            )
        _in_room(reading, studio, problems, (*at, "in_room"))
    _once([reading.shaper for reading in lamp.readings], "a reading", (*path, "readings"), problems)
    _once(
        [number.shaper for number in lamp.guide_numbers],
        "a guide number",
        (*path, "guide_numbers"),
        problems,
    )
    _once([found.shaper for found in lamp.calibrated], "a calibration", (*path, "calibrated"), problems)
    for index, found in enumerate(lamp.calibrated):
        find(studio.shapers, found.shaper, "shaper", problems, (*path, "calibrated", index, "shaper"))
    for index, number in enumerate(lamp.guide_numbers):
        find(studio.shapers, number.shaper, "shaper", problems, (*path, "guide_numbers", index, "shaper"))


def _once(shapers: Sequence[str], what: str, path: Path, problems: Problems) -> None:
    """A second entry for the same shaper would never be used."""
    for index, name in enumerate(shapers):
        if name in shapers[:index]:
            wrong = f"the lamp has {what} with this shaper already"
            problems.add((*path, index, "shaper"), wrong, name, f"one of the two: the better {what[2:]}")


def _surface(own: SurfaceModel, problems: Problems, path: Path) -> None:
    if own.kind == "translucent" and own.transmittance is None:
        problems.add(path, "a translucent surface needs its transmittance", own.name, "transmittance: 0.45")
    passed = own.transmittance.value if own.transmittance is not None else 0.0
    if own.reflectance.value + passed > 1.0:
        problems.add(
            (*path, "reflectance"),
            "reflectance and transmittance together can't be more than 1",
            f"{own.reflectance.value:g} + {passed:g}",
            "measured values, whose sum is below 1",
        )


def _fixed(studio: Studio, problems: Problems) -> None:
    room, seen = studio.room, set()
    for index, thing in enumerate(room.fixed):
        path: Path = ("room", "fixed", index)
        if thing.name.casefold() in seen:
            problems.add((*path, "name"), "this name is already taken", thing.name, "another name")
        seen.add(thing.name.casefold())
        if thing.top.m <= thing.bottom.m:
            wrong = f"the top is not above the underside, {thing.bottom}"
            problems.add((*path, "top"), wrong, str(thing.top), f"more than {thing.bottom}")
        for key, end_m, room_m, what in (
            ("width", thing.left_wall.m + thing.width.m, room.width.m, "wide"),
            ("length", thing.back_wall.m + thing.length.m, room.length.m, "long"),
            ("top", thing.top.m, room.height.m, "high"),
        ):
            if end_m > room_m + 1e-9:
                wrong = f"'{thing.name}' would end at {end_m:.2f} m; the room is {room_m:.2f} m {what}"
                problems.add((*path, key), wrong, "", "a thing inside the room")


def _in_room(reading: OutputReading, studio: Studio, problems: Problems, path: Path) -> None:
    where, room = reading.in_room, studio.room
    if where is None:
        return
    x_m, y_m = where.left_wall.m, where.back_wall.m
    steps = {"left wall": (-1, 0), "right wall": (1, 0), "back wall": (0, -1), "front wall": (0, 1)}
    step = steps[where.facing]
    for what, off_m in (("lamp", 0.0), ("meter", reading.distance.m)):
        x, y = x_m + off_m * step[0], y_m + off_m * step[1]
        if not (0 < x < room.width.m and 0 < y < room.length.m and 0 < where.height.m < room.height.m):
            problems.add(
                path, f"the {what} would have been outside the room", "", "the place where the lamp stood"
            )
            return
    for thing in room.fixed:
        if _passes_through(thing, (x_m, y_m, where.height.m), step, reading.distance.m):
            wrong = f"'{thing.name}' would have stood between lamp and meter"
            problems.add(path, wrong, "", "the place where the lamp stood")


def _passes_through(
    thing: FixedModel, start_m: tuple[float, float, float], step: tuple[int, int], far_m: float
) -> bool:
    """Whether the straight way along a wall's normal meets the box of a fixed thing."""
    x_m, y_m, z_m = start_m
    ranges = (
        (x_m, x_m + step[0] * far_m, thing.left_wall.m, thing.left_wall.m + thing.width.m),
        (y_m, y_m + step[1] * far_m, thing.back_wall.m, thing.back_wall.m + thing.length.m),
        (z_m, z_m, thing.bottom.m, thing.top.m),
    )
    return all(min(a, b) <= high and max(a, b) >= low for a, b, low, high in ranges)


def _whole_cm_below(m: float) -> float:
    # A hair is added first: 2.3 m is 229.99… cm as a float.
    return math.floor(m * 100 + 1e-6) / 100


def _doors(studio: Studio, problems: Problems) -> None:
    for index, door in enumerate(studio.room.doors):
        wall_m = studio.room.width.m if door.wall in ("back wall", "front wall") else studio.room.length.m
        end_m = door.from_corner.m + door.width.m
        if end_m > wall_m + 1e-9:
            problems.add(
                ("room", "doors", index),
                f"the door ends {end_m:.2f} m along the {door.wall}, which is {wall_m:.2f} m long",
                "",
                "a door that fits its wall",
            )
