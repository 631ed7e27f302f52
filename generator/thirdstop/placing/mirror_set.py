"""The mirrored set-up of a recipe, put through the engine: for the page that is used on set.

Walls differ and the door stays, so nothing is taken over from the set-up as it was written but its places,
left for right. Where the ratio does not come out alike, the card whose curve is known moves.
"""

from dataclasses import dataclass

import numpy as np

from thirdstop.book.marks import Marks
from thirdstop.book.quantities import Length
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import ratio_text
from thirdstop.placing.curve import RatioCurve, at_clicks, ratio_curve
from thirdstop.placing.evaluating import Evaluator, Shared
from thirdstop.placing.mirroring import mirrored
from thirdstop.placing.values import with_value

SAME_STOPS = 0.1
"""A ratio as near as this is left alone: 5 cm of a card do no more."""
SAID_STOPS = 0.15
"""A ratio that stays farther off is said."""
_STEP_M = 0.05
ACROSS_M = 0.101
"""Computed places of a card that stand no farther apart are joined; the curve's own step."""


@dataclass(frozen=True, eq=False)
class MirrorSet:
    """What the engine says of the mirrored set-up, or why it is left out."""

    refused: str
    """Why it can't be built, in a sentence; empty where it can."""
    string_m: float | None = None
    """The string of the recipe's first card on a string, where it had to move for the ratio."""
    readings: Readings | None = None
    findings: tuple[Finding, ...] = ()
    curve: RatioCurve | None = None
    differs: tuple[str, ...] = ()
    """What is otherwise than in the set-up as it was written, and the checks that now say more."""


def mirror_recipe(recipe: Recipe, studio: Studio, string_m: float | None) -> Recipe:
    """The recipe with left for right, its key's click to be found, and the card at its new string."""
    other = with_value(mirrored(recipe, studio), ("lights", 0, "power"), "to be found")
    if string_m is None:
        return other
    return with_value(other, ("cards", _on_string(other), "at", "string"), Length(string_m))


def mirror_set(
    recipe: Recipe,
    studio: Studio,
    marks: Marks,
    slug: str,
    now: Readings,
    findings: tuple[Finding, ...],
    shared: Shared | None = None,
) -> MirrorSet:
    """The mirrored set-up; `now` and `findings` are those of the set-up as it was written."""
    wanted = mirror_recipe(recipe, studio, None)
    evaluator = Evaluator(wanted, studio, marks, slug, shared=shared or Shared())
    if evaluator.staging() is None:
        return MirrorSet(f"Mirrored it can't stand in this room: {evaluator.faults()[0].wrong}.")
    curve = _curve(evaluator)
    string_m = _moved_to(curve, evaluator, now.ratio.stops)
    if string_m is not None:
        recipe_there = mirror_recipe(recipe, studio, string_m)
        evaluator = Evaluator(recipe_there, studio, marks, slug, shared=evaluator.shared)
        curve = _curve(evaluator)
    staging, readings = evaluator.staging(), evaluator.answered()
    assert staging is not None
    found = check(staging, readings)
    known = {(one.check, one.about, one.verdict) for one in findings}
    more = [
        one for one in found if one.verdict != "pass" and (one.check, one.about, one.verdict) not in known
    ]
    halts = [one.text for one in more if one.verdict == "halt"]
    if halts:
        return MirrorSet(f"Mirrored it can't be built: {' '.join(halts)}")
    # the check's own sentence on the ratio has a band that leaves out places and surfaces here
    differs = [*_ratio_differs(now, readings), *(one.text for one in more if one.check != "ratio")]
    return MirrorSet("", string_m, readings, found, curve, tuple(differs))


def _curve(evaluator: Evaluator) -> RatioCurve | None:
    recipe = at_clicks(evaluator.recipe, evaluator.answered().lamps)
    fixed = Evaluator(recipe, evaluator.studio, evaluator.marks, evaluator.slug, shared=evaluator.shared)
    return ratio_curve(fixed)


def _on_string(recipe: Recipe) -> int:
    return next(k for k, card in enumerate(recipe.cards) if isinstance(card.at.string, Length))


def _moved_to(curve: RatioCurve | None, evaluator: Evaluator, wanted_stops: float) -> float | None:
    """A string on 5 cm, clear of the picture, that brings the ratio nearer; None where it stays."""
    off = abs(evaluator.answered().ratio.stops - wanted_stops)
    if curve is None or off <= SAME_STOPS:
        return None
    steps = np.arange(np.ceil(curve.distances_m[0] / _STEP_M), np.floor(curve.distances_m[-1] / _STEP_M) + 1)
    places = [
        float(place)
        for place in np.round(steps * _STEP_M, 2)
        if place >= curve.in_frame_to_m and _between(curve, float(place))
    ]
    offs = [abs(float(np.interp(m, curve.distances_m, np.log2(curve.ratios))) - wanted_stops) for m in places]
    if not places or min(offs) >= off - SAME_STOPS / 2:
        return None
    best = places[int(np.argmin(offs))]
    return None if abs(best - curve.chosen_m) < _STEP_M / 2 else best


def _between(curve: RatioCurve, place_m: float) -> bool:
    """Whether the places computed on both sides of it are neighbours."""
    after = int(np.searchsorted(curve.distances_m, place_m - 1e-9))
    if after == len(curve.distances_m):
        return False
    if abs(curve.distances_m[after] - place_m) < 1e-6:
        return True
    return after > 0 and bool(curve.distances_m[after] - curve.distances_m[after - 1] <= ACROSS_M)


def _ratio_differs(now: Readings, then: Readings) -> list[str]:
    more = then.ratio.stops - now.ratio.stops
    if abs(more) < SAID_STOPS:
        return []
    way = "more" if more > 0 else "less"
    return [
        f"The ratio is {ratio_text(then.ratio.ratio)}, not {ratio_text(now.ratio.ratio)}: the sides stand "
        f"{abs(more):.1f} stop {way} apart than in the set-up as it was written."
    ]
