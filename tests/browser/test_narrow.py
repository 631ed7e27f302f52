"""Drawings and tables of a recipe's page on a phone."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Opener

LEAST_PX = 11.0
SHOWN = """() => [...document.querySelectorAll('svg.drawing')]
    .filter(one => one.getBoundingClientRect().width)
    .map(one => [one.id, Math.min(...[...one.querySelectorAll('text')].map(text => {
        const drawn = text.getScreenCTM();
        return parseFloat(getComputedStyle(text).fontSize) * Math.hypot(drawn.a, drawn.b);
    }))])"""


@pytest.fixture(scope="module")
def phone(browser: Any, demo_site: Path) -> Iterator["Page"]:
    """The first recipe's page, with the chart of what was shot."""
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto((demo_site / "recipes" / "01-borrowed-window" / "index.html").as_uri())
    yield page
    page.close()


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_every_letter_of_a_drawing_is_large_enough(units: str, phone: "Page") -> None:
    """At 390 px no text is smaller than 11 px, and the page itself is not pushed sideways."""
    phone.evaluate("units => { document.documentElement.dataset.units = units; }", units)
    shown = phone.evaluate(SHOWN)

    # plan, detail, elevation, bars of light, the ratio over card's and key's string, what was shot
    assert len(shown) == 7
    assert [one for one in shown if one[1] < LEAST_PX] == []
    assert phone.evaluate("document.documentElement.scrollWidth") == 390


def test_a_wide_screen_has_the_wide_bars(phone: "Page") -> None:
    """One drawing of the bars is shown at either width."""
    bars = "[...document.querySelectorAll('#sides ~ .drawn svg')].filter(x => x.clientWidth).map(x => x.id)"
    assert phone.evaluate(bars) == ["d-01-borrowed-window-sides-narrow"]
    phone.set_viewport_size({"width": 1280, "height": 900})
    assert phone.evaluate(bars) == ["d-01-borrowed-window-sides"]
    phone.set_viewport_size({"width": 390, "height": 844})


def test_every_reading_is_a_block_of_its_own(phone: "Page") -> None:
    """No cell lies outside what the screen shows, and each tells its column."""
    outside = phone.evaluate(
        """() => [...document.querySelectorAll('section[aria-labelledby=readings] td')]
            .filter(cell => cell.getBoundingClientRect().right > 390
                || !cell.querySelector('.column').getBoundingClientRect().width).length"""
    )
    assert outside == 0
    assert phone.locator("section[aria-labelledby=readings] td").count() > 30


def test_only_what_can_be_pushed_sideways_stops_the_tab_key(demo_site: Path, opened: "Opener") -> None:
    """A drawing that fits a desktop is no stop there; pushed sideways on a phone it is one, with a name."""
    path = demo_site / "recipes" / "01-borrowed-window" / "index.html"
    found = {}
    for phone in (False, True):
        page = opened(path, phone=phone)
        page.wait_for_function("document.querySelector('.drawn[aria-label=Plan]').clientWidth > 0")
        page.evaluate("() => new Promise(done => requestAnimationFrame(() => setTimeout(done, 50)))")
        found[phone] = page.evaluate(
            """[...document.querySelectorAll('.scroll, .drawn')].map(one =>
                [one.hasAttribute('tabindex'), one.scrollWidth > one.clientWidth + 1])"""
        )

    assert all(stops == wide for stops, wide in found[False] + found[True])
    assert [stops for stops, _ in found[True]].count(True) >= 3
    assert [stops for stops, _ in found[False]].count(True) < 3


PLAN = ".drawn[aria-label=Plan]"
IN_SIGHT = """place => {
    const things = [...place.querySelectorAll('.spots')].find(one => one.getBoundingClientRect().width);
    const all = things.getBoundingClientRect(), shown = place.getBoundingClientRect();
    return [Math.round(all.width), all.left >= shown.left && all.right <= shown.right];
}"""


@pytest.mark.parametrize("slug", ["02-attic-triangle", "10-clean-sheet", "13-double-act"])
def test_a_plan_begins_with_the_whole_set_in_sight(slug: str, demo_site: Path, opened: "Opener") -> None:
    """Nothing that stands there is cut off before anybody has pushed, in metres and in feet; what is pushed
    stays where it was pushed to.
    """
    page = opened(demo_site / "recipes" / slug / "index.html", phone=True)
    for units in ("metric", "imperial"):
        page.evaluate("units => { document.documentElement.dataset.units = units; }", units)
        page.evaluate("() => new Promise(done => requestAnimationFrame(() => setTimeout(done, 50)))")
        wide, whole = page.eval_on_selector(PLAN, IN_SIGHT)
        assert whole or wide > 350
        assert whole or units == "imperial"
    page.eval_on_selector(PLAN, "place => { place.scrollLeft = 7; }")
    page.set_viewport_size({"width": 392, "height": 844})
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => setTimeout(done, 50)))")
    assert page.eval_on_selector(PLAN, "place => place.scrollLeft") == 7


def test_an_edge_with_more_behind_it_is_marked(demo_site: Path, opened: "Opener") -> None:
    """By a dashed line, which goes once that edge is reached, by the keyboard too; the sentence that says so
    stands before the drawings, and neither is on a wide screen.
    """
    path = demo_site / "recipes" / "01-borrowed-window" / "index.html"
    phone = opened(path, phone=True)
    phone.wait_for_selector(f"{PLAN}[data-more~=left]")
    style = f"getComputedStyle(document.querySelector('{PLAN}'))"
    assert phone.evaluate(f"{style}.borderLeftStyle") == "dashed"
    phone.focus(PLAN)
    for _ in range(8):
        phone.keyboard.press("ArrowLeft")
    phone.wait_for_selector(f"{PLAN}[data-more=right]")
    assert phone.evaluate(f"[{style}.borderLeftStyle, {style}.borderRightStyle]") == ["solid", "dashed"]
    before = (
        "document.querySelector('.pushed').compareDocumentPosition(document.querySelector('.drawings')) & 4"
    )
    assert phone.evaluate(before) == 4
    assert phone.locator(".pushed").is_visible()

    wide = opened(path)
    assert wide.evaluate(f"document.querySelector('{PLAN}').dataset.more") == ""
    assert wide.locator(".pushed").is_hidden()
