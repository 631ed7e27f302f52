"""Pages on paper and under a thumb: nothing is cut, nothing that is dead on paper is printed."""

import io
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

if TYPE_CHECKING:
    from conftest import Opener

MM_PX = 96 / 25.4
INSIDE_PX = {"A4": 190 * MM_PX, "Letter": 195.9 * MM_PX, "A5": 128 * MM_PX}
"""Width inside the margins of 10 mm."""
PAGES = (
    "gear.html",
    "how.html",
    "words.html",
    "room.html",
    "readings.html",
    "index.html",
    "course/index.html",
)
CUT = """() => [...document.querySelectorAll('main *')].filter(one => {
    const box = one.getBoundingClientRect();
    return box.width > 1 && box.right > document.documentElement.clientWidth + 1 && !one.closest('.unseen');
}).map(one => one.outerHTML.slice(0, 100))"""

COLOURED = """() => [...document.querySelectorAll('body, body *')].filter(one => {
    const style = getComputedStyle(one), shown = one.getClientRects().length > 0;
    const inks = ['color', 'backgroundColor', 'borderTopColor', 'borderLeftColor', 'fill', 'stroke'];
    const before = getComputedStyle(one, '::before').backgroundColor;
    return shown && [...inks.map(ink => style[ink]), before].some(ink => {
        const parts = (ink.match(/[\\d.]+/g) || []).map(Number);
        const [red, green, blue, seen] = parts;
        return ink.startsWith('rgb') && seen !== 0 && (red !== green || green !== blue);
    });
}).map(one => one.outerHTML.slice(0, 100))"""
"""What is shown in a colour that is no grey."""


@pytest.mark.parametrize("paper", INSIDE_PX)
@pytest.mark.parametrize("path", PAGES)
def test_nothing_is_wider_than_the_paper(path: str, paper: str, demo_site: Path, opened: "Opener") -> None:
    """As it is set for print, every thing of a page ends inside the margins."""
    page = opened(demo_site / path)
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int(INSIDE_PX[paper]), "height": 900})

    assert page.evaluate(CUT) == []


@pytest.mark.parametrize("paper", INSIDE_PX)
def test_every_value_of_a_lamp_is_printed(paper: str, demo_site: Path, opened: "Opener") -> None:
    """What the page of gear says of a lamp stands in the PDF, to its last column."""
    page = opened(demo_site / "gear.html")
    said = page.evaluate(
        "[...document.querySelectorAll('#lamps-1 td:not(.none) > span:last-child')].map(one => one.innerText)"
    )
    pdf = PdfReader(io.BytesIO(page.pdf(format=paper)))
    text = "".join("".join(each.extract_text().split()) for each in pdf.pages)

    assert len(said) > 8
    assert [one for one in said if "".join(one.split()) not in text] == []


@pytest.mark.parametrize("path", ["how.html", "words.html", "gear.html"])
def test_small_print_is_smaller_than_the_text(path: str, demo_site: Path, opened: "Opener") -> None:
    """On paper what is said beside is never larger than what is said."""
    page = opened(demo_site / path)
    page.emulate_media(media="print")
    sizes = page.evaluate(
        "['body', '.used, .needed td, .quiet, .plain'].map(one => "
        "parseFloat(getComputedStyle(document.querySelector(one)).fontSize))"
    )

    assert sizes[0] == pytest.approx(10.5 * 96 / 72, abs=0.1)
    assert sizes[1] < sizes[0]


def test_an_on_set_page_prints_all_its_views(demo_site: Path, opened: "Opener") -> None:
    """Whatever view is open, paper has every step and the tables, in black on white, and no button."""
    page = opened(demo_site / "recipes" / "01-borrowed-window" / "on-set.html", phone=True)
    steps = page.locator(".screen h3").all_text_contents()
    page.emulate_media(media="print")
    text = page.locator("main").inner_text()

    assert steps
    assert [one for one in steps if one not in text] == []
    assert "Turn the key by so many clicks" in text
    assert page.evaluate("getComputedStyle(document.documentElement).colorScheme") == "light"
    assert page.evaluate(COLOURED) == []


@pytest.mark.parametrize("scripts", [True, False], ids=["script", "no script"])
def test_an_on_set_page_prints_nothing_that_needs_a_phone(
    scripts: bool, demo_site: Path, opened: "Opener"
) -> None:
    """No button, no field, nothing to be put in, no log; with the browser's scripts and without."""
    page = opened(demo_site / "recipes" / "01-borrowed-window" / "on-set.html", java_script_enabled=scripts)
    page.emulate_media(media="print")
    text = page.locator("body").inner_text()

    assert page.locator("button:visible, input:visible, pre:visible, .pads:visible").count() == 0
    assert [word for word in ("Put what it shows", "As shot", "Copy", "Done, next") if word in text] == []


_LONGEST = 6


def test_every_on_set_page_is_four_sheets_at_most(demo_site: Path, opened: "Opener") -> None:
    """On A4 and Letter, in both units, as written and mirrored; every step is on one of them. The longest
    pages are printed.
    """
    files = sorted((demo_site / "recipes").glob("*/on-set.html"), key=lambda file: -file.stat().st_size)
    for file in files[:_LONGEST]:
        page = opened(file)
        steps = page.locator(".set-up:first-of-type .screen h3").all_text_contents()
        for paper, units in (
            ("A4", "metric"),
            ("A4", "imperial"),
            ("Letter", "metric"),
            ("Letter", "imperial"),
        ):
            page.evaluate("units => { document.documentElement.dataset.units = units; }", units)
            sheets = PdfReader(io.BytesIO(page.pdf(format=paper))).pages
            text = "".join("".join(each.extract_text().split()) for each in sheets)
            assert len(sheets) <= 4, (file.parent.name, paper, units)
            assert [one for one in steps if "".join(one.split()) not in text] == []

    assert len(files) > 10


def test_the_charts_last_label_is_seen_on_a_desktop(demo_site: Path, opened: "Opener") -> None:
    """At 1280 px the chart of the agreement and its tables are shown whole, without scrolling."""
    page = opened(demo_site / "how.html")
    page.set_viewport_size({"width": 1280, "height": 800})
    found = page.evaluate(
        "[...document.querySelectorAll('.scroll')].map(one => one.scrollWidth - one.clientWidth)"
    )

    assert found
    assert max(found) <= 0


@pytest.mark.parametrize(
    ("path", "what"),
    [
        ("index.html", ".top a, .foot a, .to a, .finder button"),
        ("gear.html", ".needed a"),
        ("words.html", ".used a"),
        ("safety.html", ".used a"),
        ("course/index.html", ".sessions a"),
    ],
)
def test_what_a_thumb_presses_is_44_px_high(path: str, what: str, demo_site: Path, opened: "Opener") -> None:
    """On a phone each line of a link, and each filter word, is at least 44 px high."""
    page = opened(demo_site / path, phone=True)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    heights = page.evaluate(
        "what => [...document.querySelectorAll(what)].filter(one => one.offsetParent)"
        ".flatMap(one => [...one.getClientRects()]).map(box => box.height)",
        what,
    )

    assert heights
    assert min(heights) >= 43.9


@pytest.mark.parametrize("paper", ["A4", "A5"])
@pytest.mark.parametrize("path", [*PAGES, "recipes/20-the-stationmaster/index.html", "safety.html"])
def test_the_last_sentence_is_never_alone(path: str, paper: str, demo_site: Path, opened: "Opener") -> None:
    """The sentence at a page's foot never has the last sheet to itself, and is never parted."""
    page = opened(demo_site / path)
    page.emulate_media(media="print")
    sentence = "".join(page.locator(".foot p").inner_text().split())
    last = PdfReader(io.BytesIO(page.pdf(format=paper))).pages[-1]
    text = "".join(last.extract_text().split())

    assert sentence in text
    assert len(text) > len(sentence)
