"""Ratio and key reading over the key's distance: what is told of each place is what the engine says there."""

from dataclasses import replace

import numpy as np
import pytest

from placing.books import changed
from staging.books import demo
from thirdstop.book.book import LoadedRecipe
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.transport import Kept
from thirdstop.placing.curve import KEY_STEPS, KeyCurve, at_clicks, key_curve
from thirdstop.placing.evaluating import Evaluator, Shared
from thirdstop.placing.setup import clicks_of, without_levels
from thirdstop.placing.values import with_changes

SLUG = "borrowed-window"


def fixed(one: LoadedRecipe) -> Evaluator:
    """Of a recipe whose lamps stand at the clicks that are found for them."""
    found = Evaluator(one.recipe, demo().studio, one.marks, one.slug)
    recipe = at_clicks(one.recipe, found.answered().lamps)
    return Evaluator(recipe, demo().studio, one.marks, one.slug, shared=found.shared)


def read_at(string: str, like: Readings) -> Readings:
    """The set-up written anew with its key there, at the clicks of the other: nothing is shared with that."""
    one = changed(SLUG, ("string: 1.2 m", f"string: {string}"))
    recipe = with_changes(without_levels(one.recipe), clicks_of(like.lamps))
    return Evaluator(recipe, demo().studio, one.marks, one.slug, shared=Shared(kept=Kept())).answered()


@pytest.fixture(scope="module")
def evaluator() -> Evaluator:
    return fixed(changed(SLUG))


@pytest.fixture(scope="module")
def curve(evaluator: Evaluator) -> KeyCurve:
    found = key_curve(evaluator)
    assert found is not None
    return found


@pytest.mark.parametrize("step", [0, -1], ids=["nearest", "farthest"])
def test_a_place_says_what_the_set_up_written_with_its_key_there_would(
    step: int, evaluator: Evaluator, curve: KeyCurve
) -> None:
    """Ratio and change of the key reading, to the accuracy that is asked of the engine between settings."""
    here = evaluator.answered()
    there = read_at(f"{curve.distances_m[step]:.2f} m", here)
    over = 2 * np.log2(there[there.key_point].f_number / here[here.key_point].f_number)

    assert np.log2(curve.ratios[step]) == pytest.approx(there.ratio.stops, abs=0.03)
    assert curve.key_stops[step] == pytest.approx(over, abs=0.03)


def test_the_recipes_own_place_is_what_is_printed(evaluator: Evaluator, curve: KeyCurve) -> None:
    """Its ratio is the page's, its key reading needs no click."""
    own = int(np.flatnonzero(curve.distances_m == curve.chosen_m)[0])

    assert curve.ratios[own] == pytest.approx(evaluator.answered().ratio.ratio, rel=1e-9)
    assert curve.key_stops[own] == 0


def test_the_key_reading_falls_with_every_step_by_less_than_the_inverse_square(curve: KeyCurve) -> None:
    """A large face near by falls off less, and the room gives back some of what it loses."""
    fall = np.diff(curve.key_stops)
    square = -2 * np.diff(np.log2(curve.distances_m))

    assert KEY_STEPS < len(curve.distances_m) <= 2 * KEY_STEPS + 1
    assert (fall < 0).all()
    assert (fall > square).all()


def test_a_place_that_cant_be_staged_parts_those_beside_it(evaluator: Evaluator, curve: KeyCurve) -> None:
    """Without the place next to the recipe's own, nothing is told between that and the one after it."""
    gone = float(curve.distances_m[4])

    class _Evaluator(Evaluator):
        def staging(self, changes=()):  # type: ignore[no-untyped-def]
            at = [value.m for path, value in changes if path == ("lights", 0, "at", "string")]
            return None if at == [gone] else super().staging(changes)

    told = _Evaluator(
        evaluator.recipe, evaluator.studio, evaluator.marks, evaluator.slug, shared=evaluator.shared
    )
    parted = key_curve(told)

    assert parted is not None
    assert parted.distances_m.tolist() == [m for m in curve.distances_m.tolist() if m != gone]
    assert parted.joined.tolist() == [True, True, True, False]
    assert curve.joined.all()


def test_a_key_without_a_string_or_a_click_is_not_moved(evaluator: Evaluator) -> None:
    """From a floor point there is no string to go along; at no click that it has, it tells nothing."""
    one = changed(
        SLUG,
        (
            "at: {string: 1.2 m, bearing: 40 deg camera-right, height: 1.75 m}",
            "at: {along: 0.8 m toward camera, across: 0.6 m camera-right, height: 1.75 m}",
        ),
    )
    dark = replace(evaluator.answered().lamps[0], click=0)

    assert key_curve(fixed(one)) is None

    class _Dark(Evaluator):
        def answered(self, changes=()):  # type: ignore[no-untyped-def]
            return replace(super().answered(changes), lamps=(dark,))

    told = _Dark(evaluator.recipe, evaluator.studio, evaluator.marks, evaluator.slug, shared=evaluator.shared)
    assert key_curve(told) is None
