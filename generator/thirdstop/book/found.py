"""What a studio file keeps of readings that were taken to learn it."""

from typing import Annotated

from pydantic import PlainValidator, WithJsonSchema

from thirdstop.book.fields import CountField, DateField, TextField, ToleranceField, parse_line
from thirdstop.book.grammar import QuantityError
from thirdstop.book.model import Model, say
from thirdstop.book.quantities import Share

MOST_FOUND = 80
"""Of one studio."""


def parse_found(given: object) -> str:
    """A value as the studio file has it, kept as text: '0.743', '31.4 m'."""
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        return f"{given:g}"
    return parse_line(given, "a value", 60)


def parse_correlation(given: object) -> float:
    """A number from -1 to 1."""
    if isinstance(given, bool) or not isinstance(given, (int, float)) or not -1 <= given <= 1:
        raise QuantityError("a correlation is a number from -1 to 1", "-0.4")
    return float(given)


FoundField = Annotated[
    str,
    PlainValidator(parse_found),
    WithJsonSchema(
        {
            "title": "Value as found",
            "anyOf": [{"type": "string", "minLength": 1, "maxLength": 60}, {"type": "number"}],
            "examples": [0.743, "31.4 m"],
        }
    ),
]
CorrelationField = Annotated[
    float,
    PlainValidator(parse_correlation),
    WithJsonSchema(
        {"type": "number", "title": "Correlation", "minimum": -1, "maximum": 1, "examples": [-0.4]}
    ),
]


class FoundModel(Model):
    """One thing that the readings told. Written by `calibrate --write`."""

    of: Annotated[TextField, say("What it is: 'left wall', 'battery 400 with round box 90'.")]
    value: Annotated[
        FoundField, say("As it stands elsewhere in this file; once that is changed, this no longer counts.")
    ]
    spread: Annotated[
        ToleranceField, say("Half-width of its 90 % band, in stops: a factor of 2 is one stop.")
    ]
    with_: Annotated[
        list[CorrelationField],
        say("Correlation with each of those above it, in order.", alias="with", max_length=MOST_FOUND),
    ] = []


class CalibrationModel(Model):
    """What was learned of the studio from readings. Written by `calibrate --write`."""

    measured: Annotated[DateField, say("The day it was read.")]
    readings: Annotated[CountField, say("How many readings it rests on.")]
    file: Annotated[TextField, say("The file of readings.")]
    found: Annotated[list[FoundModel], say("What they told.", min_length=1, max_length=MOST_FOUND)]


def found_in(calibration: CalibrationModel | None, name: str, value: object) -> bool:
    """Whether readings told this value: it stands as they left it. A share as the file writes it."""
    text = f"{value.value:g}" if isinstance(value, Share) else str(value)
    return calibration is not None and any(one.of == name and one.value == text for one in calibration.found)
