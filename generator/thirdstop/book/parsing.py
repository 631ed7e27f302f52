"""The parsers, one a kind: text → quantity. Each raises QuantityError and nothing else."""

import re
from dataclasses import replace
from fractions import Fraction

from thirdstop.book import kinds
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
    with_tails,
)
from thirdstop.book.marks import near

_FEET_INCHES = re.compile(rf"([+-]?) ?([0-9]{{1,4}}) ?(?:ft|') ?({NUMBER}) ?(?:in|\"|'')")
_FEET_ALONE = re.compile(rf"[0-9]{{1,4}} ?(?:ft|') ?{NUMBER}")
_POUNDS_OUNCES = re.compile(rf"([0-9]{{1,4}}) ?lb ?({NUMBER}) ?oz")
_F_NUMBER = re.compile(r"[fF] ?/? ?([0-9]{1,6}(?:\.[0-9]{1,3})?|\.[0-9]{1,3})")
_RATIO = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,4})?) ?: ?([0-9]{1,4}(?:\.[0-9]{1,4})?)")
_UNSIGNED = re.compile(NUMBER)
_CLICK = re.compile(r"click ([0-9]{1,4})")
_ISO = re.compile(r"(?:ISO ?)?([0-9]{1,8})")


def parse_length(given: object) -> q.Length:
    """'40 cm', '1.15 m', '850 mm', '4 ft 2 in', '½ m' → a length of 0 or more."""
    return q.Length(float(_length(given, kinds.LENGTH)))


def parse_size(given: object) -> q.Size:
    """'120 x 90 cm' or '1.2 m x 90 cm' → two sides, both above 0."""
    first, times, second = text_of(given, kinds.SIZE).partition("x")
    if not times:
        raise QuantityError(
            "a size has two sides, with x between, also where both are alike", _squared(first)
        )
    second_m = _length(second.strip(), kinds.SIZE)
    if first.strip()[:1] in ("+", "-"):
        raise QuantityError("a size is written without a sign", text_of(given, kinds.SIZE).lstrip("+- "))
    if _UNSIGNED.fullmatch(first.strip()):
        # The unit stands once, after the second side.
        first = f"{first.strip()} {measure(second.strip(), kinds.SIZE).unit}"
    first_m = _length(first.strip(), kinds.SIZE)
    if not first_m or not second_m:
        raise QuantityError("both sides of a size are above 0", kinds.SIZE.example)
    return q.Size(float(first_m), float(second_m))


def _squared(text: str) -> str:
    """'80 cm' → '80 x 80 cm': one side was given, and most likely both are meant."""
    try:
        found = measure(text.strip(), kinds.SIZE)
    except QuantityError:
        return kinds.SIZE.example
    side = text.strip()[: -len(found.unit)].strip()
    return kinds.SIZE.example if found.tail else f"{side} x {side} {found.unit}"


def parse_angle(given: object) -> q.Angle:
    """'15 deg' or '15°' → 0 to 360."""
    return q.Angle(float(only(given, kinds.ANGLE)))


def parse_turn(given: object) -> q.Turn:
    """'30 deg camera-right' → 30; 'camera-left' → −30; '0 deg' alone."""
    return q.Turn(_sided(measure(given, kinds.TURN), kinds.TURN, "camera-right", "camera-left"))


def parse_tilt(given: object) -> q.Tilt:
    """'10 deg up' → 10; 'down' → −10; '0 deg' or 'upright'."""
    if isinstance(given, str) and fold(given) == "upright":
        return q.Tilt(0.0)
    return q.Tilt(_sided(measure(given, kinds.TILT), kinds.TILT, "up", "down"))


def parse_roll(given: object) -> q.Roll:
    """'10 deg clockwise' (as the camera sees it) → 10; 'anticlockwise' → −10; '0 deg'."""
    return q.Roll(_sided(measure(given, kinds.ROLL), kinds.ROLL, "clockwise", "anticlockwise"))


def parse_side(given: object) -> q.Side:
    """'40 cm camera-left' → −0.4; 'camera-right' → +0.4; '0 cm'."""
    return q.Side(_sided(_length_tail(given, kinds.SIDE), kinds.SIDE, "camera-right", "camera-left"))


def parse_toward(given: object) -> q.Toward:
    """'50 cm toward camera' → +0.5; 'away from camera' → −0.5; '0 cm'."""
    found = _length_tail(given, kinds.TOWARD)
    return q.Toward(_sided(found, kinds.TOWARD, "toward camera", "away from camera"))


def parse_offset(given: object) -> q.Offset:
    """'10 cm toward camera' → how far, and in which of the six directions."""
    found = _length_tail(given, kinds.OFFSET)
    for direction in q.DIRECTIONS:
        if found.tail == direction:
            return q.Offset(direction, float(found.value))
    raise QuantityError("an offset says which way: " + ", ".join(q.DIRECTIONS), kinds.OFFSET.example)


def parse_offsets(given: object) -> tuple[q.Offset, ...]:
    """One or more offsets joined by commas, each direction at most once."""
    offsets = tuple(parse_offset(part) for part in text_of(given, kinds.OFFSET).split(", "))
    axes = [_AXIS[offset.direction] for offset in offsets]
    if len(set(axes)) < len(axes):
        raise QuantityError("an offset goes one way along each line", "10 cm toward camera, 5 cm up")
    return offsets


def parse_stops(given: object) -> q.Stops:
    """'-1.5 stops', '1/3 stop', '+2/3 stop', '0 stops'."""
    return q.Stops(float(only(given, kinds.STOPS)))


def parse_tolerance(given: object) -> q.Stops:
    """'1/3 stop': stops without a sign."""
    return q.Stops(float(only(given, kinds.TOLERANCE)))


def parse_stops_from_key(given: object) -> q.RelativeStops:
    """'-1.5 stops from key' and nothing else."""
    return _relative(given, replace(kinds.RELATIVE_STOPS, tails=(" from key",)), ("key",))


def parse_stops_from_mid_grey(given: object) -> q.RelativeStops:
    """'-1 stop from mid-grey' and nothing else."""
    kind = replace(kinds.RELATIVE_STOPS, example="-1 stop from mid-grey", tails=(" from mid-grey",))
    return _relative(given, kind, ("mid-grey",))


def parse_f_number(given: object) -> q.Aperture:
    """'f/8', 'f8', 'f/5.6': kept as marked, nothing added."""
    return q.Aperture(_f_number(_aperture_text(given), kinds.APERTURE))


def parse_aperture(given: object) -> q.Aperture:
    """'f/8', or a meter's mark and the part of a stop that it adds: 'f/5.6 + 7/10'."""
    mark, plus, part = _aperture_text(given).partition("+")
    stops = Fraction(0)
    if plus:
        if not _UNSIGNED.fullmatch(part.strip()):
            raise QuantityError("a reading adds a part of a stop to its mark", "f/5.6 + 7/10")
        stops = number(part.strip(), kinds.APERTURE)
    if stops >= 1:
        raise QuantityError("a reading adds less than one stop to its mark", "f/5.6 + 7/10")
    return q.Aperture(_f_number(mark.strip(), kinds.APERTURE), float(stops))


def parse_ratio(given: object) -> q.Ratio:
    """'4:1' → 4.0; the larger side first."""
    text = _unitless_text(given, kinds.RATIO, "a ratio has two sides with a colon between", "{}:1")
    found = _RATIO.fullmatch(text)
    if not found:
        example = f"{text}:1" if _UNSIGNED.fullmatch(text) else kinds.RATIO.example
        raise QuantityError("a ratio has two sides with a colon between", example)
    first, second = Fraction(found.group(1)), Fraction(found.group(2))
    if not first or not second:
        raise QuantityError("neither side of a ratio is 0", kinds.RATIO.example)
    if first < second:
        raise QuantityError(
            "a ratio is written with the larger side first", f"{found.group(2)}:{found.group(1)}"
        )
    return q.Ratio(float(in_range(first / second, kinds.RATIO)))


def parse_share(given: object) -> q.Share:
    """0.55, '0.55' or '55 %' → 0 to 1. A bare number above 1 is refused."""
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        if not 0 <= given <= 1:
            raise QuantityError("a share lies between 0 and 1", _percent(given))
        return q.Share(float(given))
    text = text_of(given, kinds.SHARE)
    if _UNSIGNED.fullmatch(text):
        return parse_share(float(number(text, kinds.SHARE)))
    return q.Share(float(only(text, kinds.SHARE)))


def parse_duration(given: object) -> q.Duration:
    """'1/160 s', '2 s', '1.5 ms', '20 min' → above 0."""
    seconds = only(given, kinds.DURATION)
    if not seconds:
        raise QuantityError("a time is above 0", kinds.DURATION.example)
    return q.Duration(float(seconds))


def parse_temperature(given: object) -> q.Temperature:
    """'5500 K'."""
    return q.Temperature(float(only(given, kinds.TEMPERATURE)))


def parse_mired(given: object) -> q.Mired:
    """'+40 mired', '-20 mired'."""
    return q.Mired(float(only(given, kinds.MIRED)))


def parse_mass(given: object) -> q.Mass:
    """'2.5 kg', '900 g', '5 lb', '4 lb 14 oz'."""
    found = _POUNDS_OUNCES.fullmatch(text_of(given, kinds.MASS))
    if not found:
        return q.Mass(float(only(given, kinds.MASS)))
    ounces = number(found[2], kinds.MASS) / kinds.OUNCES_PER_POUND
    return q.Mass(float(in_range((int(found[1]) + ounces) * kinds.POUND, kinds.MASS)))


def parse_energy(given: object) -> q.Energy:
    """'400 J' or '400 Ws'."""
    return q.Energy(float(only(given, kinds.ENERGY)))


def parse_efficacy(given: object) -> q.Efficacy:
    """'40 lm·s/J', or 'lm s/J' on a plain keyboard."""
    return q.Efficacy(float(only(given, kinds.EFFICACY)))


def parse_illuminance(given: object) -> q.Illuminance:
    """'150 lux'."""
    return q.Illuminance(float(only(given, kinds.ILLUMINANCE)))


def parse_iso(given: object) -> q.Iso:
    """'ISO 100', '100' or the bare number 100."""
    if isinstance(given, int) and not isinstance(given, bool):
        return q.Iso(float(in_range(Fraction(max(given, 0)), kinds.ISO)))
    found = _ISO.fullmatch(
        _unitless_text(given, kinds.ISO, "an ISO speed is a whole number", kinds.ISO.example)
    )
    if not found:
        raise QuantityError("an ISO speed is a whole number", kinds.ISO.example)
    return q.Iso(float(in_range(Fraction(found.group(1)), kinds.ISO)))


def parse_focal_length(given: object) -> q.FocalLength:
    """'85 mm'."""
    return q.FocalLength(float(only(given, kinds.FOCAL_LENGTH)))


def parse_guide_number(given: object) -> q.GuideNumber:
    """'60 m' or '197 ft'."""
    return q.GuideNumber(float(only(given, kinds.GUIDE_NUMBER)))


def parse_click(given: object) -> q.Click:
    """'click 14' → 14."""
    found = _CLICK.fullmatch(
        _unitless_text(given, kinds.CLICK, "a power step is written as a click", "click {}")
    )
    if not found:
        raise QuantityError("a power step is written as a click", _click_example(given))
    return q.Click(int(in_range(Fraction(found.group(1)), kinds.CLICK)))


def parse_dioptre(given: object) -> q.Dioptre:
    """'4 D', '-2.5 D'."""
    return q.Dioptre(float(only(given, kinds.DIOPTRE)))


def parse_count(given: object) -> int:
    """A bare whole number of 0 or more."""
    if not isinstance(given, int) or isinstance(given, bool):
        raise QuantityError("a count is a whole number without a unit", kinds.COUNT.example)
    if given < 0:
        raise QuantityError("a count is 0 or more", kinds.COUNT.example)
    return int(in_range(Fraction(given), kinds.COUNT))


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
        if _FEET_ALONE.fullmatch(text):
            raise QuantityError(f"inches need their unit in {kind.name}", f"{text} in")
        return measure(text, kind)
    sign, feet, inches = found.groups()
    if sign and sign not in kind.signs:
        raise QuantityError(f"{kind.name} is written without a sign", text.lstrip("+-"))
    value = int(feet) * kinds.FOOT + number(inches, kind) * kinds.INCH
    return Measure(in_range(-value if sign == "-" else value, kind), text[found.end() :].strip(), "ft")


def _sided(found: Measure, kind: Kind, positive: str, negative: str) -> float:
    if found.tail == positive or (not found.tail and not found.value):
        return float(found.value)
    if found.tail == negative:
        return -float(found.value) or 0.0
    amount = f"{plain(float(found.value / kind.units[found.unit]))} {found.unit}"
    # 'left' alone may be the sitter's: only a slip of the whole word is set right.
    meant = "" if found.tail in ("left", "right") else near(found.tail, (positive, negative))
    example = f"{amount} {meant}" if meant else with_tails(amount, kind)
    raise QuantityError(f"{kind.name} says which way: {positive} or {negative}", example)


def _relative(given: object, kind: Kind, allowed: tuple[q.Reference, ...]) -> q.RelativeStops:
    found = measure(given, kind)
    for reference in allowed:
        if found.tail == f"from {reference}":
            return q.RelativeStops(float(found.value), reference)
    example = " or ".join(f"{q.format_stops(float(found.value))} from {name}" for name in allowed)
    raise QuantityError(f"{kind.name} says from what: {' or '.join(allowed)}", example)


def _unitless_text(given: object, kind: Kind, wrong: str, pattern: str) -> str:
    """The folded text; a bare number is refused with an example built from it."""
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        raise QuantityError(wrong, pattern.format(plain(given)) if 1 <= given <= kind.most else kind.example)
    return text_of(given, kind)


def _aperture_text(given: object) -> str:
    return _unitless_text(given, kinds.APERTURE, "an aperture is written as an f-number", "f/{}")


def _f_number(text: str, kind: Kind) -> float:
    found = _F_NUMBER.fullmatch(text)
    if not found:
        bare = _UNSIGNED.fullmatch(text) and "/" not in text
        raise QuantityError(f"{kind.name} is written as an f-number", f"f/{text}" if bare else kind.example)
    return float(in_range(Fraction(found.group(1)), kind))


def _percent(given: float) -> str:
    return f"{plain(given)} %" if 1 < given <= 100 else kinds.SHARE.example


def _click_example(given: object) -> str:
    text = fold(given) if isinstance(given, str) else ""
    return f"click {text}" if re.fullmatch("[0-9]{1,2}", text) else kinds.CLICK.example
