"""The set-up built screen by screen: two or three figures at a time, with the part that they are for."""

from collections.abc import Iterator
from dataclasses import dataclass

from thirdstop.checks.statics import legs_say
from thirdstop.checks.wording import listed
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.pages.views import headline, order, things, whose
from thirdstop.pages.views.metering import metered, person
from thirdstop.staging.staging import Item, Staging, Support

_MOST_FIGURES = 3
"""Of one screen: so large that they are read at arm's length."""


@dataclass(frozen=True)
class Screen:
    """One step."""

    title: str
    parts: tuple[str, ...]
    """Item numbers that the plan shows up."""
    figures: tuple[tuple[str, Figure], ...]
    says: tuple[str, ...]
    pressed: str = ""
    """What is to be done on the page itself: nothing for paper."""


def screens(evaluated: Evaluated) -> tuple[Screen, ...]:
    """Mark, all that goes up, power, a look at it all, only then the sitters and what they hold, the meter.

    A recipe's own steps take the place of all but power and meter.
    """
    staging = evaluated.staging
    if evaluated.recipe.steps:
        return (*_own(evaluated), *_power(evaluated, staging), _meter(evaluated))
    return (*_empty_set(evaluated), *_with_sitters(evaluated), _meter(evaluated))


def _empty_set(evaluated: Evaluated) -> Iterator[Screen]:
    """All that is done while nobody is on the set."""
    staging = evaluated.staging
    yield _mark(staging)
    yield _noses(staging)
    yield from _things(evaluated, order.before_sitters(staging))
    yield from _power(evaluated, staging)
    yield Screen("Check it all", (), (), (order.check_says(staging),))


def _with_sitters(evaluated: Evaluated) -> Iterator[Screen]:
    yield from _sitters(evaluated)
    yield from _things(evaluated, order.after_sitters(evaluated.staging))
    nose = _capital(whose.told(evaluated.staging, "nose"))
    strings = _strings(evaluated.staging)
    says = (f"{nose} to the middle of each face, as before.", *_more(strings), order.MOVED)
    yield Screen("Check the strings", (), strings[:_MOST_FIGURES], says)


def _strings(staging: Staging) -> tuple[tuple[str, Figure], ...]:
    """Of the things whose string starts at the nose."""
    held = (item for item in staging.items if item.kind in ("lamp", "card") and item.string_from == "nose")
    return tuple((item.name, figures.length(item.string_m)) for item in held)


def _more(found: tuple[tuple[str, Figure], ...]) -> tuple[str, ...]:
    """What there is no room for in large figures, in a sentence."""
    left = [f"{name} {figures.told(figure)}" for name, figure in found[_MOST_FIGURES:]]
    return (f"And {listed(left)}.",) if left else ()


def _things(evaluated: Evaluated, items: tuple[Item, ...]) -> Iterator[Screen]:
    staging = evaluated.staging
    rows = {row.number: row for row in things.rows(staging, evaluated.recipe) if row.number != "M"}
    for item in items:
        if item.kind in ("backdrop", "camera"):
            yield _one(item, rows[str(item.number)])
        else:
            yield from _thing(staging, item, rows[str(item.number)])


def _noses(staging: Staging) -> Screen:
    """A point for strings and aims while nobody sits there."""
    found = tuple((place.name, figures.length(float(place.nose_m[2]))) for place in staging.sitters)
    says = [
        "So high over M the nose will be: hold a rule upright there. Strings and aims go to that point while "
        "nobody sits there."
    ]
    for place in staging.sitters[1:]:
        along, across = figures.along(-float(place.mark_m[1])), figures.across(float(place.mark_m[0]))
        says.append(f"The {place.name}’s own mark: {figures.told(along)}, {figures.told(across)}.")
    return Screen(
        f"Where the nose{'s' if len(staging.sitters) > 1 else ''} will be",
        (),
        found[:_MOST_FIGURES],
        (*says, *_more(found)),
    )


def _own(evaluated: Evaluated) -> Iterator[Screen]:
    """The recipe's own sentences, each with the things that it names, under the rule of all steps."""
    yield Screen("Nobody sits yet", (), (), (order.RULE,))
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
        verb = "seat" if place.pose == "seated" else "stand"
        mark = ", ".join(map(figures.told, row.figures[:2]))
        where = "over M" if index == 0 else f"over their own mark, {mark}"
        found = (("nose", row.figures[2]), ("eyes", figures.length(place.eye_height_m)))
        faces = f"Chin {_level(row.figures[3])}, face {_straight(row.figures[4])}, nose {where}."
        parts = (numbers[index],) if index < len(numbers) else ()
        yield Screen(
            f"Only now: {verb} the {person(place.name)}", parts, found, (faces, _sentence(row.details))
        )


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
        _sentence((f"aim {whose.told(staging, item.aim)}", *roll)),
        f"String: {whose.told(staging, item.string_from)} to the middle of the face. If it disagrees, "
        "measure again.",
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
    bag = [part for part in row.details if part.startswith(("bag ", "no bag"))]
    first = "The bag hangs before the load goes up." if bag and bag[0] != "no bag" else ""
    said = _sentence((support.stand, *bag, *boom))
    return base, tuple(filter(None, (said, first, legs_say(support, staging.room))))


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
        f"{key.reads} is predicted.",
    )
    pressed = "Put what it shows into ‘Meter’."
    return Screen("Meter the key", (), (("wanted", Figure(wanted)),), says, pressed)
