"""A house that reads one system of units: nothing is drawn in the other, and there is nothing to switch."""

import re
from functools import cache

import pytest

from pages.samples import demo
from thirdstop.pages import drawn
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.house import house_of
from thirdstop.pages.of_recipe import Around, draw, pages_of

SLUG = "01-borrowed-window"
KINDS = ("index.html", "card.html", "on-set.html")


@cache
def pages(units: str, both: bool) -> dict[str, str]:
    """The three pages of the demo's first recipe in a house of such habits, by their files' names."""
    book, done = demo()
    habits = book.studio.habits.model_copy(update={"units": units, "both_units": both})
    studio = book.studio.model_copy(update={"habits": habits})
    house = house_of(studio, (), has_course=False, has_plans=False)
    made: dict[str, Drawn] = {}
    with drawn.kept(made):
        draw(done[0], studio)
        ahead = set(made)
        written = pages_of(house, done[0], Around(None, None, (), (), None))
    # what is drawn ahead is what the pages then ask for: only charts are drawn later
    assert {name.partition(" ")[0] for name in set(made) - ahead} <= {"sides", "moves"}
    return {path.rpartition("/")[2]: data.decode() for path, data in written.files.items()}


def systems(page: str) -> set[str]:
    """In which units its drawings are; those without lengths are in none."""
    found = re.findall(r'<svg[^>]* class="drawing( metric| imperial)?"', page)
    return {one.strip() for one in found if one}


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_drawings_are_in_its_units_alone(units: str) -> None:
    """On all three pages, and none is missing."""
    alone, both = pages(units, both=False), pages(units, both=True)

    assert {kind: systems(alone[kind]) for kind in KINDS} == {kind: {units} for kind in KINDS}
    assert systems(both["index.html"]) == systems(both["on-set.html"]) == {"metric", "imperial"}
    for kind in KINDS:
        count = alone[kind].count(f'class="drawing {units}"')
        assert count == both[kind].count(f'class="drawing {units}"') > 0


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_there_is_nothing_to_switch(units: str) -> None:
    """Neither button nor script, so that what another book left in the browser changes nothing."""
    alone, both = pages(units, both=False), pages(units, both=True)

    for kind, button in (
        ("index.html", '"units-switch"'),
        ("on-set.html", '<button type="button" id="units"'),
    ):
        assert button in both[kind] and button not in alone[kind]
        assert f'data-units="{units}"' in alone[kind]
    assert "static/units.js" in both["index.html"]
    assert "static/units.js" not in alone["index.html"]


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_set_up_card_is_drawn_once_in_any_house(units: str) -> None:
    """Paper has no switch; the card is the same, whatever the pages hold."""
    assert systems(pages(units, both=True)["card.html"]) == {units}
    drawings = [re.findall(r"<svg.*?</svg>", pages(units, both)["card.html"], re.S) for both in (True, False)]
    assert drawings[0] == drawings[1] != []
