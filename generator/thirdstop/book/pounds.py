"""Masses in pounds, as a house that reads feet sees them. A pound is 0.45359237 kg exactly (1959).

To a tenth: what must be there at the least is rounded up, what may be there at the most down, any other mass
to the nearest.
"""

import math
import re

from thirdstop.book.kinds import POUND

_POUND_KG = float(POUND)
_SLACK_LB = 0.002
"""A sentence has its masses to a gram: half of one must not tip a whole tenth into the next."""
MASS = re.compile(r"(?<![\w.·/×-])(?P<kg>\d+(?:\.\d+)?)[ \u00a0]kg(?![\w·²/])")
"""A mass in kilograms in a sentence."""
_QUOTED = re.compile(r"(?<!\w)'[^']*'")
_LEAST = re.compile(r"(?:at least|its bag of)[ \u00a0]$"), re.compile(r" (?:are|is) enough\b| or more\b")
_MOST = re.compile(r"(?:at most|up to)[ \u00a0]$"), re.compile(r" or less\b| (?:at most|is the most)\b")


def pounds(mass_kg: float, up: bool = False, down: bool = False) -> str:
    """'7.7 lb', '22 lb': the nearest tenth, or the next one up or down."""
    tenths, slack = 10 * mass_kg / _POUND_KG, 10 * _SLACK_LB
    whole = math.ceil(tenths - slack) if up else math.floor(tenths + (slack if down else 0.5))
    return f"{whole / 10:g} lb"


def pounds_of(found: re.Match[str], mass_kg: float) -> str:
    """A mass of a sentence in pounds, rounded as the words beside it ask; `found` is where it stands. In a
    name, which stands in quotes, it is left as it is written.
    """
    text, start, end = found.string, found.start(), found.end()
    if any(name.start() < start < name.end() for name in _QUOTED.finditer(text)):
        return found[0]
    up = bool(_LEAST[0].search(text, 0, start) or _LEAST[1].match(text, end))
    down = bool(_MOST[0].search(text, 0, start) or _MOST[1].match(text, end))
    return pounds(mass_kg, up=up, down=down)


def in_pounds(text: str) -> str:
    """A sentence with every mass in kilograms in pounds instead."""
    return MASS.sub(lambda found: pounds_of(found, float(found["kg"])), text)
