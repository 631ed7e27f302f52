"""Numbers as people read them: a value, its unit and a word for the direction, kept apart for the theme.

Places and angles are rounded to 1 cm and 1°, lengths that must be given way are rounded up. No value sits on
the last bit of a sum: what lies a billionth under a tie goes up (`exposure.stops.snap`).
"""

import math
import re
from dataclasses import dataclass

from thirdstop.book.feet import feet
from thirdstop.book.pounds import pounds
from thirdstop.exposure.stops import ratio_text, snap

_SLACK = 1e-9
_COUNTS = ("no", "one", "two", "three", "four", "five", "six")


def unbroken(text: str) -> str:
    """With no-break spaces, so that a figure and its unit stay on one line."""
    return text.replace(" ", "\u00a0")


# both begin with what is looked for, not with what stands before it: most texts are read to their end in vain
_UNIT = re.compile(r" (?<=[\d½⅓¼] )(?=(?:%|m|cm|mm|kg|N|N·m|s|K|lux|stops?|mired|clicks?)(?![\w·]))")
_ADDED = re.compile(r" \+ (?<=\d \+ )(?=\d+/\d)")


def together(text: str) -> str:
    """A sentence in which no number is parted from its unit, nor a meter's mark from what it adds."""
    return _ADDED.sub("\u00a0+\u00a0", _UNIT.sub("\u00a0", text))


def counted(count: int, one: str, many: str) -> str:
    """'one light', 'two lights': small numbers in words."""
    return f"{_COUNTS[count] if count < len(_COUNTS) else count} {one if count == 1 else many}"


@dataclass(frozen=True)
class Figure:
    """A number with its unit, never broken across lines."""

    value: str
    unit: str = ""
    """With its leading space where it takes one: ' m', '°'."""
    word: str = ""
    """Direction or kind: 'toward', 'R', 'down'."""
    feet: str = ""
    """The same in feet and inches, where it is a length, '3 ft 11½ in', or in pounds, where it is a mass."""

    @property
    def imperial(self) -> tuple[tuple[str, str], ...]:
        """Numbers and their units: (('3', 'ft'), ('11½', 'in')), (('22', 'lb'),); else empty."""
        words = self.feet.split()
        return tuple(zip(words[::2], words[1::2], strict=True))

    def __str__(self) -> str:
        return unbroken(f"{self.value}{self.unit}" + (f" {self.word}" if self.word else ""))


FEET, END = "\ue000", "\ue001"
"""Around a length's feet where a sentence carries them; `units.both` puts them into its pair."""


def told(figure: Figure) -> str:
    """A figure for a sentence that `units.both` shows: its feet are those of the table, not of the rounded
    metres.
    """
    if not figure.feet:
        return str(figure)
    return unbroken(f"{figure.value}{figure.unit}{FEET}{figure.feet}{END}" + f" {figure.word}".rstrip())


NONE = Figure("–")
"""Where a thing has no such number."""


def minus(text: str) -> str:
    """With a true minus sign, and none before a zero."""
    bare = text.lstrip("-")
    return bare if not bare.strip("0.") else text.replace("-", "−")


def _centimetres(length_m: float) -> str:
    return minus(f"{snap(length_m, 0.01) / 100:.2f}")


def length(length_m: float, word: str = "") -> Figure:
    """Metres to the nearest centimetre."""
    return Figure(_centimetres(length_m), " m", word, feet(length_m))


def length_up(length_m: float) -> Figure:
    """Metres rounded up to a centimetre: what must be there."""
    return Figure(f"{math.ceil(length_m * 100 - _SLACK) / 100:.2f}", " m", "", feet(length_m, up=True))


def _directed(value: str, unit: str, positive: bool, words: tuple[str, str], feet: str = "") -> Figure:
    if not value.strip("0.−"):
        return Figure(value.lstrip("−"), unit, "", feet)
    return Figure(value.lstrip("−"), unit, words[0] if positive else words[1], feet)


def along(toward_m: float) -> Figure:
    """Distance along the camera line: 'toward' the camera from M, or 'away'."""
    return _directed(_centimetres(toward_m), " m", toward_m > 0, ("toward", "away"), feet(toward_m))


def across(side_m: float) -> Figure:
    """Distance to the side of M: R camera-right, L camera-left."""
    return _directed(_centimetres(side_m), " m", side_m > 0, ("R", "L"), feet(side_m))


def turn(angle_deg: float) -> Figure:
    """Plan angle in degrees: R to camera-right, L to camera-left; 180° has no side."""
    degrees = snap(angle_deg)
    if abs(degrees) == 180:
        return Figure("180", "°")
    return _directed(minus(str(degrees)), "°", angle_deg > 0, ("R", "L"))


def tilt(angle_deg: float) -> Figure:
    """Angle from the level in degrees, up or down."""
    return _directed(minus(str(snap(angle_deg))), "°", angle_deg > 0, ("up", "down"))


def lean(angle_deg: float, way: str) -> Figure:
    """Angle of a face from upright in degrees, up or down."""
    return _directed(str(snap(angle_deg)), "°", way == "up", ("up", "down"))


def stops(value_stops: float) -> Figure:
    """A difference in stops to a tenth, with its sign."""
    text = minus(f"{snap(value_stops, 0.1) / 10:.1f}")
    plus = "+" if value_stops > 0 and text.strip("0.") else ""
    return Figure(plus + text, " stop" if abs(snap(value_stops, 0.1)) <= 10 else " stops")


def apart(value_stops: float) -> Figure:
    """A size in stops to a tenth, without a sign."""
    tenths = snap(abs(value_stops), 0.1)
    return Figure(f"{tenths / 10:.1f}", " stop" if tenths <= 10 else " stops")


def percent(share: float) -> Figure:
    """Of a hundred parts."""
    return Figure(str(snap(share * 100)), " %")


def ratio(value: float) -> str:
    """As printed: '3.2:1', 'above 8:1'."""
    return ratio_text(value)


def ratio_band(low: float, high: float) -> str:
    """The band of a ratio: '3.1 to 5.2:1', '6.5 to above 8:1'."""
    least, most = ratio_text(low), ratio_text(high)
    return most if least == most else f"{least.removesuffix(':1')} to {most}"


def seconds(shutter_s: float) -> str:
    """As on a camera: '1/160 s', '2 s'."""
    return unbroken(f"1/{snap(1 / shutter_s)} s" if shutter_s < 0.4 else f"{shutter_s:g} s")


def kilograms(mass_kg: float) -> Figure:
    """To a tenth of a kilogram or of a pound, without a tail of zero."""
    return Figure(f"{snap(mass_kg, 0.1) / 10:g}", " kg", "", pounds(mass_kg))


def kilograms_up(mass_kg: float) -> Figure:
    """What must be there, rounded up to a tenth of a kilogram or of a pound."""
    return Figure(f"{math.ceil(mass_kg * 10 - _SLACK) / 10:g}", " kg", "", pounds(mass_kg, up=True))


def weighed(mass_kg: float) -> str:
    """A mass for a sentence that `units.both` shows: in pounds first where lengths are in feet.

    '7.7 lb (3.5 kg)': the mass itself stands beside them, so that no limit is rounded out of sight.
    """
    kg = f"{mass_kg:.3f}".rstrip("0").rstrip(".")
    return unbroken(f"{kg} kg{FEET}{pounds(mass_kg)} ({kg} kg){END}")


def listed(words: list[str] | tuple[str, ...]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
