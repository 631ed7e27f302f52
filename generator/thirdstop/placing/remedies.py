"""When no place reaches the ratio: the cheapest single changes that would, each tried in the engine.

Tried in this order, the cheapest first: another surface, a turn or lift of the card, the key nearer or
farther, a black panel beside the shadow side, the card away, another card, a wall painted. A change counts
where the ratio comes within reach without any place that the checks rule out.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from thirdstop.book.quantities import Length, Share, Turn, format_length
from thirdstop.book.recipe import MOST_PANELS, Blocker, Place, Recipe
from thirdstop.book.studio import CardModel, Studio
from thirdstop.checks.wording import percent
from thirdstop.exposure.quality import SCAN
from thirdstop.placing.asking import Ask
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.fitting import refusals
from thirdstop.placing.movers import STEP_M, Aspect, Mover
from thirdstop.placing.reaching import Reach
from thirdstop.placing.searching import Search
from thirdstop.placing.trying import SCAN_SLACK_STOPS, Trials, Tried
from thirdstop.placing.values import value_at, with_value
from thirdstop.placing.wording import place_words

ENOUGH = 2
"""Changes that reach the ratio before no dearer ones are tried."""

_KEY_STEPS_M = (0.10, 0.20, 0.30)
_DARK, _BRIGHT = 0.05, 0.80
"""Reflectances of a wall painted black, or white."""
_SURFACES = ("back_wall", "front_wall", "left_wall", "right_wall", "ceiling")
_BLACK = "black"
_BESIDE_M, _BESIDE_DEG = (0.5, 0.7, 0.9, 1.2), (90.0, 110.0, 70.0)
"""Strings and bearings that are tried for a black panel beside the shadow side (common practice)."""
_WORTH_BLOCKING = 0.1
"""Share of the shadow side's light that a panel must keep off to be worth carrying."""
_IN_THE_WAY_DEG, _IN_THE_WAY_M = 35.0, 0.15
"""A panel nearer in bearing to a card than this, and not so much farther from the nose, stands before it."""


@dataclass(frozen=True, eq=False)
class Remedy:
    """One change that would bring the ratio within reach, with the answer that there is then."""

    words: str
    """'silver instead of white on 'card''."""
    trials: Trials
    tried: Tried
    reaches: bool = True
    """False for the one that comes nearest where none reaches."""


@dataclass(frozen=True)
class _Change:
    words: str
    recipe: Recipe
    studio: Studio
    movers: tuple[Mover, ...]
    new_surface: bool = False


def remedies_of(search: Search, reach: Reach) -> tuple[Remedy, ...]:
    """The cheapest changes that reach the ratio, up to two; where no single one does, the nearest of them."""
    ends = [end for end in (reach.lowest, reach.highest) if end is not None]
    if not ends or not search.trials.seeks_ratio:
        return ()
    ends.sort(key=lambda end: abs(end.off))
    found: list[Remedy] = []
    short: list[Remedy] = []
    for change in _changes(search, ends[0]):
        remedy = _tried(search, change, ends)
        if remedy is not None:
            (found if remedy.reaches else short).append(remedy)
        if len(found) >= ENOUGH:
            break
    nearest = min(short, key=lambda one: abs(one.tried.off), default=None)
    if not found and nearest is not None and abs(nearest.tried.off) < abs(ends[0].off):
        return (nearest,)
    return tuple(found)


def against_spill(search: Search, best: Tried) -> Remedy | None:
    """A black panel that takes a tenth or more of the shadow side's light out of the room's share.

    With the answer that there is then. Only where the best answer's shadow side has more from the room than
    from the cards; None where no panel that fits does that much.
    """
    if not search.axes or room_share(best) <= _card_share(best):
        return None
    for change in _blocked(search, best):
        then = _search_with(search, change, best)
        if not then.trials.has_room(best.states):
            continue
        then.look_near(best.states, then.axes[0])
        for one in then.chosen(then.along(best.states, then.axes[0])):
            was, now = room_share(best), room_share(one)
            if now <= was - _WORTH_BLOCKING:
                words = (
                    f"{change.words}; the room gives {percent(now)} of the shadow side, was {percent(was)}"
                )
                return Remedy(words, then.trials, one)
    return None


def room_share(one: Tried) -> float:
    """Of the light on the shadow side what comes from walls, ceiling and floor."""
    budget = one.readings[one.readings.ratio.shadow_point].budget
    return sum(budget.get(name, 0.0) for name in ("walls", "ceiling", "floor"))


def _card_share(one: Tried) -> float:
    budget = one.readings[one.readings.ratio.shadow_point].budget
    return sum(budget.get(panel.name, 0.0) for panel in one.staging.scene.panels if panel.role == "card")


def _search_with(search: Search, change: _Change, known: Tried) -> Search:
    """A search in the changed recipe or room; what the lamps give is known from the house's own room."""
    before, was = search.trials, search.trials.evaluator
    evaluator = Evaluator(change.recipe, change.studio, was.marks, was.slug, shared=was.shared)
    ask = Ask(before.ask.ground, change.movers)
    trials = Trials(evaluator, ask, before.baseline, frozenset({"ratio"}), was.staging())
    trials.reference = known.readings
    return Search(trials, count=1)


def _tried(search: Search, change: _Change, ends: Sequence[Tried]) -> Remedy | None:
    """The change with its answer, or with the nearest that it comes to; None where nothing fits."""
    then = _search_with(search, change, ends[0])
    trials = then.trials
    # a darker surface works nearest where a brighter one works farthest; all else leaves the ends as they are
    places = [end.states for end in (ends if change.new_surface else ends[:1])] if then.axes else [()]
    nearest: Tried | None = None
    for states in places:
        first = trials.at(states) if trials.has_room(states) else None
        if first is None:
            continue
        answers = _answers(then, first, ends[0])
        if answers:
            return Remedy(change.words, trials, answers[0])
        if nearest is None or abs(first.off) < abs(nearest.off):
            nearest = first
    return None if nearest is None else Remedy(change.words, trials, nearest, reaches=False)


def _answers(then: Search, first: Tried, far: Tried) -> list[Tried]:
    """What meets the goal once the change takes a place to it or past it."""
    if not (then.trials.within(first, SCAN_SLACK_STOPS) or (first.off > 0) != (far.off > 0)):
        return []
    if not then.axes:
        return then.chosen([first])
    then.look_near(first.states, then.axes[0])
    return then.chosen(then.along(first.states, then.axes[0]))


# The changes


def _changes(search: Search, far: Tried) -> Iterator[_Change]:
    # whether the shadow side must get less light than it can be brought to get
    less = far.off < 0
    yield from _other_surfaces(search, less)
    yield from _freer(search)
    yield from _key_moved(search, less)
    if less:
        yield from _blocked(search, far)
        yield from _card_away(search)
    yield from _other_cards(search, less)
    yield from _painted(search, far, less)


def _cards(search: Search) -> Iterator[Mover]:
    return (mover for mover in search.movers if mover.kind == "card")


def _other_surfaces(search: Search, less: bool) -> Iterator[_Change]:
    recipe, studio = search.trials.evaluator.recipe, search.trials.evaluator.studio
    for mover in _cards(search):
        if "surface" in mover.free:
            continue
        present = str(value_at(recipe, (*mover.path, "surface")))
        for name in mover.surfaces:
            if name != present and (name == _BLACK) == less:
                changed = with_value(recipe, (*mover.path, "surface"), name)
                words = f"{name} instead of {present} on '{mover.name}'"
                yield _Change(words, changed, studio, search.movers, new_surface=True)


def _freer(search: Search) -> Iterator[_Change]:
    """Turns and heights of what moves already."""
    recipe, studio = search.trials.evaluator.recipe, search.trials.evaluator.studio
    steps: tuple[tuple[Aspect, Sequence[float]], ...] = (
        ("bearing", (-15.0, 15.0, -30.0, 30.0)),
        ("height", (-0.15, 0.15, -0.30, 0.30)),
    )
    for mover in _cards(search):
        for aspect, shifts in steps:
            if aspect in mover.free or mover.form != "string":
                continue
            for shift in shifts:
                yield _shifted(recipe, studio, search.movers, mover, aspect, shift)


def _shifted(
    recipe: Recipe, studio: Studio, movers: tuple[Mover, ...], mover: Mover, aspect: Aspect, shift: float
) -> _Change:
    path = (*mover.path, "at", "bearing" if aspect == "bearing" else "height")
    value = value_at(recipe, path)
    if aspect == "bearing":
        new = replace(value, deg=value.deg + shift)
        words = f"'{mover.name}' at a bearing of {new}"
    else:
        new = Length(round(value.m + shift, 2))
        words = f"'{mover.name}' at a height of {new}"
    moved = tuple(_restarted(m, aspect, shift) if m is mover else m for m in movers)
    return _Change(words, with_value(recipe, path, new), studio, moved)


def _restarted(mover: Mover, aspect: Aspect, shift: float) -> Mover:
    field = {"bearing": "bearing_deg", "height": "height_m"}[aspect]
    start = mover.start
    value = round(getattr(start, field) + shift, 2)
    return replace(mover, start=mover.with_value(start, aspect, value))


def _key_moved(search: Search, less: bool) -> Iterator[_Change]:
    recipe, studio = search.trials.evaluator.recipe, search.trials.evaluator.studio
    string = recipe.lights[0].at.string
    if not isinstance(string, Length) or search.trials.moves_key:
        return
    for step_m in _KEY_STEPS_M:
        moved = Length(round(string.m - step_m if less else string.m + step_m, 2))
        words = f"the key {format_length(step_m)} {'nearer' if less else 'farther away'}: a string of {moved}"
        changed = with_value(recipe, ("lights", 0, "at", "string"), moved)
        yield _Change(words, changed, studio, search.movers)


def _blocked(search: Search, far: Tried) -> Iterator[_Change]:
    """A black panel that keeps light off the shadow side: the largest first, as near as it fits."""
    evaluator = search.trials.evaluator
    if len(evaluator.recipe.blockers) >= MOST_PANELS:
        return
    point = next(p for p in far.staging.scene.points if p.name == far.readings.ratio.shadow_point)
    side = -1.0 if point.direction[0] < 0 else 1.0
    height = Length(_five(float(far.staging.sitters[0].nose_m[2]) - 0.05))
    names = {item.name for item in far.staging.items}
    name = next(word for word in _panel_names() if word not in names)
    for model in sorted(evaluator.studio.cards, key=_area_m2, reverse=True):
        if _BLACK not in model.surfaces or model.passes.value > 0:
            continue
        for string_m, bearing_deg in itertools.product(_BESIDE_M, _BESIDE_DEG):
            place = Place(string=Length(string_m), bearing=Turn(side * bearing_deg), height=height)
            blocker = Blocker(name=name, card=model.name, at=place)
            recipe = evaluator.recipe.model_copy(update={"blockers": [*evaluator.recipe.blockers, blocker]})
            if not _before_a_card(far, place) and _has_room(search, recipe, far):
                words = f"'{model.name}' as a blocker: {place_words(recipe, ('blockers', -1))}"
                yield _Change(words, recipe, evaluator.studio, search.movers)
                break


def _panel_names() -> Iterator[str]:
    yield from ("black panel", "second black panel", "third black panel")
    yield from (f"black panel {number}" for number in itertools.count(4))


def _before_a_card(far: Tried, place: Place) -> bool:
    """Whether a panel there would stand between a card and the face."""
    assert isinstance(place.string, Length)
    assert isinstance(place.bearing, Turn)
    return any(
        abs(item.bearing_deg - place.bearing.deg) < _IN_THE_WAY_DEG
        and place.string.m < item.string_m + _IN_THE_WAY_M
        for item in far.staging.items
        if item.kind == "card"
    )


def _has_room(search: Search, recipe: Recipe, far: Tried) -> bool:
    """Whether the recipe stands as far as its places go, with what may move where the far end has it."""
    trials, was = search.trials, search.trials.evaluator
    staging = Evaluator(recipe, was.studio, was.marks, was.slug, shared=was.shared).staging(far.changes)
    return staging is not None and not refusals(staging, far.readings, trials.baseline, before=far.staging)


def _five(value_m: float) -> float:
    return round(round(value_m / STEP_M) * STEP_M, 2)


def _card_away(search: Search) -> Iterator[_Change]:
    recipe, studio = search.trials.evaluator.recipe, search.trials.evaluator.studio
    for mover in _cards(search):
        kept = [card for card in recipe.cards if card.name != mover.name]
        if any(m.kind == "card" and m is not mover for m in search.movers):
            continue
        changed = with_value(recipe, ("cards",), kept)
        others = tuple(m for m in search.movers if m.kind == "light")
        yield _Change(f"'{mover.name}' taken away", changed, studio, others)


def _other_cards(search: Search, less: bool) -> Iterator[_Change]:
    recipe, studio = search.trials.evaluator.recipe, search.trials.evaluator.studio
    for mover in _cards(search):
        present = recipe.cards[int(mover.path[1])]
        own = next(model for model in studio.cards if model.name == present.card)
        for model in sorted(studio.cards, key=_area_m2):
            larger = _area_m2(model) > _area_m2(own) + 1e-9
            usable = present.surface in model.surfaces or "surface" in mover.free
            if usable and larger != less and model.name != own.name:
                changed = with_value(recipe, (*mover.path, "card"), model.name)
                moved = tuple(
                    replace(m, surfaces=tuple(s for s in m.surfaces if s in model.surfaces))
                    if m is mover
                    else m
                    for m in search.movers
                )
                yield _Change(f"'{model.name}' instead of '{own.name}'", changed, studio, moved)


def _area_m2(model: CardModel) -> float:
    return model.size.first_m * model.size.second_m


def _painted(search: Search, far: Tried, less: bool) -> Iterator[_Change]:
    """The wall that gives the shadow side most painted black; or the darkest of them painted white."""
    trials = search.trials
    transport = trials.evaluator.transport(far.changes, SCAN)
    shadow = transport.points.index(far.readings.ratio.shadow_point)
    light = transport.bounced_lx_s[:, shadow, :].sum(axis=0)
    shares = {
        key: float(light[transport.surfaces.index(key.replace("_", " "))])
        for key in _SURFACES
        if key.replace("_", " ") in transport.surfaces
    }
    for key in sorted(shares, key=lambda name: (-round(shares[name], 9), name))[:3]:
        share = Share(_DARK if less else _BRIGHT)
        surfaces = trials.evaluator.studio.room.surfaces.model_copy(update={key: share})
        room = trials.evaluator.studio.room.model_copy(update={"surfaces": surfaces})
        studio = trials.evaluator.studio.model_copy(update={"room": room})
        colour = "black" if less else "white"
        words = f"the {key.replace('_', ' ')} {colour} (a reflectance of {share})"
        yield _Change(words, trials.evaluator.recipe, studio, search.movers)
