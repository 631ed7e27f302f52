"""Lengths in feet and inches beside metres: every page holds both, and one switch shows one of them.

A foot is 0.3048 m and an inch 25.4 mm exactly (international yard and pound agreement, 1959). Feet and inches
are given to the nearest half inch, or up to the next one where something must be there.
"""

import math
import re

from markupsafe import Markup, escape

_HALF_INCH_M = 0.0127
_SLACK = 1e-9
_LENGTH = re.compile(
    r"(?<![\w.·/×])(?P<sign>[−+-]?)(?P<value>\d+(?:\.\d+)?)(?P<gap>[ \u00a0])(?P<unit>m|cm)(?![\w·²/])"
)
_METRES = {"m": 1.0, "cm": 0.01}


def feet(length_m: float, up: bool = False) -> str:
    """A length as '3 ft 11½ in', '4 ft', '9 in': the nearest half inch, or the next one up. No sign."""
    halves_exact = abs(length_m) / _HALF_INCH_M
    halves = math.ceil(halves_exact - _SLACK) if up else math.floor(halves_exact + 0.5 + _SLACK)
    whole_feet, rest = divmod(halves, 24)
    inches, half = divmod(rest, 2)
    inches_text = f"{inches or ''}½" if half else str(inches)
    if not whole_feet:
        return f"{inches_text} in"
    return f"{whole_feet} ft" if not rest else f"{whole_feet} ft {inches_text} in"


def both(text: str) -> Markup:
    """A sentence as HTML in which every length in metres or centimetres stands in both units.

    Focal lengths and sizes in millimetres, and masses, stay as they are.
    """
    if isinstance(text, Markup):
        return text
    found, at = [], 0
    for match in _LENGTH.finditer(text):
        found += [escape(text[at : match.start()]), _pair(match)]
        at = match.end()
    return Markup("").join([*found, escape(text[at:])])


def _pair(match: re.Match[str]) -> Markup:
    length_m = float(match["value"]) * _METRES[match["unit"]]
    other = match["sign"] + feet(length_m).replace(" ", "\u00a0")
    return Markup('<span class="metric">{}</span><span class="imperial">{}</span>').format(match[0], other)
