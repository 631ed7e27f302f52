"""What `place` prints for people: the answer, what it was put back as, the next best, or why not."""

from collections.abc import Iterator

from thirdstop.book.feet import in_feet
from thirdstop.book.quantities import Ratio
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import CHECKS
from thirdstop.checks.wording import clearance, length, minus, stops, tolerance
from thirdstop.constants import Units
from thirdstop.exposure.readings import LampReading, RatioReading
from thirdstop.exposure.stops import meter_mark, ratio_text
from thirdstop.placing.answers import Answer, Costs, Placement, Reached, Suggestion, ThingPlaced
from thirdstop.placing.goals import Goal
from thirdstop.placing.matching import Match

_PUT_BACK = "Every number was put back through staging and engine as it is printed."
_PUT_BACK_IN_CM = (
    "Every number was put back through staging and engine to the centimetre, which --write and --json have; "
    "feet are rounded from it to half an inch."
)

_TITLES = {check.name: check.title for check in CHECKS}
_CONVENTIONS = {"lit to shadow": "lit : shadow", "key to fill": "key : fill"}


def in_units(text: str, units: Units) -> str:
    """What is printed, in the units that the house reads."""
    return in_feet(text.replace(_PUT_BACK, _PUT_BACK_IN_CM)) if units == "imperial" else text


def told(answer: Answer, step_stops: float) -> str:
    """The whole answer as text; `step_stops` is the step of the meter."""
    lines = [f"{answer.title}{_wanted(answer)}", ""]
    if answer.best is not None:
        lines += _best(answer.best, step_stops)
        if answer.against_spill is not None:
            lines.append(_row("to keep the room out", suggestion_words(answer.against_spill)))
        lines += _others(answer)
        lines += ["", _PUT_BACK]
    else:
        lines += _cannot(answer)
    if answer.refused:
        lines += ["", f"'proof' refuses this ratio: {answer.refused}"]
    return "\n".join(lines)


def _wanted(answer: Answer) -> str:
    if answer.wanted_ratio is None:
        return ""
    convention = _CONVENTIONS[answer.convention]
    return f": wanted {Ratio(answer.wanted_ratio)} {convention}, within {tolerance(answer.within_stops)}"


# the answer


def _best(best: Placement, step_stops: float) -> Iterator[str]:
    for thing in best.things:
        yield _row(thing.name, thing_words(thing))
    for lamp in best.lamps:
        yield _row(lamp.emitter, lamp_words(lamp))
    yield _row("key reading", f"{meter_mark(best.key_f_number, step_stops)}{_key_off(best.key_off_stops)}")
    yield _row("ratio", ratio_words(best.ratio))
    for goal in best.goals:
        if goal.name != "ratio":
            yield _row(goal.name, goal_words(goal))
        elif not goal.met:
            yield _row("", f"missed by {stops(abs(goal.off))}: too {'high' if goal.off > 0 else 'low'}")
    yield _row("space", space_words(best.costs))
    if best.costs.evenness_stops is not None:
        yield _row(best.costs.evenness_of, stops(best.costs.evenness_stops, signed=True))
    for path, value in best.changes:
        if path[-1] == "level":
            yield _row("level", f"{value}, for the backdrop's tone")
    for finding in best.findings:
        yield _row(finding.verdict, f"{finding.text} {finding.remedy}".strip())
    for finding in best.standing:
        yield _row(finding.verdict, standing_words(finding))


def standing_words(finding: Finding) -> str:
    """What the recipe as it is has too: a halt with its sentence, of a look only what it is about."""
    words = f"as before: {_TITLES[finding.check]}, {finding.about}"
    return f"{words}: {finding.text}" if finding.verdict == "halt" else f"{words}; see proof"


def _row(name: str, words: str) -> str:
    return f"{name:20} {words}"


def thing_words(thing: ThingPlaced) -> str:
    """Where a thing stands, and where it stood: 'white, string 85 cm, …; was: …'."""
    words = thing.words
    if "string" not in words and not thing.from_backdrop:
        words += f" (a string of {length(thing.string_m)})"
    return f"{words}; was: {thing.was}" if thing.was else f"{words}; as the recipe has it"


def lamp_words(lamp: LampReading) -> str:
    """A lamp's click, or by how much it lacks one."""
    if not 1 <= lamp.click <= lamp.clicks:
        return f"would need click {minus(lamp.click)} and has 1 to {lamp.clicks}"
    how = "" if lamp.predicted else ", as the recipe says"
    return f"click {lamp.click} of {lamp.clicks}, the trigger shows {lamp.shown}{how}"


def _key_off(off_stops: float) -> str:
    if abs(off_stops) < 0.05:
        return ""
    return f", {minus(abs(off_stops), 1)} stop {'over' if off_stops > 0 else 'under'} the aperture"


def ratio_words(ratio: RatioReading) -> str:
    """A ratio with its convention, difference and band."""
    return (
        f"{ratio_text(ratio.ratio)} {_CONVENTIONS[ratio.convention]}, {stops(ratio.stops)} apart; "
        f"{ratio_text(ratio.low)} to {ratio_text(ratio.high)} in nine cases of ten"
    )


def goal_words(goal: Goal) -> str:
    """A level against what is wanted."""
    verdict = "met" if goal.met else "missed"
    return f"{stops(goal.found, signed=True)}, wanted {stops(goal.wanted, signed=True)}: {verdict}"


def space_words(costs: Costs) -> str:
    """Room at the picture's edge and on the way to the door."""
    parts = []
    if costs.clear_m is not None:
        parts.append(_clear_words(costs.clear_m))
    if costs.way_m is not None:
        parts.append(f"the way from the door is {clearance(costs.way_m)} wide")
    return "; ".join(parts) or "nothing of it stands before the lens"


def _clear_words(clear_m: float) -> str:
    if clear_m < 0:
        return f"{length(-clear_m)} of it would be in the picture, were it not hidden"
    return f"clear of the picture by {clearance(clear_m)}"


# the next best


def _others(answer: Answer) -> Iterator[str]:
    if not answer.moved:
        yield ""
        yield "Nothing else is to be found. Let a card or a light move with --move NAME."
        return
    if not answer.others:
        yield ""
        yield "No other answer fits."
        return
    yield ""
    yield "Next best:"
    for other in answer.others:
        places = "; ".join(f"{thing.name} {thing.words}" for thing in other.things)
        yield f"- {places}: {ratio_text(other.ratio.ratio)}. {_against(answer.best, other)}"


def _against(best: Placement | None, other: Placement) -> str:
    """What an answer costs against the best."""
    assert best is not None
    parts = [_space_cost(best.costs, other.costs), _power_cost(best.costs, other.costs)]
    now, was = other.costs.evenness_stops, best.costs.evenness_stops
    if now is not None and was is not None:
        same = abs(now - was) < 0.05
        of = other.costs.evenness_of
        parts.append(f"{of} as even" if same else f"{of} {stops(now, signed=True)}")
    return "Costs: " + ", ".join(parts) + "."


def _space_cost(best: Costs, other: Costs) -> str:
    now, was = other.clear_m, best.clear_m
    if now is None or was is None or abs(now - was) < 0.01:
        found = "the same space at the picture's edge"
    else:
        found = f"{length(abs(now - was))} {'less' if now < was else 'more'} space at the picture's edge"
    if other.way_m is not None and best.way_m is not None and abs(other.way_m - best.way_m) >= 0.01:
        way = "narrower" if other.way_m < best.way_m else "wider"
        found += f", a way {length(abs(other.way_m - best.way_m))} {way}"
    return found


def _power_cost(best: Costs, other: Costs) -> str:
    parts = []
    for (name, was), (_, now) in zip(best.clicks, other.clicks, strict=True):
        if now != was:
            count = abs(now - was)
            way = "more" if now > was else "fewer"
            parts.append(f"{count} {'click' if count == 1 else 'clicks'} {way} on {name}")
    return " and ".join(parts) or "the same power"


# why not


def _cannot(answer: Answer) -> Iterator[str]:
    if answer.reason:
        yield f"Can't be met: {answer.reason}"
    if answer.lowest is not None and answer.highest is not None:
        moved = "; ".join(answer.moved)
        yield (
            f"Can't be met by moving {moved}. What fits reaches "
            f"{reached_words(answer.lowest)} to {reached_words(answer.highest)}."
        )
    if not answer.suggestions and answer.lowest is None:
        return
    if not answer.suggestions:
        yield "None of the single changes that were tried comes nearer."
        return
    yield ""
    reaches = answer.suggestions[0].reaches
    yield "What would reach it, cheapest first:" if reaches else "The nearest of the single changes tried:"
    for suggestion in answer.suggestions:
        yield f"- {suggestion_words(suggestion)}"


def reached_words(end: Reached) -> str:
    """One end of the reach: '2.9:1 (card string 55 cm, …)'."""
    places = "; ".join(f"{thing.name} {thing.words}" for thing in end.things)
    return f"{exact_ratio(end.ratio)} ({places})"


def exact_ratio(ratio: float) -> str:
    """A ratio for comparing with one that can't be met; above 8:1 in whole numbers, only here."""
    return ratio_text(ratio) if ratio <= 8 else f"about {round(ratio)}:1"


def suggestion_words(suggestion: Suggestion) -> str:
    """A change with the answer that there is then."""
    places = "; ".join(f"{thing.name} {thing.words}" for thing in suggestion.things)
    clicks = ", ".join(f"{lamp.emitter} click {minus(lamp.click)}" for lamp in suggestion.lamps)
    then = f", then {places}" if places else ""
    return f"{suggestion.words}{then}: {exact_ratio(suggestion.ratio)}; {clicks}"


# matching


def match_told(one: Match, step_stops: float) -> str:
    """A match as text."""
    lines = [f"{one.title}: {one.wish}" if one.wish else f"{one.title}, as it was", ""]
    lines += [_row(c.what, f"{c.now}; was: {c.was}") for c in one.changes] or ["Nothing needs to change."]
    key = one.after[one.after.key_point]
    lines += [
        "",
        _row("key reading", meter_mark(key.f_number, step_stops)),
        _row("ratio", f"{ratio_words(one.after.ratio)}; was {ratio_text(one.before.ratio.ratio)}"),
    ]
    if not one.found:
        lines.append("No place of the card that fits brings the ratio back; this is the nearest.")
    lines += [
        "",
        "What differs all the same:" if one.differs else "Nothing else differs by 0.15 stop or more.",
    ]
    lines += [f"- {words}" for words in one.differs]
    for finding in one.findings:
        lines.append(_row(finding.verdict, f"{finding.text} {finding.remedy}".strip()))
    lines += ["", _PUT_BACK]
    return "\n".join(lines)
