"""Set-up cards: one page of A4, Letter and A5, true to scale, complete, never too small to read."""

import io
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest
from pypdf import PdfReader

from browser.rebuilding import rebuilt
from pages.samples import DEMO, demo, shown
from thirdstop.errors import PublishingError
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.pages import drawn
from thirdstop.pages.binder import BINDER, binder
from thirdstop.pages.figures import END, FEET
from thirdstop.pages.units import times
from thirdstop.pages.views.briefly import looks
from thirdstop.pages.views.contents import contents
from thirdstop.pages.views.things import rows
from thirdstop.publishing.printing import print_card

if TYPE_CHECKING:
    from conftest import Bound, Opener

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A5": (148.0, 210.0)}
"""ISO 216 and ANSI/ASME Y14.1 sizes, mm."""

INSIDE_MM = {"A4": 277.0, "Letter": 261.0, "A5": 200.0}
"""Height of a card between its margins."""

LEAST_PT = 9.0
FIGURES_PT = {"A4": 18.0, "Letter": 18.0, "A5": 14.0}
SLUGS = [one.slug for one in demo()[1]]
HALTED = {"02-attic-triangle", *(one.slug for one in demo()[1] if one.safety_halts)}
POINTS_PER_MM = 72 / 25.4


def card(site: Path, slug: str) -> Path:
    return site / "recipes" / slug / "card.html"


def plain(text: str) -> str:
    """Text with every run of white space as one space, and none after a hyphen, where a line may end."""
    return re.sub(r"-\s+", "-", re.sub(r"\s+", " ", text))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("slug", SLUGS)
def test_a_card_is_one_page_that_says_everything(
    slug: str, paper: Literal["A4", "Letter", "A5"], demo_binders: dict[str, "Bound"]
) -> None:
    """Each demo card, with a code to its web page, is one page of the paper's size, and every figure and
    detail of every row stands in the PDF's text, with the mark, the door, the powers and the stop word.
    """
    bound = demo_binders[paper]
    before = len(bound.pdf.pages) - len(SLUGS)
    page = bound.pdf.pages[before + SLUGS.index(slug)]

    assert before == len(contents(shown(), paper).pages)
    size = tuple(side * POINTS_PER_MM for side in PAPERS[paper])
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.6)
    if slug not in HALTED:
        text = plain(bound.texts[before + SLUGS.index(slug)])
        assert missing(slug, text) == []
        for zero in ("M, under ", "Swing: 0° faces the camera, 180° the backdrop; R, L as the camera sees."):
            assert zero in text
        assert "Lean: how far the face points up or down from level." in text
        assert_rebuilt(slug, text, with_light=paper == "A4")


def assert_rebuilt(slug: str, text: str, with_light: bool) -> None:
    """The set-up that is built from the card's text alone is the recipe's: every place within 1.5 cm, every
    face within 1.5°, what the figures' rounding leaves; and with light, the ratio within a third of a stop.
    """
    one = next(each for each in demo()[1] if each.slug == slug)
    again = rebuilt(text, DEMO / "studio.yaml")

    assert [item.name for item in again.items] == [item.name for item in one.staging.items]
    for item, wanted in zip(again.items, one.staging.items, strict=True):
        assert np.linalg.norm(item.centre_m - wanted.centre_m) < 0.015, item.name
        assert float(item.normal @ wanted.normal) > np.cos(np.radians(1.5)), item.name
    if with_light:
        ratio = read(again, solve(again.scene, SCAN)).ratio
        assert abs(np.log2(ratio.ratio / one.readings.ratio.ratio)) < 1 / 3


def missing(slug: str, text: str) -> list[str]:
    """What a card should say and doesn't."""
    one = next(each for each in demo()[1] if each.slug == slug)
    wanted = ["from the left wall", "from the back wall", "door in the", "stop word"]
    for row in rows(one.staging, one.recipe):
        wanted += [row.name, *(str(figure) for figure in row.figures), *row.details]
    wanted += [f"click {lamp.click}" for lamp in one.readings.lamps]
    wanted += [look.text for look in looks(one) if look.stays]
    return [phrase for phrase in map(spoken, wanted) if plain(phrase) not in text]


def spoken(phrase: str) -> str:
    """As it stands in metres: without the feet that it carries, sizes set as such."""
    return times(re.sub(f"{FEET}[^{END}]*{END}", "", phrase))


@pytest.mark.parametrize("paper", PAPERS)
def test_what_leaves_a_card_is_told(paper: str, demo_site: Path, opened: "Opener") -> None:
    """Where a correction or a look is not shown, its section says that the recipe's page has more; elsewhere
    it doesn't. A4 shows all looks, and both directions of the shadow side.
    """
    for slug in ("01-borrowed-window", "12-costume-call", "13-double-act"):
        page = opened(card(demo_site, slug), f"?paper={paper}")
        page.evaluate("document.fonts.ready")
        found = page.evaluate(
            """['.wrong .row', '.looks .look'].map(what => {
                const all = [...document.querySelectorAll(what)];
                const more = all.length && all[0].parentElement.querySelector('.elsewhere').offsetParent;
                return [all.filter(one => one.offsetParent).length, all.length, Boolean(more)];
            })"""
        )
        (rows_shown, rows, rows_told), (looks_shown, all_looks, looks_told) = found

        assert rows_told == (rows_shown < rows)
        assert looks_told == (looks_shown < all_looks)
        if paper == "A4":
            assert looks_shown == all_looks
            assert rows_shown >= 2


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_left_out_that_a_card_has_room_for(paper: str, demo_site: Path, opened: "Opener") -> None:
    """Whatever correction or look is not shown would make the card longer than its sheet."""
    added = 0
    for slug in SLUGS:
        page = opened(card(demo_site, slug), f"?paper={paper}")
        page.evaluate("document.fonts.ready")
        found = page.evaluate(
            """limit => {
                const card = document.querySelector('.card');
                const lines = [...card.querySelectorAll('.wrong .row, .looks .look')];
                const back = lines.filter(one => one.classList.contains('added')).length;
                const longer = lines.filter(one => !one.offsetParent).map(one => {
                    one.classList.add('added');
                    const height = card.scrollHeight;
                    one.classList.remove('added');
                    return height > limit;
                });
                return [card.scrollHeight <= limit, longer, back];
            }""",
            INSIDE_MM[paper] * 96 / 25.4,
        )
        assert found[0], slug
        assert all(found[1]), slug
        added += found[2]

    assert added > 0 or paper != "A5"


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("paper", PAPERS)
def test_a_side_is_as_large_as_its_figure(
    paper: str, units: str, tmp_path: Path, opened: "Opener", card_drawings: dict[str, drawn.Drawn]
) -> None:
    """R and L have the size and the weight of the numbers before them, and no figure runs into the next, on
    every third card.
    """
    book, done = demo()
    habits = book.studio.habits.model_copy(update={"units": units})
    there = replace(book, studio=book.studio.model_copy(update={"habits": habits}))
    with drawn.kept(dict(card_drawings)):
        files = binder(there, done[::3], "A4")
    for path, data in files.items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    page = opened(tmp_path / BINDER, f"?paper={paper}")
    page.evaluate("document.fonts.ready")
    sides: list[list[str]] = page.evaluate(
        """[...document.querySelectorAll('.parts .hand')].map(one => {
            const value = [...one.closest('.figure').querySelectorAll('.value')].find(v => v.offsetParent);
            return [value, one].flatMap(e => [getComputedStyle(e).fontSize, getComputedStyle(e).fontWeight]);
        })"""
    )
    wide: list[str] = page.evaluate(
        """[...document.querySelectorAll('.parts td .figure')].filter(one => {
            const cell = one.closest('td');
            const next = cell.nextElementSibling;
            const end = next ? next.querySelector('.figure').getBoundingClientRect().left
                : cell.closest('table').getBoundingClientRect().right + 2;
            return one.getBoundingClientRect().right > end - 2;
        }).map(one => one.innerText)"""
    )

    assert len(sides) > 15
    assert [one for one in sides if one[:2] != one[2:]] == []
    assert wide == []


def test_two_sitters_are_told_apart(demo_binders: dict[str, "Bound"]) -> None:
    """Every cheek, nose and chin of the two has its owner, and the far one's readings stand there too."""
    texts = demo_binders["A5"].texts
    text = plain(texts[len(texts) - len(SLUGS) + SLUGS.index("13-double-act")])

    for said in (
        "string from near one’s nose",
        "aim far one’s nose",
        "under the near one’s chin",
        "Lit: near one’s left cheek",
        "Shadow: near one’s right cheek",
        "Far one: chin f/",
        "only then near one and far one",
    ):
        assert said in text
    assert "sitter’s" not in text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("slug", ["01-borrowed-window", "10-clean-sheet", "13-double-act"])
def test_drawings_keep_their_scale(slug: str, paper: str, demo_site: Path, opened: "Opener") -> None:
    """On paper each drawing has the millimetres that it was drawn for, and nothing is wider than the sheet
    (a browser would shrink the page, and with it the scale).
    """
    page = opened(card(demo_site, slug), f"?paper={paper}")
    page.evaluate("document.fonts.ready")
    page.emulate_media(media="print")
    drawn = page.evaluate(
        "[...document.querySelectorAll('.card svg')].map(svg => "
        "[svg.getBoundingClientRect().width * 25.4 / 96, svg.viewBox.baseVal.width])"
        ".filter(pair => pair[0] > 0)"
    )
    wide, room = page.evaluate(
        "[document.documentElement.scrollWidth, Math.round(document.querySelector('.card').scrollWidth)]"
    )

    assert drawn
    for width_mm, stated_mm in drawn:
        assert width_mm == pytest.approx(stated_mm, abs=0.1)
    assert room * 25.4 / 96 <= PAPERS[paper][0] - 12
    assert wide <= max(room, page.viewport_size["width"])  # type: ignore[index]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("slug", ["01-borrowed-window", "10-clean-sheet", "13-double-act"])
def test_nothing_is_too_small_to_read(slug: str, paper: str, demo_site: Path, opened: "Opener") -> None:
    """No text is under 9 pt; the table's figures are at least 18 pt, 14 pt on A5."""
    page = opened(card(demo_site, slug), f"?paper={paper}")
    page.evaluate("document.fonts.ready")
    sizes: list[list[object]] = page.evaluate(
        """() => [...document.querySelectorAll('.card *:not(svg *)')]
            .filter(one => one.offsetParent)
            .filter(one => [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim()))
            .filter(one => !one.closest('.unseen, .column'))
            .map(one => [one.className, parseFloat(getComputedStyle(one).fontSize) * 0.75])"""
    )
    figures = [size for name, size in sizes if name == "value"]

    assert min(float(str(size)) for _, size in sizes) >= LEAST_PT - 0.01
    assert figures
    assert min(map(float, map(str, figures))) >= FIGURES_PT[paper] - 0.01


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_without_a_choice_it_is_one_page(paper: str, demo_site: Path, opened: "Opener") -> None:
    """A reader who just prints gets one page, on A4 and on Letter."""
    page = opened(card(demo_site, "13-double-act"))
    page.evaluate("document.fonts.ready")
    pdf = PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=False)))

    assert len(pdf.pages) == 1
    assert page.evaluate("document.documentElement.dataset.paper") is None


def test_a_printed_card_has_the_same_bytes_each_time(
    demo_site: Path, tmp_path: Path, browser: object
) -> None:
    """Printing the same card twice by command gives the same file."""
    for name in ("one.pdf", "two.pdf"):
        print_card(card(demo_site, "01-borrowed-window"), "A5", tmp_path / name)

    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert len(PdfReader(tmp_path / "one.pdf").pages) == 1


def test_a_card_that_is_too_long_is_refused(demo_site: Path, tmp_path: Path, browser: object) -> None:
    """Where even the barest layout is longer than the sheet, printing says so and writes nothing."""
    source = card(demo_site, "10-clean-sheet")
    long = source.with_name("long.html")
    text = source.read_text()
    row = text[text.index("<tbody") : text.index("</tbody>") + len("</tbody>")]
    long.write_text(text.replace(row, row * 12))
    try:
        with pytest.raises(PublishingError, match="A5; fewer things"):
            print_card(long, "A5", tmp_path / "card.pdf")
    finally:
        long.unlink()

    assert not (tmp_path / "card.pdf").exists()


def test_one_ink(demo_site: Path, opened: "Opener") -> None:
    """In print every text of a card is black on white, also where the screen was dark."""
    page = opened(card(demo_site, "01-borrowed-window"), "?paper=A4", color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    colours = page.evaluate(
        "[...new Set([...document.querySelectorAll('.card *:not(svg *)')]"
        ".map(one => getComputedStyle(one).color))]"
    )
    inks = page.evaluate(
        "[...new Set([...document.querySelectorAll('.card svg text')].map(o => getComputedStyle(o).fill))]"
    )

    assert colours == ["rgb(0, 0, 0)"]
    assert inks == ["rgb(0, 0, 0)"]
