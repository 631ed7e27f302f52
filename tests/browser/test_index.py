"""The index in a browser, from its folder: found with a slip, filtered, sorted, all of it in the address."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from pages.samples import demo
from thirdstop.pages.views.headline import highest_m

if TYPE_CHECKING:
    from playwright.sync_api import Page

TITLES = [one.title for one in demo()[1]]


@pytest.fixture(scope="module")
def shared(browser: Any, demo_site: Path) -> Iterator["Page"]:
    """One page for all of these."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto((demo_site / "index.html").as_uri())
    yield page
    page.close()


@pytest.fixture
def index(shared: "Page") -> "Page":
    """The index with nothing chosen."""
    shared.evaluate("() => { location.hash = '#'; dispatchEvent(new Event('hashchange')); }")
    return shared


SETTLED = """() => new Promise(done => {
    const list = document.getElementById('recipes');
    const look = () => list.getAttribute('aria-busy') === 'true' ? setTimeout(look, 10) : done();
    look();
})"""


def shown(page: "Page") -> list[str]:
    """Titles in the order in which they stand, once all of a search have come."""
    page.evaluate(SETTLED)
    found: list[str] = page.evaluate(
        "[...document.querySelectorAll('#recipes > li h2 a')].map(a => a.textContent)"
    )
    return found


def search(page: "Page", text: str) -> list[str]:
    page.get_by_label("Search").fill(text)
    return shown(page)


def press(page: "Page", name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("mask", "Half a mask"),
        ("rafters", "Under the rafters"),
        ("raft", "Under the rafters"),
        ("raftres", "Under the rafters"),
        ("raters", "Under the rafters"),
        ("raffters", "Under the rafters"),
        ("rafterz", "Under the rafters"),
        ("footli", "Footlights"),
        ("footlgih", "Footlights"),
        ("Áttic triangle", "Attic triangle"),
        ("triangle attic", "Attic triangle"),
    ],
)
def test_a_search_forgives_one_slip_a_word(typed: str, title: str, index: "Page") -> None:
    """Beginnings of words, words in any order, accents or none, and one letter more, less, other or two
    swapped; 'footlgih' has a swap in what is typed so far.
    """
    assert title in search(index, typed)


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("hat, one light, low ceiling", "Under the brim"),
        ("a hat and a single lamp", "Under the brim"),
        ("spectacles", "The prompter"),
    ],
)
def test_what_a_recipe_is_can_be_typed(typed: str, title: str, index: "Page") -> None:
    """Its lights counted, its ceiling, what is worn: words of the filters, and other ones for the same."""
    found = search(index, typed)

    assert title in found
    assert len(found) < len(TITLES) // 3


def test_where_nothing_fits_it_says_what_to_leave_out(index: "Page") -> None:
    """One press on a word or a filter takes it away, and the recipes that it stood against are there."""
    assert search(index, "brim xylophone") == []
    index.get_by_role("button", name="Leave out \u2018xylophone\u2019: 2").click()
    assert shown(index) == ["Under the brim", "The stationmaster"]
    assert index.get_by_label("Search").input_value() == "brim"

    press(index, "two people")
    assert shown(index) == []
    index.get_by_role("button", name="Leave out \u2018two people\u2019: 2").click()

    assert shown(index) == ["Under the brim", "The stationmaster"]
    assert index.locator("#without").is_hidden()


@pytest.mark.parametrize(
    ("typed", "offered", "left"),
    [
        ("xylophone", "Leave out \u2018xylophone\u2019: 20", ""),
        ("xylophone zyzzyva", "Leave out \u2018xylophone\u2019, \u2018zyzzyva\u2019: 20", ""),
        ("xylophone brim zyzzyva", "Leave out \u2018xylophone\u2019, \u2018zyzzyva\u2019: ", "brim"),
    ],
)
def test_words_that_no_recipe_has_are_left_out_together(
    typed: str, offered: str, left: str, index: "Page"
) -> None:
    """A single one too: the way out is always there, and leads to recipes."""
    assert search(index, typed) == []
    index.get_by_role("button", name=offered).click()

    assert index.get_by_label("Search").input_value() == left
    assert len(shown(index)) >= 2


@pytest.mark.parametrize("typed", ["rfaterss", "xylophone", "rafters xylophone"])
def test_two_slips_are_not_forgiven(typed: str, index: "Page") -> None:
    """Nor a word that is in no recipe."""
    assert search(index, typed) == []
    assert index.locator("#count").text_content() == f"0 of {len(TITLES)} recipes"


def test_a_ceiling_keeps_what_fits_under_it(index: "Page") -> None:
    """Every recipe that needs no more, and none that needs more."""
    limit_m = min(round(-(-highest_m(one.staging) // 0.1) * 0.1, 2) for one in demo()[1])
    press(index, f"{limit_m:.2f}\u00a0m")

    assert shown(index) == [one.title for one in demo()[1] if highest_m(one.staging) <= limit_m]
    assert 0 < len(shown(index)) < len(TITLES)


def test_gear_that_is_not_owned_takes_its_recipes_away(index: "Page") -> None:
    """What needs a boom or a strip is gone, everything else stays."""
    press(index, "boom")
    press(index, "strip 30 × 90")
    wanted = []
    for one in demo()[1]:
        boom = any(item.support and item.support.boom for item in one.staging.items)
        strip = any(light.shaper == "strip 30 x 90" for light in one.recipe.lights)
        if not boom and not strip:
            wanted.append(one.title)

    assert shown(index) == wanted
    assert len(wanted) < len(TITLES)


def test_words_of_one_kind_are_alternatives_and_kinds_add_up(index: "Page") -> None:
    """'hat' alone, 'hat' or 'no hat' (everything), 'hat' of two people (nothing)."""
    hats = [one.title for one in demo()[1] if any(sitter.hat for sitter in one.staging.sitters)]
    press(index, "hat")
    assert shown(index) == hats
    press(index, "no hat")
    assert shown(index) == TITLES
    press(index, "no hat")
    press(index, "two people")

    assert shown(index) == []


def test_the_order_can_be_chosen(index: "Page") -> None:
    """By ratio and by title; back in book order."""
    by_ratio = [one.title for one in sorted(demo()[1], key=lambda one: round(one.readings.ratio.stops, 3))]
    index.get_by_label("Sort by").select_option("ratio")
    assert shown(index) == by_ratio
    index.get_by_label("Sort by").select_option("title")
    assert shown(index) == sorted(TITLES, key=str.casefold)
    index.get_by_label("Sort by").select_option("")

    assert shown(index) == TITLES


def test_the_address_holds_what_was_chosen(index: "Page", browser: Any) -> None:
    """Opened again by the same address the page shows the same; so does going to that address."""
    from playwright.sync_api import expect

    search(index, "light")
    press(index, "one person")
    press(index, "boom")
    index.get_by_label("Sort by").select_option("ratio")
    expect(index).to_have_url(re.compile("sort=ratio"))
    before, address = shown(index), index.url
    again = browser.new_page()
    again.goto(address)
    there = shown(again), again.get_by_label("Search").input_value()
    again.close()

    assert address.startswith("file:")
    assert there == (before, "light")
    assert 0 < len(before) < len(TITLES)


def test_everything_comes_back_at_one_press(index: "Page") -> None:
    """'Show all' empties search and filters."""
    search(index, "brim")
    press(index, "one person")
    press(index, "Show all")

    assert shown(index) == TITLES
    assert index.get_by_label("Search").input_value() == ""


def test_a_long_book_is_laid_out_as_it_is_scrolled_to(demo_site: Path, browser: Any) -> None:
    """Of a hundred recipes the first ones are laid out, the rest on the way down; every one can be found."""
    html = (demo_site / "index.html").read_text(encoding="utf-8")
    start = html.index("  <li data-search=")
    end = html.index("</ul>", html.rindex("  <li data-search="))
    entry = html[start : html.index("</li>", start) + len("</li>\n")]
    long = demo_site / "long.html"
    made = [entry.replace('data-search="', f'data-search="number{k} ') for k in range(100)]
    long.write_text(html[:start] + "".join(made) + html[end:], encoding="utf-8")
    try:
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(long.as_uri())
        first = len(shown(page))
        for _ in range(12):
            page.mouse.wheel(0, 9000)
            page.wait_for_timeout(30)
        last, found = len(shown(page)), search(page, "number97")
        page.close()
    finally:
        long.unlink()

    assert first < 60
    assert last == 100
    assert len(found) == 1
