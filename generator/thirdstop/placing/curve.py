"""The ratio against a card's distance, each point staged anew and put through the engine."""

from dataclasses import dataclass

import numpy as np

from thirdstop.book.quantities import Length
from thirdstop.book.recipe import Recipe
from thirdstop.checks.in_frame import closest_string_m
from thirdstop.exposure.readings import LampReading
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.setup import clicks_of, without_levels
from thirdstop.placing.values import with_changes
from thirdstop.typed import Array

NEAREST_M, FARTHEST_M, POINTS = 0.30, 1.30, 11


@dataclass(frozen=True, eq=False)
class RatioCurve:
    """Ratios over strings of one card that keeps its bearing, height and aim."""

    card: str
    distances_m: Array
    """Shape (n,), rising; places that can't be staged are left out."""
    ratios: Array
    """Shape (n,)."""
    key_stops: Array
    """Shape (n,): how far the key reading then is over that of the chosen place, lamps as they are set."""
    chosen_m: float
    in_frame_to_m: float
    """Below this string the card stands in the picture or within 5 cm of it."""


def ratio_curve(evaluator: Evaluator) -> RatioCurve | None:
    """Of the first card whose place is given by string and bearing; None where there is none, or where fewer
    than three of its places can be staged.

    The lamps of the recipe should stand at their clicks (`at_clicks`): one that is to be found would be found
    anew at every place.
    """
    cards = [(k, c) for k, c in enumerate(evaluator.recipe.cards) if isinstance(c.at.string, Length)]
    staging = evaluator.staging()
    if not cards or staging is None:
        return None
    index, card = cards[0]
    assert isinstance(card.at.string, Length)
    chosen_m = card.at.string.m
    tried = np.unique(np.append(np.linspace(NEAREST_M, FARTHEST_M, POINTS), chosen_m).round(4))
    path = ("cards", index, "at", "string")
    found = [
        (float(m), evaluator.glanced(changes))
        for m in tried
        if evaluator.staging(changes := ((path, Length(float(m))),)) is not None
    ]
    if len(found) < 3:
        return None
    distances = np.array([m for m, _ in found])
    ratio_stops = np.array([read.ratio.stops for _, read in found])
    # scanned places differ from each other more truly than each is true: they go through what is printed
    ratio_stops += evaluator.answered().ratio.stops - np.interp(chosen_m, distances, ratio_stops)
    key_stops = 2.0 * np.log2([read[read.key_point].f_number for _, read in found])
    key_stops -= np.interp(chosen_m, distances, key_stops)
    near_m = closest_string_m(staging, staging.item(card.name))
    return RatioCurve(card.name, distances, 2.0**ratio_stops, key_stops, chosen_m, near_m)


def at_clicks(recipe: Recipe, lamps: tuple[LampReading, ...]) -> Recipe:
    """The recipe with every lamp at the click that was found for it; as it is where one is out of range."""
    if not all(1 <= lamp.click <= lamp.clicks for lamp in lamps):
        return recipe
    return with_changes(without_levels(recipe), clicks_of(lamps))
