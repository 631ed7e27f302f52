"""Recipes near each other."""

from dataclasses import replace

from pages.samples import demo, halted, one
from thirdstop.pages.views.related import SHOWN, related


def test_a_twin_comes_first_and_no_recipe_is_near_itself() -> None:
    """The same light under another name is nearest; the recipe itself is never listed."""
    here = one("01-borrowed-window")
    twin = replace(here, loaded=replace(here.loaded, slug="99-twin"))
    found = related(here, [*demo()[1], twin])

    assert found[0].slug == "99-twin"
    assert here.slug not in [each.slug for each in found]
    assert len(found) <= SHOWN


def test_a_recipe_that_must_not_be_built_is_not_recommended() -> None:
    """Halted on safety, the nearest one gives way to the next."""
    here, done = one("01-borrowed-window"), list(demo()[1])
    first = related(here, done)[0].slug
    without = [halted(each) if each.slug == first else each for each in done]

    assert first not in [each.slug for each in related(here, without)]


def test_nearness_goes_both_ways() -> None:
    """With two recipes in the book each is near the other, or neither is."""
    done = [each for each in demo()[1] if not each.safety_halts]
    for other in done[1:]:
        pair = [done[0], other]
        assert bool(related(pair[0], pair)) == bool(related(pair[1], pair)), other.slug
