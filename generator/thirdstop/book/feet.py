"""Lengths in feet and inches, as pages and drawings write them beside metres.

A foot is 0.3048 m and an inch 25.4 mm exactly (international yard and pound agreement, 1959). Feet and inches
are given to the nearest half inch, or up to the next one where something must be there.
"""

import math
import re

from thirdstop.book.pounds import in_pounds
from thirdstop.constants import METRES_PER_INCH

FOOT_M = 12 * METRES_PER_INCH
HALF_INCH_M = METRES_PER_INCH / 2
_SLACK = 1e-9
_LENGTH = re.compile(r"(?<![\w.·/×])([−+-]?)(\d+(?:\.\d+)?) (m|cm)(?![\w·²/])")
_METRES = {"m": 1.0, "cm": 0.01}


def half_inches(length_m: float, up: bool = False, down: bool = False) -> int:
    """How many half inches a length has: the nearest number, or the next one up or down. No sign."""
    exact = abs(length_m) / HALF_INCH_M
    if up:
        return math.ceil(exact - _SLACK)
    return math.floor(exact + (0.0 if down else 0.5) + _SLACK)


def feet(length_m: float, up: bool = False, down: bool = False) -> str:
    """A length as '3 ft 11½ in', '4 ft', '9 in': the nearest half inch, or the next up or down. No sign."""
    whole_feet, rest = divmod(half_inches(length_m, up, down), 24)
    inches, half = divmod(rest, 2)
    inches_text = f"{inches or ''}½" if half else str(inches)
    if not whole_feet:
        return f"{inches_text} in"
    return f"{whole_feet} ft" if not rest else f"{whole_feet} ft {inches_text} in"


def in_feet(text: str) -> str:
    """A sentence with every length in metres or centimetres in feet and inches instead, and every mass in
    pounds.

    Focal lengths and sizes in millimetres stay as they are.
    """
    said = _LENGTH.sub(lambda found: found[1] + feet(float(found[2]) * _METRES[found[3]]), text)
    return in_pounds(said)
