"""Printing a recipe's set-up card by command, with the browser that is found."""

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import pytest
from pypdf import PdfReader

from pages import samples
from pages.samples import ADDRESS, HALT, demo, halted, one, shown
from thirdstop.book.book import Book
from thirdstop.checks.registry import check
from thirdstop.errors import PublishingError
from thirdstop.pages import drawn, figures
from thirdstop.pages.binder import BINDER, TAGS, binder, stand_tags
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import END, FEET
from thirdstop.pages.views.contents import LEFT_OUT, Paper, anchor, contents
from thirdstop.pages.views.rig import short
from thirdstop.pages.views.tags import tags
from thirdstop.publishing.printing import SIZES_PT, Binder, print_binder, print_recipe, print_tags
from thirdstop.running import open_and_stage

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Bound, Opener

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


@pytest.mark.parametrize("paper", get_args(Paper))
def test_a_binder_leads_to_every_card_by_its_page(paper: Paper, demo_binders: dict[str, "Bound"]) -> None:
    """The page that the contents name, the page that the line's link goes to and the page that the bookmark
    goes to is for each recipe the one that bears its title and this number; every page is of the paper.
    """
    done = shown()
    pdf = demo_binders[paper].pdf
    texts = [" ".join(text.split()) for text in demo_binders[paper].texts]
    listed = contents(done, paper)
    lines = {line.anchor: line for page in listed.pages for group in page for line in group.lines}
    marked = {str(mark.title): pdf.get_destination_page_number(mark) for mark in flat(pdf.outline)}

    assert len(pdf.pages) == listed.last == len(listed.pages) + len(done)
    for each in done:
        line = lines[anchor(each.slug)]
        assert f"page {line.page} of {listed.last}" in texts[line.page - 1]
        assert each.title in texts[line.page - 1]
        assert marked[each.title] == line.page - 1
        assert pdf.get_destination_page_number(pdf.named_destinations[f"/{line.anchor}"]) == line.page - 1
        before = " ".join(texts[: len(listed.pages)])
        assert f"{line.title} {line.gear}".replace("\u00a0", " ") in before
        ratio = f"{figures.ratio(each.readings.ratio.ratio)} lit : shadow"
        assert (ratio in before) or each.safety_halts
    for page in pdf.pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(SIZES_PT[paper], abs=1.0)


def flat(outline: list[Any]) -> list[Any]:
    """Bookmarks of every depth."""
    return [one for each in outline for one in (flat(each) if isinstance(each, list) else [each])]


def test_a_halted_recipe_of_a_binder_has_its_halt_alone(demo_binders: dict[str, "Bound"]) -> None:
    """Its line says what halts it and no figure; its page says the halt and nothing to build from."""
    done = shown()
    lines = [line for page in contents(done, "A4").pages for group in page for line in group.lines]
    halts = {anchor(each.slug): each for each in done if each.safety_halts}

    assert halts
    for line in lines:
        if line.anchor in halts:
            text = " ".join(demo_binders["A4"].texts[line.page - 1].split())
            assert (line.ratio, line.aperture, line.ceiling.value) == ("", "", "–")
            assert line.gear.startswith("Halts: ")
            assert "Do not build this set-up" in text
            assert "click" not in text
            assert "from the left wall" not in text


def test_a_binder_of_one_card(tmp_path: Path) -> None:
    """One recipe: a page of contents and its card; printed again it has the same bytes."""
    book, _ = demo()
    out = tmp_path / "one.pdf"

    assert print_binder(book, [one(SLUG)], "A5", out) == Binder(2, ())
    first = out.read_bytes()
    assert print_binder(book, [one(SLUG)], "A5", out) == Binder(2, ())
    assert out.read_bytes() == first
    assert "page 2 of 2" in " ".join(PdfReader(out).pages[1].extract_text().split())


def test_every_card_in_feet_fits_every_paper_with_a_code(
    tmp_path: Path, opened: "Opener", card_drawings: dict[str, drawn.Drawn]
) -> None:
    """Each demo card in feet with the code of the book's address is one page of A4, Letter and A5; in metres
    the binders above show it.
    """
    book, done = demo()
    habits = book.studio.habits.model_copy(update={"units": "imperial"})
    update = {"habits": habits, "address": ADDRESS}
    there = replace(book, studio=book.studio.model_copy(update=update))
    with drawn.kept(dict(card_drawings)):
        files = binder(there, done, "A4")
    for path, data in files.items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    page: Page = opened(tmp_path / BINDER)
    for paper in get_args(Paper):
        page.goto((tmp_path / BINDER).as_uri() + f"?paper={paper}")
        page.evaluate("document.fonts.ready")
        found = page.evaluate(
            "[...document.querySelectorAll('.card:not(.halted)')].map(one => "
            "[one.id, one.dataset.fits, one.querySelectorAll('.qr-code').length])"
        )
        assert found == [[anchor(each.slug), "yes", 1] for each in done if not each.safety_halts]


def test_tags_are_a_page_of_a6_each(tmp_path: Path) -> None:
    """Every stand on a page of A6 with its number, name and figures; a halted recipe with its halt alone."""
    book, _ = demo()
    wanted = [(each, tag) for each in shown() for tag in tags(each)]
    count = print_tags(book, shown(), tmp_path / "tags.pdf")
    pdf = PdfReader(tmp_path / "tags.pdf")

    assert count == len(pdf.pages) == len(wanted)
    for page, (each, tag) in zip(pdf.pages, wanted, strict=True):
        text = " ".join(page.extract_text().split())
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(SIZES_PT["A6"], abs=1.0)
        assert each.title in text
        assert "licensed practice come first" in text
        if each.safety_halts:
            assert "Do not build this set-up" in text
            assert "height" not in text
        else:
            assert f"{tag.number} {tag.name}" in text
            assert all(f"{figure.value}" in text for block in tag.blocks for _, figure in block.figures)


def test_tags_in_feet_fit_a6(tmp_path: Path, opened: "Opener") -> None:
    """No tag is longer than its sheet, and no figure wider than its column; nothing is under 9 pt."""
    book, done = demo()
    habits = book.studio.habits.model_copy(update={"units": "imperial"})
    there = replace(book, studio=book.studio.model_copy(update={"habits": habits}))
    for path, data in stand_tags(there, done)[0].items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    page: Page = opened(tmp_path / TAGS, "?paper=A6")
    page.evaluate("document.fonts.ready")
    wide = page.evaluate(
        """[...document.querySelectorAll('.tag dd')].filter(one =>
            one.querySelector('.figure').getBoundingClientRect().right
                > one.getBoundingClientRect().right + 1).map(one => one.innerText)"""
    )
    least = page.evaluate(
        """Math.min(...[...document.querySelectorAll('.tag *')].filter(one => one.offsetParent)
            .map(one => parseFloat(getComputedStyle(one).fontSize) * 0.75))"""
    )

    assert page.evaluate("document.documentElement.dataset.fits") == "yes"
    assert wide == []
    assert least >= 9 - 0.01


def heavy() -> Evaluated:
    """A boom without its counterweight, under a title and beside a name as long as they may be."""
    each = one("03-footlights")
    item = each.staging.items[0]
    assert item.support is not None
    support = replace(item.support, counterweight_kg=0.0, bag_mass_kg=2.0)
    staging = replace(each.staging, items=(replace(item, support=support), *each.staging.items[1:]))
    looks = tuple(
        replace(found, verdict="look") for found in check(staging, each.readings) if found.verdict != "pass"
    )
    return replace(each, staging=staging, findings=looks)


def test_a_tag_that_is_too_long_runs_on(tmp_path: Path) -> None:
    """A stand with much to mind has a second page, numbered, with the same head; not a word is left out."""
    book, _ = demo()
    (tag,) = tags(heavy())
    count = print_tags(book, [heavy()], tmp_path / "tags.pdf")
    pdf = PdfReader(tmp_path / "tags.pdf")
    texts = [" ".join(page.extract_text().split()) for page in pdf.pages]
    whole = " ".join(texts)

    assert (count, len(texts)) == (1, 2)
    for side, text in enumerate(texts, start=1):
        assert f"side {side} of 2" in text
        assert f"{tag.number} {tag.name}" in text
        assert "licensed practice come first" in text
    for each in (*tag.cautions, *(line for block in tag.blocks for line in block.says)):
        said = re.sub(f"{FEET}[^{END}]*{END}", "", each).replace("\u00a0", " ")
        assert " ".join(said.split()) in whole.replace("\u00a0", " ")


def test_a_tag_of_which_a_part_is_longer_than_a_page_is_refused(tmp_path: Path) -> None:
    """It is named with its longest part, and nothing is written."""
    each = heavy()
    long = replace(each.findings[0], remedy="Mind this above all else. " * 120)

    with pytest.raises(PublishingError, match=r"03-footlights: a caution of key \(\d{4} letters\)"):
        print_tags(demo()[0], [replace(each, findings=(long,))], tmp_path / "tags.pdf")
    assert not (tmp_path / "tags.pdf").exists()


def test_a_card_that_is_too_long_names_what_is_longest(tmp_path: Path) -> None:
    """By the letters of its parts; with the paper that has more room."""
    each = heavy()
    long = replace(
        each.findings[0], check="flash", text="It leans.", remedy="Mind this above all else, " * 120
    )

    with pytest.raises(
        PublishingError,
        match=r"is \d+ mm too long for one page of A5, the most by what the checks say of safety \(\d{4} ",
    ):
        print_recipe(demo()[0], replace(each, findings=(long,)), "A5", tmp_path / "card.pdf")
    assert not (tmp_path / "card.pdf").exists()


CROWDED = Path(__file__).resolve().parents[1] / "cases" / "crowded"


@cache
def crowded() -> tuple[Book, list[Evaluated]]:
    """A house in feet: two sitters in hats and glasses with one light, and with four."""
    book, staged = open_and_stage(CROWDED)
    return book, [samples.evaluated(each) for each in staged]


def test_what_does_not_fit_is_left_out_of_a_binder(tmp_path: Path) -> None:
    """On A5 four lights and two hats in feet are too long: the page in their place says by how much, and what
    to do, and stands in the contents under its own head; the other card is there.
    """
    book, done = crowded()
    out = tmp_path / "all.pdf"
    bound = print_binder(book, done, "A5", out)
    pages = [" ".join(page.extract_text().replace("\u00a0", " ").split()) for page in PdfReader(out).pages]
    (said,) = bound.left_out

    assert bound.pages == len(pages) == 3
    assert re.match(
        r"two-hats-four-lights: the set-up card is \d½? in too long for one page of A5, the", said
    )
    assert said.endswith("; Letter has room for it")
    instead, there = pages[1:]
    assert "Two hats, four lights" in instead
    assert f"No set-up card on this paper. {said}." in instead
    assert "click" not in instead
    assert "Two hats, one light, one card" in there
    assert "click" in there
    assert LEFT_OUT in pages[0]
    assert "A card that is too long for A5 is left out." in pages[0]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_crowded_cards_in_feet_fit_a_large_sheet(paper: Paper, tmp_path: Path) -> None:
    """Two hats and four lights are a page each, with a row for every thing and all that is on safety."""
    book, done = crowded()
    bound = print_binder(book, done, paper, tmp_path / "all.pdf")
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(tmp_path / "all.pdf").pages]

    assert bound == Binder(3, ())
    for each, text in zip(done, pages[1:], strict=True):
        assert all(
            f"{item.number} {item.name}" in text for item in each.staging.items if item.kind != "sitter"
        )
        assert " ".join(short(each).replace("\u00a0", " ").split()) in text.replace("\u00a0", " ")


def test_nothing_of_a_crowded_card_is_too_small(tmp_path: Path, opened: "Opener") -> None:
    """No text is under 9 pt and no figure under 11 pt, in feet, in the layouts that are tried last."""
    book, done = crowded()
    for path, data in binder(book, done, "A5").items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    for paper in get_args(Paper):
        page: Page = opened(tmp_path / BINDER, f"?paper={paper}")
        page.evaluate("document.fonts.ready")
        layouts, least, figure = page.evaluate(
            """() => {
                const shown = [...document.querySelectorAll('.card *:not(svg *)')]
                    .filter(one => one.offsetParent)
                    .filter(one => [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim()))
                    .filter(one => !one.closest('.unseen, .column'));
                const size = one => parseFloat(getComputedStyle(one).fontSize) * 0.75;
                return [[...document.querySelectorAll('.card')].map(one => one.dataset.layout),
                    Math.min(...shown.map(size)),
                    Math.min(...shown.filter(one => one.matches('.parts .value')).map(size))];
            }"""
        )
        assert any("tight" in layout for layout in layouts)
        assert least >= 9 - 0.01
        assert figure >= (11 if paper == "A5" else 12) - 0.01
