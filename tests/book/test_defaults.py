"""Defaults: what a file left out is listed, what it says is not."""

from pathlib import Path

from thirdstop.book.book import open_book
from thirdstop.book.defaults import defaults_of, defaults_taken

BASE = Path(__file__).parents[1] / "cases" / "base"


def test_left_out_keys_are_listed() -> None:
    """Keys that the recipe leaves out are named with what stands in; keys that it gives are not."""
    taken = {item.key: item.value for item in defaults_taken(open_book(BASE).recipes[0].recipe)}

    assert taken["exposure.shutter"] == "1/160 s"
    assert taken["exposure.iso"] == "ISO 100"
    assert taken["subject.wears.clothes"] == "mid"
    assert taken["lights.1.power"] == "to be found"
    assert not {"exposure.aperture", "subject.pose", "lights.1.name", "lights.1.at.height"} & set(taken)


def test_nothing_is_no_default() -> None:
    """What stands for nothing at all, like no grid, is not listed; what is listed has words and a value."""
    recipe = open_book(BASE).recipes[0].recipe

    assert "lights.1.grid" not in defaults_of(recipe)
    assert all(item.value and item.meaning for item in defaults_taken(recipe))
