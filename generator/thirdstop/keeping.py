"""What was computed of a recipe, kept beside the book and found again by everything that it depends on.

A name is made of the recipe's and the studio's values, this program's own source and numpy's version, so
that a kept result can't outlive any of them: by content, never by time. Prose is no part of it. The folder
may be deleted at any moment; a book that can't be written into is computed anew each time.
"""

import hashlib
import json
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from thirdstop.book.book import LoadedRecipe
from thirdstop.book.studio import Studio

FOLDER = ".computed"
_PROSE = {"purpose": "", "tags": [], "steps": [], "notes": ""}
_HOUSE_PROSE = {"name": "", "about": ""}


def name_of(kind: str, loaded: LoadedRecipe, studio: Studio) -> str:
    """The file name under which a result of this kind ('readings', 'pages') is kept.

    It begins with the recipe's slug and the kind; the rest is the SHA-256 of what the result depends on.
    """
    recipe = loaded.recipe.model_copy(update=_known(loaded.recipe, _PROSE))
    house = studio.model_copy(update=_known(studio, _HOUSE_PROSE))
    depends = "\0".join([_program(), repr(recipe), repr(house)])
    return f"{loaded.slug}.{kind}.{hashlib.sha256(depends.encode()).hexdigest()}.json"


def _known(model: object, update: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in update.items() if hasattr(model, key)}


@cache
def _program() -> str:
    """One hash over this package's source, and the library that does its sums."""
    here = Path(__file__).resolve().parent
    files = sorted(here.rglob("*.py"))
    each = (hashlib.sha256(file.read_bytes()).digest() for file in files)
    return hashlib.sha256(b"".join(each)).hexdigest() + f" numpy {np.__version__}"


def _digest(data: bytes) -> bytes:
    """First line of a kept file: whoever changed a figure in it by hand has changed what it belongs to."""
    return hashlib.sha256(data).hexdigest().encode()


class Shelf:
    """The folder of kept results beside a book; `classes` are the dataclasses that may be in them."""

    def __init__(self, root: Path, classes: Iterable[type]) -> None:
        self._folder = root / FOLDER
        self._classes = {each.__name__: each for each in classes}

    def find(self, name: str) -> Any | None:
        """What is kept under this name; None where nothing is, or nothing that can be read."""
        try:
            if self._folder.is_symlink():
                return None
            digest, _, data = (self._folder / name).read_bytes().partition(b"\n")
            if digest != _digest(data):
                return None
            return self._decoded(json.loads(data))
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None

    def keep(self, name: str, result: Any) -> None:
        """Keep a result in place of whatever of its slug and kind was kept before.

        Raises TypeError for a class that was not named when the shelf was made.
        """
        data = json.dumps(self._encoded(result), separators=(",", ":")).encode()
        with suppress(OSError):
            if self._folder.is_symlink():
                return  # whatever it leads to is not ours to write into
            self._folder.mkdir(exist_ok=True)
            ignore = self._folder / ".gitignore"
            if not ignore.exists():
                ignore.write_bytes(b"*\n")
            target = self._folder / name
            written = target.with_name(f"{name}.part")
            written.unlink(missing_ok=True)
            written.write_bytes(_digest(data) + b"\n" + data)
            written.replace(target)
            for former in self._folder.glob(f"{name[: -len('.json') - 64]}{'[0-9a-f]' * 64}.json"):
                if former.name != name:
                    former.unlink()

    def _encoded(self, value: Any) -> Any:
        if value is None or isinstance(value, (bool, int, float, str)):
            return value.item() if isinstance(value, np.generic) else value
        if isinstance(value, np.ndarray):
            return {"array": value.tolist()}
        if isinstance(value, tuple):
            return {"tuple": [self._encoded(part) for part in value]}
        if isinstance(value, dict):
            return {"dict": [[key, self._encoded(part)] for key, part in value.items()]}
        kind = type(value).__name__
        if is_dataclass(value) and self._classes.get(kind) is type(value):
            return {kind: {field.name: self._encoded(getattr(value, field.name)) for field in fields(value)}}
        raise TypeError(f"a {kind} can't be kept")

    def _decoded(self, data: Any) -> Any:
        if isinstance(data, list):
            raise ValueError("no list is ever kept")
        if not isinstance(data, dict):
            return data
        ((kind, inside),) = data.items()
        if kind == "array":
            return np.array(inside, dtype=float)
        if kind == "tuple":
            return tuple(self._decoded(part) for part in inside)
        if kind == "dict":
            return {key: self._decoded(part) for key, part in inside}
        return self._classes[kind](**{key: self._decoded(part) for key, part in inside.items()})
