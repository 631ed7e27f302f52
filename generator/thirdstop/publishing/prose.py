"""What is wrong with a book's own prose, found without rendering the site: links that lead nowhere."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache

from thirdstop.book.book import Book
from thirdstop.book.sources import Source, Sources
from thirdstop.errors import Fault
from thirdstop.pages import addresses
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.markdown import Names
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
    return [names.suggested(fault) for fault in faults]


def in_the_book(faults: Iterable[Fault], sources: Sources, names: Names) -> list[Fault]:
    """Faults that publishing found, each at the book's own file, and with what to write.

    A link to a place that a page hasn't is only seen in the page that was made: it is looked for in its text.
    """
    made_of = {addresses.house_page(one.slug): one for one in sources.pages}
    made_of |= {addresses.session(one.slug): one for one in sources.course}
    made_of |= {addresses.recipe(one.slug): one for one in sources.recipes}
    return [
        _as_written(fault, made_of[fault.file]) if fault.file in made_of else names.suggested(fault)
        for fault in faults
    ]


def _as_written(fault: Fault, source: Source) -> Fault:
    _, mark, anchor = fault.given.partition("#")
    wanted = f"{mark}{anchor}" if anchor else fault.given
    lines = source.text.splitlines()
    line = next((number for number, text in enumerate(lines, 1) if wanted in text), 1)
    write = "the name of the page alone" if anchor else "a recipe or page of the book"
    return Fault(source.file, line, 1, fault.wrong, wanted, write)


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
