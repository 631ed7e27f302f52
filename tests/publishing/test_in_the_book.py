"""What publishing finds wrong is said of the book's own files."""

from pathlib import Path

from thirdstop.book.sources import Source, Sources
from thirdstop.errors import Fault
from thirdstop.pages import addresses
from thirdstop.pages.markdown import Names
from thirdstop.publishing.prose import in_the_book

PAGE = Source("rules", "pages/rules.md", "# Rules\n\nSee [how](how#rat).\n")
SOURCES = Sources(Path(), None, (), (PAGE,), (), ())


def test_a_page_that_was_made_is_told_as_the_file_that_it_was_made_of() -> None:
    """With the line on which the link stands, and what to write."""
    made = Fault(
        addresses.house_page("rules"), 37, 13, "leads to a place that isn't on that page", "../how.html#rat"
    )
    other = Fault("index.html", 1, 1, "leads to a page that isn't there", "gone.html")

    assert [str(fault) for fault in in_the_book([made, other], SOURCES, Names({}, {}))] == [
        "pages/rules.md:3:1: leads to a place that isn't on that page; given: #rat; "
        "write: the name of the page alone",
        "index.html:1:1: leads to a page that isn't there; given: gone.html",
    ]
