"""A recipe mirrored: camera-left for camera-right in everything that people placed.

The room is not mirrored, nor its door: what was near the left wall comes near the right one, which may be
another colour. Names of things and sitters stay, also where they hold the word 'left'.
"""

import re
from dataclasses import replace
from typing import TypeVar

from thirdstop.book.quantities import Offset, Roll, Side, Turn
from thirdstop.book.recipe import Aim, Blocker, Card, Holder, Light, MarkPlace, Place, Recipe
from thirdstop.book.studio import Studio
from thirdstop.book.subject import Subject

_OTHER = {"left": "right", "right": "left"}
_SIDE_WORD = re.compile(r"\b(left|right)(?= (?:cheek|ear|eye|edge|wall)\b)")
"""What has a side of its own; a sitter called 'right one' has none, and keeps the name."""
_BETWEEN = re.compile(r"between (.+) and (.+)")

Thing = TypeVar("Thing", Light, Card, Blocker)
Walled = TypeVar("Walled", Place, MarkPlace)


def mirrored(recipe: Recipe, studio: Studio) -> Recipe:
    """The recipe with left for right; mirrored again it is staged as it was.

    The studio tells which stands are booms: a boom whose side is left out comes from camera-right.
    """
    booms = {boom.name for boom in studio.booms}
    names = {
        *(light.name for light in recipe.lights),
        *(card.name for card in recipe.cards),
        *(blocker.name for blocker in recipe.blockers),
    }
    subject = recipe.subject
    target, camera, backdrop = recipe.target, recipe.camera, recipe.backdrop
    between = target.between and [mirrored_words(name, names) for name in target.between]
    return recipe.model_copy(
        update={
            "mark": _of_walls(recipe.mark) if recipe.mark is not None else None,
            "subject": [_subject(one) for one in subject] if isinstance(subject, list) else _subject(subject),
            "camera": camera.model_copy(update={"across": _other_side(camera.across)}),
            "lights": [_thing(one, names, booms) for one in recipe.lights],
            "cards": [_thing(one, names, booms) for one in recipe.cards],
            "blockers": [_thing(one, names, booms) for one in recipe.blockers],
            "backdrop": backdrop.model_copy(update={"across": _other_side(backdrop.across)}),
            "target": target.model_copy(update={"between": between}),
            "measure": [mirrored_words(name, names) for name in recipe.measure],
        }
    )


def mirrored_words(words: str, names: set[str]) -> str:
    """'left cheek' → 'right cheek', 'between key and left cheek' too; names of things and sitters stay."""
    match = _BETWEEN.fullmatch(words)
    if match:
        first, second = (mirrored_words(part, names) for part in match.groups())
        return f"between {first} and {second}"
    return words if words in names else _SIDE_WORD.sub(lambda found: _OTHER[found[1]], words)


def _subject(one: Subject) -> Subject:
    at = one.at and one.at.model_copy(update={"across": _other_side(one.at.across)})
    return one.model_copy(
        update={
            "body": _turned(one.body),
            "head": _turned(one.head),
            "gaze": _turned(one.gaze),
            "at": at,
        }
    )


def _thing(thing: Thing, names: set[str], booms: set[str]) -> Thing:
    """A light, a card or a blocker."""
    aim = thing.aim
    return thing.model_copy(
        update={
            "at": _place(thing.at),
            "aim": _aim(aim, names) if isinstance(aim, Aim) else mirrored_words(aim, names),
            "stand": _stand(thing.stand, booms),
            "roll": Roll(-thing.roll.deg + 0.0),
        }
    )


def _place(at: Place) -> Place:
    bearing = at.bearing if isinstance(at.bearing, str) else _turned(at.bearing)
    update = {"bearing": bearing, "across": _other_side(at.across)}
    return _of_walls(at).model_copy(update=update)


def _of_walls(at: Walled) -> Walled:
    """Left wall for right wall."""
    return at.model_copy(update={"left_wall": at.right_wall, "right_wall": at.left_wall})


def _aim(aim: Aim, names: set[str]) -> Aim:
    return aim.model_copy(
        update={
            "at": aim.at and mirrored_words(aim.at, names),
            "off": aim.off and tuple(_offset(one) for one in aim.off),
            "swing": _turned(aim.swing),
        }
    )


def _offset(offset: Offset) -> Offset:
    sides = {"camera-left": "camera-right", "camera-right": "camera-left"}
    direction = sides.get(offset.direction)
    if direction == "camera-right":
        return replace(offset, direction="camera-right")
    return replace(offset, direction="camera-left") if direction else offset


def _stand(stand: str | Holder | None, booms: set[str]) -> str | Holder | None:
    if isinstance(stand, str):
        return Holder.model_validate({"with": stand, "from": "camera-left"}) if stand in booms else stand
    if stand is None:
        return None
    base = stand.base and stand.base.model_copy(update={"across": _other_side(stand.base.across)})
    side: Turn | str | None = stand.from_ or ("camera-right" if stand.with_ in booms else None)
    if isinstance(side, Turn):
        side = _turned(side)
    else:
        side = {"camera-left": "camera-right", "camera-right": "camera-left"}.get(side or "", side)
    return stand.model_copy(update={"base": base, "from_": side})


def _turned(turn: Turn | None) -> Turn | None:
    return None if turn is None else Turn(-turn.deg + 0.0)


def _other_side(side: Side | None) -> Side | None:
    return None if side is None else Side(-side.m + 0.0)
