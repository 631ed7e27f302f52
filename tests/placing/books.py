"""Asks for the tests: demo recipes with pieces of their text changed, and what `place` says of them."""

from collections.abc import Sequence

from staging.books import demo, loaded
from thirdstop.book.book import LoadedRecipe
from thirdstop.book.loading import load_model
from thirdstop.book.recipe import Recipe
from thirdstop.placing.answers import Answer
from thirdstop.placing.movers import Aspect
from thirdstop.placing.placing import place


def changed(slug_part: str, *swaps: tuple[str, str]) -> LoadedRecipe:
    """A demo recipe after swapping pieces of its text; every piece must be there once at least."""
    one = loaded(slug_part)
    text = one.text
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    recipe, marks, faults = load_model(Recipe, text, one.file)
    assert recipe is not None, faults
    return LoadedRecipe(one.slug, one.file, recipe, marks, text)


def asked(
    slug_part: str, *swaps: tuple[str, str], move: Sequence[str] = (), also: Sequence[Aspect] = ()
) -> tuple[LoadedRecipe, Answer]:
    """The changed recipe with its answer."""
    one = changed(slug_part, *swaps)
    return one, place(one.recipe, demo().studio, one.marks, one.slug, move, also)
