"""Recipes for the tests: the demo book's, and small changes of them."""

from functools import cache
from pathlib import Path
from typing import Any

from thirdstop.book.book import Book, LoadedRecipe, open_book
from thirdstop.book.loading import load_model
from thirdstop.book.recipe import Recipe
from thirdstop.errors import Fault
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging

DEMO = Path(__file__).resolve().parents[2] / "recipes"


@cache
def demo() -> Book:
    """The Lantern Room's book, read once: nothing of it can be changed."""
    return open_book(DEMO)


def loaded(slug_part: str) -> LoadedRecipe:
    """The demo recipe whose slug holds that part."""
    return next(one for one in demo().recipes if slug_part in one.slug)


def changed(slug_part: str, *swaps: tuple[str, str]) -> tuple[Staging | None, list[Fault]]:
    """A demo recipe staged after swapping pieces of its text; every piece must be there once at least."""
    book, one = demo(), loaded(slug_part)
    text = one.text
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    recipe, marks, faults = load_model(Recipe, text, one.file)
    assert recipe is not None, faults
    return stage(recipe, book.studio, marks, one.slug)


def staged(slug_part: str, *swaps: tuple[str, str]) -> Staging:
    """The same, where nothing may be wrong."""
    staging, faults = changed(slug_part, *swaps)
    assert staging is not None, faults
    return staging


def words(faults: list[Fault]) -> list[Any]:
    """What is wrong, of each fault."""
    return [fault.wrong for fault in faults]
