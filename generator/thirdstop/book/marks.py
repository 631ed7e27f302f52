"""Where each key and value of a file stands, so that a fault can point at it."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from thirdstop.book.grammar import INVISIBLE, shorten
from thirdstop.errors import Fault

Path: TypeAlias = tuple[str | int, ...]
"""Keys and list places from the top of a file: ('lights', 0, 'at', 'height')."""

_LIKE_ENOUGH = 0.6
"""Similarity from which a name counts as a slip of another; the usual value of difflib."""


class Position(NamedTuple):
    """A line and column, both from 1."""

    line: int
    column: int


@dataclass(frozen=True)
class Marks:
    """Positions by path: of the key, of the value, and the scalar's text as the person wrote it."""

    file: str = ""
    """As the person would type it: relative to the book."""
    keys: dict[Path, Position] = field(default_factory=dict)
    values: dict[Path, Position] = field(default_factory=dict)
    given: dict[Path, str] = field(default_factory=dict)
    refused: set[Path] = field(default_factory=set)
    """Values that are faults already, so that nothing more is said of them."""

    def key(self, path: Path) -> Position:
        """Where the key stands; a list item has its value's place; what isn't there, its nearest parent's."""
        return self._nearest(path, self.keys)

    def value(self, path: Path) -> Position:
        """Where a scalar stands; of a mapping, a list and what isn't there, where the nearest key stands."""
        return self.values[path] if path in self.given else self.key(path)

    def text(self, path: Path) -> str:
        """What was given there, on one line and cut to 40 characters; empty for mappings and lists."""
        return shorten(INVISIBLE.sub("?", self.given.get(path, "")))

    def _nearest(self, path: Path, places: dict[Path, Position]) -> Position:
        while path and path not in places:
            path = path[:-1]
        return places.get(path, Position(1, 1))


def near(name: str, choices: Iterable[str]) -> str:
    """The choice that `name` is most likely a slip of, or '' where none is like it."""
    wanted, by_sound = _plain(name[:60]), {_plain(choice): choice for choice in choices}
    # 'left' is a slip of 'camera-left', as long as nothing else holds the word.
    found = [sound for sound in by_sound if wanted and f" {wanted} " in f" {sound} "]
    if not found:
        found = difflib.get_close_matches(wanted, by_sound, 1, _LIKE_ENOUGH)
    return by_sound[found[0]] if len(found) == 1 else ""


def likeness(name: str, other: str) -> float:
    """How like two names are, 0 to 1, capitals and hyphens apart."""
    return difflib.SequenceMatcher(None, _plain(name[:60]), _plain(other)).ratio()


def fault_at(marks: Marks, path: Path, wrong: str, given: str | None = None, write: str = "") -> Fault:
    """A fault that points at the value at `path`; `given` is what stands there unless it is named."""
    return _fault(marks, marks.value(path), path, wrong, given, write)


def fault_at_key(marks: Marks, path: Path, wrong: str, given: str | None = None, write: str = "") -> Fault:
    """As fault_at, pointing at the key, or at the nearest parent's where that key isn't there."""
    return _fault(marks, marks.key(path), path, wrong, given, write)


def _fault(marks: Marks, at: Position, path: Path, wrong: str, given: str | None, write: str) -> Fault:
    worked_out = given is not None and given not in marks.given.values()
    return Fault(marks.file, *at, wrong, marks.text(path) if given is None else given, write, worked_out)


def _plain(name: str) -> str:
    return name.casefold().replace("-", " ").replace("_", " ")
