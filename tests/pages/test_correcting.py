"""The correction table as it stands on a set-up card."""

from pages.samples import CORRECTIONS
from thirdstop.pages.evaluated import Correction
from thirdstop.pages.views.correcting import for_card, in_full


def test_a_card_has_the_rows_that_have_a_line_for_it() -> None:
    """In their order, no number parted from its unit; the key's own clicks are left to the meter block."""
    lines = for_card(CORRECTIONS)

    assert len(lines) == len(CORRECTIONS) - 1
    assert [line.replace("\u00a0", " ") for line in lines] == [row.brief for row in CORRECTIONS if row.brief]
    assert "a string of 90\u00a0cm" in lines[0]


def test_the_page_has_every_row_in_full() -> None:
    """Nothing but the spaces before units is changed."""
    full = in_full(CORRECTIONS)

    assert len(full) == len(CORRECTIONS)
    for row, shown in zip(CORRECTIONS, full, strict=True):
        assert shown.do.replace("\u00a0", " ") == row.do
        assert shown.moves.replace("\u00a0", " ") == row.moves


def test_a_row_without_a_line_is_left_to_the_page() -> None:
    """As the row of another aperture, which is another set-up."""
    assert for_card((Correction("Another aperture: f/11.", "Turn key up 3 clicks."),)) == ()
