"""A file of meter readings taken to learn a studio."""

import re
from typing import Annotated, Literal

from pydantic import PlainValidator, WithJsonSchema

from thirdstop.book.fields import (
    ApertureField,
    ClickField,
    DateField,
    IlluminanceField,
    IsoField,
    LengthField,
    NameField,
    TextField,
    TitleField,
    parse_line,
)
from thirdstop.book.grammar import QuantityError
from thirdstop.book.model import Model, say
from thirdstop.book.quantities import Iso, Length
from thirdstop.book.ranges import lengths
from thirdstop.book.recipe import Aim, Backdrop, Blocker, Card, Light, MarkPlace, Place
from thirdstop.book.subject import Subject

MOST_SETUPS, MOST_READINGS = 20, 40
"""Of one file, of one set-up: an afternoon's work, and what is computed while one waits."""

_INITIALS = re.compile(r"[^\W\d_]{1,4}")


def parse_initials(given: object) -> str:
    """'KM': one to four letters, so that no name stands in a file."""
    text = parse_line(given, "initials", 60).replace(".", "").replace(" ", "")
    if not _INITIALS.fullmatch(text):
        raise QuantityError("who it was is said by initials, one to four letters", "KM")
    return text.upper()


InitialsField = Annotated[
    str,
    PlainValidator(parse_initials),
    WithJsonSchema({"type": "string", "title": "Initials", "minLength": 1, "maxLength": 8}),
]
NoseHeightField = Annotated[LengthField, lengths("the height of the nose", "20 cm", "2.2 m")]


class ReadingModel(Model):
    """One reading of the flash meter."""

    name: Annotated[NameField | None, say("What it is called in the report; left out: its number.")] = None
    at: Annotated[
        TextField | Place,
        say("Where the receptor is: a place, 'nose', or with a sitter one of the measuring points."),
    ]
    toward: Annotated[
        TextField | Aim | None,
        say(
            "Where the receptor looks: a light or card by name, camera, a wall, ceiling, floor, or lean "
            "and swing; left out only at a sitter's measuring point, which has its own direction."
        ),
    ] = None
    receptor: Annotated[Literal["flat", "dome"] | None, say("The receptor; left out: flat.")] = None
    power: Annotated[
        ClickField | None, say("The click of the set-up's first light; left out: as the light says.")
    ] = None
    iso: Annotated[IsoField, say("What the meter was set to.")] = Iso(100)
    reads: Annotated[ApertureField, say("What the meter showed.")]


class ReadingSetup(Model):
    """A set-up that readings were taken in: lights and cards as in a recipe, each light at a click."""

    name: Annotated[NameField, say("What it is called in the report.")]
    lights: Annotated[list[Light], say("Lamps.", min_length=1, max_length=6)]
    cards: Annotated[list[Card], say("Cards.", max_length=6)] = []
    blockers: Annotated[list[Blocker], say("Flags, black panels.", max_length=6)] = []
    backdrop: Annotated[Backdrop, say("The sheet that hung there; left out: none, the back wall itself.")] = (
        Backdrop()
    )
    subject: Annotated[
        Subject | None, say("A sitter at M; left out: nobody in the room, which is surer.")
    ] = None
    readings: Annotated[list[ReadingModel], say("What was read.", min_length=1, max_length=MOST_READINGS)]


class GreyFrame(Model):
    """A frame of a grey card against the meter."""

    metered: Annotated[ApertureField, say("What the meter showed at the card.")]
    right_at: Annotated[ApertureField, say("The aperture at which the frame came out as mid-grey.")]


class Metering(Model):
    """The file of readings: what was read on one day to learn the studio."""

    title: Annotated[TitleField, say("What the house calls it.")]
    date: Annotated[DateField, say("The day it was read.")]
    by: Annotated[InitialsField | None, say("Who read it, by initials; may be left out.")] = None
    mark: Annotated[MarkPlace, say("Where M was, from two walls.")]
    nose_height: Annotated[
        NoseHeightField, say("Height over M from which strings are measured where nobody sits.")
    ] = Length(1.2)
    setups: Annotated[list[ReadingSetup], say("Set-ups with their readings.", max_length=MOST_SETUPS)] = []
    ambient: Annotated[
        list[IlluminanceField],
        say("The room's own light at the mark, read in lux.", max_length=MOST_READINGS),
    ] = []
    grey_frames: Annotated[
        list[GreyFrame], say("The camera against the meter.", max_length=MOST_READINGS)
    ] = []
