"""What may move: a card, a light or a blocker with its free aspects, where it starts, and the steps it takes.

Whatever form a recipe gives a place in, here it is a string, a bearing and a height; what is put back into
the recipe is in the recipe's own form, rounded to 5 cm and 5°.
"""

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from thirdstop.book.quantities import Length, Side, Toward, Turn
from thirdstop.book.recipe import Place
from thirdstop.placing.values import Changes, Path, Value
from thirdstop.staging.staging import Room

Aspect: TypeAlias = Literal["distance", "bearing", "height", "surface"]
ASPECTS: tuple[Aspect, ...] = ("distance", "bearing", "height", "surface")

Kind: TypeAlias = Literal["card", "light", "blocker"]

Form: TypeAlias = Literal["string", "floor point", "from the backdrop", "walls"]

STEP_M = 0.05
STEP_DEG = 5

NEAREST_CARD_M = 0.20
"""A card or a blocker nearer to the nose than this is in the face (house value)."""
NEAREST_LAMP_M = 0.50
"""A lamp is not sent nearer to a face than this to gain light."""
FARTHEST_M = {"card": 2.5, "light": 3.5, "blocker": 2.5}
_LOWEST_M = 0.30
_ROUND_DEG = 60
"""How far a thing may go round from where it starts."""
_RISE_M = 0.60
"""How far it may go up or down from where it starts."""


@dataclass(frozen=True)
class State:
    """One place and surface of a mover."""

    string_m: float
    bearing_deg: float
    height_m: float
    surface: str = ""


@dataclass(frozen=True)
class Mover:
    """A card, a light or a blocker that may move."""

    path: Path
    """('cards', 0) or ('lights', 1)."""
    name: str
    kind: Kind
    free: frozenset[Aspect]
    start: State
    """As the recipe has it; the usual place for what is to be found."""
    form: Form
    surfaces: tuple[str, ...]
    """The surfaces that may be tried, the present one first."""
    walls: tuple[str, ...] = ()
    """The two walls that the recipe measures it from, where it does."""
    own: Changes = ()
    """What the recipe has in the places that may change."""
    sought: frozenset[Aspect] = frozenset()
    """Of the free aspects those that the recipe leaves to be found: no place is the present one."""

    def values(self, aspect: Aspect) -> tuple[float | str, ...]:
        """Every value to be tried, in order, the recipe's own among them; one alone where it is not free."""
        own: float | str = getattr(self.start, _FIELDS[aspect])
        if aspect not in self.free:
            return (own,)
        if aspect == "surface":
            return self.surfaces
        return tuple(sorted({*self._steps(aspect), *(() if aspect in self.sought else (float(own),))}))

    def _steps(self, aspect: Aspect) -> tuple[float, ...]:
        if aspect == "bearing":
            middle = round(self.start.bearing_deg / STEP_DEG) * STEP_DEG
            return tuple(float(middle + k) for k in range(-_ROUND_DEG, _ROUND_DEG + 1, STEP_DEG))
        if aspect == "height":
            return _steps(max(_LOWEST_M, self.start.height_m - _RISE_M), self.start.height_m + _RISE_M)
        nearest = NEAREST_LAMP_M if self.kind == "light" else NEAREST_CARD_M
        return _steps(nearest, FARTHEST_M[self.kind])

    def with_value(self, state: State, aspect: Aspect, value: float | str) -> State:
        """The state with one aspect changed."""
        if aspect == "surface":
            return replace(state, surface=str(value))
        number = float(value)
        if aspect == "distance":
            return replace(state, string_m=number)
        return replace(state, bearing_deg=number) if aspect == "bearing" else replace(state, height_m=number)

    def changes(self, state: State, room: Room, nose_z_m: float) -> Changes:
        """The values to put into the recipe, in its own form; nothing for what isn't free."""
        if state == self.start and not self.sought:
            return ()
        at = (*self.path, "at")
        found: list[tuple[Path, Value]] = []
        if self.free & {"distance", "bearing"}:
            found += [((*at, key), value) for key, value in self._place(state, room, nose_z_m)]
        if "height" in self.free:
            found.append(((*at, "height"), Length(state.height_m)))
        if "surface" in self.free:
            found.append(((*self.path, "surface"), state.surface))
        return tuple(change for change in found if change not in self.own)

    def _place(self, state: State, room: Room, nose_z_m: float) -> list[tuple[str, Value]]:
        if self.form == "string":
            found: list[tuple[str, Value]] = []
            if "distance" in self.free:
                found.append(("string", Length(state.string_m)))
            if "bearing" in self.free:
                found.append(("bearing", Turn(_within_180(state.bearing_deg))))
            return found
        if self.form == "from the backdrop":
            return [("from_backdrop", Length(state.string_m))]
        x_m, y_m = floor_point_m(state, nose_z_m)
        if self.form == "floor point":
            return [("along", Toward(_rounded(-y_m))), ("across", Side(_rounded(x_m)))]
        return self._from_walls(x_m, y_m, room)

    def _from_walls(self, x_m: float, y_m: float, room: Room) -> list[tuple[str, Value]]:
        from_walls = {
            "left_wall": x_m - room.left_m,
            "right_wall": room.right_m - x_m,
            "back_wall": room.back_m - y_m,
            "front_wall": y_m - room.front_m,
        }
        return [(key, Length(max(0.0, _rounded(from_walls[key])))) for key in self.walls]


_FIELDS: dict[Aspect, str] = {
    "distance": "string_m",
    "bearing": "bearing_deg",
    "height": "height_m",
    "surface": "surface",
}


def form_of(place: Place) -> Form:
    """Which of the forms a recipe gives this place in."""
    if place.from_backdrop is not None:
        return "from the backdrop"
    if place.along is not None or place.across is not None:
        return "floor point"
    return "walls" if walls_of(place) else "string"


def walls_of(place: Place) -> tuple[str, ...]:
    """The walls that a place is measured from."""
    names = ("left_wall", "right_wall", "back_wall", "front_wall")
    return tuple(name for name in names if getattr(place, name) is not None)


def floor_point_m(state: State, nose_z_m: float) -> tuple[float, float]:
    """Floor point of a state as (x, y); plumb under the nose where the string is too short for the rise."""
    run_m = math.sqrt(max(0.0, state.string_m**2 - (state.height_m - nose_z_m) ** 2))
    bearing = math.radians(state.bearing_deg)
    return run_m * math.sin(bearing), -run_m * math.cos(bearing)


def _steps(low_m: float, high_m: float) -> tuple[float, ...]:
    first, last = math.ceil(low_m / STEP_M - 1e-6), math.floor(high_m / STEP_M + 1e-6)
    return tuple(round(k * STEP_M, 2) for k in range(first, last + 1))


def _rounded(value_m: float) -> float:
    return round(math.floor(value_m / STEP_M + 0.5 + 1e-9) * STEP_M, 2)


def _within_180(bearing_deg: float) -> float:
    return (bearing_deg + 180.0) % 360.0 - 180.0
