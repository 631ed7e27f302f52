"""Set-up cards as PDF, each exactly one page, printed by the Chromium that this machine has."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from thirdstop.book.book import Book
from thirdstop.book.feet import feet
from thirdstop.constants import Units
from thirdstop.errors import PublishingError
from thirdstop.pages import addresses
from thirdstop.pages.binder import BINDER, TAGS, binder, stand_tags
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.card import card_page
from thirdstop.pages.views.contents import Paper, anchor, contents
from thirdstop.pages.views.longest import longest_of_card, longest_of_tags
from thirdstop.pages.views.tags import tags
from thirdstop.pages.whole import card_alone
from thirdstop.publishing.browser import folder, printed, settled
from thirdstop.publishing.out_file import beside_of

SIZES_PT: dict[Paper | Literal["A6"], tuple[float, float]] = {
    "A4": (210 / 25.4 * 72, 297 / 25.4 * 72),
    "Letter": (612.0, 792.0),
    "A5": (148 / 25.4 * 72, 210 / 25.4 * 72),
    "A6": (105 / 25.4 * 72, 148 / 25.4 * 72),
}
"""Width and height of a sheet in points (ISO 216; 8.5 in × 11 in)."""

_ROOMY: Paper = "A4"
"""The paper with the most room for a card."""


def _roomy(paper: Paper, units: Units) -> Paper:
    """The paper that is named where a card is too long: of A5 that which a house in feet has at hand."""
    return "Letter" if units == "imperial" and paper == "A5" else _ROOMY


_NEAR_PT = 1.0
"""A browser rounds the size of a sheet to its own pixels."""

_DATE = re.compile(rb"\(D:\d{14}[^)]*\)")
_FIXED = b"(D:20000101000000"
_NODE = re.compile(rb"\(node(\d{8})\)")
_PAGE = re.compile(rb"/Type\s*/Page(?![a-zA-Z])")
_SHEET = re.compile(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]")
_CARD = re.compile(r'<article(?=[^>]* class="card")[^>]*>')
_OVER, _ID = re.compile(r' data-over="(\d+)"'), re.compile(r' id="([^"]*)"')


@dataclass(frozen=True)
class Binder:
    """A binder that was printed."""

    pages: int
    left_out: tuple[str, ...]
    """Of each card that is too long for the paper: which, by how much, and what to do; its page says so."""


def print_recipe(book: Book, evaluated: Evaluated, paper: Paper, out: Path) -> None:
    """Print the set-up card of one recipe to `out`, without publishing the book.

    Raises PublishingError where there is no browser, where it fails, or where the card is longer than a page.
    """
    with folder() as at:
        _lay_out(card_alone(book, evaluated).files, Path(at))
        longest = longest_of_card(card_page(evaluated, {}))
        card = Path(at) / addresses.card(evaluated.slug)
        print_card(card, paper, out, longest, book.studio.habits.units)


def print_binder(book: Book, done: Sequence[Evaluated], paper: Paper, out: Path) -> Binder:
    """Print the set-up cards of these recipes to `out` behind their contents.

    A card that is longer than a page is left out, and its page says why. Raises PublishingError where there
    is no browser, where it fails, or where no card that could be built from is left.
    """
    left_out: dict[str, str] = {}
    files = binder(book, done, paper)
    pdf = _bound(files, paper, len(done))
    if len(_PAGE.findall(pdf)) != contents(done, paper).last:
        left_out = _left_out(files, done, paper, book.studio.habits.units)
        if len(left_out) == sum(not one.safety_halts for one in done):
            raise PublishingError("\n".join(left_out.values()))
        pdf = _bound(binder(book, done, paper, left_out), paper, len(done))
    pages = contents(done, paper, left_out).last
    if len(_PAGE.findall(pdf)) != pages:
        raise PublishingError(f"the binder did not come out at {pages} pages; shorten the recipes' titles")
    _check_sheets(pdf, "the binder", paper)
    _put(steady(pdf), out)
    return Binder(pages, tuple(left_out.values()))


def _bound(files: Mapping[str, bytes], paper: Paper, sheets: int) -> bytes:
    with folder() as at:
        _lay_out(files, Path(at))
        return printed(Path(at) / BINDER, f"?paper={paper}", sheets)


def _left_out(
    files: Mapping[str, bytes], done: Sequence[Evaluated], paper: Paper, units: Units
) -> dict[str, str]:
    """What is said of each recipe whose card is too long, by slug: all of them, however many."""
    with folder() as at:
        _lay_out(files, Path(at))
        sizes = dict.fromkeys((paper, _roomy(paper, units)))
        over = {size: _over_mm(Path(at) / BINDER, size, len(done)) for size in sizes}
    return {
        one.slug: _long(
            one.slug,
            paper,
            {size: found.get(anchor(one.slug), 0) for size, found in over.items()},
            longest_of_card(card_page(one, {})),
            units,
        )
        for one in done
        if anchor(one.slug) in over[paper]
    }


def print_tags(book: Book, done: Sequence[Evaluated], out: Path) -> int:
    """Print a tag of A6 for each stand of these recipes to `out`; returns how many.

    A tag that is longer than its sheet runs on to further pages, each with its number. Raises PublishingError
    where nothing is on a stand, where there is no browser, where it fails, or where a single one of a tag's
    parts is longer than a page.
    """
    pdf, count = _tags(book, done)
    if not count:
        raise PublishingError(f"{done[0].slug}: nothing of it is on a stand, so there is no tag to print")
    if _too_long(pdf, count):
        each = [one for one in done if len(done) == 1 or _too_long(*_tags(book, [one]))]
        long = "; ".join(f"{one.slug}: {longest_of_tags(tags(one))}" for one in each)
        raise PublishingError(f"a part of a stand's tag is longer than a page of A6: {long}")
    _check_sheets(pdf, "the tags", "A6")
    _put(steady(pdf), out)
    return count


def _tags(book: Book, done: Sequence[Evaluated]) -> tuple[bytes, int]:
    """The PDF of these recipes' tags, and how many tags it holds; nothing is printed where there are none."""
    files, count = stand_tags(book, done)
    if not count:
        return b"", 0
    with folder() as at:
        _lay_out(files, Path(at))
        return printed(Path(at) / TAGS, "?paper=A6", count), count


def _too_long(pdf: bytes, count: int) -> bool:
    """Whether tags are missing, or the page that says so stands at their end: it is no A6."""
    sheets = _SHEET.findall(pdf)
    return bool(sheets) and (
        len(_PAGE.findall(pdf)) < count or (_is(sheets[0], "A6") and not _is(sheets[-1], "A6"))
    )


def _is(sheet: tuple[bytes, bytes], paper: Paper | Literal["A6"]) -> bool:
    wide, high = sheet
    return _alike((float(wide), float(high)), SIZES_PT[paper])


def print_card(card_html: Path, paper: Paper, out: Path, longest: str = "", units: Units = "metric") -> None:
    """Print one set-up card to `out`; the same card gives the same bytes.

    `card_html` is a card of a written site, with what it loads beside it; `longest` names what is longest on
    it, for the sentence that says it is too long, in these units. Raises PublishingError where there is no
    browser, where it fails, or where the card would not be one page; `out` is then as it was.
    """
    pdf = printed(card_html, f"?paper={paper}")
    _check(pdf, card_html, paper, longest, units)
    _put(steady(pdf), out)


def steady(pdf: bytes) -> bytes:
    """The PDF without what differs from run to run; every offset stays, so the file stays whole.

    Both date stamps become a fixed one. The ids that tie table cells to their headers count the nodes of
    the page as the browser met them: they are numbered from 1, in the same order.
    """
    dated = _DATE.sub(lambda found: _FIXED + found[0][len(_FIXED) :], pdf)
    numbers = {old: new for new, old in enumerate(sorted(set(_NODE.findall(dated))), start=1)}
    return _NODE.sub(lambda found: b"(node%08d)" % numbers[found[1]], dated)


def _lay_out(files: Mapping[str, bytes], folder: Path) -> None:
    for path, data in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)


def _check(pdf: bytes, card_html: Path, paper: Paper, longest: str, units: Units) -> None:
    """Raises PublishingError unless the PDF is one page of the paper."""
    pages, slug = len(_PAGE.findall(pdf)), card_html.parent.name
    if pages == 0:
        raise PublishingError(f"{slug}: what the browser printed has no page")
    if pages > 1:
        sizes = dict.fromkeys((paper, _roomy(paper, units)))
        over = {size: max(_over_mm(card_html, size).values(), default=0) for size in sizes}
        raise PublishingError(_long(slug, paper, over, longest, units))
    _check_sheets(pdf, slug, paper)


def _over_mm(html: Path, paper: Paper, sheets: int = 0) -> dict[str, int]:
    """By how many millimetres each card of a document is too long for the paper, by its id; those that fit
    are not in it.
    """
    found = {}
    for card in _CARD.findall(settled(html, f"?paper={paper}", sheets)):
        over, name = _OVER.search(card), _ID.search(card)
        if over is not None:
            found[name[1] if name else ""] = int(over[1])
    return found


def _long(slug: str, paper: Paper, over_mm: Mapping[Paper, int], longest: str, units: Units) -> str:
    """Which card is too long for which paper, by how much, and what to do."""
    by = f"{_by(over_mm[paper], units)} " if over_mm[paper] else ""
    most = f", the most by {longest}" if longest else ""
    other = _roomy(paper, units)
    roomy = (
        f"it is {_by(over_mm[other], units)} too long for {other}, too"
        if over_mm[other]
        else f"{other} has room for it"
    )
    return (
        f"{slug}: the set-up card is {by}too long for one page of {paper}{most}; fewer things, or shorter "
        "names of them, of their gear, of the hat or of what is held, make it shorter"
        f"{f'; {roomy}' if paper != other else ''}"
    )


def _by(over_mm: int, units: Units) -> str:
    return feet(over_mm / 1000, up=True) if units == "imperial" else f"{over_mm} mm"


def _check_sheets(pdf: bytes, what: str, paper: Paper | Literal["A6"]) -> None:
    """Raises PublishingError unless every page is of the paper."""
    sheets = _SHEET.findall(pdf)
    if not sheets or not all(_is(sheet, paper) for sheet in sheets):
        raise PublishingError(f"{what}: the browser did not print on {paper}: the card's script did not run")


def _alike(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return all(abs(a - b) <= _NEAR_PT for a, b in zip(one, other, strict=True))


def _put(pdf: bytes, out: Path) -> None:
    """The file in whole or not at all."""
    beside = beside_of(out)
    try:
        try:
            beside.write_bytes(pdf)
            beside.replace(out)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise PublishingError(f"can't write {out}: {error.strerror}") from error
