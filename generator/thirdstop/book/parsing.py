"""The parsers, one a kind: text → quantity. Each raises QuantityError and nothing else."""

import re
from dataclasses import replace
from fractions import Fraction

from thirdstop.book import quantities as q
from thirdstop.book.grammar import (
    NUMBER,
    Kind,
    Measure,
    QuantityError,
    fold,
    in_range,
    measure,
    number,
    only,
    plain,
    shorten,
    text_of,
)
from thirdstop.constants import METRES_PER_INCH

_INCH = Fraction(str(METRES_PER_INCH))
_FOOT = q.INCHES_PER_FOOT * _INCH
_POUND = Fraction("0.45359237")  # exact: international yard and pound agreement (1959)
_LENGTH_UNITS = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "ft": _FOOT,
    "in": _INCH,
    "'": _FOOT,
    '"': _INCH,
}
_DEGREES = {"deg": Fraction(1), "°": Fraction(1)}

LENGTH = Kind("a length", "40 cm", _LENGTH_UNITS, Fraction(100), "100 m", big_units=((5, "cm"), (500, "mm")))
SIGNED_LENGTH = replace(LENGTH, signs="+-")
SIZE = replace(LENGTH, name="a size", example="120 x 90 cm", suggests=False)
SIDE = replace(LENGTH, name="a distance to one side", example="40 cm camera-left", tail=" camera-right")
TOWARD = replace(
    LENGTH,
    name="a distance along the camera line",
    example="50 cm toward camera",
    tail=" toward camera",
)
OFFSET = replace(LENGTH, name="an offset", example="10 cm toward camera", tail=" toward camera")
ANGLE = Kind("an angle", "15 deg", _DEGREES, Fraction(360), "360 deg")
TURN = replace(
    ANGLE,
    name="a turn",
    example="30 deg camera-right",
    most=Fraction(180),
    most_text="180 deg",
    tail=" camera-right",
)
TILT = replace(ANGLE, name="a tilt", example="10 deg up", most=Fraction(90), most_text="90 deg", tail=" up")
ROLL = replace(TURN, name="a roll", example="10 deg clockwise", tail=" clockwise")
STOPS = Kind(
    "a difference in stops",
    "-1.5 stops",
    {"stop": Fraction(1), "stops": Fraction(1)},
    Fraction(30),
    "30 stops",
    signs="+-",
    big_units=((1.0001, "stops"),),
)
TOLERANCE = replace(
    STOPS, name="a tolerance", example="1/3 stop", signs="", most=Fraction(10), most_text="10 stops"
)
RELATIVE_STOPS = replace(STOPS, name="a level in stops", example="-1.5 stops from key", tail=" from key")
APERTURE = Kind("an aperture", "f/8", {}, Fraction(128), "f/128", least=Fraction(1, 2), least_text="f/0.5")
RATIO = Kind("a ratio", "4:1", {}, Fraction(1000), "1000:1")
SHARE = Kind("a share", "0.55", {"%": Fraction(1, 100)}, Fraction(1), "1 (100 %)")
DURATION = Kind(
    "a time",
    "1/160 s",
    {"s": Fraction(1), "ms": Fraction(1, 1000), "min": Fraction(60), "h": Fraction(3600)},
    Fraction(86_400),
    "24 h",
)
TEMPERATURE = Kind(
    "a colour temperature",
    "5500 K",
    {"K": Fraction(1)},
    Fraction(25_000),
    "25000 K",
    least=Fraction(1000),
    least_text="1000 K",
)
MIRED = Kind("a mired shift", "+40 mired", {"mired": Fraction(1)}, Fraction(500), "500 mired", signs="+-")
MASS = Kind(
    "a mass",
    "2.5 kg",
    {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": _POUND},
    Fraction(500),
    "500 kg",
    big_units=((100, "g"),),
)
ENERGY = Kind(
    "a flash energy",
    "400 J",
    {"J": Fraction(1), "Ws": Fraction(1), "W·s": Fraction(1), "kJ": Fraction(1000)},
    Fraction(20_000),
    "20000 J",
)
EFFICACY = Kind(
    "an efficacy",
    "40 lm·s/J",
    {"lm·s/J": Fraction(1), "lm s/J": Fraction(1), "lm s / J": Fraction(1)},
    Fraction(200),
    "200 lm·s/J",
)
ILLUMINANCE = Kind(
    "an illuminance", "150 lux", {"lux": Fraction(1), "lx": Fraction(1)}, Fraction(200_000), "200000 lux"
)
ISO = Kind(
    "an ISO speed", "ISO 100", {}, Fraction(1_000_000), "ISO 1000000", least=Fraction(1), least_text="ISO 1"
)
FOCAL_LENGTH = Kind(
    "a focal length",
    "85 mm",
    {"mm": Fraction(1)},
    Fraction(2000),
    "2000 mm",
    least=Fraction(4),
    least_text="4 mm",
)
GUIDE_NUMBER = Kind("a guide number", "60 m", {"m": Fraction(1), "ft": _FOOT}, Fraction(500), "500 m")
CLICK = Kind(
    "a click", "click 14", {}, Fraction(99), "click 99", least=Fraction(1), least_text="click 1, the lowest"
)
DIOPTRE = Kind("a dioptre", "4 D", {"D": Fraction(1)}, Fraction(30), "30 D", signs="+-")
COUNT = Kind("a count", "2", {}, Fraction(100_000), "100000")

_FEET_INCHES = re.compile(rf"([+-]?) ?([0-9]{{1,4}}) ?(?:ft|') ?({NUMBER}) ?(?:in|\"|'')")
_F_NUMBER = re.compile(r"[fF] ?/? ?([0-9]{1,3}(?:\.[0-9]{1,3})?|\.[0-9]{1,3})")
_RATIO = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,4})?) ?: ?([0-9]{1,4}(?:\.[0-9]{1,4})?)")
_UNSIGNED = re.compile(NUMBER)
_CLICK = re.compile(r"click ([0-9]{1,4})")
_ISO = re.compile(r"(?:ISO ?)?([0-9]{1,8})")


def parse_length(given: object) -> q.Length:
    """'40 cm', '1.15 m', '850 mm', '4 ft 2 in', '½ m' → a length of 0 or more."""
    return q.Length(float(_length(given, LENGTH)))


def parse_signed_length(given: object) -> q.Length:
    """As parse_length, a sign allowed: '-5 cm'."""
    return q.Length(float(_length(given, SIGNED_LENGTH)))


def parse_size(given: object) -> q.Size:
    """'120 x 90 cm' or '1.2 m x 90 cm' → two sides, both above 0."""
    first, times, second = text_of(given, SIZE).partition("x")
    if not times:
        raise QuantityError("a size has two sides, with x between", SIZE.example)
    second_m = _length(second.strip(), SIZE)
    if _UNSIGNED.fullmatch(first.strip()):
        # The unit stands once, after the second side.
        first = f"{first.strip()} {measure(second.strip(), SIZE).unit}"
    first_m = _length(first.strip(), SIZE)
    if not first_m or not second_m:
        raise QuantityError("both sides of a size are above 0", SIZE.example)
    return q.Size(float(first_m), float(second_m))


def parse_angle(given: object) -> q.Angle:
    """'15 deg' or '15°' → 0 to 360."""
    return q.Angle(float(only(given, ANGLE)))


def parse_turn(given: object) -> q.Turn:
    """'30 deg camera-right' → 30; 'camera-left' → −30; '0 deg' alone."""
    return q.Turn(_sided(measure(given, TURN), TURN, "camera-right", "camera-left"))


def parse_tilt(given: object) -> q.Tilt:
    """'10 deg up' → 10; 'down' → −10; '0 deg' or 'upright'."""
    if isinstance(given, str) and fold(given) == "upright":
        return q.Tilt(0.0)
    return q.Tilt(_sided(measure(given, TILT), TILT, "up", "down"))


def parse_roll(given: object) -> q.Roll:
    """'10 deg clockwise' (as the camera sees it) → 10; 'anticlockwise' → −10; '0 deg'."""
    return q.Roll(_sided(measure(given, ROLL), ROLL, "clockwise", "anticlockwise"))


def parse_side(given: object) -> q.Side:
    """'40 cm camera-left' → −0.4; 'camera-right' → +0.4; '0 cm'."""
    return q.Side(_sided(_length_tail(given, SIDE), SIDE, "camera-right", "camera-left"))


def parse_toward(given: object) -> q.Toward:
    """'50 cm toward camera' → +0.5; 'away from camera' → −0.5; '0 cm'."""
    return q.Toward(_sided(_length_tail(given, TOWARD), TOWARD, "toward camera", "away from camera"))


def parse_offset(given: object) -> q.Offset:
    """'10 cm toward camera' → how far, and in which of the six directions."""
    found = _length_tail(given, OFFSET)
    for direction in q.DIRECTIONS:
        if found.tail == direction:
            return q.Offset(direction, float(found.value))
    raise QuantityError("an offset says which way: " + ", ".join(q.DIRECTIONS), OFFSET.example)


def parse_offsets(given: object) -> tuple[q.Offset, ...]:
    """One or more offsets joined by commas, each direction at most once."""
    offsets = tuple(parse_offset(part) for part in text_of(given, OFFSET).split(", "))
    axes = [_AXIS[offset.direction] for offset in offsets]
    if len(set(axes)) < len(axes):
        raise QuantityError("an offset goes one way along each line", "10 cm toward camera, 5 cm up")
    return offsets


def parse_stops(given: object) -> q.Stops:
    """'-1.5 stops', '1/3 stop', '+2/3 stop', '0 stops'."""
    return q.Stops(float(only(given, STOPS)))


def parse_tolerance(given: object) -> q.Stops:
    """'1/3 stop': stops without a sign."""
    return q.Stops(float(only(given, TOLERANCE)))


def parse_relative_stops(given: object) -> q.RelativeStops:
    """'-1.5 stops from key' or '-1 stop from mid-grey'."""
    return _relative(given, RELATIVE_STOPS, ("key", "mid-grey"))


def parse_stops_from_key(given: object) -> q.RelativeStops:
    """'-1.5 stops from key' and nothing else."""
    return _relative(given, RELATIVE_STOPS, ("key",))


def parse_stops_from_mid_grey(given: object) -> q.RelativeStops:
    """'-1 stop from mid-grey' and nothing else."""
    kind = replace(RELATIVE_STOPS, example="-1 stop from mid-grey", tail=" from mid-grey")
    return _relative(given, kind, ("mid-grey",))


def parse_f_number(given: object) -> q.Aperture:
    """'f/8', 'f8', 'f/5.6': kept as marked, nothing added."""
    return q.Aperture(_f_number(_aperture_text(given), APERTURE))


def parse_aperture(given: object) -> q.Aperture:
    """'f/8', or a meter's mark and the part of a stop that it adds: 'f/5.6 + 7/10'."""
    mark, plus, part = _aperture_text(given).partition("+")
    stops = Fraction(0)
    if plus:
        if not _UNSIGNED.fullmatch(part.strip()):
            raise QuantityError("a reading adds a part of a stop to its mark", "f/5.6 + 7/10")
        stops = number(part.strip(), APERTURE)
    if stops >= 1:
        raise QuantityError("a reading adds less than one stop to its mark", "f/5.6 + 7/10")
    return q.Aperture(_f_number(mark.strip(), APERTURE), float(stops))


def parse_ratio(given: object) -> q.Ratio:
    """'4:1' → 4.0; the larger side first."""
    text = _unitless_text(given, RATIO, "a ratio has two sides with a colon between", "{}:1")
    found = _RATIO.fullmatch(text)
    if not found:
        example = f"{text}:1" if _UNSIGNED.fullmatch(text) else RATIO.example
        raise QuantityError("a ratio has two sides with a colon between", example)
    first, second = Fraction(found.group(1)), Fraction(found.group(2))
    if not first or not second:
        raise QuantityError("neither side of a ratio is 0", RATIO.example)
    if first < second:
        raise QuantityError(
            "a ratio is written with the larger side first", f"{found.group(2)}:{found.group(1)}"
        )
    return q.Ratio(float(in_range(first / second, RATIO)))


def parse_share(given: object) -> q.Share:
    """0.55, '0.55' or '55 %' → 0 to 1. A bare number above 1 is refused."""
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        if not 0 <= given <= 1:
            raise QuantityError("a share lies between 0 and 1", _percent(given))
        return q.Share(float(given))
    text = text_of(given, SHARE)
    if _UNSIGNED.fullmatch(text):
        return parse_share(float(number(text, SHARE)))
    return q.Share(float(only(text, SHARE)))


def parse_duration(given: object) -> q.Duration:
    """'1/160 s', '2 s', '1.5 ms', '20 min' → above 0."""
    seconds = only(given, DURATION)
    if not seconds:
        raise QuantityError("a time is above 0", DURATION.example)
    return q.Duration(float(seconds))


def parse_temperature(given: object) -> q.Temperature:
    """'5500 K'."""
    return q.Temperature(float(only(given, TEMPERATURE)))


def parse_mired(given: object) -> q.Mired:
    """'+40 mired', '-20 mired'."""
    return q.Mired(float(only(given, MIRED)))


def parse_mass(given: object) -> q.Mass:
    """'2.5 kg', '900 g', '5 lb'."""
    return q.Mass(float(only(given, MASS)))


def parse_energy(given: object) -> q.Energy:
    """'400 J' or '400 Ws'."""
    return q.Energy(float(only(given, ENERGY)))


def parse_efficacy(given: object) -> q.Efficacy:
    """'40 lm·s/J', or 'lm s/J' on a plain keyboard."""
    return q.Efficacy(float(only(given, EFFICACY)))


def parse_illuminance(given: object) -> q.Illuminance:
    """'150 lux'."""
    return q.Illuminance(float(only(given, ILLUMINANCE)))


def parse_iso(given: object) -> q.Iso:
    """'ISO 100', '100' or the bare number 100."""
    if isinstance(given, int) and not isinstance(given, bool):
        return q.Iso(float(in_range(Fraction(max(given, 0)), ISO)))
    found = _ISO.fullmatch(_unitless_text(given, ISO, "an ISO speed is a whole number", ISO.example))
    if not found:
        raise QuantityError("an ISO speed is a whole number", ISO.example)
    return q.Iso(float(in_range(Fraction(found.group(1)), ISO)))


def parse_focal_length(given: object) -> q.FocalLength:
    """'85 mm'."""
    return q.FocalLength(float(only(given, FOCAL_LENGTH)))


def parse_guide_number(given: object) -> q.GuideNumber:
    """'60 m' or '197 ft'."""
    return q.GuideNumber(float(only(given, GUIDE_NUMBER)))


def parse_click(given: object) -> q.Click:
    """'click 14' → 14."""
    found = _CLICK.fullmatch(_unitless_text(given, CLICK, "a power step is written as a click", "click {}"))
    if not found:
        raise QuantityError("a power step is written as a click", _click_example(given))
    return q.Click(int(in_range(Fraction(found.group(1)), CLICK)))


def parse_dioptre(given: object) -> q.Dioptre:
    """'4 D', '-2.5 D'."""
    return q.Dioptre(float(only(given, DIOPTRE)))


def parse_count(given: object) -> int:
    """A bare whole number of 0 or more."""
    if not isinstance(given, int) or isinstance(given, bool):
        raise QuantityError("a count is a whole number without a unit", COUNT.example)
    if given < 0:
        raise QuantityError("a count is 0 or more", COUNT.example)
    return int(in_range(Fraction(given), COUNT))


_AXIS = {
    "toward camera": "y",
    "away from camera": "y",
    "camera-left": "x",
    "camera-right": "x",
    "up": "z",
    "down": "z",
}


def _length(given: object, kind: Kind) -> Fraction:
    found = _length_tail(given, kind)
    if found.tail:
        raise QuantityError(f"'{shorten(found.tail)}' doesn't belong in {kind.name}", kind.example)
    return found.value


def _length_tail(given: object, kind: Kind) -> Measure:
    """A length with whatever follows it; feet and inches count as one length."""
    text = text_of(given, kind)
    found = _FEET_INCHES.match(text)
    if not found:
        return measure(text, kind)
    sign, feet, inches = found.groups()
    if sign and sign not in kind.signs:
        raise QuantityError(f"{kind.name} is written without a sign", text.lstrip("+-"))
    value = int(feet) * _FOOT + number(inches, kind) * _INCH
    return Measure(in_range(-value if sign == "-" else value, kind), text[found.end() :].strip(), "ft")


def _sided(found: Measure, kind: Kind, positive: str, negative: str) -> float:
    if found.tail == positive or (not found.tail and not found.value):
        return float(found.value)
    if found.tail == negative:
        return -float(found.value) or 0.0
    example = f"{plain(float(found.value / kind.units[found.unit]))} {found.unit} {positive}"
    raise QuantityError(f"{kind.name} says which way: {positive} or {negative}", example)


def _relative(given: object, kind: Kind, allowed: tuple[q.Reference, ...]) -> q.RelativeStops:
    found = measure(given, kind)
    for reference in allowed:
        if found.tail == f"from {reference}":
            return q.RelativeStops(float(found.value), reference)
    example = f"{q.format_stops(float(found.value))} from {allowed[0]}"
    raise QuantityError(f"{kind.name} says from what: {' or '.join(allowed)}", example)


def _unitless_text(given: object, kind: Kind, wrong: str, pattern: str) -> str:
    """The folded text; a bare number is refused with an example built from it."""
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        raise QuantityError(wrong, pattern.format(plain(given)) if 1 <= given <= kind.most else kind.example)
    return text_of(given, kind)


def _aperture_text(given: object) -> str:
    return _unitless_text(given, APERTURE, "an aperture is written as an f-number", "f/{}")


def _f_number(text: str, kind: Kind) -> float:
    found = _F_NUMBER.fullmatch(text)
    if not found:
        bare = _UNSIGNED.fullmatch(text) and "/" not in text
        raise QuantityError(f"{kind.name} is written as an f-number", f"f/{text}" if bare else kind.example)
    return float(in_range(Fraction(found.group(1)), kind))


def _percent(given: float) -> str:
    return f"{plain(given)} %" if 1 < given <= 100 else SHARE.example


def _click_example(given: object) -> str:
    text = fold(given) if isinstance(given, str) else ""
    return f"click {text}" if re.fullmatch("[0-9]{1,2}", text) else CLICK.example
