"""Puts an answer into the recipe file: only the values' own text changes, and the file is never half written.

The new text is read and compared with what was meant before it takes the file's place.
"""

import contextlib
import os
import re
import tempfile
from collections.abc import Iterable
from pathlib import Path as FilePath

import yaml

from thirdstop.book.loading import load_model
from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Recipe
from thirdstop.errors import PublishingError, UsageError
from thirdstop.placing.values import Changes, Path, with_changes

_PLAIN = re.compile(r"[A-Za-z0-9+][A-Za-z0-9 .+/-]*")
"""What may stand in a file without quotes, also in braces."""


def written(text: str, marks: Marks, recipe: Recipe, changes: Changes) -> str:
    """The recipe's text with those values changed, comments and order kept.

    `text` is what `marks` and `recipe` were read from. Raises UsageError for a value that the file does not
    hold, or where the new text would not read as what was meant.
    """
    changed = text
    for path, value in sorted(changes, key=lambda change: marks.values.get(change[0], (0, 0)), reverse=True):
        changed = _put(changed, marks, path, str(value))
    found, _, faults = load_model(Recipe, changed, marks.file)
    if found is None or found != with_changes(recipe, changes):
        told = "; ".join(str(fault) for fault in faults) or "it would read as something else"
        raise UsageError(f"{marks.file}: the answer can't be written here: {told}")
    return changed


def write_recipe(file: FilePath, before: str, after: str) -> None:
    """Replaces the file in one step; a fault on the way leaves it as it was.

    Raises PublishingError where it was changed meanwhile or can't be written.
    """
    data = _bytes(file, before, after)
    try:
        _replace(file.resolve(), data)
    except OSError as error:
        raise PublishingError(f"{file} can't be written: {(error.strerror or '').lower()}") from error


def _bytes(file: FilePath, before: str, after: str) -> bytes:
    """The new bytes, with the file's own line ends and byte order mark."""
    try:
        now = file.read_bytes()
    except OSError as error:
        raise PublishingError(f"{file} can't be read: {(error.strerror or '').lower()}") from error
    mark = b"\xef\xbb\xbf" if now.startswith(b"\xef\xbb\xbf") else b""
    plain = now.removeprefix(mark).decode("utf-8")
    if plain.replace("\r\n", "\n").replace("\r", "\n") != before:
        raise PublishingError(f"{file} was changed meanwhile; nothing was written")
    end = "\r\n" if "\r\n" in plain else "\n"
    return mark + after.replace("\n", end).encode("utf-8")


def _replace(file: FilePath, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.", suffix=".next")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        FilePath(name).chmod(file.stat().st_mode & 0o7777)
        FilePath(name).replace(file)
    except BaseException:
        with contextlib.suppress(OSError):
            FilePath(name).unlink()
        raise


def missing(marks: Marks, paths: Iterable[Path]) -> list[Path]:
    """Of these places those that the file does not hold as a value of one line."""
    return [path for path in paths if path not in marks.given]


def dotted(path: Path) -> str:
    """A place as one says it, list items counted from 1: 'cards.1.at.string'."""
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in path)


def _put(text: str, marks: Marks, path: Path, value: str) -> str:
    """The text with the scalar at one place replaced; what comes after it on the line stays."""
    if path not in marks.given:
        raise UsageError(f"{marks.file}: '{dotted(path)}' is not in the file, so it can't be replaced there")
    line, column = marks.values[path]
    start = sum(len(one) + 1 for one in text.split("\n")[: line - 1]) + column - 1
    end = _end_of_scalar(text, start)
    return text[:start] + (value if _PLAIN.fullmatch(value) else f"'{value}'") + text[end:]


def _end_of_scalar(text: str, start: int) -> int:
    """Where the scalar that begins at `start` ends: by the YAML reader's own eyes."""
    for event in yaml.parse(text, Loader=yaml.SafeLoader):
        begin, end = event.start_mark, event.end_mark
        if isinstance(event, yaml.ScalarEvent) and begin and end and begin.index == start:
            # a block's end is the beginning of the next line
            return start + len(text[start : end.index].rstrip())
    raise UsageError("the value's place can't be found in the file")
