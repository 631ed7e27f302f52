"""The ledger of a site: of what each bundle of its files was made last, and what came of it."""

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass

from thirdstop.errors import BookFaults, Fault
from thirdstop.keeping import OF_BOOK, Name, Shelf
from thirdstop.pages.house import Written
from thirdstop.publishing.links import anchors_in, broken_links, holds, leads_of
from thirdstop.publishing.switching import Renewal


@dataclass(frozen=True)
class Filed:
    """A bundle in the ledger."""

    key: str
    files: dict[str, str]
    """Path to SHA-256."""
    leads: tuple[str, ...]
    """Where its files lead within the site: 'how.html#statics'."""

    @property
    def line(self) -> str:
        """As it is kept: thousands of them are read each time."""
        files = (part for pair in self.files.items() for part in pair)
        return "\t".join([self.key, str(len(self.files)), *files, *self.leads])

    @classmethod
    def of(cls, line: str) -> "Filed":
        """From its line. Raises ValueError where it is none."""
        key, count, *rest = line.split("\t")
        end = 2 * int(count)
        return cls(key, dict(zip(rest[:end:2], rest[1:end:2], strict=True)), tuple(rest[end:]))


@dataclass(frozen=True)
class Made:
    """A bundle's files as they were made."""

    files: dict[str, bytes]
    faults: list[Fault]
    leads: tuple[str, ...] | None
    """As in `Filed`; None where a link of theirs is wrong by itself."""


def made_of(written: Written) -> Made:
    """What was written, its links looked at."""
    each = [leads_of(path, data) for path, data in written.files.items()]
    sound = [leads for leads in each if leads is not None]
    leads = (
        tuple(dict.fromkeys(lead for leads in sound for lead in leads)) if len(sound) == len(each) else None
    )
    return Made(written.files, written.faults, leads)


class Ledger:
    """What was made last, and of what."""

    _NAME = Name(f"{OF_BOOK}.site", "")

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        try:
            found = self._shelf.find(self._NAME)
            self.filed = {name: Filed.of(line) for name, line in (found or {}).items()}
        except (AttributeError, ValueError):
            self.filed = {}

    def close(self, filed: dict[str, Filed]) -> None:
        """Keep what was made now."""
        if filed != self.filed:
            self._shelf.keep(self._NAME, {name: one.line for name, one in filed.items()})


class Filing:
    """The new site as it comes together: each bundle stays or is put."""

    def __init__(self, ledger: Ledger, new: Renewal) -> None:
        self._ledger, self._new = ledger, new
        self.filed: dict[str, Filed] = {}
        self._faults: list[Fault] = []
        self._doubtful: list[str] = []

    def stays(self, name: str, key: str) -> bool:
        """Whether the bundle is still what it was, and stands in the site so."""
        found = self._ledger.filed.get(name)
        if found is None or found.key != key:
            return False
        if not all(self._new.stays(path, digest) for path, digest in found.files.items()):
            return False
        self.filed[name] = found
        return True

    def put(self, name: str, key: str, made: Made) -> None:
        """A bundle that was made."""
        digests = {path: self._new.put(path, data) for path, data in made.files.items()}
        self._faults += made.faults
        self.filed[name] = Filed(key, digests, made.leads or ())
        if made.leads is None:
            self._doubtful += digests

    def judge(self) -> None:
        """Raises BookFaults where prose or links lead nowhere."""
        anchors: dict[str, Container[str]] = {}

        def anchors_of(path: str) -> Container[str]:
            if path not in anchors:
                anchors[path] = anchors_in(self._new.read(path))
            return anchors[path]

        sound: set[str] = set()
        for one in self.filed.values():
            # most lead where another one leads too
            leads = [lead for lead in one.leads if lead not in sound]
            if holds(leads, self._new.paths, anchors_of):
                sound.update(leads)
            else:
                self._doubtful += one.files
        faults = self._faults + broken_links(_Files(self._new), self._doubtful)
        if faults:
            raise BookFaults(faults)


class _Files(Mapping[str, bytes]):
    """The files of a new site, read when somebody looks at them."""

    def __init__(self, new: Renewal) -> None:
        self._new = new

    def __getitem__(self, path: str) -> bytes:
        return self._new.read(path)

    def __contains__(self, path: object) -> bool:
        return path in self._new.paths

    def __iter__(self) -> Iterator[str]:
        return iter(self._new.paths)

    def __len__(self) -> int:
        return len(self._new.paths)
