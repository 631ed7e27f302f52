"""Write a site beside the former one and switch it in whole.

The new site is written into a folder beside the old one and made durable; then the two are swapped.
A fault or a kill at any moment leaves the former site or the new one:

- where the system can exchange two names (`exchange`), the swap is one step;
- elsewhere a journal says that the new site is complete, the former one is renamed away and the new one
  renamed in. A kill between the two renames leaves no site under its name for as long as nobody runs
  thirdstop again; the next run reads the journal and completes the switch before it does anything else.
"""

import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeAlias

from thirdstop.errors import PublishingError
from thirdstop.publishing import places
from thirdstop.publishing.exchange import exchange
from thirdstop.publishing.locking import locked

How: TypeAlias = Literal["exchange", "journal", "first", "unchanged"]
Swap: TypeAlias = Callable[[Path, Path], bool]

JOURNAL_TEXT = b"the new site is complete; switch it in\n"


@dataclass(frozen=True)
class Switched:
    """What a switch did, as sorted paths within the site."""

    written: tuple[str, ...]
    """New, or with new bytes."""
    kept: tuple[str, ...]
    """Same bytes; their times are kept too."""
    removed: tuple[str, ...]
    how: How


@dataclass(frozen=True)
class Place:
    """A folder to publish into, held against other runs."""

    out: Path
    swap: Swap = exchange

    def beside(self, what: str) -> Path:
        """A name next to the site, hidden, for the time of the switch."""
        return self.out.parent / f".{self.out.name}.thirdstop-{what}"

    @property
    def next(self) -> Path:
        """Where the new site is written; after an exchange it holds the former one."""
        return self.beside("next")

    @property
    def former(self) -> Path:
        """Where the former site waits during a switch by journal."""
        return self.beside("former")

    @property
    def journal(self) -> Path:
        """Present only while a complete new site is being renamed in."""
        return self.beside("journal")

    def switch(self, files: Mapping[str, bytes]) -> Switched:
        """Make the site these files, and no others (but its .gitignore); path to bytes, paths with '/'.

        Files that don't change keep their bytes and times. Raises PublishingError; the former site is then
        untouched.
        """
        places.require_safe_names(files)
        try:
            places.require_ours(self.out)
            return self._switch(files)
        except OSError as error:
            if not places.is_there(self.journal):
                _remove_if_possible(self.next)
            raise PublishingError(f"the site could not be written, the former one stands: {error}") from error

    def _switch(self, files: Mapping[str, bytes]) -> Switched:
        marker = places.marker_text(files)
        former = places.listed(self.out)
        kept = frozenset(
            path for path, data in files.items() if path in former and _holds(self.out / path, data)
        )
        written, removed = files.keys() - kept, former - files.keys()
        same = not written and not removed and _holds(self.out / places.MARKER, marker)
        how: How = "unchanged"
        if not same:
            self._write_next(files, kept, marker)
            how = self._swap_in()
        return Switched(tuple(sorted(written)), tuple(sorted(kept)), tuple(sorted(removed)), how)

    def _write_next(self, files: Mapping[str, bytes], kept: frozenset[str], marker: bytes) -> None:
        """Write the new site whole and durable; its marker first, so that a torn one is known as ours."""
        self.next.mkdir()
        _write(self.next / places.MARKER, marker)
        if places.is_plain_file(self.out / places.KEPT):
            _carry_over(self.out / places.KEPT, self.next / places.KEPT)
        for path, data in sorted(files.items()):
            target = self.next / path
            target.parent.mkdir(parents=True, exist_ok=True)
            if path in kept:
                _carry_over(self.out / path, target)
            else:
                _write(target, data)
        if places.is_there(self.out):
            shutil.copymode(self.out, self.next)
        for folder in [self.next, *filter(places.is_plain_folder, places.everything_in(self.next))]:
            _make_durable(folder)

    def _swap_in(self) -> How:
        if not places.is_there(self.out):
            self.next.rename(self.out)
            return "first"
        if self.swap(self.next, self.out):
            _remove_if_possible(self.next)
            return "exchange"
        self._write_journal()
        self._complete()
        return "journal"

    def _write_journal(self) -> None:
        draft = self.beside("journal-draft")
        _write(draft, JOURNAL_TEXT)
        draft.rename(self.journal)
        _make_durable(self.out.parent)

    def _complete(self) -> None:
        """Carry out what the journal says, from wherever the last run left it; safe to repeat."""
        if places.is_there(self.next):
            if places.is_there(self.out):
                self.out.rename(self.former)
            try:
                self.next.rename(self.out)
            except OSError:
                self._settle()
                raise
        self._settle()
        _remove_if_possible(self.former)

    def _settle(self) -> None:
        """End the journal; if there is no site under its name, the former one gets it back."""
        if not places.is_there(self.out) and places.is_there(self.former):
            self.former.rename(self.out)
        _make_durable(self.out.parent)
        self.journal.unlink()

    def recover(self) -> None:
        """Complete or clear away what a run that was killed left behind.

        Raises PublishingError when something not ours has one of the names that are needed.
        """
        for folder in (self.next, self.former):
            places.require_ours(folder)
        for file in (self.journal, self.beside("journal-draft")):
            if places.is_there(file) and not places.is_plain_file(file):
                raise PublishingError(f"{file} is in the way; move it away")
        if places.is_there(self.journal):
            places.require_ours(self.out)
            self._complete()
        for folder in (self.next, self.former):
            _remove(folder)
        self.beside("journal-draft").unlink(missing_ok=True)


@contextmanager
def holding(out: Path, book: Path | None = None, swap: Swap = exchange) -> Iterator[Place]:
    """Hold a folder for publishing: lock it, complete what a killed run left, check that it may be replaced.

    Raises PublishingError when another run holds it, when it is not thirdstop's to replace, or when it lies
    over `book` or in its sources.
    """
    place = Place(_real_place(out), swap)
    if book is not None:
        places.require_apart(place.out, book)
    with locked(place.beside("lock")):
        try:
            place.recover()
            places.require_ours(place.out)
        except OSError as error:
            raise PublishingError(f"can't publish into {place.out}: {error}") from error
        yield place


def _real_place(out: Path) -> Path:
    """The folder's path with the links above it followed; the folder itself may not be one."""
    if out.is_symlink():
        raise PublishingError(f"{out} is a link; name the folder itself")
    out = out.absolute()
    if out.name in ("", ".."):
        raise PublishingError(f"{out} is not a folder to publish into; give it a name of its own")
    try:
        return out.parent.resolve(strict=True) / out.name
    except (OSError, RuntimeError) as error:
        raise PublishingError(f"{out.parent} is not there to publish into") from error


def _holds(file: Path, data: bytes) -> bool:
    return places.is_plain_file(file) and file.stat().st_size == len(data) and file.read_bytes() == data


def _write(file: Path, data: bytes) -> None:
    with file.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _carry_over(source: Path, target: Path) -> None:
    """The same file in the new folder: a second name for it, or a copy with its times."""
    try:
        os.link(source, target, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(source, target, follow_symlinks=False)


def _make_durable(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(
            OSError
        ):  # some file systems have no fsync for folders; the renames still come in order
            os.fsync(handle)
    finally:
        os.close(handle)


def _remove_if_possible(folder: Path) -> None:
    """Clear away what is no longer needed; what can't be removed now is the next run's to clear."""
    with suppress(OSError):
        _remove(folder)


def _remove(folder: Path) -> None:
    """Delete a folder of ours; its marker last, so that one torn by a kill is still known as ours."""
    if not places.is_there(folder):
        return
    for entry in reversed(list(places.everything_in(folder))):
        if entry == folder / places.MARKER:
            continue
        if places.is_plain_folder(entry):
            entry.rmdir()
        else:
            entry.unlink()
    (folder / places.MARKER).unlink(missing_ok=True)
    folder.rmdir()
