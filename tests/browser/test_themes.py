"""A second theme in a browser: the set-up card stays as it is, and paper shows the theme."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from pages.samples import demo, one
from thirdstop.pages.whole import card_alone, some_pages

if TYPE_CHECKING:
    from conftest import Opener

CARD = "recipes/01-borrowed-window/card.html"


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A card and the page of words in the theme 'ledger', with what they load."""
    book, done = demo()
    book = replace(book, studio=book.studio.model_copy(update={"theme": "ledger"}))
    files = card_alone(book, one("01-borrowed-window")).files | some_pages(book, done, "words.html").files
    folder = tmp_path_factory.mktemp("ledger")
    for path, data in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)
    return folder


def test_a_card_is_the_same_on_screen_and_paper(ledger: Path, opened: "Opener") -> None:
    """A theme's headings don't reach the sheet: its parts are as high when printed as when measured, and its
    title has one rule under it.
    """
    page = opened(ledger / CARD, "?paper=A4")
    heights = (
        "[...document.querySelectorAll('.card, .card h1, .card .head')].map(e => Math.round(e.offsetHeight))"
    )
    screen = page.evaluate(heights)
    under = page.evaluate("getComputedStyle(document.querySelector('.card h1')).borderBottomStyle")
    page.emulate_media(media="print")

    assert under == "none"
    assert len(screen) > 4
    assert page.evaluate(heights) == screen


def test_the_spine_is_on_every_page(ledger: Path, opened: "Opener") -> None:
    """On a wide screen the menu stands at the left of the card's page too, and the sheet beside it."""
    for path in (CARD, "words.html"):
        page = opened(ledger / path)
        page.set_viewport_size({"width": 1280, "height": 800})
        menu, main = (
            page.evaluate(f"document.querySelector('{what}').getBoundingClientRect().toJSON()")
            for what in (".top", "main")
        )
        assert menu["height"] == 800
        assert main["left"] >= menu["right"]


def test_paper_shows_the_theme(ledger: Path, opened: "Opener") -> None:
    """Printed, a title has the ledger's double rule."""
    page = opened(ledger / "words.html")
    page.emulate_media(media="print")

    assert page.evaluate("getComputedStyle(document.querySelector('h1')).borderBottomStyle") == "double"
