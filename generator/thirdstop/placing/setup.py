"""A set-up as it stands: lamps at whole clicks, with its readings, and the words that rows share."""

import math
from dataclasses import dataclass, field
from functools import cached_property

from thirdstop.book.quantities import Click, Ratio, Stops
from thirdstop.book.recipe import Recipe
from thirdstop.checks.wording import minus, stops
from thirdstop.exposure.quality import ROUGH, Quality
from thirdstop.exposure.readings import LampReading, Readings
from thirdstop.exposure.stops import meter_mark, ratio_text
from thirdstop.placing.asking import ask_of
from thirdstop.placing.evaluating import Evaluator, World
from thirdstop.placing.fitting import WITH_SITTERS, Baseline, baseline_of
from thirdstop.placing.movers import Aspect
from thirdstop.placing.reaching import find_one_that_fits
from thirdstop.placing.searching import Search
from thirdstop.placing.trying import Trials, Tried
from thirdstop.placing.values import Changes, with_changes, with_value
from thirdstop.staging.staging import Staging

RATIO_WITHIN = Stops(1 / 6)
"""How near a corrected ratio must come: half of the usual tolerance."""
NEAR_STOPS = 0.06
"""A place that comes as near as this needs no neighbour tried."""
STILL_STOPS = 0.05
"""Less than this counts as staying."""
BEHIND = "backdrop behind head"
_ENDS = {"in-frame": "comes into the picture", "statics": "may tip", "overhead": "would hang over a head"}
"""Check → what a card would do where it goes no farther."""


@dataclass(eq=False)
class Setup:
    """The recipe with its lamps at the clicks that are found for it."""

    found: Evaluator
    at_clicks: Evaluator = field(init=False)
    staging: Staging = field(init=False)
    now: Readings = field(init=False)
    lamps: tuple[LampReading, ...] = field(init=False)
    baseline: Baseline = field(init=False)

    def __post_init__(self) -> None:
        self.lamps = self.found.answered().lamps
        recipe = without_levels(self.found.recipe)
        self.at_clicks = self.evaluator(with_changes(recipe, clicks_of(self.lamps)))
        staging = self.at_clicks.staging()
        assert staging is not None
        self.staging = staging
        self.now = self.at_clicks.answered()
        self.baseline = baseline_of(staging, self.now, WITH_SITTERS)

    @property
    def recipe(self) -> Recipe:
        """With every lamp at its click."""
        return self.at_clicks.recipe

    def evaluator(
        self, recipe: Recipe, world: World | None = None, scanning: Quality | None = None
    ) -> Evaluator:
        """The same studio with another recipe, or where something is otherwise."""
        found = self.found
        return Evaluator(
            recipe, found.studio, found.marks, found.slug, world, shared=found.shared, scanning=scanning
        )

    def filling_card(self, least_share: float = 0.05) -> str | None:
        """The card that gives the shadow side the most, if there is such a side and it gives that share."""
        if not self.has_sides:
            return None
        budget = self.now[self.now.ratio.shadow_point].budget
        cards = {card.name: budget.get(card.name, 0.0) for card in self.recipe.cards}
        best = max(cards, key=lambda name: cards[name], default=None)
        return best if best is not None and cards[best] >= least_share else None

    def card_for(self, recipe: Recipe, world: World | None, card: str) -> tuple[Tried | None, Search]:
        """The card's distance that brings the present ratio about, and the search that it came from.

        Tried roughly: what differs between places of one card is computed to 0.03 stop that way; what is
        found is held against the goal, and told, at the accuracy of answers.
        """
        rough = self.evaluator(recipe, world, ROUGH)
        tried, search = self.card_for_room(rough, card, off_stops=self.rough_off_stops)
        return None if tried is None else self._refined(tried, search), search

    def _refined(self, tried: Tried, search: Search) -> Tried:
        """The same, or its neighbour where that is nearer to the ratio at the accuracy of answers."""
        off = self._off(tried, search)
        if abs(off) <= NEAR_STOPS:
            return tried
        other = _step(search, tried, -1 if off > 0 else 1)
        if other is None or not search.trials.fits(other) or abs(self._off(other, search)) >= abs(off):
            return tried
        return other

    def _off(self, tried: Tried, search: Search) -> float:
        readings = search.trials.evaluator.answered(tried.changes)
        return readings.ratio.stops - self.now.ratio.stops

    @cached_property
    def rough_off_stops(self) -> float:
        """By how much the present ratio is too high where it is computed roughly."""
        return self.rough().scanned().ratio.stops - self.now.ratio.stops

    def rough(self) -> Evaluator:
        """The set-up as it stands, tried roughly."""
        return self.evaluator(self.recipe, scanning=ROUGH)

    def card_for_room(
        self, evaluator: Evaluator, card: str, also: tuple[Aspect, ...] = (), off_stops: float = 0.0
    ) -> tuple[Tried | None, Search]:
        """The same for any evaluator: another room, another sitter; and with more of the card free."""
        evaluator = self._wanting(evaluator)
        ask = ask_of(evaluator.recipe, evaluator.studio, evaluator.marks, [card], also)
        trials = Trials(
            evaluator,
            ask,
            given_baseline=self.baseline,
            given_goals=frozenset({"ratio"}),
            scan_off_stops=off_stops,
            before=evaluator.staging(),
            reference=self.now,
        )
        search = Search(trials, count=1)
        search.look_near(ask.start, search.axes[0])
        answers = search.answers()
        return (answers[0] if answers else None), search

    def _wanting(self, evaluator: Evaluator) -> Evaluator:
        """The same where the present ratio is what is wanted."""
        update = {
            "ratio": Ratio(self.now.ratio.ratio),
            "within": RATIO_WITHIN,
            "convention": self.now.ratio.convention,
        }
        recipe = evaluator.recipe
        return of_recipe(evaluator, with_value(recipe, ("target",), recipe.target.model_copy(update=update)))

    @cached_property
    def has_sides(self) -> bool:
        """Whether the present ratio could be wanted: not where the key stands on the nose line and the recipe
        doesn't say what its ratio is between.
        """
        return self._wanting(self.at_clicks).staging() is not None

    # words

    def aim_words(self, card: str) -> str:
        """How a card is aimed: 'between key and face'."""
        aim = next(one.aim for one in self.recipe.cards if one.name == card)
        at = aim if isinstance(aim, str) else aim.at
        return at if at else "as the recipe has it"

    def mark(self, readings: Readings, point: str) -> str:
        """What the meter shows at a point."""
        return meter_mark(readings[point].f_number, self.staging.meter.step_stops)

    def key_mark(self, readings: Readings) -> str:
        """What it shows at the key's point."""
        return self.mark(readings, readings.key_point)

    def key_and_ratio(self, readings: Readings) -> str:
        """'key f/8 + 1/10, ratio 3.8:1'."""
        return f"key {self.key_mark(readings)}, ratio {ratio_text(readings.ratio.ratio)}"

    def moved(self, readings: Readings, *, ratio: bool = False, without_key: bool = False) -> str:
        """What a set-up shows otherwise than now, in words: key reading, ratio, backdrop."""
        parts = [] if without_key else [_said("key reading", self.key_more(readings))]
        if ratio:
            parts.append(_said("ratio", readings.ratio.stops - self.now.ratio.stops))
        if BEHIND in readings.readings:
            now, then = self.now[BEHIND].stops_from_key, readings[BEHIND].stops_from_key
            parts.append(_said("backdrop from key", then - now))
        moved = [part for part in parts if part]
        return ", ".join(moved) if moved else "nothing else by 0.1 stop or more"

    def key_more(self, readings: Readings) -> float:
        """How far the key reading is over the present one, in stops."""
        return 2.0 * _log2(readings[readings.key_point].f_number / self.now[self.now.key_point].f_number)


def of_recipe(evaluator: Evaluator, recipe: Recipe) -> Evaluator:
    """The same studio and world with another recipe."""
    was = evaluator
    return Evaluator(
        recipe, was.studio, was.marks, was.slug, was.world, shared=was.shared, scanning=was.scanning
    )


def _log2(value: float) -> float:
    return math.log2(value)


def _said(what: str, more: float) -> str:
    return "" if abs(more) < STILL_STOPS else f"{what} {stops(more, signed=True)}"


def without_levels(recipe: Recipe) -> Recipe:
    """The recipe with no light's click left to be found by a level: a light has its power or its level."""
    for index in range(len(recipe.lights)):
        recipe = with_value(recipe, ("lights", index, "level"), None)
    return recipe


def clicks_of(lamps: tuple[LampReading, ...], shift: int = 0) -> Changes:
    """Every lamp at its click, shifted by so many."""
    return tuple((("lights", k, "power"), Click(lamp.click + shift)) for k, lamp in enumerate(lamps))


def turn_words(lamp: LampReading, shift: int, display: tuple[str, ...] = ()) -> str:
    """'turn key down 1 click, to click 15 (1/16 + 2/3)'."""
    count, way = abs(shift), "up" if shift > 0 else "down"
    to = lamp.click + shift
    shown = f" ({display[to - 1]})" if 1 <= to <= len(display) else ""
    clicks = "click" if count == 1 else "clicks"
    return f"turn {lamp.emitter} {way} {count} {clicks}, to click {minus(to)}{shown}"


def in_range(lamp: LampReading, shift: int) -> bool:
    """Whether the lamp has that click."""
    return 1 <= lamp.click + shift <= lamp.clicks


def moved_to(tried: Tried) -> str:
    """'a string of 85 cm': what changes of a card's place, in the recipe's own form; empty where nothing."""
    return ", ".join(
        f"a string of {value}" if path[-1] == "string" else str(value) for path, value in tried.changes
    )


def card_words(tried: Tried, search: Search) -> str:
    """'card goes to a string of 85 cm'."""
    name, to = search.movers[0].name, moved_to(tried)
    return f"'{name}' goes to {to}" if to else f"'{name}' stays where it is"


BEST = "is the best to be had"
"""How a card's line says that the ratio doesn't come back."""


@dataclass(frozen=True)
class Nearest:
    """How near a card's moves come where none brings the ratio back."""

    words: str
    """'the nearest that fits is 4.5:1, where 'card' goes to a string of 65 cm: nearer it …'."""
    brief: str


def nearest_of(search: Search) -> Nearest:
    """The nearest to the present ratio that the card's moves bring about, and what ends them there."""
    find_one_that_fits(search)
    fitting = [one for one in search.trials.all_tried if search.trials.fits(one)]
    if not fitting:
        return Nearest("no place for it fits", "no place for it fits")
    nearest = min(fitting, key=lambda one: abs(one.off))
    too_high = nearest.off > 0
    while (onward := _step(search, nearest, -1 if too_high else 1)) is not None:
        if not search.trials.fits(onward) or abs(onward.off) >= abs(nearest.off):
            break
        nearest = onward
    ratio = ratio_text(search.trials.evaluator.answered(nearest.changes).ratio.ratio)
    ends = what_ends(search, nearest, nearer=too_high)
    words = f"the nearest that fits is {ratio}, where {card_words(nearest, search)}"
    there = f"then {moved_to(nearest)}" if moved_to(nearest) else "leave it there"
    return Nearest(f"{words}: {ends}", f"{there}, {ratio} {BEST}: {ends}")


def _step(search: Search, one: Tried, by: int) -> Tried | None:
    """The next place on the axis that is solved for; None where there is no room for it."""
    axis = search.axes[0]
    index = search.index_of(one.states, axis) + by
    if not 0 <= index < len(axis.values):
        return None
    states = search.with_value(one.states, axis, axis.values[index])
    return search.trials.at(states) if search.trials.has_room(states) else None


def what_ends(search: Search, one: Tried, nearer: bool) -> str:
    """What stands in the way of the next step, or that it brings nothing."""
    axis, trials = search.axes[0], search.trials
    index = search.index_of(one.states, axis) + (-1 if nearer else 1)
    way = "nearer" if nearer else "farther off"
    if not 0 <= index < len(axis.values):
        return f"{way} it would be in the face" if nearer else f"{way} none was tried"
    states = search.with_value(one.states, axis, axis.values[index])
    if trials.evaluator.staging(trials.ask.changes(states)) is None:
        return f"{way} it can't stand"
    found = trials.refusals(states)
    # what fits there was tried on the way to the nearest
    return f"{way} it {_ENDS.get(found[0].check, 'has no room')}" if found else f"{way} it helps no more"
