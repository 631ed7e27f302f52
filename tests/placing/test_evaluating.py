"""What evaluators of one recipe share: stagings by their values, light by the scene, and no cause."""

from dataclasses import replace

import pytest

from placing.books import changed
from staging.books import demo
from thirdstop.book.book import LoadedRecipe
from thirdstop.book.quantities import Length
from thirdstop.book.studio import Studio
from thirdstop.exposure.quality import ROUGH
from thirdstop.placing import evaluating
from thirdstop.placing.causes import brighter, sitters_moved
from thirdstop.placing.evaluating import Evaluator, Shared, World
from thirdstop.placing.values import with_value
from thirdstop.staging.resolve import stage
from thirdstop.staging.vectors import vec

STRING = ("cards", 0, "at", "string")


@pytest.fixture
def one() -> LoadedRecipe:
    return changed("borrowed-window")


@pytest.fixture
def staged(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The slug of each recipe that is staged."""
    found: list[str] = []

    def noted(recipe, studio, marks, slug):  # type: ignore[no-untyped-def]
        found.append(slug)
        return stage(recipe, studio, marks, slug)

    monkeypatch.setattr(evaluating, "stage", noted)
    return found


def _of(
    one: LoadedRecipe, shared: Shared, world: World | None = None, studio: Studio | None = None
) -> Evaluator:
    """An evaluator that tries roughly."""
    recipe, house = one.recipe.model_copy(deep=True), studio or demo().studio
    return Evaluator(recipe, house, one.marks, one.slug, world, shared=shared, scanning=ROUGH)


def test_the_same_values_are_staged_once(one: LoadedRecipe, staged: list[str]) -> None:
    """Whether they stand in the recipe or are changes of another one, and whatever is otherwise."""
    shared = Shared()
    to = Length(0.9)
    first = _of(one, shared).staging(((STRING, to),))
    moved = replace(one, recipe=with_value(one.recipe, STRING, to))
    second = _of(moved, shared, brighter("key", 1.0)).staging()

    assert first is not None
    assert second is not None
    assert len(staged) == 1
    assert first.items is second.items


def test_other_values_and_another_studio_are_staged_anew(one: LoadedRecipe, staged: list[str]) -> None:
    """Though recipe and slug are the same."""
    shared, house = Shared(), demo().studio
    _of(one, shared).staging()
    _of(one, shared).staging(((STRING, Length(0.9)),))
    wide = house.room.model_copy(update={"width": Length(house.room.width.m + 1)})
    other = _of(one, shared, studio=house.model_copy(update={"room": wide})).staging()

    assert len(staged) == 3
    assert other is not None
    assert other.room.width_m == pytest.approx(house.room.width.m + 1)


def test_a_cause_is_put_on_one_evaluator_alone(one: LoadedRecipe) -> None:
    """What is shared knows nothing of it."""
    shared = Shared()
    leaned = _of(one, shared, sitters_moved(vec(0.0, -0.1, 0.0))).staging()
    still = _of(one, shared).staging()
    alone = _of(one, Shared()).staging()

    assert leaned is not None
    assert still is not None
    assert alone is not None
    assert (still.scene.points[0].place_m == alone.scene.points[0].place_m).all()
    assert leaned.scene.points[0].place_m[1] == pytest.approx(still.scene.points[0].place_m[1] - 0.1)


def test_light_is_known_again_whatever_has_been_asked_of_a_scene(one: LoadedRecipe) -> None:
    """Panels hold on to a normal that was worked out of their fields; those make no other scene."""
    shared = Shared()
    first = _of(one, shared)
    first.scanned()
    staging = first.staging()
    assert staging is not None
    assert [panel.normal for panel in staging.scene.panels]
    assert "normal" in vars(staging.scene.panels[0])
    second = _of(one, shared, brighter("key", 1.0))
    second.scanned()

    assert (first.solved, second.solved) == (1, 0)
