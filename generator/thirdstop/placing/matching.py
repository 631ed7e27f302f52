"""The same picture for another sitter, in another room, with other gear, or mirrored: what must change, and
what differs.

The first answer is the plainest: everything goes up with the eyes and keeps its string; then the card's
distance, and the clicks, are found anew for the ratio and the aperture of the picture as it was.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from thirdstop.book.fault_units import told_in
from thirdstop.book.marks import Marks
from thirdstop.book.quantities import Length
from thirdstop.book.recipe import MarkPlace, Recipe
from thirdstop.book.studio import Studio
from thirdstop.book.subject import Subject
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.errors import BookFaults, Fault, UsageError
from thirdstop.exposure.readings import LampReading, Readings
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.fitting import CONSTRAINTS, NOTHING, refusals
from thirdstop.placing.gear import gear_words, with_gear
from thirdstop.placing.mirroring import mirrored, mirrored_words
from thirdstop.placing.movers import Aspect
from thirdstop.placing.people import that_go_up
from thirdstop.placing.setup import Setup, of_recipe
from thirdstop.placing.values import Path, value_at, with_changes, with_value
from thirdstop.placing.wording import place_words
from thirdstop.staging.staging import Staging
from thirdstop.staging.vectors import elevation_of

DIFFERS_STOPS = 0.15
"""A level that differs by less is not worth saying: meters show tenths."""
SAME_STOPS = 0.1
"""A ratio that is as near as this is left alone: 5 cm of a card do no more."""
_STEP_M = 0.05
_MARK_STEP_M = 0.10
_MARKS_TRIED = 120


@dataclass(frozen=True)
class Wish:
    """For whom, or where, the picture is wanted."""

    eye_height_m: float | None = None
    pose: Literal["seated", "standing"] | None = None
    studio: Studio | None = None
    """Another studio, of which the room is taken; gear and meter stay the house's own."""
    mirror: bool = False
    gear: tuple[tuple[str, str], ...] = ()
    """Names of pieces in use, each with that of the house's piece to use instead."""


@dataclass(frozen=True)
class Changed:
    """One thing that must be otherwise."""

    what: str
    was: str
    now: str


@dataclass(frozen=True, eq=False)
class Match:
    """What must change so that the picture stays, and what differs all the same."""

    slug: str
    title: str
    wish: str
    """In words: 'eyes at 1.70 m, standing, mirrored'."""
    changes: tuple[Changed, ...]
    before: Readings
    after: Readings
    recipe: Recipe
    studio: Studio
    differs: tuple[str, ...]
    findings: tuple[Finding, ...]
    """What the checks say now and did not say before: looks and halts."""
    found: bool
    """False where no place brings the ratio back within its tolerance; the nearest is given."""


def match(recipe: Recipe, studio: Studio, marks: Marks, slug: str, wish: Wish) -> Match:
    """The recipe for another sitter, another room, with other gear, or mirrored.

    Raises BookFaults where the recipe can't be staged as it is, or nowhere with that gear, room or side;
    UsageError for a pose without an eye height, and for a sitter that this room can't take.
    """
    if wish.pose is not None and wish.eye_height_m is None:
        raise UsageError("another pose needs its eye height too: --pose standing --eye-height 1.6 m")
    before = Evaluator(recipe, studio, marks, slug)
    if before.staging() is None:
        raise BookFaults(before.faults())
    setup = Setup(before)
    house = studio if wish.studio is None else in_room_of(studio, wish.studio)
    wanted = mirrored(recipe, studio) if wish.mirror else recipe
    wanted = _key_left_open(_for_sitter(with_gear(wanted, studio, wish.gear), wish))
    # what the lamps give is known from the house's own room
    there = Evaluator(wanted, house, marks, slug, shared=before.shared)
    there = of_recipe(there, _fitting(setup, there, recipe, wish))
    if there.staging() is None:
        raise _nowhere(wish, there.faults(), studio)
    return _match(setup, *_with_ratio(setup, there), wish)


def _nowhere(wish: Wish, faults: Sequence[Fault], studio: Studio) -> BookFaults | UsageError:
    """Why it can't be built as wished; a sitter's size is no fault of the recipe's lines."""
    if wish.eye_height_m is None or wish.studio is not None or wish.gear or wish.mirror:
        return BookFaults(list(faults))
    first = told_in(faults[0], studio.habits.units)
    why = f" ({first.given})" if first.given else ""
    write = "another eye height or pose, or beside it another room with --studio"
    return UsageError(f"--eye-height: {first.wrong}{why}; write: {write}")


def in_room_of(studio: Studio, other: Studio) -> Studio:
    """The house's own gear in the other studio's room, with that room's colours."""
    own = [paint for paint in studio.paints if paint.name not in {one.name for one in other.paints}]
    return studio.model_copy(update={"room": other.room, "paints": [*other.paints, *own]})


# the sitter


def _for_sitter(recipe: Recipe, wish: Wish) -> Recipe:
    """The sitters as they are wanted: the first one's eyes at that height, the others as much higher."""
    if wish.eye_height_m is None:
        return recipe
    rise_m = wish.eye_height_m - recipe.sitters[0].eye_height.m
    sitters = [_sitter(sitter, rise_m, wish) for sitter in recipe.sitters]
    return recipe.model_copy(update={"subject": sitters if isinstance(recipe.subject, list) else sitters[0]})


def _sitter(sitter: Subject, rise_m: float, wish: Wish) -> Subject:
    update: dict[str, object] = {"eye_height": Length(round(sitter.eye_height.m + rise_m, 3))}
    if wish.pose is not None:
        update |= {"pose": wish.pose, "seat_height": None}
    return sitter.model_copy(update=update)


def _key_left_open(recipe: Recipe) -> Recipe:
    """With the key's click to be found for the aperture again."""
    return with_value(recipe, ("lights", 0, "power"), "to be found")


# what goes up, and where M is


def _fitting(setup: Setup, evaluator: Evaluator, before: Recipe, wish: Wish) -> Recipe:
    """Everything raised with the eyes as far as it fits, at a mark where it does."""
    rise_m = 0.0 if wish.eye_height_m is None else wish.eye_height_m - before.sitters[0].eye_height.m
    nearest: Recipe | None = None
    for marked in _marks(evaluator.recipe, evaluator.studio, wish):
        raised, fits = _raised(setup, of_recipe(evaluator, marked), rise_m, wish)
        if fits:
            return raised
        nearest = nearest or raised
    assert nearest is not None
    return nearest


def _marks(recipe: Recipe, studio: Studio, wish: Wish) -> Iterator[Recipe]:
    """The mark as it is; in another room then in the middle, and round about on 10 cm, the nearest first."""
    yield recipe
    if wish.studio is None:
        return
    room = studio.room
    own = recipe.mark
    back_m = own.back_wall.m if own is not None else 1.5
    across_m = own.left_wall.m if own is not None and own.left_wall is not None else room.width.m / 2
    places = [
        (round(k * _MARK_STEP_M, 2), round(m * _MARK_STEP_M, 2))
        for k in range(5, int(room.width.m / _MARK_STEP_M) - 4)
        for m in range(8, int(room.length.m / _MARK_STEP_M) - 8)
    ]
    places.sort(key=lambda place: (round(math.hypot(place[0] - across_m, place[1] - back_m), 6), place))
    for left_m, back_wall_m in places[:_MARKS_TRIED]:
        place = MarkPlace(left_wall=Length(left_m), back_wall=Length(back_wall_m))
        yield recipe.model_copy(update={"mark": place})


def _raised(setup: Setup, evaluator: Evaluator, rise_m: float, wish: Wish) -> tuple[Recipe, bool]:
    """Camera, lamps, cards and blockers higher by so much, each as far as it fits; and whether all fits."""
    recipe = evaluator.recipe
    paths = that_go_up(recipe) if abs(rise_m) > 1e-9 else []
    for path in paths:
        recipe = _at_height(recipe, path, _height_of(recipe, path, rise_m))
    for path in paths * 2:
        # what one thing lacks may hide what the next one lacks
        recipe = _one_lowered(setup, of_recipe(evaluator, recipe), path, rise_m)
    staging = of_recipe(evaluator, recipe).staging()
    baseline = NOTHING if wish.studio is not None else setup.baseline
    return recipe, staging is not None and not refusals(staging, setup.now, baseline)


def _height_of(recipe: Recipe, path: Path, rise_m: float) -> float:
    height = value_at(recipe, path)
    return _five(height.m + rise_m) if isinstance(height, Length) else 0.0


def _at_height(recipe: Recipe, path: Path, height_m: float) -> Recipe:
    return with_value(recipe, path, Length(round(height_m, 2))) if height_m > 0 else recipe


def _one_lowered(setup: Setup, evaluator: Evaluator, path: Path, rise_m: float) -> Recipe:
    """One height back by as many fives of centimetres as it takes for the thing to fit; else to stand."""
    recipe, about = evaluator.recipe, _name(evaluator.recipe, path)
    height = value_at(recipe, path)
    if not isinstance(height, Length):
        return recipe
    can_stand: Recipe | None = None
    for steps in range(int(abs(rise_m) / _STEP_M + 1e-6) + 1):
        lowered = _at_height(recipe, path, height.m - math.copysign(steps * _STEP_M, rise_m))
        staging = of_recipe(evaluator, lowered).staging()
        if staging is None:
            continue
        can_stand = can_stand or lowered
        if not _refused(setup, staging, about):
            return lowered
    return can_stand or recipe


def _refused(setup: Setup, staging: Staging, about: str) -> bool:
    """Whether any check of places rules that one thing out."""
    return any(
        finding.about.split(":")[0] == about
        for one in CONSTRAINTS
        for finding in refusals(staging, setup.now, setup.baseline, (one,))
    )


def _name(recipe: Recipe, path: Path) -> str:
    return "camera" if path[0] == "camera" else str(value_at(recipe, (*path[:2], "name")))


def _five(value_m: float) -> float:
    return round(math.floor(value_m / _STEP_M + 0.5 + 1e-9) * _STEP_M, 2)


# the ratio


def _with_ratio(setup: Setup, evaluator: Evaluator) -> tuple[Evaluator, bool]:
    """The recipe with the card where the ratio is as it was; False where that is only the nearest."""
    card = setup.filling_card()
    if card is None or _same_ratio(setup, evaluator.answered()):
        return evaluator, _same_ratio(setup, evaluator.answered())
    nearest: Evaluator | None = None
    steps: tuple[tuple[Aspect, ...], ...] = ((), ("bearing", "height"))
    for also in steps:
        tried, search = setup.card_for_room(evaluator, card, also)
        if tried is not None:
            return of_recipe(evaluator, with_changes(evaluator.recipe, tried.changes)), True
        fitting = [one for one in search.trials.all_tried if search.trials.fits(one)]
        if fitting and nearest is None:
            best = min(fitting, key=lambda one: abs(one.off))
            nearest = of_recipe(evaluator, with_changes(evaluator.recipe, best.changes))
    return nearest or evaluator, False


def _same_ratio(setup: Setup, readings: Readings) -> bool:
    return abs(readings.ratio.stops - setup.now.ratio.stops) <= SAME_STOPS


# what is told


def _match(setup: Setup, then: Evaluator, found: bool, wish: Wish) -> Match:
    readings = then.predicted()
    staging = then.staging()
    assert staging is not None
    before = {(f.check, f.about, f.verdict) for f in check(setup.staging, setup.now)}
    findings = [
        finding
        for finding in check(staging, readings)
        if finding.verdict != "pass" and (finding.check, finding.about, finding.verdict) not in before
    ]
    return Match(
        slug=then.slug,
        title=then.recipe.title,
        wish=wish_words(wish),
        changes=tuple(_changes(setup, then, readings.lamps)),
        before=setup.now,
        after=readings,
        recipe=then.recipe,
        studio=then.studio,
        differs=tuple(_differs(setup, staging, readings, wish)),
        findings=tuple(findings),
        found=found,
    )


def wish_words(wish: Wish) -> str:
    """'eyes at 1.70 m, standing, in another room, mirrored'."""
    parts = []
    if wish.eye_height_m is not None:
        parts.append(f"eyes at {wish.eye_height_m:.2f} m")
    if wish.pose is not None:
        parts.append(wish.pose)
    if wish.studio is not None:
        parts.append(f"in the room of {wish.studio.name}")
    parts += [f"{new} for {old}" for old, new in wish.gear]
    if wish.mirror:
        parts.append("mirrored")
    return ", ".join(parts)


def _changes(setup: Setup, then: Evaluator, lamps: Sequence[LampReading]) -> Iterator[Changed]:
    before, after = setup.found.recipe, then.recipe
    if before.mark != after.mark:
        yield Changed("M", mark_words(before), mark_words(after))
    for index, (was, now) in enumerate(zip(before.sitters, after.sitters, strict=True)):
        if was.eye_height != now.eye_height or was.pose != now.pose:
            name = was.name if index or len(before.sitters) > 1 else "sitter"
            yield Changed(name, f"{was.pose}, eyes {was.eye_height}", f"{now.pose}, eyes {now.eye_height}")
    if before.camera.height != after.camera.height:
        yield Changed("camera", f"height {before.camera.height}", f"height {after.camera.height}")
    for key in ("lights", "cards", "blockers"):
        for index, thing in enumerate(getattr(before, key)):
            for words_of in (gear_words, place_words):
                was_words, now_words = (words_of(one, (key, index)) for one in (before, after))
                if was_words != now_words:
                    yield Changed(thing.name, was_words, now_words)
    if before.backdrop.sheet != after.backdrop.sheet:
        yield Changed("backdrop", str(before.backdrop.sheet), str(after.backdrop.sheet))
    for was_lamp, now_lamp in zip(setup.lamps, lamps, strict=True):
        if was_lamp.click != now_lamp.click:
            yield Changed(was_lamp.emitter, _click(was_lamp), _click(now_lamp))


def _click(lamp: LampReading) -> str:
    shown = f" ({lamp.shown})" if lamp.shown else f", and it has 1 to {lamp.clicks}"
    return f"click {lamp.click}{shown}"


def mark_words(recipe: Recipe) -> str:
    """Where M is taped: '1.6 m from the left wall, 1.5 m from the back wall'."""
    mark = recipe.mark
    if mark is None:
        return "in the middle, by the backdrop"
    side = f"{mark.left_wall} from the left" if mark.left_wall else f"{mark.right_wall} from the right"
    return f"{side} wall, {mark.back_wall} from the back wall"


def _differs(setup: Setup, staging: Staging, readings: Readings, wish: Wish) -> Iterator[str]:
    """What stays different: the key's height over the nose, the ratio, the level at every point."""
    was_deg, now_deg = round(key_elevation_deg(setup.staging)), round(key_elevation_deg(staging))
    if abs(now_deg - was_deg) >= 2:
        way = "lower" if now_deg < was_deg else "higher"
        by = f"{abs(now_deg - was_deg)}° {way}"
        yield f"the key stands {by} over the nose: {now_deg}°, was {was_deg}°"
    more = readings.ratio.stops - setup.now.ratio.stops
    if abs(more) >= DIFFERS_STOPS:
        yield f"the ratio by {more:+.1f} stop".replace("-", "−")
    names = {item.name for item in staging.items}
    for name, reading in setup.now.readings.items():
        other = mirrored_words(name, names) if wish.mirror else name
        if other not in readings.readings or reading.receptor == "dome":
            continue
        level = readings[other].stops_from_key - reading.stops_from_key
        if abs(level) >= DIFFERS_STOPS:
            yield f"{other} by {level:+.1f} stop from the key".replace("-", "−")


def key_elevation_deg(staging: Staging) -> float:
    """How high the middle of the key's face stands over the nose."""
    return elevation_of(staging.scene.emitters[0].centre_m - staging.sitters[0].nose_m)
