"""Links of a book's own prose, judged without a site."""

from dataclasses import replace

import pytest

from pages.samples import demo
from thirdstop.book.book import Book
from thirdstop.pages.whole import whole_site
from thirdstop.publishing.links import broken_links
from thirdstop.publishing.prose import prose_faults

DONE = [each for each in demo()[1] if each.slug in ("01-borrowed-window", "06-under-the-brim")]


def book_with(text: str) -> Book:
    """Two recipes of the demo book, an empty page of the house's, and one with this text; no course."""
    recipes = tuple(each.loaded for each in DONE)
    empty = replace(demo()[0].pages[0], text="")
    page = replace(empty, slug="more", file="pages/more.md", title="More", text=f"\n{text}\n")
    return replace(demo()[0], recipes=recipes, course=(), pages=(empty, page))


def test_the_demo_book_leads_somewhere_everywhere() -> None:
    """No fault in its pages, its course and its notes."""
    assert prose_faults(*demo()) == []


@pytest.mark.parametrize(
    ("link", "wrong"),
    [
        ("Under the brim", ""),
        ("recipe:under-the-brim", ""),
        ("how-we-work", ""),
        ("how#ratio", ""),
        ("safety#stands", ""),
        ("under-the-brim#cautions", ""),
        ("https://example.org/", ""),
        ("Under the brims", "there is no recipe or page of this name"),
        ("how#rat", "there is no recipe or page of this name"),
        ("#nowhere", "there is no heading on this page of this name"),
        ("ftp://example.org/", "a link can't lead there"),
    ],
)
def test_a_link_is_judged_at_its_line(link: str, wrong: str) -> None:
    """What publishing refuses is refused, on the line of the page's file; what it takes is taken."""
    book = book_with(f"A [word](<{link}>).")
    faults = prose_faults(book, DONE)

    assert [(fault.file, fault.line, fault.wrong) for fault in faults] == (
        [("pages/more.md", 3, wrong)] if wrong else []
    )


def test_publishing_refuses_the_same() -> None:
    """A link to an anchor that isn't there is refused by both, one that is there by neither."""
    for link in ("how#rat", "how#ratio"):
        book = book_with(f"A [word](<{link}>).")
        written = whole_site(book, DONE)
        assert bool(prose_faults(book, DONE)) == bool(
            [fault for fault in written.faults if fault.file == "pages/more.md"]
            or [fault for fault in broken_links(written.files) if fault.file == "pages/more.html"]
        )


def test_notes_and_course_are_read_too() -> None:
    """A recipe's notes and a session are judged as the pages are, each at its own file and line."""
    book = demo()[0]
    recipe = book.recipes[0]
    notes = recipe.recipe.model_copy(update={"notes": "See [it](nowhere)."})
    course = [replace(book.course[0], text="\nSee [it](nowhere).\n"), *book.course[1:]]
    changed = replace(book, recipes=(replace(recipe, recipe=notes), *book.recipes[1:]), course=tuple(course))
    faults = prose_faults(changed, demo()[1])

    assert [fault.file for fault in faults] == [book.course[0].file, recipe.file]
    assert faults[1].line == recipe.marks.value(("notes",)).line + 1
