"""Rows for a wish: another aperture, another surface on the card."""

from collections.abc import Iterator

from thirdstop.book.quantities import Aperture
from thirdstop.checks.ambient import UNDER_STOPS
from thirdstop.checks.depth_of_field import circle_of_confusion_m, sharp_depth
from thirdstop.checks.wording import length, stops
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import aperture_value, f_number_of, ratio_text, third_mark
from thirdstop.placing.correction import Correction
from thirdstop.placing.setup import Setup, card_words, clicks_of, in_range, moved_to, nearest_of, turn_words
from thirdstop.placing.values import with_changes, with_value
from thirdstop.staging.staging import Staging

_NOT_OFFERED = ("black", "translucent")


def apertures(setup: Setup) -> Iterator[Correction]:
    """One stop more open, one stop more closed."""
    for by_stops in (-1, 1):
        yield _aperture_row(setup, by_stops)


def _aperture_row(setup: Setup, by_stops: int) -> Correction:
    mark = third_mark(f_number_of(aperture_value(setup.staging.meter.aperture) + by_stops))
    aperture = Aperture(float(mark.removeprefix("f/")))
    # a stop is three clicks of every lamp, so that all levels keep their differences
    shift = round(by_stops * CLICKS_PER_STOP)
    seen = f"Another aperture: {mark}."
    cause = f"{mark} is wanted instead of {third_mark(setup.staging.meter.aperture)}"
    pairs = zip(setup.lamps, setup.staging.lamps, strict=True)
    turns = "; ".join(turn_words(lamp, shift, place.display) for lamp, place in pairs)
    if not all(in_range(lamp, shift) for lamp in setup.lamps):
        do = f"It would take to {turns}: out of range. Change the ISO by a stop instead; the clicks stay."
        iso = setup.staging.meter.iso * 2.0**by_stops
        expect = f"at ISO {iso:g} the meter shows {mark}, ratio {ratio_text(setup.now.ratio.ratio)}"
        return Correction(
            seen, do, cause, expect, "the room's own light as far under as now", reachable=False
        )
    recipe = with_changes(setup.recipe, clicks_of(setup.lamps, shift))
    evaluator = setup.evaluator(with_value(recipe, ("exposure", "aperture"), aperture))
    staging, readings = evaluator.staging(), evaluator.answered()
    assert staging is not None
    moves = f"{_sharp(staging)}; {_ambient(readings.ambient_stops_under)}"
    do = f"{turns[0].upper()}{turns[1:]}."
    return Correction(seen, do, cause, setup.key_and_ratio(readings), moves)


def _sharp(staging: Staging) -> str:
    camera = staging.camera
    eye_m = camera.distance_m - camera.image_distance_m
    sharp = sharp_depth(camera.focal_length_m, staging.meter.aperture, circle_of_confusion_m(camera), eye_m)
    return f"sharp depth {length(sharp.far_m - sharp.near_m)}"


def _ambient(under: float | None) -> str:
    if under is None:
        return "the room's own light is not known"
    enough = "" if under >= UNDER_STOPS else ", less than the house wants"
    return f"the room's own light {stops(under)} under{enough}"


def surfaces(setup: Setup) -> Iterator[Correction]:
    """The card that fills, turned to each other bright surface that it has."""
    name = setup.filling_card()
    if name is None:
        return
    index = next(k for k, card in enumerate(setup.recipe.cards) if card.name == name)
    card = setup.recipe.cards[index]
    model = next(model for model in setup.found.studio.cards if model.name == card.card)
    for surface in model.surfaces:
        if surface not in (card.surface, *_NOT_OFFERED):
            yield _surface_row(setup, name, index, surface)
            return


def _surface_row(setup: Setup, name: str, index: int, surface: str) -> Correction:
    recipe = with_value(setup.recipe, ("cards", index, "surface"), surface)
    briefly = f"{name} shows its {surface} side"
    seen = f"'{name}' shows its {surface} side."
    cause = f"{surface} instead of {setup.recipe.cards[index].surface}, by choice or by mistake"
    tried, search = setup.card_for(recipe, None, name)
    if tried is None:
        readings = search.trials.evaluator.answered()
        nearest = nearest_of(search)
        do = f"Turn it back. No place of the {surface} side gives this ratio: {nearest.words}."
        brief = f"{briefly}: turn it back; {nearest.brief}"
        return Correction(seen, do, cause, *_readings_words(setup, readings), brief, reachable=False)
    readings = search.trials.evaluator.answered(tried.changes)
    other = f"{card_words(tried, search)}, aimed as before" if tried.changes else "leave it so"
    do = f"Turn it back; or {other}, and meter the key again."
    brief = f"{briefly}: turn it back, or {moved_to(tried) or 'leave it so'}; then meter the key again"
    return Correction(seen, do, cause, *_readings_words(setup, readings), brief)


def _readings_words(setup: Setup, readings: Readings) -> tuple[str, str]:
    return setup.key_and_ratio(readings), setup.moved(readings, ratio=True)
