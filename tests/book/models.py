"""The models that a file's model is made of."""

from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """Every model inside an annotation, itself included."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        for field in annotation.model_fields.values():
            yield from models_in(field.annotation)
    for inner in get_args(annotation):
        yield from models_in(inner)
