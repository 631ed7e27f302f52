"""The whole site: rendered, its links checked, switched in."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from thirdstop.book.book import Book
from thirdstop.errors import BookFaults
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.whole import whole_site
from thirdstop.publishing.links import broken_links
from thirdstop.publishing.switching import holding


@dataclass(frozen=True)
class Summary:
    """What publishing did."""

    written: int
    """Files that are new or changed."""
    kept: int
    """Files that were the same already; their times are kept."""
    removed: int


def publish_site(
    book: Book,
    done: Sequence[Evaluated],
    out: Path,
    progress: Callable[[int], None] | None = None,
    learnt: Learnt | None = None,
) -> Summary:
    """Renders every page of the book and switches the site into `out` in whole.

    Raises BookFaults for prose or links that lead nowhere, PublishingError where `out` can't be written or
    isn't ours to write; in each case the former site is untouched.
    """
    rendered = whole_site(book, done, progress, learnt)
    faults = rendered.faults + broken_links(rendered.files)
    if faults:
        raise BookFaults(faults)
    with holding(out, book.root) as place:
        switched = place.switch(rendered.files)
    return Summary(len(switched.written), len(switched.kept), len(switched.removed))
