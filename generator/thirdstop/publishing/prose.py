"""What is wrong with a book's own prose, found without rendering the site: links that lead nowhere."""

from collections.abc import Callable, Iterator, Sequence
from functools import cache

from thirdstop.book.book import Book
from thirdstop.errors import Fault
from thirdstop.pages import addresses
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.of_house import links_of, names_of
from thirdstop.pages.of_recipe import written_notes
from thirdstop.pages.whole import some_pages
from thirdstop.publishing.links import read_page


def prose_faults(book: Book, done: Sequence[Evaluated]) -> list[Fault]:
    """Every fault of the house's pages, the course and the recipes' notes, each at its file and line.

    A link may name an anchor of a page: only then is that page rendered, to see whether it has it.
    """
    names = names_of(((one.slug, one.recipe.title) for one in book.recipes), book.pages)

    @cache
    def anchors(path: str) -> frozenset[str]:
        data = some_pages(book, done, path).files.get(path)
        return frozenset(read_page(path, data).anchors) if data is not None else frozenset()

    faults: list[Fault] = []
    for text, file, line, path in _texts(book):
        links = {name: to for name, to in links_of(text, names) if _there(to, anchors)}
        faults += written_notes(text, file, path, links, line, "", 2).faults
    return faults


def _texts(book: Book) -> Iterator[tuple[str, str, int, str]]:
    """Text, file, the line on which it begins, and the page that it is on."""
    for page in book.pages:
        yield page.text, page.file, 2, addresses.house_page(page.slug)
    for page in book.course:
        yield page.text, page.file, 2, addresses.session(page.slug)
    for one in book.recipes:
        line = one.marks.value(("notes",)).line + 1
        yield one.recipe.notes, one.file, line, addresses.recipe(one.slug)


def _there(to: str, anchors: Callable[[str], frozenset[str]]) -> bool:
    path, mark, anchor = to.partition("#")
    return not mark or anchor in anchors(path)
