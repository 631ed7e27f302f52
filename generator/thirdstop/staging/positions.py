"""Where the middle of a face is: three forms, each unambiguous, to one point in the house axes."""

from dataclasses import dataclass

import numpy as np

from thirdstop.book.quantities import Length, Turn
from thirdstop.book.recipe import Place
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.staging import Room
from thirdstop.staging.unfound import refuse_unfound
from thirdstop.staging.vectors import bearing_direction, vec
from thirdstop.typed import Vec

FORMS = "string + bearing + height; along + across + height; or two walls + height"


@dataclass(frozen=True, eq=False)
class Origin:
    """What positions are given from."""

    nose_m: Vec
    room: Room
    sheet_y_m: float


def place_of(place: Place, origin: Origin, problems: Problems, path: Path) -> Vec:
    """The point, shape (3,), metres; a fault (and a harmless point) where the form is mixed or can't be."""
    if refuse_unfound(place, problems, path):
        return vec(0.0, -1.0, 1.2)
    height_m = _length_m(place.height)
    given = {
        name
        for name in (
            "string",
            "bearing",
            "along",
            "across",
            "from_backdrop",
            "left_wall",
            "right_wall",
            "back_wall",
            "front_wall",
        )
        if getattr(place, name) is not None
    }
    if given == {"string", "bearing"}:
        return _by_string(place, origin, problems, path)
    if given in ({"along", "across"}, {"from_backdrop", "across"}):
        return _by_floor_point(place, origin, height_m)
    sides, ends = given & {"left_wall", "right_wall"}, given & {"back_wall", "front_wall"}
    if len(sides) == 1 and len(ends) == 1 and given == sides | ends:
        return _by_walls(place, origin.room, height_m)
    words = ", ".join(sorted(given)) or "only a height"
    problems.add(path, "a place is given in one of three forms", words, FORMS)
    return vec(0.0, -1.0, height_m)


def _length_m(value: Length | str | None) -> float:
    assert isinstance(value, Length)
    return value.m


def _by_string(place: Place, origin: Origin, problems: Problems, path: Path) -> Vec:
    assert isinstance(place.bearing, Turn)
    height_m, string_m = _length_m(place.height), _length_m(place.string)
    rise_m = height_m - float(origin.nose_m[2])
    if string_m < abs(rise_m):
        problems.add(
            (*path, "string"),
            f"the string is shorter than the rise from the nose ({origin.nose_m[2]:.2f} m) to this height",
            str(place.string),
            f"at least {np.ceil(abs(rise_m) * 100) / 100:.2f} m, or another height",
        )
        string_m = abs(rise_m)
    run_m = float(np.sqrt(string_m**2 - rise_m**2))
    point: Vec = run_m * bearing_direction(place.bearing.deg)
    return vec(float(origin.nose_m[0] + point[0]), float(origin.nose_m[1] + point[1]), height_m)


def _by_floor_point(place: Place, origin: Origin, height_m: float) -> Vec:
    assert place.across is not None
    if place.from_backdrop is not None:
        return vec(place.across.m, origin.sheet_y_m - place.from_backdrop.m, height_m)
    assert place.along is not None
    return vec(place.across.m, -place.along.m, height_m)


def _by_walls(place: Place, room: Room, height_m: float) -> Vec:
    if place.left_wall is not None:
        x_m = room.left_m + place.left_wall.m
    else:
        assert place.right_wall is not None
        x_m = room.right_m - place.right_wall.m
    if place.back_wall is not None:
        y_m = room.back_m - place.back_wall.m
    else:
        assert place.front_wall is not None
        y_m = room.front_m + place.front_wall.m
    return vec(x_m, y_m, height_m)
