"""Every quantity a book may hold: what it is once read, and how it is written.

One frozen dataclass a kind, its unit in the attribute's name; `str` writes it back in metric so that it
reads the same again. The parsers are in `parsing`.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from thirdstop.book.grammar import plain
from thirdstop.constants import METRES_PER_INCH, Units

Direction: TypeAlias = Literal[
    "toward camera", "away from camera", "camera-left", "camera-right", "up", "down"
]
DIRECTIONS: tuple[Direction, ...] = (
    "toward camera",
    "away from camera",
    "camera-left",
    "camera-right",
    "up",
    "down",
)
Reference: TypeAlias = Literal["key", "mid-grey"]

INCHES_PER_FOOT = 12

_MARKS = (
    "0.7 0.8 0.9 1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 "
    "6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32 "
    # Beyond f/32 the exact series 2^(k/6), rounded to whole numbers.
    "36 40 45 51 57 64 72 81 90"
)
THIRD_STOP_MARKS = {mark: third for third, mark in enumerate(_MARKS.split(), start=-3)}
"""Aperture mark → third stops from f/1. 1.2 and 13 stand on the half-stop scale too: here they are thirds."""


@dataclass(frozen=True)
class Length:
    """A length or distance."""

    m: float

    def __str__(self) -> str:
        return format_length(self.m)


@dataclass(frozen=True)
class Size:
    """Two sides of a flat thing, in the order written: width first, then height."""

    first_m: float
    second_m: float

    def __str__(self) -> str:
        return f"{format_length(self.first_m)} x {format_length(self.second_m)}"


@dataclass(frozen=True)
class Angle:
    """An angle without a side."""

    deg: float

    def __str__(self) -> str:
        return f"{plain(self.deg)} deg"


@dataclass(frozen=True)
class Turn:
    """A plan angle; positive to camera-right."""

    deg: float

    def __str__(self) -> str:
        return _sided(self.deg, f"{plain(abs(self.deg))} deg", "camera-right", "camera-left")


@dataclass(frozen=True)
class Tilt:
    """An angle from the level or the upright; positive up."""

    deg: float

    def __str__(self) -> str:
        return _sided(self.deg, f"{plain(abs(self.deg))} deg", "up", "down")


@dataclass(frozen=True)
class Roll:
    """A turn about the facing direction as the camera sees it; positive clockwise."""

    deg: float

    def __str__(self) -> str:
        return _sided(self.deg, f"{plain(abs(self.deg))} deg", "clockwise", "anticlockwise")


@dataclass(frozen=True)
class Side:
    """A distance to one side; positive to camera-right."""

    m: float

    def __str__(self) -> str:
        return _sided(self.m, format_length(abs(self.m)), "camera-right", "camera-left")


@dataclass(frozen=True)
class Toward:
    """A distance along the line to the camera; positive toward it."""

    m: float

    def __str__(self) -> str:
        return _sided(self.m, format_length(abs(self.m)), "toward camera", "away from camera")


@dataclass(frozen=True)
class Offset:
    """A shift of an aim: so far in one named direction."""

    direction: Direction
    m: float

    def __str__(self) -> str:
        return f"{format_length(self.m)} {self.direction}"


@dataclass(frozen=True)
class Stops:
    """A difference of exposure in stops."""

    value: float

    def __str__(self) -> str:
        return format_stops(self.value).removeprefix("+")


@dataclass(frozen=True)
class RelativeStops:
    """A difference in stops from a named level."""

    value: float
    to: Reference

    def __str__(self) -> str:
        return f"{format_stops(self.value)} from {self.to}"


@dataclass(frozen=True)
class Aperture:
    """An f-number as marked, with the stops a meter adds to its mark: 'f/5.6 + 7/10'."""

    n: float
    """As marked: 5.6."""
    plus_stops: float = 0.0

    @property
    def exact(self) -> float:
        """The f-number to compute with: 2^(k/6) for the k-th third-stop mark, else as written."""
        third = THIRD_STOP_MARKS.get(plain(self.n))
        marked = self.n if third is None else 2.0 ** (third / 6)
        return float(marked * 2.0 ** (self.plus_stops / 2))

    def __str__(self) -> str:
        plus = Fraction(self.plus_stops).limit_denominator(10)
        return f"f/{plain(self.n)}" + (f" + {plus}" if plus else "")


@dataclass(frozen=True)
class Ratio:
    """A ratio, the larger side first: 4.0 for 4:1."""

    value: float

    def __str__(self) -> str:
        return f"{plain(self.value)}:1"


@dataclass(frozen=True)
class Share:
    """A part of a whole, 0 to 1: reflectance, transmittance."""

    value: float

    def __str__(self) -> str:
        return plain(self.value)


@dataclass(frozen=True)
class Duration:
    """A time."""

    s: float

    def __str__(self) -> str:
        return format_duration(self.s)


@dataclass(frozen=True)
class Temperature:
    """A correlated colour temperature."""

    k: float

    def __str__(self) -> str:
        return f"{plain(self.k)} K"


@dataclass(frozen=True)
class Mired:
    """A shift of colour temperature in reciprocal megakelvins; positive is warmer."""

    value: float

    def __str__(self) -> str:
        return f"{_signed(self.value)} mired"


@dataclass(frozen=True)
class Mass:
    """A mass."""

    kg: float

    def __str__(self) -> str:
        return f"{plain(self.kg, 9)} kg"


@dataclass(frozen=True)
class Energy:
    """Stored energy of a flash."""

    j: float

    def __str__(self) -> str:
        return f"{plain(self.j)} J"


@dataclass(frozen=True)
class Efficacy:
    """Luminous energy per stored energy."""

    lm_s_j: float

    def __str__(self) -> str:
        return f"{plain(self.lm_s_j)} lm·s/J"


@dataclass(frozen=True)
class Illuminance:
    """Light falling on a surface."""

    lux: float

    def __str__(self) -> str:
        return f"{plain(self.lux)} lux"


@dataclass(frozen=True)
class Iso:
    """A film speed or its digital equal."""

    value: float

    def __str__(self) -> str:
        return f"ISO {plain(self.value)}"


@dataclass(frozen=True)
class FocalLength:
    """A lens's focal length."""

    mm: float

    def __str__(self) -> str:
        return f"{plain(self.mm)} mm"


@dataclass(frozen=True)
class GuideNumber:
    """f-number times distance, in metres; the ISO it holds for stands elsewhere."""

    m: float

    def __str__(self) -> str:
        return f"{plain(self.m)} m"


@dataclass(frozen=True)
class Click:
    """A power setting of the trigger, a third of a stop apart; click 1 is the lowest."""

    number: int

    def __str__(self) -> str:
        return f"click {self.number}"


@dataclass(frozen=True)
class Dioptre:
    """A refractive power or a curvature."""

    per_m: float

    def __str__(self) -> str:
        return f"{plain(self.per_m)} D"


def format_length(m: float, units: Units = "metric") -> str:
    """A length for reading: '40 cm' under a metre, else '1.15 m'; imperial '4 ft 2 in' to 1/8 inch."""
    if units == "imperial":
        return _feet_inches(m)
    return f"{plain(m, 9)} m" if abs(m) >= 1 else f"{plain(m * 100, 7)} cm"


def format_stops(value: float) -> str:
    """Stops with their sign: '-1.5 stops', '+1/3 stop', '0 stops'."""
    return f"{_signed(value)} {'stop' if 0 < abs(value) <= 1 else 'stops'}"


def format_duration(s: float) -> str:
    """A time as photographers write it: '1/160 s', '1.5 ms', '2 s', '20 min'."""
    if 0 < s < 0.5 and abs(1 / s - round(1 / s)) < 1e-9 * (1 / s):
        return f"1/{round(1 / s)} s"
    if s < 0.01:
        return f"{plain(s * 1000)} ms"
    return f"{plain(s / 60)} min" if s >= 120 and s % 60 == 0 else f"{plain(s)} s"


def _sided(value: float, amount: str, positive: str, negative: str) -> str:
    if value == 0:
        return amount
    return f"{amount} {positive if value > 0 else negative}"


def _signed(value: float) -> str:
    """With a sign unless 0; thirds and other small fractions as fractions where decimals don't end."""
    if value == 0:
        return "0"
    sign, size = ("+" if value > 0 else "-"), abs(value)
    nearest = Fraction(size).limit_denominator(12)
    if abs(size - round(size, 2)) < 1e-12 or abs(float(nearest) - size) > 1e-12:
        return sign + plain(size, 9)
    whole, part = divmod(nearest, 1)
    return sign + (f"{whole} {part}" if whole else str(part))


def _feet_inches(m: float) -> str:
    eighths = round(abs(m) / METRES_PER_INCH * 8)
    feet, rest = divmod(eighths, 8 * INCHES_PER_FOOT)
    whole, part = divmod(Fraction(rest, 8), 1)
    inches = f"{whole} {part}" if whole and part else str(part or whole)
    text = " ".join(
        piece for piece in (f"{feet} ft" if feet else "", f"{inches} in" if rest else "") if piece
    )
    return ("-" if m < 0 and eighths else "") + (text or "0 in")
