"""What is asked: which things may move, from the recipe's own 'to be found' and from what the person adds."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from thirdstop.book.marks import Marks, fault_at, near
from thirdstop.book.quantities import Length, Side, Toward
from thirdstop.book.recipe import Blocker, Card, Light, Place, Recipe, Target
from thirdstop.book.studio import Studio
from thirdstop.errors import BookFaults, UsageError
from thirdstop.placing.movers import Aspect, Form, Kind, Mover, State, form_of, walls_of
from thirdstop.placing.values import Changes, value_at
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Room, Staging
from thirdstop.staging.unfound import TO_BE_FOUND

_KEYS: dict[Aspect, str] = {"distance": "string", "bearing": "bearing", "height": "height"}
_SIDE_DEG = 70.0
"""Bearing of a card whose own is to be found: opposite the key (common practice)."""
_BESIDE_DEG = 90.0
"""Bearing of a blocker whose own is to be found: beside the shadow side (common practice)."""
_NOT_TRIED = ("translucent",)
"""Surfaces that a bounce card is not turned to by itself: they let the light through."""


@dataclass(frozen=True)
class Ground:
    """What places are given from, known before anything is placed."""

    room: Room
    nose_z_m: float


@dataclass(frozen=True)
class Ask:
    """What may move, and from where places are counted."""

    ground: Ground
    movers: tuple[Mover, ...]

    def changes(self, states: Sequence[State]) -> Changes:
        """The values to put into the recipe for one state of each mover."""
        pairs = zip(self.movers, states, strict=True)
        return tuple(change for mover, state in pairs for change in self._of(mover, state))

    def moves(self, mover: Mover, state: State) -> bool:
        """Whether a state of a mover is anything else than what the recipe has."""
        return bool(self._of(mover, state))

    def _of(self, mover: Mover, state: State) -> Changes:
        return mover.changes(state, self.ground.room, self.ground.nose_z_m)

    @property
    def start(self) -> tuple[State, ...]:
        """Where every mover starts."""
        return tuple(mover.start for mover in self.movers)


def ask_of(
    recipe: Recipe,
    studio: Studio,
    marks: Marks,
    move: Sequence[str] = (),
    also: Iterable[Aspect] = (),
    keep: Iterable[Aspect] = (),
) -> Ask:
    """The movers of a recipe: what it leaves to be found, and the things named by `move`.

    A thing that is named may change its distance, and what `also` adds; `keep` holds aspects fast.
    Raises UsageError for a name or an aspect that there isn't, and for a thing that nothing is wanted of;
    BookFaults where sitter or camera can't be staged.
    """
    _refuse_unknown(recipe, move)
    ground = ground_of(recipe, studio, marks)
    staging, _ = stage(recipe, studio, marks)
    movers = []
    for path, thing in _things(recipe):
        sought = _sought(thing)
        free = set(sought)
        if thing.name in move:
            free |= {"distance", *also} - set(keep)
        if not isinstance(thing, Card):
            free.discard("surface")
        if free:
            _refuse_two_forms(thing, path, marks)
            _refuse_aimless(recipe, thing, free, marks)
            movers.append(_mover(recipe, studio, path, thing, free, sought, ground, staging))
    return Ask(ground, tuple(movers))


def _things(recipe: Recipe) -> Iterator[tuple[tuple[str, int], Card | Light | Blocker]]:
    for index, light in enumerate(recipe.lights):
        yield ("lights", index), light
    for index, card in enumerate(recipe.cards):
        yield ("cards", index), card
    for index, blocker in enumerate(recipe.blockers):
        yield ("blockers", index), blocker


def ground_of(recipe: Recipe, studio: Studio, marks: Marks) -> Ground:
    """Room and nose, from the recipe without anything placed. Raises BookFaults for what can't be staged."""
    aside = Place(along=Toward(0.8), across=Side(0.0), height=Length(1.2))
    key = recipe.lights[0].model_copy(update={"at": aside, "aim": "nose", "stand": None})
    bare = recipe.model_copy(update={"lights": [key], "cards": [], "blockers": [], "target": Target()})
    staging, faults = stage(bare, studio, marks)
    if staging is None:
        raise BookFaults(faults)
    return Ground(staging.room, float(staging.sitters[0].nose_m[2]))


def _refuse_unknown(recipe: Recipe, move: Sequence[str]) -> None:
    names = [thing.name for _, thing in _things(recipe)]
    for name in move:
        if name not in names:
            hint = near(name, names)
            said = f"did you mean '{hint}'?" if hint else "it has " + ", ".join(names)
            raise UsageError(f"the recipe has no light, card or blocker '{name}'; {said}")


def _refuse_two_forms(thing: Card | Light | Blocker, path: tuple[str, int], marks: Marks) -> None:
    """A string or a bearing to be found, of a place that is given in another form."""
    keys = [key for key in ("string", "bearing") if getattr(thing.at, key) == TO_BE_FOUND]
    if keys and form_of(thing.at) != "string":
        wrong = f"the place of '{thing.name}' is given in another form, so no {keys[0]} is to be found"
        write = f"string, bearing and height; or no '{keys[0]}', and: thirdstop place --move '{thing.name}'"
        raise BookFaults([fault_at(marks, (*path, "at", keys[0]), wrong, TO_BE_FOUND, write)])


def _refuse_aimless(recipe: Recipe, thing: Card | Light | Blocker, free: set[Aspect], marks: Marks) -> None:
    """What moves about needs a ratio to be placed by; a key's height has the eyes."""
    if recipe.target.ratio is not None or (isinstance(thing, Light) and "height" in free):
        return
    wrong, write = f"there is nothing to place '{thing.name}' by: no ratio is wanted", "{ratio: 4:1}"
    if _sought(thing):
        raise BookFaults([fault_at(marks, ("target",), wrong, None, f"target: {write}")])
    raise UsageError(f"{wrong}; write into the recipe's target: {write}")


def _sought(thing: Card | Light | Blocker) -> set[Aspect]:
    found: set[Aspect] = {aspect for aspect, key in _KEYS.items() if getattr(thing.at, key) == TO_BE_FOUND}
    return found | ({"surface"} if isinstance(thing, Card) and thing.surface == TO_BE_FOUND else set())


def _mover(
    recipe: Recipe,
    studio: Studio,
    path: tuple[str, int],
    thing: Card | Light | Blocker,
    free: set[Aspect],
    sought: set[Aspect],
    ground: Ground,
    staging: Staging | None,
) -> Mover:
    form = form_of(thing.at)
    surfaces = _surfaces(studio, thing) if isinstance(thing, Card) else ()
    if form == "from the backdrop" and "bearing" in free:
        raise UsageError(f"'{thing.name}' is placed from the backdrop and has no bearing to change")
    return Mover(
        path=path,
        name=thing.name,
        kind=_kind(thing),
        free=frozenset(free),
        start=_start(recipe, thing, form, surfaces, ground, staging),
        form=form,
        surfaces=surfaces,
        walls=walls_of(thing.at),
        own=_own(recipe, path),
        sought=frozenset(sought),
    )


def _kind(thing: Card | Light | Blocker) -> Kind:
    if isinstance(thing, Light):
        return "light"
    return "card" if isinstance(thing, Card) else "blocker"


def _own(recipe: Recipe, path: tuple[str, int]) -> Changes:
    at = value_at(recipe, (*path, "at"))
    places = [((*path, "at", key), getattr(at, key)) for key in Place.model_fields]
    surface = value_at(recipe, (*path, "surface"))
    return (*(pair for pair in places if pair[1] is not None), ((*path, "surface"), surface))


def _surfaces(studio: Studio, card: Card) -> tuple[str, ...]:
    model = next((model for model in studio.cards if model.name == card.card), None)
    known = [name for name in (model.surfaces if model else []) if name not in _NOT_TRIED]
    present = [card.surface] if card.surface != TO_BE_FOUND else []
    return tuple(dict.fromkeys([*present, *known]))


def _start(
    recipe: Recipe,
    thing: Card | Light | Blocker,
    form: Form,
    surfaces: tuple[str, ...],
    ground: Ground,
    staging: Staging | None,
) -> State:
    """As the recipe has it; for what is to be found the usual place."""
    surface = surfaces[0] if surfaces else ""
    if form != "string" and staging is not None:
        item = staging.item(thing.name)
        return State(item.string_m, item.bearing_deg, item.height_m, surface)
    usual = _usual(recipe, thing, ground)
    at = thing.at
    return State(
        _number(at.string, usual.string_m),
        _number(at.bearing, usual.bearing_deg),
        _number(at.height, usual.height_m),
        surface,
    )


def _number(value: object, usual: float) -> float:
    for unit in ("m", "deg"):
        if (found := getattr(value, unit, None)) is not None:
            return float(found)
    return usual


def _usual(recipe: Recipe, thing: Card | Light | Blocker, ground: Ground) -> State:
    """Where such a thing usually stands (common practice)."""
    nose_m = ground.nose_z_m
    if isinstance(thing, Light):
        ceiling_m = ground.room.height_m - 0.5
        return State(1.2, 40.0, min(_five_cm(nose_m + 0.5), _five_cm(ceiling_m)))
    key_deg = _number(recipe.lights[0].at.bearing, 40.0)
    side = -1.0 if key_deg >= 0 else 1.0
    if isinstance(thing, Blocker):
        return State(0.6, side * _BESIDE_DEG, _five_cm(nose_m - 0.05))
    return State(0.8, side * _SIDE_DEG, _five_cm(nose_m - 0.05))


def _five_cm(value_m: float) -> float:
    return round(round(value_m / 0.05) * 0.05, 2)
