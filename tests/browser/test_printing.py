"""Printing a recipe's set-up card by command, with the browser that is found."""

import io
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import pytest
from pypdf import PdfReader

from pages.samples import HALT, demo, halted, one
from thirdstop.pages.evaluated import Evaluated
from thirdstop.publishing.printing import SIZES_PT, Paper, print_recipe

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Opener

pytestmark = pytest.mark.usefixtures("browser")
SLUG = "01-borrowed-window"


def printed(evaluated: Evaluated, paper: Paper, out: Path) -> bytes:
    print_recipe(demo()[0], evaluated, paper, out)
    return out.read_bytes()


@pytest.mark.parametrize("paper", get_args(Paper))
def test_a_recipe_is_printed_on_one_page(paper: Paper, tmp_path: Path) -> None:
    """One page of the paper's size; its text holds the title, the click and every item with its number."""
    evaluated = one(SLUG)
    pdf = PdfReader(io.BytesIO(printed(evaluated, paper, tmp_path / "card.pdf")))
    text = " ".join(pdf.pages[0].extract_text().split())
    size = (float(pdf.pages[0].mediabox.width), float(pdf.pages[0].mediabox.height))

    assert len(pdf.pages) == 1
    assert size == pytest.approx(SIZES_PT[paper], abs=1.0)
    assert evaluated.title in text
    assert f"click {evaluated.readings.lamps[0].click}" in text
    for item in evaluated.staging.items:
        if item.kind != "sitter":
            assert f"{item.number} {item.name}" in text


def test_nothing_of_the_machine_is_in_it(tmp_path: Path) -> None:
    """No date but the fixed one, and no address of the folder that the card was printed from."""
    for evaluated in (one(SLUG), halted(one(SLUG))):
        pdf = printed(evaluated, "A5", tmp_path / "card.pdf")
        assert b"file:" not in pdf
        assert pdf.count(b"(D:") == pdf.count(b"(D:20000101000000") == 2


def test_a_halted_recipe_prints_the_halt_alone(tmp_path: Path) -> None:
    """The sheet says what is wrong and holds nothing to build from; printed again it has the same bytes."""
    evaluated = halted(one(SLUG))
    pdf = printed(evaluated, "A4", tmp_path / "card.pdf")
    text = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())

    assert "Do not build this set-up" in text
    assert HALT.text in text
    assert HALT.remedy in text
    assert "click" not in text
    assert "1.20 m" not in text
    assert printed(evaluated, "A4", tmp_path / "again.pdf") == pdf


def test_a_card_that_does_not_fit_is_never_one_page(demo_site: Path, opened: "Opener") -> None:
    """Where the card only runs into its margin it would still be one page: a second one tells of it."""
    page: Page = opened(demo_site / "recipes" / SLUG / "card.html", "?paper=A5")
    fitting = len(PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages)
    page.evaluate("document.documentElement.dataset.fits = 'no'")
    pdf = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))

    assert (fitting, len(pdf.pages)) == (1, 2)
    assert "too long for one sheet" in " ".join(pdf.pages[1].extract_text().split())
