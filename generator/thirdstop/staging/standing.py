"""Where a thing and what holds it can't be: through a surface of the room, or out of its stand's reach.

What moves both is one cause and one fault: the larger amount is asked for, and both are told.
"""

import math
from dataclasses import dataclass

import numpy as np

from thirdstop.book.quantities import Length
from thirdstop.book.recipe import Holder, Place
from thirdstop.staging.limits import Keys, WayOut, amount, refuse_way_out, way_out
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.staging import Room, Support
from thirdstop.typed import Array, Vec

_SLACK_M = 1e-9
_SEEN_M = 0.01
"""A mount that is off the middle of a face by less is at its height."""


def keys_of(place: Place) -> Keys:
    """The keys of a place that move a thing across, along and up."""
    given = place.model_fields_set
    if place.string is not None:
        way = "'string' or 'bearing'"
        return way, way, "'height'"
    across = next((key for key in ("left_wall", "right_wall") if key in given), "across")
    along = next((key for key in ("back_wall", "front_wall", "from_backdrop") if key in given), "along")
    return f"'{across}'", f"'{along}'", "'height'"


@dataclass(frozen=True, eq=False)
class Standing:
    """A light, card or blocker at its place, with what holds it."""

    name: str
    place: Place
    centre_m: Vec
    shape_m: Array
    """Corners of all of it, shape (n, 3)."""
    holder: str | Holder | None
    support: Support | None
    longest_m: float | None
    """Of the boom, where one holds it."""
    path: Path
    """Of the thing in the recipe."""
    moves_from: str = ""
    """The wall that M must move away from, and everything with it: how far it is then isn't known."""

    @property
    def own_base(self) -> bool:
        """Whether its stand stays where it is when the thing moves."""
        return isinstance(self.holder, Holder) and self.holder.base is not None

    @property
    def stand(self) -> str:
        """''stand B', which holds 'key','."""
        return f"'{self.support.stand}', which holds '{self.name}'," if self.support else ""


def refuse_standing(thing: Standing, room: Room, problems: Problems) -> None:
    """Notes where a thing, its stand or its boom can't be."""
    keys, own = keys_of(thing.place), _way_out(thing, thing.shape_m, room)
    support = thing.support
    if support is None:
        if own is not None:
            refuse_way_out(f"'{thing.name}'", own, problems, (*thing.path, "at"), keys)
        return
    foot = _way_out(thing, np.stack([support.base_m, support.column_top_m]), room)
    if own is not None and own.axis == 2:
        _at_wrong_height(thing, own, support, problems)
        foot = foot if foot is not None and foot.axis != 2 else None
    else:
        _out_of_reach(thing, support, problems)
    plumb = support.boom is None and not thing.own_base
    if plumb and own is not None and foot is not None and own.what == foot.what:
        _both_through(thing, own, foot, keys, problems)
        return
    if own is not None and own.axis != 2:
        refuse_way_out(f"'{thing.name}'", own, problems, (*thing.path, "at"), keys)
    _stand_through(thing, foot, support, keys, problems)


def _way_out(thing: Standing, shape_m: Array, room: Room) -> WayOut | None:
    out = way_out(shape_m, room)
    return None if out is not None and out.what == thing.moves_from else out


def _at_wrong_height(thing: Standing, own: WayOut, support: Support, problems: Problems) -> None:
    """Through the ceiling or the floor, and perhaps beyond what its stand can do as well."""
    given, most_m = own.words, own.over_m
    short_m = _short_m(support)
    if short_m * (1 if own.what == "ceiling" else -1) > _SLACK_M:
        given += f"; {_held(thing, support)}{_goes(support)}"
        most_m = max(most_m, abs(short_m))
    write = f"at least {amount(most_m)} {own.way}, by 'height'"
    problems.add((*thing.path, "at"), f"'{thing.name}' would go through the {own.what}", given, write)


def _both_through(thing: Standing, own: WayOut, foot: WayOut, keys: Keys, problems: Problems) -> None:
    wrong = f"'{thing.name}' and its stand would go through the {own.what}"
    given = f"{own.words}, the stand {foot.over_m:.2f} m"
    write = f"at least {amount(max(own.over_m, foot.over_m))} {own.way}, by {keys[own.axis]}"
    problems.add((*thing.path, "at"), wrong, given, write)


def _stand_through(
    thing: Standing, foot: WayOut | None, support: Support, keys: Keys, problems: Problems
) -> None:
    """The stand alone: which key moves it depends on what places it."""
    path: Path = (*thing.path, "stand")
    too_long = support.boom is not None and not thing.own_base and _too_long_m(thing, support) > _SLACK_M
    if foot is None:
        if too_long:
            problems.add(
                (*path, "reach"), _most(thing, support), _reach(thing), f"{thing.longest_m:.2f} m or less"
            )
        return
    wrong = f"{thing.stand} would go through the {foot.what}"
    move = f"at least {amount(foot.over_m)} {foot.way}"
    if thing.own_base:
        problems.add((*path, "base"), wrong, foot.words, f"{move}, by {_base_key(foot.axis)}")
    elif support.boom is None or foot.axis == 2:
        problems.add(path, wrong, foot.words, f"{move}, by {keys[foot.axis]} of '{thing.name}'")
    else:
        also = f"{_most(thing, support)}; " if too_long else ""
        problems.add((*path, "reach"), also + wrong, foot.words, _shorter(foot, support))


def _base_key(axis: int) -> str:
    return "'across' of 'base'" if axis == 0 else "'along' of 'base'"


def _most(thing: Standing, support: Support) -> str:
    return f"the boom '{support.boom}' reaches {thing.longest_m:.2f} m at most"


def _reach(thing: Standing) -> str:
    return str(thing.holder.reach) if isinstance(thing.holder, Holder) else ""


def _too_long_m(thing: Standing, support: Support) -> float:
    return support.boom_reach_m - (thing.longest_m or 0.0)


def _shorter(foot: WayOut, support: Support) -> str:
    """The reach that leaves the stand of a boom inside the room, where there is one."""
    off = np.abs(support.base_m - support.load_m)[foot.axis] / max(support.boom_reach_m, 1e-6)
    left_m = support.boom_reach_m - foot.over_m / off if off > 1e-6 else 0.0
    another = "another side by 'from'"
    if left_m <= 0.05:
        return another
    return f"a 'reach' of {math.floor(left_m * 100) / 100:.2f} m or less, or {another}"


def _short_m(support: Support) -> float:
    """How far the mount is above the highest, or as a negative length below the lowest, of the stand."""
    height_m = float(support.column_top_m[2])
    if support.stand_max_m is not None and height_m > support.stand_max_m + _SLACK_M:
        return height_m - support.stand_max_m
    if support.stand_min_m is not None and height_m < support.stand_min_m - _SLACK_M:
        return height_m - support.stand_min_m
    return 0.0


def _goes(support: Support) -> str:
    if _short_m(support) > 0:
        return f"the stand '{support.stand}' goes up to {support.stand_max_m:.2f} m"
    return f"the stand '{support.stand}' is {support.stand_min_m:.2f} m at its lowest"


def _held(thing: Standing, support: Support) -> str:
    """How high it is held, where that isn't the height of its face: the mount is behind a leaning one."""
    height_m = float(support.column_top_m[2])
    if abs(height_m - float(thing.centre_m[2])) <= _SEEN_M:
        return ""
    level = f" (the boom '{support.boom}' lies level there)" if support.boom is not None else ""
    return f"it is held {height_m:.2f} m high at its mount, behind the face{level}, and "


def _out_of_reach(thing: Standing, support: Support, problems: Problems) -> None:
    short_m = _short_m(support)
    if abs(short_m) <= _SLACK_M:
        return
    height = thing.place.height
    at = f" at {height}" if isinstance(height, Length) else ""
    wrong = f"'{thing.name}'{at} is out of its stand's reach: {_held(thing, support)}{_goes(support)}"
    stands = "a taller stand" if short_m > 0 else "a lower stand, a boom"
    way = "lower" if short_m > 0 else "higher"
    write = f"{stands}, or at least {amount(abs(short_m))} {way}, by 'height' of '{thing.name}'"
    problems.add((*thing.path, "stand"), wrong, support.stand, write)
