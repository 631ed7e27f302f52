"""What to say of an unknown key: the keys that may stand there, and what may have been meant by it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from thirdstop.book.marks import Path, likeness, near
from thirdstop.book.schema import (
    Schema,
    branch_of_kind,
    branches,
    kind_of_data,
    kind_of_schema,
    listed,
)

_ALSO_CALLED = {
    "background": "backdrop",
    "angle": "bearing",
    "direction": "bearing",
    "distance": "string",
    "flags": "blockers",
    "modifier": "shaper",
    "place": "at",
    "position": "at",
    "reflectors": "cards",
    "softbox": "shaper",
}
"""Words that people try first, and the key that says it here."""

_CLEAR_SLIP = 0.8
"""Likeness from which a key is meant, even if its value can't stand there."""
_DEEPEST = 4


@dataclass(frozen=True)
class Meant:
    """What to write instead of an unknown key."""

    write: str
    path: Path | None = None
    """Where the one that was meant would stand; nothing more is said of its being missing."""


@dataclass(frozen=True)
class _Level:
    """A mapping that the unknown key is in, at some depth."""

    path: Path
    node: Schema
    data: dict[str, object]


def meant_by(path: Path, root: Schema, data: object) -> Meant:
    """What the unknown key at `path` may have been meant for; every key that may stand there is listed.

    Another place is only named where the value may stand there and nothing does.
    """
    levels = list(_levels(path[:-1], root, data))
    here, key = levels[-1], str(path[-1])
    value = here.data.get(key)
    known = list(here.node.get("properties", {}))
    if best := _near_here(key, value, here, root):
        return Meant(f"{best} (keys here: {_all(known)})", (*here.path, best))
    if there := _elsewhere(key, value, levels, root):
        words, place = there
        return Meant(f"{words}, or one of the keys here: {_all(known)}", place)
    return Meant("; ".join(filter(None, [_all(known), _own_list(key, value, path, root)])))


def _all(keys: list[str]) -> str:
    return listed(keys, len(keys))


def _levels(path: Path, root: Schema, data: object) -> Iterator[_Level]:
    """The mappings on the way, the whole file first."""
    at: Path = ()
    node = root
    for part in (*path, None):
        node = branch_of_kind(node, root, kind_of_data(data))
        if isinstance(data, dict):
            yield _Level(at, node, data)
        if isinstance(part, int) and isinstance(data, list):
            node, data = node.get("items", {}), data[part]
        elif isinstance(part, str) and isinstance(data, dict):
            node, data = node.get("properties", {}).get(part, {}), data[part]
        at = at if part is None else (*at, part)


def _near_here(key: str, value: object, here: _Level, root: Schema) -> str:
    """A key of this place that isn't given yet, and is like the one that was written."""
    known = here.node.get("properties", {})
    absent = [name for name in known if name not in here.data]
    best = near(key, absent)
    if best and (likeness(key, best) >= _CLEAR_SLIP or _fits(value, known[best], root)):
        return best
    meant = _ALSO_CALLED.get(key.casefold(), "")
    return meant if meant in absent else ""


def _elsewhere(key: str, value: object, levels: list[_Level], root: Schema) -> tuple[str, Path] | None:
    """Another place for the key with its value, the nearest first: below, beside, or from the top down."""
    for depth, level in enumerate(reversed(levels)):
        if depth and _takes(level, key, value, root):
            beside = levels[len(levels) - depth].path[len(level.path)]
            where = f"beside '{beside}'" if level.path else "at the top of the file"
            return f"'{key}' {where}", (*level.path, key)
        # a list has several places, so it only counts from above
        for place in _below(level, root, lists=not depth):
            if _takes(place, key, value, root):
                keys = [part for part in place.path[len(level.path) :] if isinstance(part, str)]
                return f"'{key}' under '{'.'.join(keys)}'", (*place.path, key)
    return None


def _takes(level: _Level, key: str, value: object, root: Schema) -> bool:
    node = level.node.get("properties", {}).get(key)
    return node is not None and key not in level.data and _fits(value, node, root)


def _below(level: _Level, root: Schema, lists: bool) -> Iterator[_Level]:
    """The mappings under this one, the nearest first, whether anything stands there yet or not."""
    row = [level]
    for _ in range(_DEEPEST):
        row = [inner for one in row for inner in _inside(one, root, lists)]
        yield from row


def _inside(level: _Level, root: Schema, lists: bool) -> Iterator[_Level]:
    for key, child in level.node.get("properties", {}).items():
        path, data = (*level.path, key), level.data.get(key)
        for branch in branches(child, root):
            if kind_of_schema(branch) == "mapping" and (data is None or isinstance(data, dict)):
                yield _Level(path, branch, data or {})
            elif lists and kind_of_schema(branch) == "list" and (data is None or isinstance(data, list)):
                yield from _items(path, branch, data or [{}], root)


def _items(path: Path, branch: Schema, data: list[object], root: Schema) -> Iterator[_Level]:
    item = branch_of_kind(branch.get("items", {}), root, "mapping")
    for place, inside in enumerate(data):
        if item and isinstance(inside, dict):
            yield _Level((*path, place), item, inside)


def _own_list(key: str, value: object, path: Path, root: Schema) -> str:
    """Of a word that has a list of its own in this file: what that list is called, and what it takes."""
    for name, child in root.get("properties", {}).items():
        said = (key.casefold(), str(value).strip().casefold())
        item = branch_of_kind(branch_of_kind(child, root, "list").get("items", {}), root, "mapping")
        if item and name != path[0] and name.removesuffix("s") in said:
            keys = item.get("required", [])
            return f"a {name.removesuffix('s')} stands in a list of its own, '{name}:', with {_and(keys)}"
    return ""


def _and(words: list[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def _fits(value: object, node: Schema, root: Schema) -> bool:
    """Whether the schema lets a value stand there; it is never narrower than what is read."""
    return any(_fits_branch(value, branch, root) for branch in branches(node, root))


def _fits_branch(value: object, branch: Schema, root: Schema) -> bool:
    kind = kind_of_data(value)
    if kind != kind_of_schema(branch):
        return False
    if isinstance(value, dict):
        known = branch.get("properties", {})
        whole = set(branch.get("required", [])) <= value.keys() <= known.keys()
        return whole and all(_fits(inner, known[key], root) for key, inner in value.items())
    if isinstance(value, list):
        return all(_fits(inner, branch.get("items", {}), root) for inner in value)
    return _fits_scalar(value, branch)


def _fits_scalar(value: object, branch: Schema) -> bool:
    words = branch.get("enum") or ([branch["const"]] if "const" in branch else None)
    if words is not None:
        return value in words
    if branch.get("type") == "boolean" or isinstance(value, bool):
        return isinstance(value, bool) and branch.get("type") == "boolean"
    if branch.get("type") in ("number", "integer"):
        return isinstance(value, (int, float))
    return isinstance(value, str) and re.fullmatch(branch.get("pattern", "(?s:.*)"), value) is not None
