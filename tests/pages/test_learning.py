"""What is computed for the pages about how well a studio is known: the rig's safety lines."""

from dataclasses import replace

from pages.samples import DEMO
from thirdstop.book.book import open_book
from thirdstop.calibrating.candidates import LAMP_HEIGHT_M
from thirdstop.checks.tipping import masses_of, push_n, weakest
from thirdstop.learning import _support, rig_lines


def test_each_stand_says_its_bag() -> None:
    """Every stand that reaches the lamp's height, with the book's heaviest lamp, and the caution."""
    book = open_book(DEMO)
    lines = rig_lines(book)

    assert [line.partition(" with ")[0] for line in lines] == ["stand A", "stand B", "stand C"]
    assert all("tall box 60 x 120 on battery 400 at 1.6 m" in line for line in lines)
    assert all("maker's rating" in line for line in lines)
    assert rig_lines(replace(book, recipes=())) == ()


def test_the_bag_is_enough() -> None:
    """With it a sideways push at the lamp's height of 15 N does not tip the stand: the statics' own limit."""
    stand = next(one for one in open_book(DEMO).studio.stands if one.name == "stand C")
    held = replace(_support(stand, 3.5), bag_mass_kg=6.0)

    assert push_n(weakest(masses_of(held)), LAMP_HEIGHT_M) >= 15.0
