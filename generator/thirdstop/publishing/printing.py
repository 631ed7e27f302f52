"""Set-up cards as PDF, each exactly one page, printed by the Chromium that this machine has."""

import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Literal

from thirdstop.book.book import Book
from thirdstop.errors import PublishingError
from thirdstop.pages import addresses
from thirdstop.pages.binder import BINDER, TAGS, binder, stand_tags
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.card import card_page
from thirdstop.pages.views.contents import Paper, contents
from thirdstop.pages.views.longest import longest_of_card, longest_of_tags
from thirdstop.pages.views.tags import tags
from thirdstop.pages.whole import card_alone
from thirdstop.publishing.out_file import beside_of

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
"""Looked for on the path, in this order; the variable THIRDSTOP_BROWSER names another."""

SIZES_PT: dict[Paper | Literal["A6"], tuple[float, float]] = {
    "A4": (210 / 25.4 * 72, 297 / 25.4 * 72),
    "Letter": (612.0, 792.0),
    "A5": (148 / 25.4 * 72, 210 / 25.4 * 72),
    "A6": (105 / 25.4 * 72, 148 / 25.4 * 72),
}
"""Width and height of a sheet in points (ISO 216; 8.5 in × 11 in)."""

_FLAGS = (
    "--headless",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--no-pdf-header-footer",
    # titles as bookmarks; a browser that doesn't know this leaves them out
    "--generate-pdf-document-outline",
    # the page's own clock runs ahead until its font is in and its layout is settled
    "--virtual-time-budget=10000",
)
_SECONDS, _SECONDS_EACH = 120.0, 5.0
"""After so long a browser is taken to hang; so much more for each sheet of a document of many."""
_NEAR_PT = 1.0
"""A browser rounds the size of a sheet to its own pixels."""

_DATE = re.compile(rb"\(D:\d{14}[^)]*\)")
_FIXED = b"(D:20000101000000"
_NODE = re.compile(rb"\(node(\d{8})\)")
_PAGE = re.compile(rb"/Type\s*/Page(?![a-zA-Z])")
_SHEET = re.compile(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]")


def print_recipe(book: Book, evaluated: Evaluated, paper: Paper, out: Path) -> None:
    """Print the set-up card of one recipe to `out`, without publishing the book.

    Raises PublishingError where there is no browser, where it fails, or where the card is longer than a page.
    """
    with _folder() as folder:
        _lay_out(card_alone(book, evaluated).files, Path(folder))
        longest = longest_of_card(card_page(evaluated, {}))
        print_card(Path(folder) / addresses.card(evaluated.slug), paper, out, longest)


def print_binder(book: Book, done: Sequence[Evaluated], paper: Paper, out: Path) -> int:
    """Print the set-up cards of these recipes to `out` behind their contents; returns the number of pages.

    Raises PublishingError where there is no browser, where it fails, or where a card is longer than a page:
    the cards are then tried one by one, so that it is named.
    """
    with _folder() as folder:
        _lay_out(binder(book, done, paper), Path(folder))
        pdf = _printed(Path(folder) / BINDER, f"?paper={paper}", len(done))
    pages = contents(done, paper).last
    if len(_PAGE.findall(pdf)) != pages:
        with _folder() as folder:
            for evaluated in done:
                print_recipe(book, evaluated, paper, Path(folder) / "card.pdf")
        raise PublishingError(f"the binder did not come out at {pages} pages; shorten the recipes' titles")
    _check_sheets(pdf, "the binder", paper)
    _put(steady(pdf), out)
    return pages


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
    with _folder() as folder:
        _lay_out(files, Path(folder))
        return _printed(Path(folder) / TAGS, "?paper=A6", count), count


def _too_long(pdf: bytes, count: int) -> bool:
    """Whether tags are missing, or the page that says so stands at their end: it is no A6."""
    sheets = _SHEET.findall(pdf)
    return bool(sheets) and (
        len(_PAGE.findall(pdf)) < count or (_is(sheets[0], "A6") and not _is(sheets[-1], "A6"))
    )


def _is(sheet: tuple[bytes, bytes], paper: Paper | Literal["A6"]) -> bool:
    wide, high = sheet
    return _alike((float(wide), float(high)), SIZES_PT[paper])


def print_card(card_html: Path, paper: Paper, out: Path, longest: str = "") -> None:
    """Print one set-up card to `out`; the same card gives the same bytes.

    `card_html` is a card of a written site, with what it loads beside it; `longest` names what is longest on
    it, for the sentence that says it is too long. Raises PublishingError where there is no browser, where it
    fails, or where the card would not be one page; `out` is then as it was.
    """
    pdf = _printed(card_html, f"?paper={paper}")
    _check(pdf, card_html.parent.name, paper, longest)
    _put(steady(pdf), out)


def find_browser() -> str:
    """The Chromium to print with; PublishingError saying what to install when there is none."""
    named = os.environ.get("THIRDSTOP_BROWSER")
    found = shutil.which(named) if named else next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        what = f"THIRDSTOP_BROWSER names {named}, which isn't there" if named else "no Chromium was found"
        raise PublishingError(
            f"{what}; on Debian: apt-get install chromium, or set THIRDSTOP_BROWSER to the one you have; "
            "or open the published card in any browser and print it from there"
        )
    return found


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


def _printed(html: Path, query: str, sheets: int = 0) -> bytes:
    """What the browser makes of a document; `sheets`: how many it has, where they are many."""
    with _folder() as folder:
        target = Path(folder) / "printed.pdf"
        seconds = _SECONDS + _SECONDS_EACH * sheets
        _run(find_browser(), f"{html.resolve().as_uri()}{query}", target, Path(folder), seconds)
        return target.read_bytes()


def _folder() -> "tempfile.TemporaryDirectory[str]":
    """A folder of our own; a browser's last process may still write into it when it is taken away."""
    return tempfile.TemporaryDirectory(prefix="thirdstop-", ignore_cleanup_errors=True)


def _run(browser: str, address: str, target: Path, folder: Path, seconds: float) -> None:
    flags = [*_FLAGS, f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={target}"]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        flags.append("--no-sandbox")  # Chromium's own sandbox refuses to run for root
    said = folder / "said.txt"
    try:
        status = _wait([browser, *flags, address], said, seconds)
    except subprocess.TimeoutExpired as error:
        raise PublishingError(f"{browser} did not print within {seconds:.0f} seconds") from error
    except OSError as error:
        raise PublishingError(f"{browser} would not start: {error.strerror}") from error
    if status != 0 or not target.is_file():
        lines = said.read_text(encoding="utf-8", errors="replace").splitlines()
        last = next((line for line in reversed(lines) if line.strip()), "no message")
        raise PublishingError(f"{browser} printed nothing: {last.strip()}")


def _wait(command: list[str], said: Path, seconds: float) -> int:
    """Exit status; what goes to standard error is in `said`. No process of it outlives the call."""
    with said.open("wb") as errors:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=errors,
            start_new_session=True,
        )
        try:
            return process.wait(seconds)
        finally:
            _end(process)


def _end(process: "subprocess.Popen[bytes]") -> None:
    """End whatever still runs, with the processes that it started: they share its group."""
    with suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    process.wait()


def _check(pdf: bytes, slug: str, paper: Paper, longest: str) -> None:
    """Raises PublishingError unless the PDF is one page of the paper."""
    pages = len(_PAGE.findall(pdf))
    if pages == 0:
        raise PublishingError(f"{slug}: what the browser printed has no page")
    if pages > 1:
        larger = ", or print it on A4" if paper == "A5" else ""
        most = f", the most by {longest}" if longest else ""
        raise PublishingError(
            f"{slug}: the set-up card is too long for one page of {paper}{most}; fewer things, or shorter "
            f"names of them, of their gear, of the hat or of what is held, make it shorter{larger}"
        )
    _check_sheets(pdf, slug, paper)


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
