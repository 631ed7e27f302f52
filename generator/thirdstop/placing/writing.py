"""Puts an answer into the recipe file: only the values' own text changes, and the file is never half written.

The new text is read and compared with what was meant before it takes the file's place.
"""

from collections.abc import Iterable

import yaml

from thirdstop.book.feet import in_feet as feet_of
from thirdstop.book.loading import load_model
from thirdstop.book.marks import Marks
from thirdstop.book.parsing import parse_length, parse_side, parse_toward
from thirdstop.book.quantities import Length, Side, Toward
from thirdstop.book.recipe import Recipe
from thirdstop.book.rewriting import quoted, replace_file
from thirdstop.constants import Units
from thirdstop.errors import UsageError
from thirdstop.placing.values import Changes, Path, Value, with_changes

write_recipe = replace_file
"""Replaces a recipe file in one step."""


def in_feet(changes: Changes) -> Changes:
    """The same changes with every length as a house that measures in feet writes it, and as that then reads.

    To the nearest half inch, as they are printed: 65 cm is '2 ft 1 1/2 in'.
    """
    return tuple((path, _in_feet(value)) for path, value in changes)


def _in_feet(value: Value) -> Value:
    if isinstance(value, Length):
        return parse_length(_said_in_feet(value))
    if isinstance(value, Toward):
        return parse_toward(_said_in_feet(value))
    return parse_side(_said_in_feet(value)) if isinstance(value, Side) else value


def _said_in_feet(value: object) -> str:
    return " ".join(feet_of(str(value)).replace("½", " 1/2").split())


def written(text: str, marks: Marks, recipe: Recipe, changes: Changes, units: Units = "metric") -> str:
    """The recipe's text with those values changed, comments and order kept.

    `text` is what `marks` and `recipe` were read from. Raises UsageError for a value that the file does not
    hold, or where the new text would not read as what was meant. In imperial `units` lengths are written as
    `in_feet` has them.
    """
    imperial = units == "imperial"
    changes = in_feet(changes) if imperial else changes
    changed = text
    for path, value in sorted(changes, key=lambda change: marks.values.get(change[0], (0, 0)), reverse=True):
        lengths = imperial and isinstance(value, Length | Toward | Side)
        changed = _put(changed, marks, path, _said_in_feet(value) if lengths else str(value))
    found, _, faults = load_model(Recipe, changed, marks.file)
    if found is None or found != with_changes(recipe, changes):
        told = "; ".join(str(fault) for fault in faults) or "it would read as something else"
        raise UsageError(f"{marks.file}: the answer can't be written here: {told}")
    return changed


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
    return text[:start] + quoted(value) + text[end:]


def _end_of_scalar(text: str, start: int) -> int:
    """Where the scalar that begins at `start` ends: by the YAML reader's own eyes."""
    for event in yaml.parse(text, Loader=yaml.SafeLoader):
        begin, end = event.start_mark, event.end_mark
        if isinstance(event, yaml.ScalarEvent) and begin and end and begin.index == start:
            # a block's end is the beginning of the next line
            return start + len(text[start : end.index].rstrip())
    raise UsageError("the value's place can't be found in the file")
