"""The correction table as it stands on a set-up card."""

from pages.samples import CORRECTIONS, one
from thirdstop.pages.views.correcting import for_card, in_full
from thirdstop.placing.correction import Correction
from thirdstop.placing.setup import BEST


def test_a_card_has_the_rows_that_have_a_line_for_it() -> None:
    """In their order, no number parted from its unit; the key's own clicks are left to the meter block."""
    lines = for_card(CORRECTIONS)
    said = [f"{line.shows}: {line.do}".replace("\u00a0", " ") for line in lines]

    assert said == [row.brief for row in CORRECTIONS if row.brief]
    assert "a string of 90\u00a0cm" in lines[0].do
    assert lines[0].cause.replace("\u00a0", " ") == CORRECTIONS[0].cause


def test_a_line_ends_with_what_is_read_then() -> None:
    """In few words; not where the line itself says what is the best to be had, nor where nothing is read."""
    over, under, leaned, _ = for_card(CORRECTIONS)
    elsewhere = Correction(
        "It is taller.", "Seat it lower.", "tall", "not to be had here", brief="Taller: seat it"
    )

    assert over.then.replace("\u00a0", " ") == "f/4 + 3/10, 3.8:1"
    assert leaned.then == "key f/8, 4:1"
    assert BEST in under.do
    assert under.then == ""
    assert for_card((elsewhere,))[0].then == ""


def test_the_page_has_every_row_in_full() -> None:
    """Nothing but the spaces before units is changed, and that nothing else moves is left out."""
    full = in_full(CORRECTIONS, one("01-borrowed-window").staging)
    moves = ["backdrop from key +0.1 stop", "key reading −0.1 stop", "", "", ""]

    assert [shown.moves.replace("\u00a0", " ") for shown in full] == moves

    assert len(full) == len(CORRECTIONS)
    for row, shown in zip(CORRECTIONS, full, strict=True):
        assert shown.do.replace("\u00a0", " ") == row.do


def test_a_row_without_a_line_is_left_to_the_page() -> None:
    """As the row of another aperture, which is another set-up."""
    assert for_card((Correction("Another aperture: f/11.", "Turn key up 3 clicks."),)) == ()
