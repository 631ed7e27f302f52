"""Documents that are only printed: every set-up card of a book behind its contents, and tags for stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from thirdstop.book.book import Book
from thirdstop.drawings.palette import palette
from thirdstop.pages import addresses, drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.rendering import render, static_files
from thirdstop.pages.views.card import CardPage, card_page
from thirdstop.pages.views.contents import Contents, Paper, contents
from thirdstop.pages.views.tags import tags

BINDER, TAGS = "binder.html", "tags.html"


@dataclass(frozen=True)
class Sheet:
    """A set-up card in the binder."""

    card: CardPage
    ids: str
    """What stands before each of its ids."""
    place: str
    """'page 3 of 21'."""
    left_out: str = ""
    """Why there is nothing but its title: what is said of a card that is too long for the paper."""


def binder(
    book: Book, done: Sequence[Evaluated], paper: Paper, left_out: Mapping[str, str] | None = None
) -> dict[str, bytes]:
    """The document at `BINDER` with all that it loads, by path.

    `left_out`: the slugs of cards that are too long for the paper, with what their page says instead.
    """
    left_out = left_out or {}
    listed = contents(done, paper, left_out)
    pages = {line.anchor: line.page for page in listed.pages for group in page for line in group.lines}
    sheets = [_sheet(book, one, listed, pages, left_out.get(one.slug, "")) for one in done]
    values = {"contents": listed, "sheets": sheets, "paper": paper}
    return {**loaded(book), BINDER: printed(book, BINDER, "binder.html", "Set-up cards", values)}


def _sheet(book: Book, evaluated: Evaluated, listed: Contents, pages: dict[str, int], left_out: str) -> Sheet:
    look = palette(book.studio.theme)
    drawings = (
        {}
        if evaluated.safety_halts or left_out
        else drawn.for_card(evaluated.staging, look, book.studio.habits.units)
    )
    card = card_page(evaluated, drawings, book.studio.address)
    ids = f"{evaluated.slug}-"
    return Sheet(card, ids, f"page {pages[f'{ids}card']} of {listed.last}", left_out)


def stand_tags(book: Book, done: Sequence[Evaluated]) -> tuple[dict[str, bytes], int]:
    """The document at `TAGS` with all that it loads, by path; and how many tags it has."""
    found = [tag for one in done for tag in tags(one)]
    return {**loaded(book), TAGS: printed(book, TAGS, "tags.html", "Stand tags", {"tags": found})}, len(found)


def loaded(book: Book) -> dict[str, bytes]:
    """What a printed document loads, by path."""
    return {f"{addresses.STATIC}/{name}": data for name, data in static_files(book.studio.theme)}


def printed(book: Book, path: str, template: str, title: str, values: dict[str, object]) -> bytes:
    """One document: nothing to press, and the house's own units whatever the machine remembers."""
    shared = {
        "root": addresses.to_root(path),
        "home": "",
        "house": book.studio.name,
        "title": title,
        "units": book.studio.habits.units,
        "both_units": False,
        "menu": (),
        "how": "",
    }
    return render(book.studio.theme, template, {**shared, **values})
