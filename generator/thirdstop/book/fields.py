"""The field types of the models: each reads its text, and describes it in the JSON Schema.

A field takes the text of a file or a quantity that was read already. Patterns in the schema help an
editor; they are never narrower than the parsers.
"""

import re
import unicodedata
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import PlainSerializer, PlainValidator, WithJsonSchema

from thirdstop.book import parsing, quantities
from thirdstop.book.grammar import INVISIBLE, UNPRINTABLE, QuantityError, shorten

_N = r"[0-9½⅓⅔¼¾.][0-9½⅓⅔¼¾./⁄ ]*"
_SIGN = "[-+−–]? ?"
_LENGTH = rf"""{_N}(m|cm|mm|ft|in|['"’‘′”“″])( ?{_N}(in|["”“″'’‘′]+))?"""
_SIDES = "( camera-(left|right))?"

Parser: TypeAlias = Callable[[object], Any]


def _read(parser: Parser, kinds: tuple[type, ...]) -> PlainValidator:
    def reading(given: object) -> object:
        return given if isinstance(given, kinds) else parser(given)

    return PlainValidator(reading)


def _text_schema(title: str, pattern: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema(
        {"type": "string", "title": title, "pattern": f"^ *{pattern} *$", "examples": list(examples)}
    )


def _loose_schema(title: str, pattern: str, examples: list[str | float], **number: float) -> WithJsonSchema:
    """For the few kinds that may also be a bare number."""
    return WithJsonSchema(
        {
            "title": title,
            "anyOf": [{"type": "string", "pattern": f"^ *{pattern} *$"}, {"type": "number", **number}],
            "examples": examples,
        }
    )


_AS_TEXT = PlainSerializer(str, return_type=str)

LengthField = Annotated[
    quantities.Length,
    _read(parsing.parse_length, (quantities.Length,)),
    _AS_TEXT,
    _text_schema("Length", rf"\+? ?{_LENGTH}", "40 cm", "1.15 m", "4 ft 2 in"),
]
SizeField = Annotated[
    quantities.Size,
    _read(parsing.parse_size, (quantities.Size,)),
    _AS_TEXT,
    _text_schema("Size", rf"({_N}|{_LENGTH}) ?[x×] ?{_LENGTH}", "120 x 90 cm", "1.2 m x 90 cm"),
]
AngleField = Annotated[
    quantities.Angle,
    _read(parsing.parse_angle, (quantities.Angle,)),
    _AS_TEXT,
    _text_schema("Angle", rf"{_N}(deg|[°º])", "15 deg"),
]
TurnField = Annotated[
    quantities.Turn,
    _read(parsing.parse_turn, (quantities.Turn,)),
    _AS_TEXT,
    _text_schema("Turn", rf"{_N}(deg|[°º]){_SIDES}", "30 deg camera-right", "0 deg"),
]
TiltField = Annotated[
    quantities.Tilt,
    _read(parsing.parse_tilt, (quantities.Tilt,)),
    _AS_TEXT,
    _text_schema("Tilt", rf"(upright|{_N}(deg|[°º])( (up|down))?)", "10 deg up", "upright"),
]
RollField = Annotated[
    quantities.Roll,
    _read(parsing.parse_roll, (quantities.Roll,)),
    _AS_TEXT,
    _text_schema("Roll", rf"{_N}(deg|[°º])( (anti)?clockwise)?", "10 deg clockwise", "0 deg"),
]
SideField = Annotated[
    quantities.Side,
    _read(parsing.parse_side, (quantities.Side,)),
    _AS_TEXT,
    _text_schema("Distance to one side", _LENGTH + _SIDES, "40 cm camera-left", "0 cm"),
]
TowardField = Annotated[
    quantities.Toward,
    _read(parsing.parse_toward, (quantities.Toward,)),
    _AS_TEXT,
    _text_schema(
        "Distance along the camera line", rf"{_LENGTH}( (toward|away from) camera)?", "50 cm toward camera"
    ),
]
_OFFSET = rf"{_LENGTH} (toward camera|away from camera|camera-left|camera-right|up|down)"
OffsetsField = Annotated[
    tuple[quantities.Offset, ...],
    _read(parsing.parse_offsets, (tuple,)),
    PlainSerializer(lambda offsets: ", ".join(map(str, offsets)), return_type=str),
    _text_schema("Offsets", f"{_OFFSET}(, {_OFFSET}){{0,2}}", "10 cm toward camera, 5 cm up"),
]
StopsField = Annotated[
    quantities.Stops,
    _read(parsing.parse_stops, (quantities.Stops,)),
    _AS_TEXT,
    _text_schema("Stops", rf"{_SIGN}{_N}stops?", "-1.5 stops", "1/3 stop"),
]
ToleranceField = Annotated[
    quantities.Stops,
    _read(parsing.parse_tolerance, (quantities.Stops,)),
    _AS_TEXT,
    _text_schema("Tolerance in stops", rf"{_N}stops?", "1/3 stop"),
]
StopsFromKeyField = Annotated[
    quantities.RelativeStops,
    _read(parsing.parse_stops_from_key, (quantities.RelativeStops,)),
    _AS_TEXT,
    _text_schema("Stops from the key reading", rf"{_SIGN}{_N}stops? from key", "-1.5 stops from key"),
]
StopsFromMidGreyField = Annotated[
    quantities.RelativeStops,
    _read(parsing.parse_stops_from_mid_grey, (quantities.RelativeStops,)),
    _AS_TEXT,
    _text_schema("Stops from mid-grey", rf"{_SIGN}{_N}stops? from mid-grey", "-1 stop from mid-grey"),
]
FNumberField = Annotated[
    quantities.Aperture,
    _read(parsing.parse_f_number, (quantities.Aperture,)),
    _AS_TEXT,
    _text_schema("f-number", r"[fF] ?/? ?[0-9.]+", "f/8", "f/5.6"),
]
ApertureField = Annotated[
    quantities.Aperture,
    _read(parsing.parse_aperture, (quantities.Aperture,)),
    _AS_TEXT,
    _text_schema("Aperture or meter reading", rf"[fF] ?/? ?[0-9.]+( ?\+ ?{_N})?", "f/8", "f/5.6 + 7/10"),
]
RatioField = Annotated[
    quantities.Ratio,
    _read(parsing.parse_ratio, (quantities.Ratio,)),
    _AS_TEXT,
    _text_schema("Ratio", r"[0-9.]+ ?: ?[0-9.]+", "4:1", "3.5:1"),
]
ShareField = Annotated[
    quantities.Share,
    _read(parsing.parse_share, (quantities.Share,)),
    PlainSerializer(lambda share: share.value, return_type=float),
    _loose_schema("Share", rf"{_N}%?", [0.55, "55 %"], minimum=0, maximum=1),
]
DurationField = Annotated[
    quantities.Duration,
    _read(parsing.parse_duration, (quantities.Duration,)),
    _AS_TEXT,
    _text_schema("Time", rf"{_N}(s|ms|min|h)", "1/160 s", "1.5 ms", "20 min"),
]
TemperatureField = Annotated[
    quantities.Temperature,
    _read(parsing.parse_temperature, (quantities.Temperature,)),
    _AS_TEXT,
    _text_schema("Colour temperature", rf"{_N}K", "5500 K"),
]
MiredField = Annotated[
    quantities.Mired,
    _read(parsing.parse_mired, (quantities.Mired,)),
    _AS_TEXT,
    _text_schema("Mired shift", rf"{_SIGN}{_N}mired", "+40 mired"),
]
MassField = Annotated[
    quantities.Mass,
    _read(parsing.parse_mass, (quantities.Mass,)),
    _AS_TEXT,
    _text_schema("Mass", rf"{_N}(kg|g|lb( ?{_N}oz)?|oz)", "2.5 kg", "900 g", "4 lb 14 oz"),
]
EnergyField = Annotated[
    quantities.Energy,
    _read(parsing.parse_energy, (quantities.Energy,)),
    _AS_TEXT,
    _text_schema("Flash energy", rf"{_N}(J|kJ|W·?s)", "400 J"),
]
EfficacyField = Annotated[
    quantities.Efficacy,
    _read(parsing.parse_efficacy, (quantities.Efficacy,)),
    _AS_TEXT,
    _text_schema("Efficacy", rf"{_N}lm[· ]s ?/ ?J", "40 lm·s/J"),
]
IlluminanceField = Annotated[
    quantities.Illuminance,
    _read(parsing.parse_illuminance, (quantities.Illuminance,)),
    _AS_TEXT,
    _text_schema("Illuminance", rf"{_N}(lux|lx)", "150 lux"),
]
IsoField = Annotated[
    quantities.Iso,
    _read(parsing.parse_iso, (quantities.Iso,)),
    _AS_TEXT,
    _loose_schema("ISO speed", "(ISO ?)?[0-9]+", [100, "ISO 400"], minimum=1),
]
FocalLengthField = Annotated[
    quantities.FocalLength,
    _read(parsing.parse_focal_length, (quantities.FocalLength,)),
    _AS_TEXT,
    _text_schema("Focal length", rf"{_N}mm", "85 mm"),
]
GuideNumberField = Annotated[
    quantities.GuideNumber,
    _read(parsing.parse_guide_number, (quantities.GuideNumber,)),
    _AS_TEXT,
    _text_schema("Guide number", rf"{_N}(m|ft)", "60 m", "197 ft"),
]
ClickField = Annotated[
    quantities.Click,
    _read(parsing.parse_click, (quantities.Click,)),
    _AS_TEXT,
    _text_schema("Click", "click +[0-9]+", "click 14"),
]
DioptreField = Annotated[
    quantities.Dioptre,
    _read(parsing.parse_dioptre, (quantities.Dioptre,)),
    _AS_TEXT,
    _text_schema("Dioptre", rf"{_SIGN}{_N}D", "4 D"),
]
CountField = Annotated[
    int,
    PlainValidator(parsing.parse_count),
    WithJsonSchema({"type": "integer", "title": "Count", "minimum": 0, "examples": [2]}),
]

ToBeFound = Annotated[
    Literal["to be found"],
    WithJsonSchema({"const": "to be found", "title": "To be found", "description": "place works it out."}),
]
"""Stands where a value is left to `place`."""


def _read_or_leave(parser: Parser, kinds: tuple[type, ...]) -> PlainValidator:
    """Reads the value, or lets 'to be found' stand: one field, so that a slip in the value is one fault."""

    def reading(given: object) -> object:
        if isinstance(given, str) and " ".join(given.split()) == "to be found":
            return "to be found"
        return given if isinstance(given, kinds) else parser(given)

    return PlainValidator(reading)


def _schema_or_leave(title: str, pattern: str, example: str) -> WithJsonSchema:
    value = {"type": "string", "title": title, "pattern": f"^ *{pattern} *$"}
    left = {"const": "to be found", "title": "To be found"}
    return WithJsonSchema({"anyOf": [value, left], "examples": [example, "to be found"]})


LengthOrToBeFound = Annotated[
    quantities.Length | Literal["to be found"],
    _read_or_leave(parsing.parse_length, (quantities.Length,)),
    _AS_TEXT,
    _schema_or_leave("Length", rf"\+? ?{_LENGTH}", "40 cm"),
]
TurnOrToBeFound = Annotated[
    quantities.Turn | Literal["to be found"],
    _read_or_leave(parsing.parse_turn, (quantities.Turn,)),
    _AS_TEXT,
    _schema_or_leave("Turn", rf"{_N}(deg|[°º]){_SIDES}", "30 deg camera-right"),
]

SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
"""What a recipe's file and a theme's folder are called."""

TITLE_MOST, NAME_MOST, TEXT_MOST, MARKDOWN_MOST = 60, 60, 300, 6000
"""Characters; a set-up card is one page, so texts have ends."""


def parse_line(given: object, name: str, most: int) -> str:
    """One line of text, 1 to `most` characters, runs of spaces and line breaks folded to one space.

    Accents typed as marks of their own become one with their letters, so that what looks alike is alike.
    """
    text = unicodedata.normalize("NFC", " ".join(parse_block(given, name, most).split()))
    if not text:
        raise QuantityError(f"{name} is empty", "a few words")
    if found := INVISIBLE.search(text):
        raise QuantityError(f"{name} holds the invisible character U+{ord(found[0]):04X}", "it without that")
    return text


def parse_block(given: object, name: str, most: int) -> str:
    """Text of up to `most` characters, line breaks kept. Refuses what can't be printed."""
    if not isinstance(given, str):
        raise QuantityError(f"{name} must be text", _quoted(given))
    if len(given) > most:
        raise QuantityError(f"{name} has {len(given)} characters", f"at most {most} characters")
    if found := UNPRINTABLE.search(given):
        raise QuantityError(
            f"{name} holds the unprintable character U+{ord(found[0]):04X}", "it without that"
        )
    return given


def parse_paint(given: object) -> str | quantities.Share:
    """A paint's name, or its reflectance as a number: 'white paint', 0.8, '80 %'."""
    if isinstance(given, str) and not given.strip()[:1].isdigit() and not given.strip().startswith("."):
        return parse_line(given, "a paint", NAME_MOST)
    return parsing.parse_share(given)


def parse_date(given: object) -> date:
    """'2024-03-15' → that day."""
    try:
        if isinstance(given, str) and len(given) == 10:
            return date.fromisoformat(given)
    except ValueError:
        pass
    raise QuantityError("a date is written year-month-day", "2024-03-15")


def parse_slug(given: object) -> str:
    """A name fit for a file or folder: lower-case letters, digits and single hyphens."""
    text = parse_line(given, "a name", NAME_MOST)
    if not SLUG.fullmatch(text):
        better = "-".join(re.findall("[a-z0-9]+", text.lower())) or "plain"
        raise QuantityError("this name is lower-case letters, digits and hyphens", better)
    return text


def _quoted(given: object) -> str:
    if given is None or isinstance(given, (dict, list)):
        return "a few words"
    return f"'{shorten(str(given).lower() if isinstance(given, bool) else str(given))}'"


def _line(name: str, most: int) -> PlainValidator:
    return PlainValidator(lambda given: parse_line(given, name, most))


NameField = Annotated[
    str,
    _line("a name", NAME_MOST),
    WithJsonSchema({"type": "string", "title": "Name", "minLength": 1, "maxLength": NAME_MOST}),
]
SlugField = Annotated[
    str,
    PlainValidator(parse_slug),
    WithJsonSchema(
        {"type": "string", "title": "Plain name", "pattern": f"^{SLUG.pattern}$", "maxLength": NAME_MOST}
    ),
]
TitleField = Annotated[
    str,
    _line("a title", TITLE_MOST),
    WithJsonSchema({"type": "string", "title": "Title", "minLength": 1, "maxLength": TITLE_MOST}),
]
TextField = Annotated[
    str,
    _line("this", TEXT_MOST),
    WithJsonSchema({"type": "string", "title": "Text", "minLength": 1, "maxLength": TEXT_MOST}),
]
MarkdownField = Annotated[
    str,
    PlainValidator(lambda given: parse_block(given, "a note", MARKDOWN_MOST)),
    WithJsonSchema({"type": "string", "title": "Markdown", "maxLength": MARKDOWN_MOST}),
]
PaintField = Annotated[
    str | quantities.Share,
    _read(parse_paint, (quantities.Share,)),
    PlainSerializer(lambda paint: paint if isinstance(paint, str) else paint.value),
    WithJsonSchema(
        {
            "title": "Paint or reflectance",
            "anyOf": [
                {"type": "string", "minLength": 1, "maxLength": NAME_MOST},
                {"type": "number", "minimum": 0, "maximum": 1},
            ],
            "examples": ["white paint", 0.55],
        }
    ),
]
DateField = Annotated[
    date,
    _read(parse_date, (date,)),
    PlainSerializer(lambda day: day.isoformat(), return_type=str),
    WithJsonSchema({"type": "string", "title": "Date", "format": "date", "examples": ["2024-03-15"]}),
]
