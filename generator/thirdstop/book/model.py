"""The base of every model of the book's files."""

from pydantic import BaseModel, ConfigDict, Field


def say(text: str, **more: object) -> object:
    """A field's description for the schema and the nomenclature page."""
    return Field(description=text, **more)  # type: ignore[call-overload]


class Model(BaseModel):
    """A mapping in a file: unknown keys are faults, values stay as they were read."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        arbitrary_types_allowed=True,
        allow_inf_nan=False,
    )
