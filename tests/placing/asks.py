"""Asks drawn from a seed: rooms, lamps, cards and targets; and what a brute-force scan says of each.

The scan knows nothing of the search: it goes through the steps of every free aspect, one by one.
"""

import itertools
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from thirdstop.book.loading import load_model
from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import RoomModel, Studio
from thirdstop.checks import in_frame, room_fit
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.transport import solve
from thirdstop.placing.answers import Answer, Placement
from thirdstop.placing.asking import ask_of
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.movers import Aspect, State
from thirdstop.placing.placing import place
from thirdstop.placing.trying import Trials
from thirdstop.placing.values import Changes, with_changes
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging

PAINTS = ("white paint", "off-white paint", "light grey paint", "mid-grey paint", "dark grey paint")
BOXES = (("battery 400", "round box 90", 0.45), ("battery 400", "square box 60", 0.3))
CARDS = (
    ("folding card 120 x 90", ("white", "silver", "gold", "black")),
    ("lap card 90 x 60", ("silver", "white", "gold")),
    ("tall card 180 x 80", ("white", "silver", "black")),
)
MIXES: tuple[tuple[str, tuple[Aspect, ...]], ...] = (
    ("card", ()),
    ("card", ()),
    ("card", ("surface",)),
    ("card", ("bearing",)),
    ("card", ("height",)),
    ("card", ("bearing", "surface")),
    ("key", ()),
    ("key", ("height",)),
)
"""What may move beside its distance; the simple ones are asked more often."""


@dataclass(frozen=True)
class Drawn:
    """One ask as drawn."""

    seed: int
    recipe: Recipe
    studio: Studio
    marks: Marks
    move: str
    also: tuple[Aspect, ...]

    @property
    def words(self) -> str:
        """In a few words."""
        room = self.studio.room
        card = self.recipe.cards[0]
        free = ", ".join(("distance", *self.also))
        return (
            f"{room.width} x {room.length} x {room.height}, {card.surface} {card.card}, "
            f"{self.recipe.target.ratio}: {self.move} {free}"
        )


def draw(seed: int, studio: Studio) -> Drawn:
    """The ask of a seed: the first of its recipes that stands without its card."""
    dice = random.Random(seed)
    while True:
        room = _room(dice, studio)
        house = studio.model_copy(update={"room": room})
        text, move, also = _recipe(dice, room)
        recipe, marks, faults = load_model(Recipe, text, "recipes/drawn.yaml")
        assert recipe is not None, faults
        bare = recipe.model_copy(update={"cards": []})
        if stage(bare, house, marks)[0] is not None:
            return Drawn(seed, recipe, house, marks, move, also)


def _room(dice: random.Random, studio: Studio) -> RoomModel:
    surfaces = studio.room.surfaces.model_copy(
        update={
            name: dice.choice(PAINTS)
            for name in ("back_wall", "front_wall", "left_wall", "right_wall", "ceiling")
        }
    )
    length = type(studio.room.width)
    return studio.room.model_copy(
        update={
            "width": length(dice.randrange(56, 90) / 20),
            "length": length(dice.randrange(90, 130) / 20),
            "height": length(dice.randrange(47, 60) / 20),
            "surfaces": surfaces,
            "fixed": [],
        }
    )


def _recipe(dice: random.Random, room: RoomModel) -> tuple[str, str, tuple[Aspect, ...]]:
    side, other = dice.choice((("left", "right"), ("right", "left")))
    eye_m = dice.choice((1.15, 1.22, 1.3, 1.6))
    lamp, shaper, half_m = dice.choice(BOXES)
    highest_m = min(room.height.m - half_m - 0.1, eye_m + 0.7)
    key_m = _five(dice.uniform(eye_m + 0.1, highest_m))
    card, surfaces = dice.choice(CARDS)
    move, also = dice.choice(MIXES)
    string = "to be found" if move == "card" else f"{dice.randrange(12, 24) * 5} cm"
    card_m = _five(eye_m - dice.choice((0.0, 0.1, 0.2)))
    key_at = (
        f"{{string: {dice.randrange(20, 34) * 5} cm, "
        f"bearing: {dice.randrange(6, 14) * 5} deg camera-{side}, height: {key_m} m}}"
    )
    card_at = (
        f"{{string: {string}, bearing: {dice.randrange(10, 20) * 5} deg camera-{other}, height: {card_m} m}}"
    )
    text = f"""\
title: Drawn
purpose: An ask of a seed.
mark: {{left_wall: {room.width.m / 2:.2f} m, back_wall: {dice.randrange(28, 36) / 20:.2f} m}}
subject: {{pose: {"standing" if eye_m > 1.5 else "seated"}, eye_height: {eye_m} m}}
camera: {{body: full-frame, lens: 85 mm, distance: 2 m, height: {eye_m} m}}
exposure: {{aperture: {dice.choice(("f/5.6", "f/8", "f/11"))}}}
lights:
  - name: key
    lamp: {lamp}
    shaper: {shaper}
    stand: stand B
    at: {key_at}
cards:
  - name: card
    card: {card}
    surface: {dice.choice(surfaces)}
    at: {card_at}
    edge: long side upright
backdrop: {{sheet: mid-grey paper, distance: 1.2 m}}
target: {{ratio: {dice.choice(("1.5:1", "2:1", "2.5:1", "3:1", "4:1", "5:1", "6:1", "8:1", "12:1"))}}}
"""
    return text, move, also


def _five(value_m: float) -> float:
    return round(round(value_m * 20) / 20, 2)


# what comes of it


@dataclass(frozen=True)
class Outcome:
    """An ask with its answer, and what is wrong with that."""

    drawn: Drawn
    answer: Answer
    wrong: tuple[str, ...]


def judged(drawn: Drawn) -> Outcome:
    """The answer, put back; a refusal, held against the scan."""
    answer = place(drawn.recipe, drawn.studio, drawn.marks, "drawn", [drawn.move], drawn.also)
    if answer.best is None:
        met = next(scan(drawn), None)
        wrong = [] if met is None else [f"said that it can't, and {met} does"]
    else:
        wrong = [fault for one in (answer.best, *answer.others) for fault in _faults(drawn, one)]
    return Outcome(drawn, answer, tuple(wrong))


def put_back(drawn: Drawn, changes: Changes) -> tuple[Staging, Readings]:
    """Staging and readings of a recipe with those values, from the text's side of the engine."""
    staging, faults = stage(with_changes(drawn.recipe, changes), drawn.studio, drawn.marks)
    assert staging is not None, faults
    lit = charge(staging)
    return lit, read(lit, solve(lit.scene))


def _faults(drawn: Drawn, one: Placement) -> Iterator[str]:
    staging, readings = put_back(drawn, one.changes)
    target = staging.target
    assert target.ratio is not None
    off = readings.ratio.stops - math.log2(target.ratio)
    if abs(off) > target.within_stops + 1e-9:
        yield f"{one.changes}: off by {off:.3f}"
    if abs(readings.ratio.ratio / one.ratio.ratio - 1) > 1e-9:
        yield f"{one.changes}: printed {one.ratio.ratio}, put back {readings.ratio.ratio}"
    for lamp in readings.lamps:
        if not 1 <= lamp.click <= lamp.clicks:
            yield f"{one.changes}: {lamp.emitter} at click {lamp.click}"
    for finding in in_frame.run(staging, readings) + room_fit.run(staging, readings):
        if finding.about == drawn.move and finding.verdict != "pass":
            yield f"{one.changes}: {finding.text}"
    item = staging.item(drawn.move)
    if abs(item.string_m * 20 - round(item.string_m * 20)) > 1e-6:
        yield f"{one.changes}: a string of {item.string_m}"


def scan(drawn: Drawn) -> Iterator[State]:
    """Every state on the steps that fits and meets the target at the accuracy of what is printed.

    Bearings and heights beside the distance are gone through in steps of 10° and 10 cm.
    """
    ask = ask_of(drawn.recipe, drawn.studio, drawn.marks, [drawn.move], drawn.also)
    mover = ask.movers[0]
    evaluator = Evaluator(drawn.recipe, drawn.studio, drawn.marks, "drawn")
    trials = Trials(evaluator, ask)
    for surface, bearing, height in itertools.product(
        mover.values("surface"), mover.values("bearing")[::2], mover.values("height")[::2]
    ):
        for string in mover.values("distance"):
            state = replace(
                mover.start,
                string_m=float(string),
                bearing_deg=float(bearing),
                height_m=float(height),
                surface=str(surface),
            )
            if trials.has_room((state,)) and _meets(drawn, trials, state):
                yield state


def _meets(drawn: Drawn, trials: Trials, state: State) -> bool:
    """At the accuracy of trying first: what is far off there is far off."""
    tried = trials.at((state,))
    assert tried is not None
    if abs(tried.off) > tried.goals["ratio"].within + 0.12:
        return False
    _, readings = put_back(drawn, tried.changes)
    assert drawn.recipe.target.ratio is not None
    off = readings.ratio.stops - math.log2(drawn.recipe.target.ratio.value)
    in_range = all(1 <= lamp.click <= lamp.clicks for lamp in readings.lamps)
    return in_range and abs(off) <= tried.goals["ratio"].within
