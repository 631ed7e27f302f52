"""The ratio against the distance of card or key, each point staged anew and put through the engine."""

from dataclasses import dataclass, replace

import numpy as np

from thirdstop.book.quantities import Length
from thirdstop.book.recipe import Recipe
from thirdstop.checks.in_frame import NEAR_M, closest_string_m, frame_margin_m
from thirdstop.exposure.quality import ROUGH
from thirdstop.exposure.readings import LampReading
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.movers import NEAREST_LAMP_M
from thirdstop.placing.setup import clicks_of, without_levels
from thirdstop.placing.values import Changes, Path, with_changes
from thirdstop.typed import Array, Mask

NEAREST_M, FARTHEST_M, POINTS = 0.30, 1.30, 11
KEY_STEPS = 3
"""So many places each way for the key, a sixth of an octave apart: by the inverse square a click each."""
_LEAST_PLACES = 3


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
    places = _along(evaluator, ("cards", index, "at", "string"), tried, chosen_m)
    if places is None:
        return None
    near_m = closest_string_m(staging, staging.item(card.name))
    return RatioCurve(card.name, places.distances_m, places.ratios, places.key_stops, chosen_m, near_m)


@dataclass(frozen=True, eq=False)
class KeyCurve:
    """Ratios over strings of the key, which keeps bearing, height and aim; what is aimed at it follows."""

    lamp: str
    distances_m: Array
    """Shape (n,), rising; places that can't be staged are left out."""
    ratios: Array
    """Shape (n,)."""
    key_stops: Array
    """Shape (n,): how far the key reading then is over that of the chosen place, lamps as they are set."""
    shows: Mask
    """Shape (n,): whether it, or what holds it, then stands in the picture or within 5 cm of it."""
    joined: Mask
    """Shape (n − 1,): whether no place that can't be staged lies between one and the next."""
    chosen_m: float


def key_curve(evaluator: Evaluator) -> KeyCurve | None:
    """Of the first light; None where its place is not given by a string, where a lamp is at no click that it
    has, or where fewer than three places can be staged. The recipe is one as for `ratio_curve`.
    """
    key = evaluator.recipe.lights[0]
    if not isinstance(key.at.string, Length) or evaluator.staging() is None:
        return None
    if not all(1 <= lamp.click <= lamp.clicks for lamp in evaluator.answered().lamps):
        return None
    chosen_m, path = key.at.string.m, ("lights", 0, "at", "string")
    tried = _key_places(chosen_m)
    places = _along(replace(evaluator, scanning=ROUGH), path, tried, chosen_m)
    if places is None:
        return None
    at = np.searchsorted(tried, places.distances_m)
    shows = [_shows(evaluator, _to(path, float(m)), key.name) for m in places.distances_m]
    return KeyCurve(
        key.name,
        places.distances_m,
        places.ratios,
        places.key_stops,
        np.array(shows),
        np.diff(at) == 1,
        chosen_m,
    )


def _key_places(chosen_m: float) -> Array:
    """Strings on whole centimetres, rising, the chosen one as it is; none nearer than a lamp is sent."""
    steps = np.arange(-KEY_STEPS, KEY_STEPS + 1)
    places = (chosen_m * 2.0 ** (steps[steps != 0] / 6)).round(2)
    return np.unique(np.append(places[places >= NEAREST_LAMP_M], chosen_m))


def _shows(evaluator: Evaluator, changes: Changes, name: str) -> bool:
    staging = evaluator.staging(changes)
    assert staging is not None
    return frame_margin_m(staging, staging.item(name)) < NEAR_M


@dataclass(frozen=True, eq=False)
class _Along:
    """What the places of a thing give that can be staged; shapes (n,)."""

    distances_m: Array
    ratios: Array
    key_stops: Array


def _along(evaluator: Evaluator, path: Path, tried: Array, chosen_m: float) -> _Along | None:
    """Of a string's values; None where fewer than three can be staged."""
    changes = {float(m): _to(path, float(m)) for m in tried}
    found = [(m, evaluator.glanced(to)) for m, to in changes.items() if evaluator.staging(to) is not None]
    if len(found) < _LEAST_PLACES:
        return None
    distances = np.array([m for m, _ in found])
    ratio_stops = np.array([read.ratio.stops for _, read in found])
    # scanned places differ from each other more truly than each is true: they go through what is printed
    ratio_stops += evaluator.answered().ratio.stops - np.interp(chosen_m, distances, ratio_stops)
    key_stops = 2.0 * np.log2([read[read.key_point].f_number for _, read in found])
    key_stops -= np.interp(chosen_m, distances, key_stops)
    return _Along(distances, 2.0**ratio_stops, key_stops)


def _to(path: Path, string_m: float) -> Changes:
    return ((path, Length(string_m)),)


def at_clicks(recipe: Recipe, lamps: tuple[LampReading, ...]) -> Recipe:
    """The recipe with every lamp at the click that was found for it; as it is where one is out of range."""
    if not all(1 <= lamp.click <= lamp.clicks for lamp in lamps):
        return recipe
    return with_changes(without_levels(recipe), clicks_of(lamps))
