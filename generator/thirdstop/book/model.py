"""The base of every model of the book's files."""

from pydantic import BaseModel, ConfigDict


class Model(BaseModel):
    """A mapping in a file: unknown keys are faults, values stay as they were read."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        arbitrary_types_allowed=True,
        allow_inf_nan=False,
    )
