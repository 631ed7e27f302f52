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
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, TypeAlias

from thirdstop.errors import PublishingError
from thirdstop.publishing import places
from thirdstop.publishing.exchange import exchange
from thirdstop.publishing.folders import lend, put_by
from thirdstop.publishing.locking import locked
from thirdstop.publishing.syncing import fsync, make_durable

How: TypeAlias = Literal["exchange", "journal", "first", "unchanged"]
Swap: TypeAlias = Callable[[Path, Path], bool]

_HANDS, _MANY = 16, 100
"""So many threads clear a folder away, where it holds more entries than that."""

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
    spare: Path | None = None
    """Where the folders of the former site wait for the next one; without it they are made anew each time."""

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
        with self.renewal(files) as new:
            for path, data in sorted(files.items()):
                new.put(path, data)
            return new.finish()

    @contextmanager
    def renewal(self, paths: Iterable[str], former: Mapping[str, str] | None = None) -> "Iterator[Renewal]":
        """The site put together anew of files of these paths; unless it is finished, the former one stands.

        `former` are the digests of what the site holds, where somebody has worked them out under this lock.
        Raises PublishingError where the site can't be written.
        """
        paths = frozenset(paths)
        places.require_safe_names(paths)
        try:
            places.require_ours(self.out)
            yield Renewal(self, paths, places.standing(self.out) if former is None else former)
        except OSError as error:
            raise PublishingError(f"the site could not be written, the former one stands: {error}") from error
        finally:
            if not places.is_there(self.journal):
                self._remove_if_possible(self.next)

    def _swap_in(self) -> How:
        if not places.is_there(self.out):
            self.next.rename(self.out)
            return "first"
        if self.swap(self.next, self.out):
            self._remove_if_possible(self.next)
            return "exchange"
        self._write_journal()
        self._complete()
        return "journal"

    def _write_journal(self) -> None:
        draft = self.beside("journal-draft")
        _write(draft, JOURNAL_TEXT)
        fsync(draft)
        draft.rename(self.journal)
        fsync(self.out.parent)

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
        self._remove_if_possible(self.former)

    def _settle(self) -> None:
        """End the journal; if there is no site under its name, the former one gets it back."""
        if not places.is_there(self.out) and places.is_there(self.former):
            self.former.rename(self.out)
        fsync(self.out.parent)
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
            self._remove(folder)
        self.beside("journal-draft").unlink(missing_ok=True)

    def _remove_if_possible(self, folder: Path) -> None:
        """Clear away what is no longer needed; what can't be removed now is the next run's to clear."""
        with suppress(OSError):
            self._remove(folder)

    def _remove(self, folder: Path) -> None:
        """Delete a folder of ours; its marker last, so that one torn by a kill is still known as ours."""
        if not places.is_there(folder):
            return
        _each(os.unlink, _below(folder, folders=False))
        if self.spare is not None:
            put_by(folder, self.spare)
        left: dict[int, list[str]] = {}
        for entry in _below(folder, folders=True):
            left.setdefault(entry.count(os.sep), []).append(entry)
        for depth in sorted(left, reverse=True):
            _each(os.rmdir, left[depth])
        (folder / places.MARKER).unlink(missing_ok=True)
        folder.rmdir()


@dataclass
class Renewal:
    """A new site beside the former one: each of its files is put, or stays as it stands."""

    place: Place
    paths: frozenset[str]
    """Of all files that it will have."""
    former: Mapping[str, str]
    """Path to SHA-256 of what the former site holds."""
    _digests: dict[str, str] = field(default_factory=dict)
    _written: set[str] = field(default_factory=set)
    _folders: set[str] = field(default_factory=lambda: {""})
    """Those that the new site has by now, the site's own among them."""
    _next: str = field(init=False)
    """The new site's folder, as text: a path is put together for every file."""

    def __post_init__(self) -> None:
        self._next = str(self.place.next)

    def stays(self, path: str, digest: str) -> bool:
        """Keep a file as it stands; False where what stands there has another SHA-256, or nothing does."""
        if self.former.get(path) != digest:
            return False
        self._digests[path] = digest
        return True

    def put(self, path: str, data: bytes) -> str:
        """Write a file, unless these bytes stand there already; returns their SHA-256."""
        digest = places.digest(data)
        if not self.stays(path, digest):
            self._begin()
            _write(self._room_for(path), data)
            self._digests[path] = digest
            self._written.add(path)
        return digest

    def read(self, path: str) -> bytes:
        """A file that was put, or that stays."""
        written = self.place.next / path
        return (written if path in self._written else self.place.out / path).read_bytes()

    def finish(self) -> Switched:
        """Switch the new site in; where nothing is otherwise, the former one is left as it is."""
        assert self._digests.keys() == self.paths, "a file was neither put nor kept"
        kept = self.paths.difference(self._written)
        removed = places.listed(self.place.out) - self.paths
        marker = places.marker_text(self._digests)
        same = not self._written and not removed and _holds(self.place.out / places.MARKER, marker)
        how: How = "unchanged"
        if not same:
            self._begin()
            out = str(self.place.out)
            for path in sorted(kept):
                _carry_over(f"{out}/{path}", self._room_for(path))
            self._sign(marker)
            how = self.place._swap_in()
        return Switched(tuple(sorted(self._written)), tuple(sorted(kept)), tuple(sorted(removed)), how)

    def _room_for(self, path: str) -> str:
        """Where a file of the new site goes, in a folder that is there."""
        folder = path.rpartition("/")[0]
        if folder not in self._folders:
            Path(f"{self._next}/{folder}").mkdir(parents=True, exist_ok=True)
            self._folders.add(folder)
        return f"{self._next}/{path}"

    def _begin(self) -> None:
        """The new folder, its marker first: so one that is torn by a kill is known as ours."""
        new, out = self.place.next, self.place.out
        if places.is_there(new):
            return
        new.mkdir()
        _write(new / places.MARKER, places.marker_text(dict.fromkeys(self.paths, "0" * 64)))
        if self.place.spare is not None:
            self._folders |= lend(self.place.spare, new, places.folders_of(self.paths))
        if places.is_plain_file(out / places.KEPT):
            _carry_over(str(out / places.KEPT), str(new / places.KEPT))

    def _sign(self, marker: bytes) -> None:
        """Give the new folder its true marker, and make all of it durable."""
        new, draft = self.place.next, self.place.beside("journal-draft")
        _write(draft, marker)
        draft.replace(new / places.MARKER)
        if places.is_there(self.place.out):
            shutil.copymode(self.place.out, new)
        make_durable(new)


@contextmanager
def holding(
    out: Path, book: Path | None = None, swap: Swap = exchange, spare: Path | None = None
) -> Iterator[Place]:
    """Hold a folder for publishing: lock it, complete what a killed run left, check that it may be replaced.

    `spare`: see `Place`.

    Raises PublishingError when another run holds it, when it is not thirdstop's to replace, or when it lies
    over `book` or in its sources.
    """
    place = Place(_real_place(out), swap, spare)
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
        raise PublishingError(
            f"{out.parent} is not there to publish into; make it first, or name another folder with --out"
        ) from error


def _holds(file: Path, data: bytes) -> bool:
    return places.is_plain_file(file) and file.stat().st_size == len(data) and file.read_bytes() == data


def _write(file: Path | str, data: bytes) -> None:
    with Path(file).open("xb") as stream:
        stream.write(data)


def _carry_over(source: str, target: str) -> None:
    """The same file in the new folder: a second name for it, or a copy with its times."""
    try:
        os.link(source, target, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(source, target, follow_symlinks=False)


def _below(folder: Path, *, folders: bool) -> list[str]:
    """The folders in a folder of ours, or all else beside its marker."""
    marker = f"{folder}/{places.MARKER}"
    return [
        entry.path
        for entry in places.entries_in(folder)
        if entry.is_dir(follow_symlinks=False) == folders and entry.path != marker
    ]


def _each(remove: Callable[[str], None], entries: Sequence[str]) -> None:
    """Remove each; a file system may answer slowly where something goes, but many at once."""
    hands = _HANDS if len(entries) > _MANY else 1

    def remove_some(some: Sequence[str]) -> None:
        for entry in some:
            remove(entry)

    with ThreadPoolExecutor(hands) as pool:
        list(pool.map(remove_some, (entries[hand::hands] for hand in range(hands))))
