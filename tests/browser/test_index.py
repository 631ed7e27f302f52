"""The index in a browser, from its folder: found with a slip, filtered, sorted, all of it in the address."""

import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from pages.samples import demo
from thirdstop.book.feet import feet, half_inches
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import index as index_view
from thirdstop.pages.views.headline import five, highest_m

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
        ("glases", "The prompter"),
        ("brimm", "Under the brim"),
        ("silvr", "Footlights"),
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
    """Nor a word that is in no recipe; it is named."""
    assert search(index, typed) == []
    assert index.locator("#count").text_content() == (
        f"0 of {len(TITLES)} recipes: none has \u2018{typed.split()[-1]}\u2019"
    )


def titles(holds: Callable[[Evaluated], object]) -> list[str]:
    """Of the recipes that it holds for, in book order."""
    return [one.title for one in demo()[1] if holds(one)]


def one_light(one: Evaluated) -> bool:
    return len(one.recipe.lights) == 1


def bare_headed(one: Evaluated) -> bool:
    return not any(sitter.hat for sitter in one.staging.sitters)


def without_glasses(one: Evaluated) -> bool:
    return not any(sitter.glasses for sitter in one.staging.sitters)


@pytest.mark.parametrize(
    ("typed", "holds"),
    [
        ("one light", one_light),
        ("1 light", one_light),
        ("one lihgt", one_light),
        ("single lamp", one_light),
        ("two lights", lambda one: not one_light(one)),
        ("no hat", bare_headed),
        ("no glasses", without_glasses),
        ("no glases", without_glasses),
        ("without glasses", without_glasses),
        ("no hat no glasses", lambda one: bare_headed(one) and without_glasses(one)),
        ("two people", lambda one: len(one.staging.sitters) == 2),
        ("5:1 and over", lambda one: index_view.ratio_group(one.readings.ratio.ratio) == "5:1 and over"),
        ("3:1 to 5:1", lambda one: index_view.ratio_group(one.readings.ratio.ratio) == "3:1 to 5:1"),
    ],
)
def test_a_filters_own_words_are_taken_as_the_filter(
    typed: str, holds: Callable[[Evaluated], bool], index: "Page"
) -> None:
    """'one light' is no 'one person'; with a slip too, and in figures."""
    wanted = titles(holds)

    assert 0 < len(wanted) < len(TITLES)
    assert search(index, typed) == wanted


@pytest.mark.parametrize("place", range(5))
def test_a_figure_is_found_exactly_as_it_is_printed(place: int, index: "Page") -> None:
    """Every figure of every recipe: those that print it first, and others only of a ratio."""
    printed = {one.title: str(five(one)[place].figure).replace("\u00a0", " ") for one in demo()[1]}

    for figure in sorted(set(printed.values()) - {"–"}):
        found, exact = search(index, figure), [title for title in printed if printed[title] == figure]
        assert found[: len(exact)] == exact, figure
        assert found == exact or place == 0


QUARTER_STOP = 0.25


def off_stops(one: Evaluated, asked: float) -> float:
    """How far its ratio is from one that is asked for, as the page has it, to a thousandth of a stop."""
    return abs(round(one.readings.ratio.stops, 3) - math.log2(asked))


@pytest.mark.parametrize("asked", [2.5, 3.0, 3.5, 4.0, 4.1, 6.0])
def test_a_ratio_finds_what_is_near_it(asked: float, index: "Page") -> None:
    """Those that print it, then those within a quarter of a stop, nearest first, and none beyond; the line of
    hits says how many are which.
    """
    text = f"{asked:g}:1"
    exact = titles(lambda one: five(one)[0].figure.value == text)
    off = {one.title: off_stops(one, asked) for one in demo()[1]}
    near = sorted(
        (off[one], TITLES.index(one)) for one in TITLES if one not in exact and off[one] <= QUARTER_STOP
    )
    found = search(index, text)

    assert found == [*exact, *(TITLES[place] for _, place in near)]
    assert any(QUARTER_STOP < apart < 2 * QUARTER_STOP for apart in off.values())
    said = index.locator("#count").text_content()
    split = f": {len(exact)} with {text}, then {len(near)} within 1/4 stop of it" if near else ""
    assert said == f"{len(found)} of {len(TITLES)} recipes{split}"


def test_what_is_near_a_ratio_keeps_to_filters_and_to_an_order(index: "Page") -> None:
    """With one light only, the same without those of two; by title, in the order of titles; away again, in
    book order.
    """
    whole = search(index, "3:1")
    one = [title for title in whole if title in titles(one_light)]
    assert search(index, "3:1 one light") == one
    assert 0 < len(one) < len(whole)
    assert search(index, "3 : 1") == whole
    index.get_by_label("Sort by").select_option("title")
    assert search(index, "3:1") == sorted(whole, key=str.casefold)
    index.get_by_label("Sort by").select_option("")
    assert search(index, "3:1") == whole

    assert search(index, "") == TITLES
    assert index.locator("#count").text_content() == ""


def test_figures_are_found_however_they_are_typed(index: "Page") -> None:
    """Without stroke, in feet, above 8:1 without the word; what nothing prints is in no recipe."""
    for one in demo()[1]:
        assert one.title in search(index, f"f{five(one)[1].figure.value.removeprefix('f/')}")
        assert one.title in search(index, five(one)[4].figure.feet)
    above = titles(lambda one: one.readings.ratio.ratio > 8)
    assert search(index, "8:1")[: len(above)] == above != []
    assert all(off_stops(one, 90.0) > QUARTER_STOP for one in demo()[1])
    assert search(index, "90:1") == []
    assert index.locator("#count").text_content() == (
        f"0 of {len(TITLES)} recipes: none has \u201890:1\u2019, nor a ratio within 1/4 stop of it"
    )


def test_a_ratio_may_be_said_as_one(index: "Page") -> None:
    """'ratio 3:1' asks for no word, and 1:3, shadow to lit, is the 3:1 that is printed."""
    found = search(index, "3:1")

    assert found
    assert search(index, "ratio 3:1") == found
    assert search(index, "1:3") == found


def test_words_that_no_recipe_has_together_are_said(index: "Page") -> None:
    """Each is found, and a recipe with two lights is none with one."""
    assert search(index, "poster") == ["Clean sheet"]
    assert search(index, "poster one light") == []
    assert index.locator("#count").text_content() == f"0 of {len(TITLES)} recipes: none has all of this"
    index.get_by_role("button", name="Leave out \u2018one light\u2019: 1").click()
    assert shown(index) == ["Clean sheet"]


@pytest.mark.parametrize("so_far", ["on", "one", "one l", "one ligh"])
def test_what_is_being_typed_is_found_by_its_beginning(so_far: str, index: "Page") -> None:
    """Nothing of what 'one light' finds is missing on the way to it."""
    assert set(titles(one_light)) <= set(search(index, so_far))


@pytest.mark.parametrize(
    ("typed", "holds"),
    [
        ("softbox", lambda one: any("dish" not in light.shaper for light in one.recipe.lights)),
        ("reflector", lambda one: one.recipe.cards),
        ("background", lambda one: any(item.kind == "backdrop" for item in one.staging.items)),
        ("flag", lambda one: one.recipe.blockers),
        ("hair light", lambda one: one.slug == "08-from-the-wings"),
        ("backlight", lambda one: one.slug == "08-from-the-wings"),
    ],
)
def test_other_words_of_the_trade_find_what_the_book_calls_otherwise(
    typed: str, holds: Callable[[Evaluated], object], index: "Page"
) -> None:
    """A softbox is a box, a reflector a card, a hair light one that stands behind the sitter."""
    assert search(index, typed) == titles(holds) != []


def test_a_ceiling_agrees_with_what_is_shown_in_either_units(index: "Page") -> None:
    """In metres and in feet: what is shown to need no more is there, what needs more isn't."""
    ceilings = index.locator("button[data-group=ceiling]")
    try:
        for units, needed in (
            ("metric", lambda one: float(five(one)[4].figure.value)),
            ("imperial", lambda one: half_inches(highest_m(one.staging), up=True)),
        ):
            index.evaluate("units => document.documentElement.dataset.units = units", units)
            for k in range(ceilings.count()):
                ceilings.nth(k).click()
                at = ceilings.nth(k).get_attribute("data-half-inches" if units == "imperial" else "data-word")
                limit = float(at or 0) / (1 if units == "imperial" else 100)
                assert shown(index) == [one.title for one in demo()[1] if needed(one) <= limit]
                ceilings.nth(k).click()
            label = ceilings.nth(0).text_content() or ""
        assert feet(float(ceilings.nth(0).get_attribute("data-word") or 0) / 100, up=True) in label.replace(
            "\u00a0", " "
        )
    finally:
        index.evaluate("() => document.documentElement.dataset.units = 'metric'")


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
