"""The correction table as it stands on a set-up card."""

from pages.samples import CORRECTIONS
from thirdstop.pages.evaluated import Correction
from thirdstop.pages.views.correcting import for_card


def test_the_cards_lines_say_the_same_in_fewer_words() -> None:
    """Readings, distances and order stay; the key's own clicks are left to the meter block."""
    lines = tuple(line.replace("\u00a0", " ") for line in for_card(CORRECTIONS))

    assert lines == (
        "Shadow f/4 + 6/10, 1/3 stop over: aim card again, then a string of 90 cm; then meter the key again",
        "Shadow f/2.8 + 7/10, 1/3 stop under: aim lap card again. No place of it brings the ratio back: the "
        "nearest that fits is 4.5:1, where lap card goes to a string of 65 cm",
        "Sitter has leaned in by 10 cm: key f/8 + 1/10, ratio 4.5:1: "
        "bring the nose back over M; no click is needed meanwhile",
        "Sitter is taller: eyes at 1.32 m: raise camera, key and cards by 10 cm, same strings",
    )


def test_what_is_said_otherwise_is_kept() -> None:
    """A sentence of another shape is printed as it is, not lost."""
    assert for_card((Correction("Nothing fires.", "Look at the trigger's group."),)) == (
        "Nothing fires: Look at the trigger's group",
    )
