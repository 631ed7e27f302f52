"""What the pages are at this moment: computed quickly as soon as a file is saved, and in whole behind that.

A saved recipe shows its readings at once, without bands and corrections; those follow when they are computed.
Pages are rendered when somebody asks for them.
"""

import hashlib
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path
from typing import TypeAlias

from thirdstop.book.book import Book
from thirdstop.book.fault_units import told_in, units_of
from thirdstop.book.sources import (
    COURSE_FOLDER,
    LOG_FOLDER,
    PAGES_FOLDER,
    RECIPES_FOLDER,
    STUDIO_FILE,
)
from thirdstop.errors import BookFaults, Fault, UsageError
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.whole import faults_page, some_pages
from thirdstop.running import (
    Known,
    StagedRecipe,
    evaluate_quickly,
    evaluate_whole,
    keep,
    kept,
    open_and_stage,
)

Result: TypeAlias = Future[tuple[Evaluated, list[Fault]]]
Stamp: TypeAlias = tuple[tuple[str, int, int], ...]
"""Name, time and size of every file of the book: enough to notice that one was saved."""


@dataclass
class _Now:
    """One state of the book, and the pages of it that were asked for."""

    faults: list[Fault] = field(default_factory=list)
    book: Book | None = None
    done: list[Evaluated] = field(default_factory=list)
    pages: dict[str, bytes] = field(default_factory=dict)


class Preview:
    """The pages of the book in `root` as it is now. Safe to ask from several threads."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._stamp: Stamp | None = None
        self._known: Known | None = None
        self._rough: dict[str, StagedRecipe] = {}
        self._deeper: tuple[StagedRecipe, Result] | None = None
        # spawned, and only once there is something to compute
        self._beside = ProcessPoolExecutor(1, get_context("spawn"))
        self._now = _Now()
        self._changed = threading.Condition()

    def page(self, path: str) -> bytes | None:
        """A file of the site as it is now; None where the site has none of that path."""
        with self._changed:
            now = self._now
            if path not in now.pages:
                now.pages.update(self._rendered(now, path))
            return now.pages.get(path)

    def wait(self, path: str, tag: str, seconds: float) -> bool:
        """Wait until the page's `tag` is another than this one; False where it stays so for these seconds."""
        with self._changed:
            return self._changed.wait_for(lambda: self._tag(path) != tag, seconds)

    def _tag(self, path: str) -> str:
        return tag_of(self.page(path) or b"")

    def look(self) -> bool:
        """See whether a file was saved since, and follow it. True where one was."""
        stamp = tuple(_stamp(self._root))
        if stamp == self._stamp:
            return False
        self._stamp = stamp
        try:
            book, staged = open_and_stage(self._root, self._known)
        except UsageError as error:
            if self._now.book is None and not self._now.faults:
                raise  # there never was a book here
            # an editor that saves under another name first takes the studio file away for a moment
            self._show(_Now([Fault(STUDIO_FILE, 1, 1, str(error))], self._now.book, self._now.done))
            return True
        except BookFaults as error:
            self._show(_Now(faults=error.faults, book=self._now.book, done=self._now.done))
            return True
        self._known = Known(book.studio, {one.loaded.slug: one for one in staged})
        done = [kept(book, one, whole=True) for one in staged]
        self._rough = {one.loaded.slug: one for one, found in zip(staged, done, strict=True) if found is None}
        shown = [found or evaluate_quickly(one) for one, found in zip(staged, done, strict=True)]
        self._show(_Now(book=book, done=shown))
        return True

    def deepen(self) -> bool:
        """Have one recipe that was computed quickly computed in whole, in a process beside this one.

        True where a result has come in; one that a newer file has overtaken is dropped.
        """
        if self._deeper is None and self._rough and not self._now.faults:
            self._deeper = self._begun(next(iter(self._rough.values())))
        if self._deeper is None or not self._deeper[1].done():
            return False
        (one, result), self._deeper = self._deeper, None
        book, slug = self._now.book, one.loaded.slug
        if book is None or self._rough.get(slug) is not one:
            return False
        del self._rough[slug]
        evaluated, faults = result.result()
        if not faults:
            keep(book, one, evaluated, whole=True)
        done = [evaluated if each.slug == slug else each for each in self._now.done]
        self._show(_Now(faults=faults, book=book, done=done))
        return True

    def close(self) -> None:
        """End the process beside this one."""
        self._beside.shutdown(wait=False, cancel_futures=True)

    def _begun(self, one: StagedRecipe) -> "tuple[StagedRecipe, Result]":
        assert self._known is not None
        return one, self._beside.submit(evaluate_whole, self._known.studio, one)

    def _show(self, now: _Now) -> None:
        with self._changed:
            self._now = now
            self._changed.notify_all()

    def _rendered(self, now: _Now, path: str) -> dict[str, bytes]:
        if now.book is None or (now.faults and path.endswith(".html")):
            return self._faults_page(now.book, path, now.faults)
        try:
            written = some_pages(now.book, now.done, path)
        except BookFaults as error:
            # of the theme's own files: told in the base theme
            now.faults = error.faults
            return self._faults_page(None, path, now.faults)
        if written.faults:
            now.faults = written.faults
            return self._faults_page(now.book, path, now.faults)
        return written.files

    def _faults_page(self, book: Book | None, path: str, faults: Sequence[Fault]) -> dict[str, bytes]:
        units = units_of(self._root)
        return {path: faults_page(book, path, [told_in(fault, units) for fault in faults])}


def tag_of(data: bytes) -> str:
    """A name for these very bytes."""
    return hashlib.sha256(data).hexdigest()[:16]


def follow(preview: Preview, ended: Callable[[float], bool], pause_s: float = 0.05) -> None:
    """Look and deepen until `ended`, which waits for so many seconds and says whether to end."""
    while not ended(0.0 if preview.look() or preview.deepen() else pause_s):
        pass


def _stamp(root: Path) -> Iterator[tuple[str, int, int]]:
    folders = [root / name for name in (RECIPES_FOLDER, PAGES_FOLDER, COURSE_FOLDER, LOG_FOLDER)]
    files = [root / STUDIO_FILE]
    for folder in folders:
        files += sorted(folder.iterdir()) if folder.is_dir() else []
    for file in files:
        try:
            status = file.stat()
        except OSError:
            continue  # gone again: the next look will see it so
        yield str(file), status.st_mtime_ns, status.st_size
