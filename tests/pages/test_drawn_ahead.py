"""What is drawn where a recipe is computed is what its pages then show."""

import pytest

from pages.samples import demo as demo_book
from pages.samples import shown
from thirdstop.pages import drawn
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.house import house_of
from thirdstop.pages.of_recipe import Around, draw, pages_of


@pytest.mark.parametrize("index", [0, 1], ids=["mirrored too", "halted"])
def test_pages_draw_no_plan_that_was_drawn_ahead(index: int) -> None:
    """Only charts are left for them, and nothing is drawn ahead that they don't show."""
    book, each = demo_book()[0], shown()[index]
    house = house_of(book.studio, (), has_course=False, has_plans=False)
    ahead: dict[str, Drawn] = {}
    with drawn.kept(ahead):
        draw(each, book.studio)
    later = dict(ahead)
    with drawn.kept(later):
        pages = pages_of(house, each, Around(None, None, (), (), None))
    html = b"".join(pages.files.values()).decode()

    assert {name.partition(" ")[0] for name in later.keys() - ahead.keys()} <= {"sides", "moves"}
    assert all(one.svg in html for one in ahead.values())
    assert sum(name.startswith("held ") for name in ahead) == (2 if index == 0 else 0)
