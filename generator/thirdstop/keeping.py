"""What was made of a book's files, kept beside the book and found again by everything that it was made of.

One idea: a result is kept together with a digest of all that went into it (a recipe's values, the studio's,
this program's own source, the libraries it stands on). Whoever looks for it works out the digest anew, which
is cheap, and believes what is kept only where the two agree: by content, never by time. A second digest, of
what is kept, tells a file that was changed by hand or torn. So the folder may be deleted at any moment; and a
book that can't be written into is computed anew each time.
"""

import hashlib
import json
import os
import sys
import zlib
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from thirdstop.resources import shipped

if TYPE_CHECKING:
    from thirdstop.book.book import LoadedRecipe
    from thirdstop.book.studio import Studio

FOLDER = ".computed"
OF_BOOK = "_book"
"""Stands for a slug where a result is the whole book's; no recipe's slug can be so."""
MOST_BYTES = 2**26
"""No result is longer; what claims to be is not read."""

SHORT_BYTES = 2**14
"""What is no longer is kept as it is: to unpack thousands of them takes longer than to read them."""
_PACKED = b"x"
"""Begins what is packed, as no JSON begins."""

_PROSE: dict[str, Any] = {
    "title": "",
    "purpose": "",
    "tags": [],
    "revised": None,
    "meant_to_halt": None,
    "steps": [],
    "notes": "",
}
"""What the engine doesn't look at."""
_HOUSE_PROSE: dict[str, Any] = {"name": "", "about": ""}
_PLAIN = frozenset((type(None), bool, int, float, str))
_LIBRARIES = ("numpy", "pydantic", "jinja2", "markupsafe", "markdown-it-py", "svgwrite", "segno")


class Name(NamedTuple):
    """Under which a result is kept."""

    file: str
    """The recipe's slug and the kind of result: '06-under-the-brim.readings'; the next takes its place."""
    key: str
    """SHA-256 of everything that the result is made of."""


def name_of(kind: str, loaded: "LoadedRecipe", studio: "Studio") -> Name:
    """The name of what is computed of a recipe ('readings', 'pages'): by its values, prose left out."""
    recipe = loaded.recipe.model_copy(update=_known(loaded.recipe, _PROSE))
    return Name(f"{loaded.slug}.{kind}", digest_of(loaded.slug, program(), recipe, without_prose(studio)))


def without_prose(studio: "Studio") -> "Studio":
    """The studio as the engine sees it."""
    return studio.model_copy(update=_known(studio, _HOUSE_PROSE))


def _known(model: object, update: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in update.items() if hasattr(model, key)}


def digest_of(*parts: object) -> str:
    """SHA-256 of what these parts show of themselves: texts, numbers, dataclasses and models of them."""
    each = [part if isinstance(part, str) else repr(part) for part in parts]
    # lengths first, so that no two lists of parts run together into one text
    text = "\0".join([*(str(len(one)) for one in each), *each])
    return hashlib.sha256(text.encode()).hexdigest()


@cache
def program() -> str:
    """One digest over this package's source, and the libraries that its results depend on."""
    libraries = " ".join(f"{name} {version(name)}" for name in _LIBRARIES)
    return digest_of(_digest_of_files(Path(__file__).resolve().parent, "*.py"), libraries)


@cache
def themes() -> str:
    """One digest over all that themes ship."""
    return _digest_of_files(shipped("themes"), "*")


def _digest_of_files(folder: Path, pattern: str) -> str:
    files = sorted(path for path in folder.rglob(pattern) if path.is_file() and "_data" not in path.parts)
    each = [
        (path.relative_to(folder).as_posix(), hashlib.sha256(path.read_bytes()).hexdigest()) for path in files
    ]
    return digest_of(each)


class Shelf:
    """The folder of kept results beside a book; `classes` are the dataclasses that may be in them."""

    def __init__(self, root: Path, classes: Iterable[type]) -> None:
        self._folder = root / FOLDER
        self._classes = {each.__name__: each for each in classes}

    def find(self, name: Name) -> Any | None:
        """What is kept under this name; None where nothing is, or nothing that can be read."""
        try:
            if self._folder.is_symlink():
                return None
            head, _, data = (self._folder / name.file).read_bytes().partition(b"\n")
            if head != _head(name, data):
                return None
            if data.startswith(_PACKED):
                data = zlib.decompressobj().decompress(data, MOST_BYTES)
            return self._decoded(json.loads(data))
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError, zlib.error):
            return None

    def keep(self, name: Name, result: Any) -> None:
        """Keep a result in place of what was kept before of its slug and kind.

        Raises TypeError for a class that was not named when the shelf was made.
        """
        data = json.dumps(self._encoded(result), separators=(",", ":")).encode()
        if len(data) > SHORT_BYTES:
            data = zlib.compress(data, 1)
        with suppress(OSError):
            if self._folder.is_symlink():
                return  # whatever it leads to is not ours to write into
            self._folder.mkdir(exist_ok=True)
            ignore = self._folder / ".gitignore"
            if not ignore.exists():
                ignore.write_bytes(b"*\n")
            target = self._folder / name.file
            written = target.with_name(f"{name.file}.{os.getpid()}.part")
            written.unlink(missing_ok=True)
            written.write_bytes(_head(name, data) + b"\n" + data)
            written.replace(target)

    def clear(self, slugs: Iterable[str]) -> None:
        """Take away what is kept of recipes that the book has no more: of any but these slugs."""
        there = {OF_BOOK, "", *slugs}
        with suppress(OSError):
            if self._folder.is_symlink():
                return
            for path in self._folder.iterdir():
                if path.name.partition(".")[0] not in there:
                    path.unlink()

    def _encoded(self, value: Any) -> Any:
        if value is None or isinstance(value, (bool, int, float, str)):
            # a Markup is kept as the text it is, a number of NumPy's as a number
            item = getattr(value, "item", None)
            return value if item is None else item()
        if isinstance(value, tuple):
            return [self._encoded(part) for part in value]
        if isinstance(value, dict):
            return {"dict": [[key, self._encoded(part)] for key, part in value.items()]}
        if isinstance(value, date):
            return {"date": value.isoformat()}
        # whoever holds an array has loaded what it is made of
        if "numpy" in sys.modules and isinstance(value, sys.modules["numpy"].ndarray):
            return {"array": value.tolist()}
        kind = type(value).__name__
        if is_dataclass(value) and self._classes.get(kind) is type(value):
            return {kind: [self._encoded(getattr(value, field.name)) for field in fields(value)]}
        raise TypeError(f"a {kind} can't be kept")

    def _decoded(self, data: Any) -> Any:
        if isinstance(data, list):
            # most are plain, and there are so many that a call for each would be felt
            return tuple([part if type(part) in _PLAIN else self._decoded(part) for part in data])
        if not isinstance(data, dict):
            return data
        ((kind, inside),) = data.items()
        if kind == "dict":
            return {key: self._decoded(part) for key, part in inside}
        if kind == "date":
            return date.fromisoformat(inside)
        return _array(inside) if kind == "array" else self._classes[kind](*self._decoded(inside))


def _array(numbers: list[Any]) -> Any:
    import numpy as np  # takes long to load, and few results hold any

    return np.array(numbers, dtype=float)


def _head(name: Name, data: bytes) -> bytes:
    """First line of a kept file: what it is made of, and what it holds."""
    return f"{name.key} {hashlib.sha256(data).hexdigest()}".encode()
