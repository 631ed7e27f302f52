"""Text is measured with the shipped font, so that boxes are where the letters are."""

import base64
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from drawings.make_font_table import widths
from drawings.samples import by_hand
from thirdstop.drawings import font_widths
from thirdstop.drawings.detail import detail
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.fonts import ABSENT, FAMILY, text_width_mm
from thirdstop.drawings.plan import plan
from thirdstop.resources import shipped

if TYPE_CHECKING:
    from conftest import Opener

FONT = shipped("themes") / "default" / "fonts" / "atkinson-hyperlegible-next.woff2"
GLYPH_MM = 1 / 64 / (96 / 25.4)
"""FreeType keeps advances in 26.6 fixed point: one unit is 1/64 px, here in mm at 96 px to the inch."""
CSS = shipped("themes") / "default" / "drawing.css"


def test_the_table_is_what_the_font_says() -> None:
    """The committed widths are those that fonttools reads from the shipped font."""
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


def test_a_browser_sets_each_text_as_wide_as_it_was_measured(opened: "Opener", tmp_path: Path) -> None:
    """Chromium's own text lengths agree with the table to one unit of fixed point a glyph."""
    drawing = plan(by_hand()[1])
    font = base64.b64encode(FONT.read_bytes()).decode()
    face = f"@font-face{{font-family:'{FAMILY}';font-weight:200 800;src:url(data:font/woff2;base64,{font})}}"
    file = tmp_path / "page.html"
    file.write_text(f"<!doctype html><style>{face}{CSS.read_text()}</style>{drawing.svg}", encoding="utf-8")
    page = opened(file)
    page.evaluate("document.fonts.ready")
    found = page.evaluate(
        "[...document.querySelectorAll('svg text')].map(t => [t.textContent, t.getComputedTextLength()])"
    )
    measured = [(x.text, text_width_mm(x.text, x.size_mm, x.weight)) for x in drawing.labels]

    assert sorted(text for text, _ in found) == sorted(text for text, _ in measured)
    for (text, width), (_, expected) in zip(sorted(found), sorted(measured), strict=True):
        assert width == pytest.approx(expected, abs=len(text) * GLYPH_MM), text
