"""What a file left out and the models filled in, so that a page can say which values were defaults."""

from collections.abc import Iterator
from dataclasses import dataclass, is_dataclass

from pydantic import BaseModel
from pydantic.fields import FieldInfo


@dataclass(frozen=True)
class DefaultTaken:
    """One key that the file left out."""

    key: str
    """Dotted, list items counted from 1: 'lights.1.power'."""
    value: str
    """What stands in for it, as a person would write it."""
    meaning: str
    """What the key says."""


def defaults_of(model: BaseModel) -> list[str]:
    """Dotted keys that the file left out and that have something standing in for them, in schema order.

    Keys whose default is nothing at all (no grid, no gel, an empty list) are not listed.
    """
    return [taken.key for taken in defaults_taken(model)]


def defaults_taken(model: BaseModel) -> list[DefaultTaken]:
    """As defaults_of, each with its value and meaning. A mapping left out whole gives each of its keys."""
    return list(_taken(model, (), everything=False))


def _taken(model: BaseModel, path: tuple[str, ...], *, everything: bool) -> Iterator[DefaultTaken]:
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        here = (*path, field.alias or name)
        left_out = everything or name not in model.model_fields_set
        if isinstance(value, BaseModel):
            yield from _taken(value, here, everything=left_out)
        elif isinstance(value, list) and any(isinstance(item, BaseModel) for item in value):
            for number, item in enumerate(value, start=1):
                yield from _taken(item, (*here, str(number)), everything=left_out)
        elif left_out and value not in (None, "", [], ()):
            yield DefaultTaken(".".join(here), _written(value), _meaning(field))


def _written(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return str(value) if isinstance(value, (str, int, float)) or is_dataclass(value) else repr(value)


def _meaning(field: FieldInfo) -> str:
    # Descriptions inside Annotated with an inner Annotated are kept by pydantic on the outer field.
    return field.description or ""
