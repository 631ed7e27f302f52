"""The recipe's page in a browser: things shown up in table and drawings, and two systems of units."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from pages.samples import demo
from thirdstop.pages.whole import card_alone

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Opener

SLUG = "01-borrowed-window"


@pytest.fixture(scope="module")
def recipe(browser: Any, demo_site: Path) -> Iterator["Page"]:
    """One page for all of these."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto((demo_site / "recipes" / SLUG / "index.html").as_uri())
    yield page
    page.close()


def lit(page: "Page") -> list[list[str]]:
    """What is shown up: name of the element and its thing's number."""
    found: list[list[str]] = page.evaluate(
        "[...document.querySelectorAll('.lit')].filter(one => one.getClientRects().length)"
        ".map(one => [one.tagName.toLowerCase(), one.dataset.part])"
    )
    return sorted(found)


@pytest.mark.parametrize("number", ["1", "2", "3"])
def test_a_row_and_its_thing_show_each_other_up(number: str, recipe: "Page") -> None:
    """The row under the pointer, or in focus, is lit with the thing on plan, elevation and, where it is in
    it, detail; the thing under the pointer lights its row.
    """
    row = recipe.locator(f'tbody[data-part="{number}"]')
    spot = recipe.locator(f'svg[id$="-plan-50"] .spot[data-part="{number}"] circle')
    row.hover()
    hovered = lit(recipe)
    recipe.locator("h1").hover()
    assert lit(recipe) == []
    row.focus()
    focused = lit(recipe)
    row.blur()
    spot.hover()

    assert ["tbody", number] in hovered
    assert {part for _, part in hovered} == {number}
    assert sum(tag == "g" for tag, _ in hovered) == {"1": 3, "2": 3, "3": 1}[number]
    assert focused == hovered == lit(recipe)
    recipe.locator("h1").hover()


def test_a_thing_that_is_pressed_leads_to_its_row(recipe: "Page") -> None:
    """A press on the drawing moves the focus to the row."""
    recipe.locator('svg[id$="-plan-50"] .spot[data-part="2"] circle').click()

    assert recipe.evaluate("document.activeElement.dataset.part") == "2"
    recipe.evaluate("document.activeElement.blur()")


def test_one_switch_shows_feet_everywhere_and_is_remembered(demo_site: Path, opened: "Opener") -> None:
    """The sitter's nose is at 1.18 m, 3 ft 10½ in; the next page opens in feet, the card does not."""
    page = opened(demo_site / "recipes" / SLUG / "index.html")
    height = page.locator('tbody[data-part="M"] td').nth(2)
    assert height.inner_text().split() == ["1.18", "m"]
    page.get_by_role("button", name="Feet").click()
    assert height.inner_text().split() == ["3", "ft", "10½", "in"]
    metres = page.evaluate(
        r"""[...document.querySelectorAll('main p, main li, main td')]
            .filter(one => one.offsetParent && !one.closest('.prose, .defaults'))
            .map(one => one.innerText).filter(text => /\d\s(m|cm)\b/.test(text))"""
    )
    page.goto((demo_site / "index.html").as_uri())
    index = page.evaluate("document.documentElement.dataset.units")
    page.goto((demo_site / "recipes" / SLUG / "card.html").as_uri())

    assert metres == []
    assert index == "imperial"
    assert page.evaluate("document.documentElement.dataset.units") == "metric"


def written(page: "Page") -> list[str]:
    """The texts of the drawings that are shown, and what a reader who doesn't see them is told."""
    found: list[str] = page.evaluate(
        """[...document.querySelectorAll('main svg.drawing')].filter(one => one.getClientRects().length)
            .flatMap(one => [...one.querySelectorAll('text, desc')].map(text => text.textContent))"""
    )
    return found


def test_drawings_follow_the_switch(demo_site: Path, opened: "Opener") -> None:
    """As many are shown in feet as in metres, and none says a length in the other unit."""
    page = opened(demo_site / "recipes" / SLUG / "index.html")
    shown = page.locator("main svg.drawing:visible")
    count, metric = shown.count(), written(page)
    page.get_by_role("button", name="Feet").click()
    imperial = written(page)

    assert count == shown.count() == 7
    assert {"1.20", "Plan 1:50. Metres from M."} <= set(metric)
    assert {"3 ft 11 in", "Plan 1:50. Feet and inches from M."} <= set(imperial)
    assert [text for text in metric if re.search(r"\d (ft|in)\b|[Ff]eet", text)] == []
    assert [text for text in imperial if re.search(r"\d\.\d\d|\d m\b|[Mm]etre", text)] == []


@pytest.mark.parametrize("paper", ["A4", "A5"])
def test_a_card_in_feet_with_a_code_is_one_page(paper: str, tmp_path: Path, opened: "Opener") -> None:
    """Where the studio file says imperial and has an address: the card fits its paper, no figure leaves its
    column, and the code leads to the page on set.
    """
    book, done = demo()
    habits = book.studio.habits.model_copy(update={"units": "imperial"})
    update = {"habits": habits, "address": "https://example.org/book/"}
    there = replace(book, studio=book.studio.model_copy(update=update))
    for path, data in card_alone(there, done[0]).files.items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    page = opened(tmp_path / "recipes" / SLUG / "card.html", f"?paper={paper}")
    page.evaluate("document.fonts.ready")
    wide = page.evaluate(
        """[...document.querySelectorAll('.card .parts td:not(.details)')].map(cell =>
            [cell.innerText, cell.querySelector('.figure').getBoundingClientRect().right
                - cell.getBoundingClientRect().right]).filter(([, over]) => over > 0.5)"""
    )

    assert page.evaluate("document.documentElement.dataset.fits") == "yes"
    assert wide == []
    assert page.locator(".qr-code").bounding_box() is not None
    assert "ft" in page.locator(".card .parts").inner_text()
    assert "5 ft 3 in" in written(page)
    assert [text for text in written(page) if re.search(r"\d\.\d\d|\d m\b|[Mm]etre", text)] == []


@pytest.mark.parametrize("thing", ["card", "key"])
def test_a_slider_reads_out_the_row_it_stands_on(thing: str, recipe: "Page") -> None:
    """By keyboard: what it says is what the table says there, its spot is that row's, and it finds back."""
    section = recipe.locator(f"section[aria-labelledby={thing}-moves]")
    slider, says = recipe.get_by_role("slider", name=f"String of ‘{thing}’"), section.locator("output")
    slider.focus()
    before = says.inner_text()
    recipe.keyboard.press("ArrowRight")
    row = section.locator("tbody").nth(int(slider.input_value()))
    told = row.evaluate("row => [...row.querySelectorAll('td')].map(one => one.lastElementChild.textContent)")
    spot = section.locator(".mover-spot").first

    assert says.inner_text() != before
    assert f"ratio {told[0]} ({told[1]}), key {told[2]}" in says.inner_text()
    assert [spot.get_attribute("cx"), spot.get_attribute("cy")] == [
        row.get_attribute("data-x"),
        row.get_attribute("data-y"),
    ]
    section.get_by_role("button").click()
    assert says.inner_text() == before


def test_what_a_slider_says_of_itself_follows_the_switch(demo_site: Path, opened: "Opener") -> None:
    """A reader who hears it is told one unit, the one that is seen."""
    page = opened(demo_site / "recipes" / SLUG / "index.html")
    slider = page.get_by_role("slider", name="String of ‘key’")
    metric = slider.get_attribute("aria-valuetext") or ""
    page.get_by_role("button", name="Feet").click()
    imperial = slider.get_attribute("aria-valuetext") or ""

    assert re.fullmatch(r"1\.20\sm, ratio [\d.]+:1", metric)
    assert re.fullmatch(r"3\sft\s11(½|¼|¾)?\sin, ratio [\d.]+:1", imperial)


def test_without_scripts_a_slider_is_not_there_and_its_table_is(demo_site: Path, opened: "Opener") -> None:
    """The same in numbers, to be unfolded."""
    page = opened(demo_site / "recipes" / SLUG / "index.html", java_script_enabled=False)
    section = page.locator("section[aria-labelledby=key-moves]")

    assert (
        section.locator("input, output, button").evaluate_all("all => all.filter(one => one.offsetParent)")
        == []
    )
    assert section.locator("svg.drawing:visible").count() == 1
    section.locator("summary").click()
    assert section.get_by_role("row").count() == section.locator("tbody").count() + 1 > 10
