"""Ranges of single keys: a room has no side of 0 cm, though 0 cm is a length."""

from dataclasses import astuple
from fractions import Fraction
from typing import Annotated, Any, TypeAlias

from pydantic import AfterValidator

from thirdstop.book import parsing
from thirdstop.book.fields import (
    AngleField,
    CountField,
    DurationField,
    EfficacyField,
    EnergyField,
    GuideNumberField,
    LengthField,
    MassField,
    PaintField,
    Parser,
    ShareField,
    SizeField,
    StopsField,
    TiltField,
    ToleranceField,
)
from thirdstop.book.grammar import QuantityError
from thirdstop.book.quantities import Length, Share

Limit: TypeAlias = str | int | float
"""As a person writes it: '1 m', 3, 0.05."""


def within(what: str, least: Limit, most: Limit, parser: Parser) -> AfterValidator:
    """Refuses a value outside the limits, saying them as they are written here.

    Signs don't count: a tilt within 0 and 45 deg goes 45 deg up or down. What is left to be found passes.
    """
    low, high = (min(_amounts(parser(limit))) for limit in (least, most))

    def check(given: Any) -> Any:
        if isinstance(given, str):
            return given
        if min(_amounts(given)) < low:
            raise QuantityError(f"{what} is at least {_said(least)}", f"{_said(least)} or more")
        if max(_amounts(given)) > high:
            raise QuantityError(f"{what} is at most {_said(most)}", f"{_said(most)} or less")
        return given

    return AfterValidator(check)


def unsigned(what: str) -> AfterValidator:
    """Refuses what is below 0."""

    def check(given: Any) -> Any:
        if given.value < 0:
            raise QuantityError(f"{what} is written without a sign", str(given).lstrip("-"))
        return given

    return AfterValidator(check)


METER_STEPS = (Fraction(1, 10), Fraction(1, 3), Fraction(1, 2), Fraction(1))
_STEP_WRITTEN = 0.02
"""A third may be written 0.33."""


def _a_meters_step(given: Any) -> Any:
    if not any(abs(given.value / step - 1) <= _STEP_WRITTEN for step in METER_STEPS):
        raise QuantityError("a meter shows steps of 1/10, 1/3, 1/2 or 1 stop", "1/10 stop")
    return given


def lengths(what: str, least: str, most: str) -> AfterValidator:
    """A range of lengths."""
    return within(what, least, most, parsing.parse_length)


def sizes(what: str, least: str, most: str) -> AfterValidator:
    """A range that both sides of a size keep."""
    return within(what, least, most, parsing.parse_length)


def angles(what: str, least: str, most: str) -> AfterValidator:
    """A range of angles, turns or tilts, whichever way they go."""
    return within(what, least, most, parsing.parse_angle)


def counts(what: str, least: int, most: int) -> AfterValidator:
    """A range of whole numbers."""
    return within(what, least, most, parsing.parse_count)


def shares(what: str, least: float, most: float) -> AfterValidator:
    """A range of shares, and of paints where they are given as numbers."""
    return within(what, least, most, parsing.parse_share)


def stops(what: str, least: str, most: str) -> AfterValidator:
    """A range of differences in stops, up or down."""
    return within(what, least, most, parsing.parse_tolerance)


def _amounts(value: Any) -> list[float]:
    numbers = [value] if isinstance(value, (int, float)) else astuple(value)
    return [abs(number) for number in numbers if not isinstance(number, str)]


def _said(limit: Limit) -> str:
    return str(Share(limit)) if isinstance(limit, float) else str(limit)


# Of the studio file

RoomSideField = Annotated[LengthField, lengths("a side of the room", "1 m", "30 m")]
ExtentField = Annotated[LengthField, lengths("a thing's length", "1 cm", "12 m")]
DepthField = Annotated[LengthField, lengths("a depth", "0 cm", "3 m")]
PanelSizeField = Annotated[SizeField, sizes("a side of a panel or face", "1 cm", "6 m")]
SensorField = Annotated[SizeField, sizes("a side of a sensor", "4 mm", "150 mm")]
ReflectanceField = Annotated[PaintField, shares("a reflectance", 0.0, 0.99)]
SurfaceShareField = Annotated[ShareField, shares("a reflectance", 0.0, 0.99)]
RoughnessField = Annotated[ShareField, shares("a roughness", 0.1, 1.0)]
NetField = Annotated[ShareField, shares("what a net passes", 0.0, 0.99)]
PassedField = Annotated[ShareField, shares("what a shaper passes", 0.01, 1.0)]
GearMassField = Annotated[MassField, within("the mass of gear", "1 g", "100 kg", parsing.parse_mass)]
GearCountField = Annotated[CountField, counts("the count of gear", 1, 99)]
FlashEnergyField = Annotated[EnergyField, within("a flash energy", "1 J", "20000 J", parsing.parse_energy)]
FlashEfficacyField = Annotated[
    EfficacyField, within("a flash's efficacy", "1 lm·s/J", "200 lm·s/J", parsing.parse_efficacy)
]
FlashGuideNumberField = Annotated[
    GuideNumberField, within("a guide number", "1 m", "500 m", parsing.parse_guide_number)
]
ClicksField = Annotated[CountField, counts("the number of clicks", 1, 99)]
PopsField = Annotated[CountField, counts("the number of pops", 1, 100_000)]
FramesField = Annotated[CountField, counts("the number of frames", 1, 10_000)]
ReadingDistanceField = Annotated[LengthField, lengths("the distance of a reading", "10 cm", "20 m")]
HalfAngleField = Annotated[AngleField, angles("a half-angle", "5 deg", "85 deg")]
CutoffField = Annotated[AngleField, angles("a cut-off", "5 deg", "85 deg")]
LossField = Annotated[StopsField, unsigned("a loss"), stops("a loss", "0 stops", "10 stops")]
MeterConstantField = Annotated[CountField, counts("a meter's constant", 100, 1000)]
MeterStepField = Annotated[StopsField, AfterValidator(_a_meters_step)]
MeterOffsetField = Annotated[StopsField, stops("a meter's offset", "0 stops", "5 stops")]
PopIntervalField = Annotated[
    DurationField, within("the time between two pops", "1 s", "10 min", parsing.parse_duration)
]
"""Never faster than one flash a second: the flash check's house limit."""
NearnessField = Annotated[ToleranceField, stops("a tolerance", "0.05 stops", "3 stops")]

# Of recipes

_EYE_HEIGHT = lengths("an eye height", "30 cm", "2.2 m")
EyeHeightField = Annotated[LengthField, _EYE_HEIGHT]
SeatHeightField = Annotated[LengthField, lengths("a seat's height", "5 cm", "1.2 m")]
BrimField = Annotated[LengthField, lengths("the reach of a brim", "0 cm", "60 cm")]
BrimHeightField = Annotated[LengthField, lengths("a brim's height above the eyes", "0 cm", "15 cm")]
CrownField = Annotated[LengthField, lengths("a crown's height", "1 cm", "60 cm")]
LensLeanField = Annotated[AngleField, angles("the lean of glasses", "0 deg", "45 deg")]
HandsForwardField = Annotated[LengthField, lengths("the reach of hands", "0 cm", "80 cm")]
HandsHeightField = Annotated[LengthField, lengths("the height of hands", "10 cm", "2.5 m")]
HeldField = Annotated[LengthField, lengths("a held thing's diameter", "1 cm", "60 cm")]
ChinField = Annotated[TiltField, angles("a chin's tilt", "0 deg", "60 deg")]
CameraTiltField = Annotated[TiltField, angles("a camera's tilt", "0 deg", "45 deg")]
CameraDistanceField = Annotated[LengthField, lengths("a camera's distance", "30 cm", "30 m")]
CameraHeightField = Annotated[LengthField, lengths("a camera's height", "5 cm", "6 m")]
SheetDistanceField = Annotated[LengthField, lengths("a sheet's distance", "5 cm", "30 m")]


def parse_eye_height(text: str) -> Length:
    """An eye height that is given outside a file, within the limits that it has there; else QuantityError."""
    height = parsing.parse_length(text)
    _EYE_HEIGHT.func(height)  # type: ignore[call-arg]
    return height
