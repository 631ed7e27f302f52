"""The set-up built screen by screen: two or three figures at a time, with the part that they are for."""

from collections.abc import Iterator
from dataclasses import dataclass

from thirdstop.checks.statics import legs_say
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.pages.views import headline, things
from thirdstop.pages.views.metering import metered
from thirdstop.staging.staging import Item, Staging, Support

_LAST = ("lamp", "card", "blocker")


@dataclass(frozen=True)
class Screen:
    """One step."""

    title: str
    parts: tuple[str, ...]
    """Item numbers that the plan shows up."""
    figures: tuple[tuple[str, Figure], ...]
    says: tuple[str, ...]


def screens(evaluated: Evaluated) -> tuple[Screen, ...]:
    """Mark, backdrop, camera, sitters, then lamps, cards and blockers, power, meter.

    A recipe's own steps take the place of all but the last two.
    """
    staging = evaluated.staging
    placing = _own(evaluated) if evaluated.recipe.steps else _generated(evaluated)
    return (*placing, *_power(evaluated, staging), _meter(evaluated))


def _generated(evaluated: Evaluated) -> Iterator[Screen]:
    staging = evaluated.staging
    rows = {row.number: row for row in things.rows(staging, evaluated.recipe) if row.number != "M"}
    yield _mark(staging)
    for item in (*_of(staging, "backdrop"), *_of(staging, "camera")):
        yield _one(item, rows[str(item.number)])
    yield from _sitters(evaluated)
    for item in (item for kind in _LAST for item in _of(staging, kind)):
        yield from _thing(staging, item, rows[str(item.number)])


def _own(evaluated: Evaluated) -> Iterator[Screen]:
    """The recipe's own sentences, each with the things that it names."""
    for number, text in enumerate(evaluated.recipe.steps, start=1):
        named = [item for item in evaluated.staging.items if item.kind != "sitter" and _names(text, item)]
        found = tuple((f"{item.name}, {name}", f) for item in named for name, f in _place(item))
        yield Screen(f"Step {number}", tuple(str(item.number) for item in named), found[:3], (text,))


def _names(text: str, item: Item) -> bool:
    return f"({item.number})" in text or item.name.casefold() in text.casefold()


def _of(staging: Staging, kind: str) -> tuple[Item, ...]:
    return tuple(item for item in staging.items if item.kind == kind)


def _mark(staging: Staging) -> Screen:
    room = staging.room
    side = "left" if "left" in room.corner else "right"
    end = "back" if "back" in room.corner else "front"
    across_m = -room.left_m if side == "left" else room.right_m
    along_m = room.back_m if end == "back" else -room.front_m
    found = (
        (f"from the {side} wall", figures.length(across_m)),
        (f"from the {end} wall", figures.length(along_m)),
    )
    doors = headline.doors(staging)
    says = (
        "Every place is measured from M. Left and right are as the camera sees them.",
        f"{doors[:1].upper()}{doors[1:]}.",
    )
    return Screen("Tape the mark M", (), found, says)


def _place(item: Item) -> tuple[tuple[str, Figure], ...]:
    return (
        ("along", figures.along(item.toward_m)),
        ("across", figures.across(item.side_m)),
        ("height", figures.length(item.height_m)),
    )


def _one(item: Item, row: things.Row) -> Screen:
    """Backdrop or camera, in one screen."""
    verb = "Hang the backdrop" if item.kind == "backdrop" else "Set the camera"
    found = _place(item)[:2] if item.kind == "backdrop" else _place(item)
    tilted: tuple[str, ...] = ()
    if item.kind == "camera" and row.figures[3].word:
        tilted = (f"Tilted {row.figures[3]}.",)
    return Screen(f"{verb} ({item.number})", (str(item.number),), found, (*tilted, _sentence(row.details)))


def _sitters(evaluated: Evaluated) -> Iterator[Screen]:
    staging = evaluated.staging
    rows = [row for row in things.rows(staging, evaluated.recipe) if row.kind == "sitter"]
    numbers = [str(item.number) for item in _of(staging, "sitter")]
    for index, (place, row) in enumerate(zip(staging.sitters, rows, strict=True)):
        verb = "Seat" if place.pose == "seated" else "Stand"
        where = "over M" if index == 0 else f"over their own mark, {row.figures[0]}, {row.figures[1]}"
        found = (("nose", row.figures[2]), ("eyes", figures.length(place.eye_height_m)))
        faces = f"Chin {_level(row.figures[3])}, face {_straight(row.figures[4])}, nose {where}."
        parts = (numbers[index],) if index < len(numbers) else ()
        yield Screen(f"{verb} the {place.name}", parts, found, (faces, _sentence(row.details)))


def _level(figure: Figure) -> str:
    return str(figure) if figure.word else "level"


def _straight(figure: Figure) -> str:
    return f"turned {figure}" if figure.word else "straight to the camera"


def _thing(staging: Staging, item: Item, row: things.Row) -> Iterator[Screen]:
    """Stand, then face, then aim and the string that checks it all."""
    parts, title = (str(item.number),), f"{_capital(item.name)} ({item.number})"
    if item.support is not None:
        yield Screen(f"{title}: stand", parts, *_stand(staging, item.support, row))
    face = tuple(part for part in row.details[1:2] if part[:1].isdigit())
    yield Screen(f"{title}: middle of the face", parts, _place(item), (_sentence((row.details[0], *face)),))
    aimed = (("lean, from upright", row.figures[3]), ("swing", row.figures[4]), ("string", row.figures[5]))
    roll = (part for part in row.details if part.startswith("rolled"))
    says = (
        _sentence((f"aim {item.aim}", *roll)),
        f"String: {item.string_from} to the middle of the face. If it disagrees, measure again.",
    )
    yield Screen(f"{title}: aim", parts, aimed, says)


def _stand(
    staging: Staging, support: Support, row: things.Row
) -> tuple[tuple[tuple[str, Figure], ...], tuple[str, ...]]:
    """Figures and sentences of what holds a thing up."""
    base = (
        ("along", figures.along(-float(support.base_m[1]))),
        ("across", figures.across(float(support.base_m[0]))),
    )
    boom = (part for part in row.details if support.boom and part.startswith(support.boom))
    bag = (part for part in row.details if part.startswith(("bag ", "no bag")))
    said = _sentence((support.stand, *boom, *bag))
    return base, tuple(filter(None, (said, legs_say(support, staging.room))))


def _sentence(parts: tuple[str, ...]) -> str:
    text = "; ".join(part for part in parts if part)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _power(evaluated: Evaluated, staging: Staging) -> Iterator[Screen]:
    numbers = {item.name: str(item.number) for item in staging.items}
    for power in headline.powers(evaluated):
        parts = (numbers[power.name],) if power.name in numbers else ()
        says = (f"{power.says}.", f"{'; '.join(power.details)}.")
        title = f"Set {power.name}"
        yield Screen(title, parts, (("power", Figure(power.click)),), tuple(map(_capital, says)))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _meter(evaluated: Evaluated) -> Screen:
    key = metered(evaluated, evaluated.readings.key_point)
    wanted = headline.aperture(evaluated.staging)
    says = (
        f"{_capital(key.receptor)} receptor {key.where}, {key.iso}.",
        f"{key.reads} is predicted. Put what it shows into ‘Meter’.",
    )
    return Screen("Meter the key", (), (("wanted", Figure(wanted)),), says)
