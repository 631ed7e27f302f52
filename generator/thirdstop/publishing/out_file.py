"""Which file a PDF may be printed to: a new one, or one that is a PDF already."""

import os
from contextlib import suppress
from pathlib import Path

from thirdstop.book import sources
from thirdstop.errors import UsageError

_PDF = b"%PDF"
"""How every PDF begins (ISO 32000-1, 7.5.2)."""
_BOOK_FOLDERS = (
    sources.RECIPES_FOLDER,
    sources.PAGES_FOLDER,
    sources.COURSE_FOLDER,
    sources.LOG_FOLDER,
    "themes",
)


def pdf_at(out: Path | None, root: Path, usual: str) -> Path:
    """Where the PDF goes: `out`, or else the file of the usual name, here.

    Raises UsageError, which says what to write instead, for a folder, for a file that is no PDF, for anything
    in a folder of the book's own and its studio file, and for a place where nothing can be written. Links
    are followed before they are compared.
    """
    target = out or Path(usual)
    instead = usual if out else f"new-{usual}"
    try:
        _refuse_the_books_own(target.resolve(), root.resolve(), str(root / usual))
        _refuse_place(target, instead)
        if target.exists():
            _refuse_no_pdf(target, instead)
        _try_beside(target)
    except (OSError, RuntimeError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise UsageError(f"can't write {target}: {reason}; write: --out {instead}") from error
    return target


def _refuse_place(out: Path, instead: str) -> None:
    if out.is_dir():
        raise UsageError(f"{out} is a folder; write: --out {out / instead}")
    if not out.parent.is_dir():
        wrong = "is no folder;" if out.parent.exists() else "isn't there; make that folder first, or"
        raise UsageError(f"{out.parent} {wrong} write: --out {instead}")


def _refuse_the_books_own(out: Path, root: Path, instead: str) -> None:
    if out == root / sources.STUDIO_FILE:
        raise UsageError(f"{out.name} is the book's own studio file; write: --out {instead}")
    for name in _BOOK_FOLDERS:
        folder = (root / name).resolve()
        if out == folder:
            raise UsageError(f"{name} is the book's own folder; write: --out {instead}")
        if out.is_relative_to(folder):
            raise UsageError(f"{out.name} would stand in the book's own {name}; write: --out {instead}")


def _refuse_no_pdf(out: Path, instead: str) -> None:
    """An empty file holds nothing that could be lost: a shell makes such ones beforehand."""
    if not out.is_file():
        raise UsageError(f"{out} is no plain file; write: --out {instead}")
    with out.open("rb") as stream:
        begins = stream.read(len(_PDF))
    if begins not in (_PDF, b""):
        raise UsageError(f"{out} is there already and is no PDF; move it away, or write: --out {instead}")


def _try_beside(out: Path) -> None:
    """Raises OSError unless a file can be made where the PDF is made before it takes its name."""
    beside = beside_of(out)
    try:
        beside.touch(exist_ok=False)
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)


def beside_of(out: Path) -> Path:
    """Where the PDF is written in whole before it takes its name."""
    return out.with_name(f".{out.name}.{os.getpid()}")
