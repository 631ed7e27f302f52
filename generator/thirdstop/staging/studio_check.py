"""What a studio file can get wrong between its own parts: names that point nowhere, sizes left out."""

from collections.abc import Sequence

from thirdstop.book.marks import Marks
from thirdstop.book.studio import LampModel, Studio, SurfaceModel
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
    _doors(studio, problems)
    return problems.faults


def _names(studio: Studio, problems: Problems) -> None:
    for key in NAMED:
        pieces: Sequence[Named] = getattr(studio, key)
        seen: set[str] = set()
        for index, piece in enumerate(pieces):
            if piece.name in seen:
                problems.add((key, index, "name"), "this name is already taken", piece.name, "another name")
            seen.add(piece.name)
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
    for index, number in enumerate(lamp.guide_numbers):
        find(studio.shapers, number.shaper, "shaper", problems, (*path, "guide_numbers", index, "shaper"))


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
