"""Numbers in sentences, one way for all checks: metres to 1 cm, clearances rounded toward the hazard."""

import math

_SLACK = 1e-9
"""In steps: what keeps a value that is exactly on a mark from falling to the next one."""

_GRAMS_KG = 0.0005

STATIC = "Static estimate; the maker's rating, local codes and licensed practice come first."
"""Stands at the end of every sentence about what could fall."""


def floor_cm(length_m: float) -> float:
    """Metres rounded down to a whole centimetre: for a clearance."""
    return math.floor(length_m * 100 + _SLACK) / 100


def ceil_cm(length_m: float) -> float:
    """Metres rounded up to a whole centimetre: for what must be given way."""
    return math.ceil(length_m * 100 - _SLACK) / 100


def length(length_m: float) -> str:
    """'12 cm' under a metre, '1.15 m' from there on; the value to the nearest centimetre."""
    cm = round(length_m * 100)
    return f"{minus(cm)} cm" if abs(cm) < 100 else f"{minus(cm / 100, 2)} m"


def clearance(length_m: float) -> str:
    """A clearance in words, rounded down."""
    return length(floor_cm(length_m))


def needed(length_m: float) -> str:
    """A distance that must be given way in words, rounded up."""
    return length(ceil_cm(length_m))


def degrees(angle_deg: float) -> str:
    """'18°'."""
    return f"{minus(round(angle_deg))}°"


def stops(value_stops: float, signed: bool = False) -> str:
    """'1.3 stops', '0.4 stop'; with `signed`, a plus or minus in front."""
    text = minus(value_stops, 1)
    if signed and value_stops > 0 and text != "0.0":
        text = f"+{text}"
    return f"{text} {'stop' if abs(round(value_stops, 1)) <= 1 else 'stops'}"


def tolerance(within_stops: float) -> str:
    """'1/3 stop' and '2/3 stop' where it is that, else a decimal."""
    thirds = within_stops * 3
    if abs(thirds - 1) < 1e-6 or abs(thirds - 2) < 1e-6:
        return f"{round(thirds)}/3 stop"
    return stops(within_stops)


def percent(share: float) -> str:
    """'38 %'."""
    return f"{minus(round(share * 100))} %"


def half_kg_up(mass_kg: float) -> float:
    """Rounded up to half a kilogram."""
    return math.ceil(mass_kg * 2 - _SLACK) / 2


def kilograms(mass_kg: float) -> str:
    """'10.0 kg'; a mass that is no tenth of a kilogram, as one given in pounds, to the gram: '8.165 kg'."""
    tenths = round(mass_kg, 1)
    text = f"{tenths:.1f}" if abs(mass_kg - tenths) < _GRAMS_KG else f"{mass_kg:.3f}".rstrip("0")
    return f"{text} kg"


def minus(value: float, decimals: int = 0) -> str:
    """A number with a true minus sign, and no minus before a zero."""
    text = f"{value:.{decimals}f}"
    if text.lstrip("-0.") == "":
        text = text.lstrip("-")
    return text.replace("-", "−")


def listed(words: list[str] | tuple[str, ...]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
