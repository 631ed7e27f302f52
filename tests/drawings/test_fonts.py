"""Text is measured with the shipped font, so that boxes are where the letters are."""

import base64
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from drawings.samples import by_hand
from thirdstop.drawings import font_widths
from thirdstop.drawings.detail import detail
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.fonts import ABSENT, FAMILY, text_width_mm
from thirdstop.drawings.plan import plan
from thirdstop.resources import shipped

FONT = shipped("themes") / "default" / "fonts" / "atkinson-hyperlegible-next.woff2"
GLYPH_MM = 1 / 64 / (96 / 25.4)
"""FreeType keeps advances in 26.6 fixed point: one unit is 1/64 px, here in mm at 96 px to the inch."""
CSS = shipped("themes") / "default" / "drawing.css"


def test_the_table_is_what_the_font_says() -> None:
    """The committed widths are those that fonttools reads from the shipped font."""
    pytest.importorskip("fontTools.ttLib")
    pytest.importorskip("brotli")
    from drawings.make_font_table import widths

    assert widths(400) == font_widths.WIDTHS_400
    assert widths(700) == font_widths.WIDTHS_700


def test_figures_are_tabular() -> None:
    """All ten figures have one width at a weight."""
    for weight in (400, 700):
        assert len({text_width_mm(figure, 3.2, weight) for figure in "0123456789"}) == 1


def test_no_drawing_uses_a_sign_that_the_font_lacks() -> None:
    """Every character of every drawn text is in the font, and none is of the absent ones."""
    for staging in by_hand():
        for drawing in (plan(staging), detail(staging), elevation(staging)):
            text = "".join(label.text for label in drawing.labels)

            assert set(text) <= set(font_widths.WIDTHS_400)
            assert not set(text) & set(ABSENT)


@pytest.fixture
def page() -> Iterator[Any]:
    """A page of the browser that is installed; skipped where there is none."""
    playwright = pytest.importorskip("playwright.sync_api")
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if path is None:
        pytest.skip("no Chromium found")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        yield browser.new_page()
        browser.close()


def test_a_browser_sets_each_text_as_wide_as_it_was_measured(page: Any, tmp_path: Path) -> None:
    """Chromium's own text lengths agree with the table to one unit of fixed point a glyph."""
    drawing = plan(by_hand()[1])
    font = base64.b64encode(FONT.read_bytes()).decode()
    face = f"@font-face{{font-family:'{FAMILY}';font-weight:200 800;src:url(data:font/woff2;base64,{font})}}"
    file = tmp_path / "page.html"
    file.write_text(f"<!doctype html><style>{face}{CSS.read_text()}</style>{drawing.svg}", encoding="utf-8")
    page.goto(file.as_uri())
    page.evaluate("document.fonts.ready")
    found = page.evaluate(
        "[...document.querySelectorAll('svg text')].map(t => [t.textContent, t.getComputedTextLength()])"
    )
    measured = [(x.text, text_width_mm(x.text, x.size_mm, x.weight)) for x in drawing.labels]

    assert sorted(text for text, _ in found) == sorted(text for text, _ in measured)
    for (text, width), (_, expected) in zip(sorted(found), sorted(measured), strict=True):
        assert width == pytest.approx(expected, abs=len(text) * GLYPH_MM), text
