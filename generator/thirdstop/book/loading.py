"""Text → checked model: every fault of a file at once, in plain words, each with its place."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from thirdstop.book import strict_yaml
from thirdstop.book.examples import Examples, Names, names_of
from thirdstop.book.grammar import QuantityError, shorten
from thirdstop.book.marks import Marks, Path, fault_at, fault_at_key, near
from thirdstop.book.schema import (
    Schema,
    branches,
    choices,
    kind_of_data,
    kind_of_schema,
    listed,
    schema_of,
)
from thirdstop.book.unknown_keys import meant_by
from thirdstop.errors import Fault

AnyModel = TypeVar("AnyModel", bound=BaseModel)

MOST_FAULTS = 200
"""Of one file; a file with more shows these and how many more there are."""

_YES_OR_NO = {"on": "true", "yes": "true", "y": "true", "off": "false", "no": "false", "n": "false"}


@dataclass(frozen=True)
class _Spot:
    """Where an error belongs: the path in the data, and the schema of what may stand there."""

    path: Path
    node: Schema
    parent: Schema
    """Schema of the mapping or list that it stands in."""
    misfit: bool = False
    """True where no branch of a union takes this kind of value."""


@dataclass(frozen=True)
class _Complaint:
    """What to say of one spot, before it has its place."""

    about: Literal["value", "missing key", "unknown key", "empty value"]
    path: Path
    wrong: str
    write: str = ""
    given: str | None = None
    """None: whatever stands there."""
    key: str = ""
    """The key that is missing."""
    meant: Path | None = None
    """Of an unknown key: where the one that was meant would stand."""
    from_choice: bool = False
    """True where a list of words was tried and none is near: another branch may say more."""


@dataclass(frozen=True)
class _File:
    """What faults of one file are told by."""

    root: Schema
    data: object
    names: Names

    def example(self, spot: "_Spot") -> str:
        """A right value for a spot; empty where nothing can be told."""
        key = str(spot.path[-1]) if spot.path else ""
        told = Examples(self.root, self.names).of(spot.node, key, spot.parent)
        return "" if told == "…" else told


def load_model(
    model: type[AnyModel], text: str, file: str, names: Names | None = None
) -> tuple[AnyModel | None, Marks, list[Fault]]:
    """YAML text → the checked model, positions, faults in the order of the file.

    The model is None where there is any fault. `names` are those of the studio's gear, to be shown where one
    is missing; left out, they are those of this file.
    """
    data, marks, faults = strict_yaml.read(text, file)
    if data is None:
        return None, marks, faults
    checked: AnyModel | None = None
    complaints: list[_Complaint] = []
    more = 0
    try:
        checked = model.model_validate(data)
    except ValidationError as error:
        errors = error.errors(include_url=False, include_input=False)
        more = max(0, len(errors) - MOST_FAULTS)
        told_by = _File(schema_of(model), data, names_of(data) if names is None else names)
        complaints = _complaints(errors[:MOST_FAULTS], told_by)
    complaints = _without_echoes([*_empty_values(data, model, marks, names), *complaints], marks)
    faults = sorted({*faults, *(_placed(complaint, marks) for complaint in complaints)})
    if len(faults) + more > MOST_FAULTS:
        faults = _capped(faults, more)
    return (None if faults else checked), marks, faults


def _complaints(errors: list[ErrorDetails], file: _File) -> list[_Complaint]:
    """One complaint for each thing that errors are about; of a union only the branch that was meant."""
    of_values: dict[Path, list[_Complaint]] = {}
    of_keys: list[_Complaint] = []
    for error in errors:
        spot = _spot(error["loc"], file.root, file.data)
        if spot is None:
            continue
        complaint = _misfit(spot, file) if spot.misfit else _explain(error, spot, file)
        if complaint.about == "value":
            of_values.setdefault(complaint.path, []).append(complaint)
        else:
            of_keys.append(complaint)
    return [*of_keys, *map(_merged, of_values.values())]


def _spot(loc: Path, root: Schema, data: object, *, tagged: bool = True) -> _Spot | None:
    """Walk an error's location through schema and data; None where it took a branch that wasn't meant.

    Pydantic names the branch of every union in the location (`tagged`); the data's own kind says which
    was meant.
    """
    path: Path = ()
    node = parent = root
    for part in loc:
        options = branches(node, root)
        if len(options) > 1:
            fitting = [option for option in options if kind_of_schema(option) == kind_of_data(data)]
            if not fitting:
                return _Spot(path, node, parent, misfit=True)
            if tagged and _kind_of_branch(str(part), root) != kind_of_data(data):
                return None
            if tagged:
                node = _branch_named(str(part), fitting)
                continue
            options = fitting
        parent, path, data = options[0], (*path, part), _inside(data, part)
        known = parent.get("properties", {})
        node = parent.get("items", {}) if isinstance(part, int) else known.get(part, {})
    return _Spot(path, node, parent)


def _kind_of_branch(name: str, root: Schema) -> str:
    if name.startswith("list["):
        return "list"
    return "mapping" if name in root.get("$defs", {}) else "scalar"


def _branch_named(name: str, fitting: list[Schema]) -> Schema:
    """Of several branches for the same kind of value, the list of words or the one that is none."""
    words = name.startswith("literal[")
    return next(
        (branch for branch in fitting if words == ("enum" in branch or "const" in branch)), fitting[0]
    )


def _inside(data: object, part: int | str) -> object:
    if isinstance(data, dict):
        return data.get(part)
    return data[part] if isinstance(data, list) and isinstance(part, int) and part < len(data) else None


def _misfit(spot: _Spot, file: _File) -> _Complaint:
    kinds = {"mapping": "keys", "list": "a list", "scalar": "one value"}
    wanted = [kinds[kind_of_schema(branch)] for branch in branches(spot.node, file.root)]
    return _Complaint(
        "value", spot.path, f"this must be {listed(list(dict.fromkeys(wanted)))}", file.example(spot)
    )


def _explain(error: ErrorDetails, spot: _Spot, file: _File) -> _Complaint:
    """The error in plain words."""
    explain = _EXPLANATIONS.get(error["type"])
    if explain is not None:
        return explain(error, spot, file, _at(file.data, spot.path))
    return _Complaint("value", spot.path, "this can't be used here", file.example(spot))


def _missing(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    key = spot.path[-1]
    write = f"{key}: {file.example(spot)}"
    return _Complaint("missing key", spot.path[:-1], f"'{key}' is missing here", write, "", str(key))


def _unknown(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    key = str(spot.path[-1])
    word, _, rest = key.partition(" ")
    if rest and data is None and word in spot.parent.get("properties", {}):
        # In braces 'pose seated' is a key without a value.
        wrong, path = "a key needs a colon and a space after it", (*spot.path[:-1], word)
        return _Complaint("unknown key", spot.path, wrong, f"{word}: {rest}", shorten(key), meant=path)
    meant = meant_by(spot.path, file.root, file.data)
    return _Complaint("unknown key", spot.path, "unknown key", meant.write, shorten(key), meant=meant.path)


def _value(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    reason = error.get("ctx", {}).get("error")
    if isinstance(reason, QuantityError):
        return _Complaint("value", spot.path, reason.wrong, reason.write)
    return _Complaint("value", spot.path, str(reason))


def _choice(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    words = choices(spot.node, file.root)
    best = near(data, words) if isinstance(data, str) else ""
    return _Complaint(
        "value", spot.path, "this isn't one of the choices", best or listed(words), from_choice=not best
    )


def _truth(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    meant = _YES_OR_NO.get(str(data).lower(), str(data).lower())
    write = meant if meant in ("true", "false") else "true or false"
    write += ", without quotes" if data == meant else ""
    return _Complaint("value", spot.path, "this is true or false", write)


def _list(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    text = shorten(str(data)) if isinstance(data, (str, int, float)) and not isinstance(data, bool) else ""
    takes_text = (
        kind_of_schema(branches(branches(spot.node, file.root)[0].get("items", {}), file.root)[0]) == "scalar"
    )
    return _Complaint(
        "value",
        spot.path,
        "this must be a list",
        f"[{text}]" if text and takes_text else file.example(spot),
    )


def _mapping(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    return _Complaint("value", spot.path, "this must be keys with values", file.example(spot))


def _too_short(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    least = error.get("ctx", {}).get("min_length", 1)
    return _Complaint(
        "value", spot.path, f"this list needs at least {least} {_items(least)}", file.example(spot)
    )


def _too_long(error: ErrorDetails, spot: _Spot, file: _File, data: object) -> _Complaint:
    most = error.get("ctx", {}).get("max_length", 1)
    given = f"{len(data)} items" if isinstance(data, list) else None
    wrong = f"this list takes at most {most} {_items(most)}"
    return _Complaint("value", spot.path, wrong, f"{most} {_items(most)}", given)


def _items(count: int) -> str:
    return "item" if count == 1 else "items"


_EXPLANATIONS: dict[str, Callable[[ErrorDetails, _Spot, _File, object], _Complaint]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "value_error": _value,
    "assertion_error": _value,
    "literal_error": _choice,
    "enum": _choice,
    "bool_type": _truth,
    "bool_parsing": _truth,
    "list_type": _list,
    "tuple_type": _list,
    "model_type": _mapping,
    "model_attributes_type": _mapping,
    "dict_type": _mapping,
    "too_short": _too_short,
    "too_long": _too_long,
}


def _merged(group: list[_Complaint]) -> _Complaint:
    """One complaint for a value that several branches of a union refused."""
    for complaint in group:
        if not complaint.from_choice and complaint.wrong == "this isn't one of the choices":
            return complaint
    best = min(group, key=lambda complaint: complaint.from_choice)
    writes = list(dict.fromkeys(complaint.write for complaint in (best, *group) if complaint.write))
    return replace(best, write=" or ".join(writes))


def _empty_values(
    data: object, model: type[BaseModel], marks: Marks, names: Names | None
) -> Iterator[_Complaint]:
    for path in _nulls(data, ()):
        if path in marks.refused:
            continue
        root = schema_of(model)  # takes long to write, and few files need it
        spot = _spot(path, root, data, tagged=False)
        told_by = _File(root, data, names_of(data) if names is None else names)
        example = told_by.example(spot) if spot else ""
        if path and isinstance(path[-1], str):
            key = shorten(path[-1])
            yield _Complaint(
                "empty value", path, f"nothing is written after '{key}:'", example and f"{key}: {example}", ""
            )
        else:
            yield _Complaint("empty value", path, "this item is empty", example and f"- {example}", "")


def _nulls(data: object, path: Path) -> Iterator[Path]:
    if data is None:
        yield path
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from _nulls(value, (*path, key))
    elif isinstance(data, list):
        for place, value in enumerate(data):
            yield from _nulls(value, (*path, place))


def _without_echoes(complaints: list[_Complaint], marks: Marks) -> list[_Complaint]:
    """Without what only repeats a fault: of a refused or an empty value, or inside an unknown key."""
    unknown = {complaint.path for complaint in complaints if complaint.about == "unknown key"}
    empty = {complaint.path for complaint in complaints if complaint.about == "empty value"}
    slips = {complaint.meant for complaint in complaints if complaint.meant is not None}
    silent = {"value": marks.refused | empty, "missing key": marks.refused | empty, "empty value": unknown}
    return [
        complaint
        for complaint in complaints
        if not (complaint.about == "missing key" and (*complaint.path, complaint.key) in slips)
        and not any(
            complaint.path[:end] in silent.get(complaint.about, ()) for end in range(len(complaint.path) + 1)
        )
    ]


def _placed(complaint: _Complaint, marks: Marks) -> Fault:
    place = fault_at if complaint.about == "value" else fault_at_key
    return place(marks, complaint.path, complaint.wrong, complaint.given, complaint.write)


def _at(data: Any, path: Path) -> Any:
    for part in path:
        data = _inside(data, part)
    return data


def _capped(faults: list[Fault], more: int) -> list[Fault]:
    kept = faults[:MOST_FAULTS]
    more += len(faults) - len(kept)
    last = kept[-1]
    return [*kept, Fault(last.file, last.line + 1, 1, f"and {more} more faults from here on")]
