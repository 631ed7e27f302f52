"""From one ask to its answer: searched, put back at the rounded values, and read anew."""

from collections.abc import Iterable, Sequence

from thirdstop.book.marks import Marks
from thirdstop.book.quantities import RelativeStops
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.checks import in_frame, power
from thirdstop.checks.backdrop import facing_reflectance, tone_stops
from thirdstop.checks.findings import Finding
from thirdstop.checks.places import background, points
from thirdstop.checks.registry import check
from thirdstop.checks.severity import by_severity
from thirdstop.checks.walkway import widest_way
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.errors import BookFaults, Fault
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import snap
from thirdstop.placing.answers import (
    Answer,
    Costs,
    Placement,
    Reached,
    Suggestion,
    ThingPlaced,
)
from thirdstop.placing.asking import Ask, ask_of
from thirdstop.placing.cards_away import out_of_reach
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.goals import goals_of, key_off_stops
from thirdstop.placing.movers import Aspect, Mover
from thirdstop.placing.reaching import Reach, reach_of
from thirdstop.placing.remedies import Remedy, against_spill, remedies_of
from thirdstop.placing.searching import Search
from thirdstop.placing.trying import Trials, Tried
from thirdstop.placing.values import Changes, Path, value_at, with_changes
from thirdstop.placing.wording import place_words
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging
from thirdstop.staging.unfound import TO_BE_FOUND


def place(
    recipe: Recipe,
    studio: Studio,
    marks: Marks,
    slug: str,
    move: Sequence[str] = (),
    also: Iterable[Aspect] = (),
    keep: Iterable[Aspect] = (),
) -> Answer:
    """Clicks, places and surfaces for what the recipe wants, or why it can't be had and what would help.

    Raises UsageError for names that there aren't, BookFaults where the recipe can't be staged otherwise.
    """
    tone = tone_changes(recipe, studio, marks)
    wanted = with_changes(recipe, tone)
    ask = ask_of(wanted, studio, marks, move, also, keep)
    evaluator = Evaluator(wanted, studio, marks, slug)
    if not ask.movers and evaluator.staging() is None:
        raise BookFaults(evaluator.faults())
    search = Search(Trials(evaluator, ask))
    if faults := _faults_everywhere(search):
        raise BookFaults(faults)
    found = search.answers()
    reach = Reach(None, None)
    if not found and search.trials.seeks_ratio:
        reach = reach_of(search)
        found = _from_the_ends(search, reach)
    return _answer(search, found, reach, tone)


def _faults_everywhere(search: Search) -> list[Fault]:
    """What can't be staged wherever things stand, in the file's order; empty where only places matter."""
    start, evaluator = search.trials.ask.start, search.trials.evaluator
    places = [start]
    for axis in search.axes:
        values = (axis.values[0], axis.values[len(axis.values) // 2], axis.values[-1])
        places += [search.with_value(start, axis, value) for value in values]
    common: set[Fault] | None = None
    for states in places:
        faults = evaluator.faults(search.trials.ask.changes(states))
        common = set(faults) if common is None else common & set(faults)
        if not common:
            return []
    return sorted(common or ())


def tone_changes(recipe: Recipe, studio: Studio, marks: Marks) -> Changes:
    """The level of the backdrop's lamp that brings about the tone that is wanted, to a third of a stop.

    Nothing where no tone is wanted, or where not exactly one light has a level.
    """
    tone = recipe.target.backdrop_tone
    lights = [index for index, light in enumerate(recipe.lights) if light.level is not None]
    if tone is None or recipe.target.backdrop_light is not None or len(lights) != 1:
        return ()
    staging, _ = stage(recipe.model_copy(update={"cards": [], "blockers": []}), studio, marks)
    if staging is None:
        return ()
    light = tone.value - tone_stops(0.0, facing_reflectance(staging, background(staging)))
    level = RelativeStops(snap(light * CLICKS_PER_STOP) / CLICKS_PER_STOP, "key")
    path: Path = ("lights", lights[0], "level")
    return () if value_at(recipe, path) == level else ((path, level),)


def _from_the_ends(search: Search, reach: Reach) -> list[Tried]:
    """What the climb to the ends of the reach came past."""
    found = [one for one in search.trials.all_tried if search.trials.within(one) and search.trials.fits(one)]
    for end in (reach.lowest, reach.highest):
        if end is not None and not found:
            search.look_near(end.states, search.axes[0])
            found += search.along(end.states, search.axes[0])
    return search.chosen(found)


def _answer(search: Search, found: Sequence[Tried], reach: Reach, tone: Changes) -> Answer:
    trials, evaluator = search.trials, search.trials.evaluator
    target = evaluator.recipe.target
    suggestions = () if found else tuple(map(_suggestion, remedies_of(search, reach)))
    spill = against_spill(search, found[0]) if found and trials.seeks_ratio else None
    before = _findings_before(trials)
    habits = evaluator.studio.habits
    return Answer(
        slug=evaluator.slug,
        title=evaluator.recipe.title,
        moved=tuple(_moved(mover) for mover in trials.ask.movers),
        best=_placement(trials, found[0], True, before, tone) if found else None,
        others=tuple(_placement(trials, one, False, before, tone) for one in found[1:]),
        lowest=_reached(trials, reach.lowest) if not found else None,
        highest=_reached(trials, reach.highest) if not found else None,
        suggestions=suggestions,
        against_spill=_suggestion(spill) if spill is not None else None,
        reason="" if found else _reason(search, reach),
        refused=_refused(trials, found[0] if found else reach.highest),
        wanted_ratio=target.ratio.value if target.ratio is not None else None,
        convention=target.convention or habits.convention,
        within_stops=(target.within or habits.within).value,
        solved=evaluator.solved,
    )


def _refused(trials: Trials, one: Tried | None) -> str:
    goal = None if one is None else one.goals.get("ratio")
    if one is None or goal is None or goal.met:
        return ""
    return "; ".join(map(str, out_of_reach(one.staging, one.ratio, trials.evaluator.marks)))


def _moved(mover: Mover) -> str:
    order = [aspect for aspect in ("distance", "bearing", "height", "surface") if aspect in mover.free]
    return f"{mover.name}: {', '.join(order)}"


def _findings_before(trials: Trials) -> set[tuple[str, str, str]]:
    staging = trials.evaluator.staging()
    if staging is None:
        return set()
    return {_told(finding) for finding in check(staging, trials.evaluator.scanned())}


def _told(finding: Finding) -> tuple[str, str, str]:
    return (finding.check, finding.about, finding.verdict)


def _placement(
    trials: Trials, one: Tried, whole: bool, before: set[tuple[str, str, str]], tone: Changes
) -> Placement:
    evaluator = trials.evaluator
    readings = evaluator.predicted(one.changes) if whole else evaluator.answered(one.changes)
    found = by_severity(check(one.staging, readings)) if whole else ()
    new, standing = _told_apart(found, before)
    return Placement(
        things=things_of(trials.ask, evaluator.recipe, one.staging, one.changes),
        lamps=readings.lamps,
        ratio=readings.ratio,
        key_f_number=readings[readings.key_point].f_number,
        key_off_stops=key_off_stops(one.staging, readings),
        goals=tuple(goals_of(one.staging, readings).values()),
        costs=costs_of(trials.ask, one.staging, readings),
        findings=new,
        changes=(*one.changes, *tone),
        standing=standing,
    )


def _told_apart(
    found: Iterable[Finding], before: set[tuple[str, str, str]]
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Looks and halts that the recipe as it is has not, and those that it has; a click is told anew."""
    serious = [finding for finding in found if finding.verdict != "pass"]
    new = [finding for finding in serious if _told(finding) not in before or finding.check == "power"]
    return tuple(new), tuple(finding for finding in serious if finding not in new)


def things_of(ask: Ask, recipe: Recipe, staging: Staging, changes: Changes) -> tuple[ThingPlaced, ...]:
    """Every mover as it stands in a staging, in words of the recipe's own form."""
    after = with_changes(recipe, changes)
    return tuple(_thing(mover, recipe, after, staging) for mover in ask.movers)


def _thing(mover: Mover, before: Recipe, after: Recipe, staging: Staging) -> ThingPlaced:
    item = staging.item(mover.name)
    words, was = (place_words(recipe, mover.path) for recipe in (after, before))
    return ThingPlaced(
        name=mover.name,
        kind=mover.kind,
        string_m=item.string_m,
        bearing_deg=item.bearing_deg,
        height_m=item.height_m,
        toward_m=item.toward_m,
        side_m=item.side_m,
        surface=str(value_at(after, (*mover.path, "surface"))) if mover.kind != "light" else "",
        words=words,
        was="" if words == was else was,
        from_backdrop=mover.form == "from the backdrop",
    )


def costs_of(ask: Ask, staging: Staging, readings: Readings) -> Costs:
    """Space, power and evenness of an answer."""
    names = {mover.name for mover in ask.movers}
    margins = [in_frame.frame_margin_m(staging, item) for item in staging.items if item.name in names]
    clear_m = min(margins, default=float("inf"))
    ways = [widest_way(staging, door).width_m for door in staging.room.doors]
    evenness, of = evenness_of(staging, readings)
    return Costs(
        clear_m=clear_m if abs(clear_m) != float("inf") else None,
        way_m=max(ways) if ways else None,
        clicks=tuple((lamp.emitter, lamp.click) for lamp in readings.lamps),
        evenness_stops=evenness,
        evenness_of=of,
    )


def evenness_of(staging: Staging, readings: Readings) -> tuple[float | None, str]:
    """Stops between what should be alike, and what that is."""
    if len(staging.sitters) > 1:
        values = [_level(staging, readings, "chin dome", sitter.index) for sitter in staging.sitters]
        known = [value for value in values if value is not None]
        return (max(known) - min(known) if known else None), "between the faces"
    low = "feet" if staging.framing == "full length" else "chest"
    top, bottom = (_level(staging, readings, words, 0) for words in ("forehead", low))
    words = f"forehead to {low}"
    return (None if top is None or bottom is None else top - bottom), words


def _level(staging: Staging, readings: Readings, words: str, sitter: int) -> float | None:
    for point in points(staging, words, sitter):
        if point.name in readings.readings:
            return readings[point.name].stops_from_key
    return None


def _reached(trials: Trials, end: Tried | None) -> Reached | None:
    if end is None:
        return None
    readings = trials.evaluator.answered(end.changes)
    things = things_of(trials.ask, trials.evaluator.recipe, end.staging, end.changes)
    return Reached(readings.ratio.ratio, things)


def _suggestion(remedy: Remedy) -> Suggestion:
    trials, one = remedy.trials, remedy.tried
    readings = trials.evaluator.answered(one.changes)
    things = things_of(trials.ask, trials.evaluator.recipe, one.staging, one.changes)
    return Suggestion(remedy.words, readings.ratio.ratio, things, readings.lamps, remedy.reaches)


def _reason(search: Search, reach: Reach) -> str:
    """Why nothing was found, in a sentence."""
    trials = search.trials
    if trials.seeks_ratio and reach.lowest is not None:
        return ""
    for states in search.others(search.axes):
        changes = trials.ask.changes(states)
        if trials.evaluator.staging(changes) is None:
            return f"no place can be staged: {trials.evaluator.faults(changes)[0].wrong}"
        if found := trials.refusals(states):
            return f"no place fits: {found[0].text}"
        tried = trials.at(states)
        if tried is not None and not trials.in_power(tried.readings):
            short = [one for one in power.run(tried.staging, tried.readings) if one.verdict != "pass"]
            return f"{short[0].text} {short[0].remedy}"
        break
    return "no place fits"


def left_to_find(recipe: Recipe) -> list[Path]:
    """Places in the recipe that say 'to be found', powers among them."""
    found: list[Path] = []
    for key in ("lights", "cards", "blockers"):
        for index, thing in enumerate(getattr(recipe, key)):
            found += [
                (key, index, "at", name)
                for name in ("string", "bearing", "height")
                if getattr(thing.at, name) == TO_BE_FOUND
            ]
            if getattr(thing, "surface", None) == TO_BE_FOUND:
                found.append((key, index, "surface"))
            if getattr(thing, "power", None) == TO_BE_FOUND:
                found.append((key, index, "power"))
    return found
