"""Where the middle of a face is: three forms, each unambiguous, to one point in the house axes."""

from dataclasses import dataclass

import numpy as np

from thirdstop.book.recipe import Place
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.staging import Room
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
        return _by_floor_point(place, origin)
    sides, ends = given & {"left_wall", "right_wall"}, given & {"back_wall", "front_wall"}
    if len(sides) == 1 and len(ends) == 1 and given == sides | ends:
        return _by_walls(place, origin.room)
    words = ", ".join(sorted(given)) or "only a height"
    problems.add(path, "a place is given in one of three forms", words, FORMS)
    return vec(0.0, -1.0, place.height.m)


def _by_string(place: Place, origin: Origin, problems: Problems, path: Path) -> Vec:
    assert place.string is not None and place.bearing is not None
    rise_m = place.height.m - float(origin.nose_m[2])
    string_m = place.string.m
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
    return vec(float(origin.nose_m[0] + point[0]), float(origin.nose_m[1] + point[1]), place.height.m)


def _by_floor_point(place: Place, origin: Origin) -> Vec:
    assert place.across is not None
    if place.from_backdrop is not None:
        return vec(place.across.m, origin.sheet_y_m - place.from_backdrop.m, place.height.m)
    assert place.along is not None
    return vec(place.across.m, -place.along.m, place.height.m)


def _by_walls(place: Place, room: Room) -> Vec:
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
    return vec(x_m, y_m, place.height.m)
