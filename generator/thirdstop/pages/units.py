"""Lengths in feet and inches beside metres: every page holds both, and one switch shows one of them."""

import re

from markupsafe import Markup, escape

from thirdstop.book.feet import feet
from thirdstop.pages.figures import END, FEET

_LENGTH = re.compile(
    r"(?<![\w.·/×])(?P<metric>(?P<sign>[−+-]?)(?P<value>\d+(?:\.\d+)?)[ \u00a0](?P<unit>m|cm))(?![\w·²/])"
    rf"(?:{FEET}(?P<feet>[^{END}]*){END})?"
)
_METRES = {"m": 1.0, "cm": 0.01}


def both(text: str) -> Markup:
    """A sentence as HTML in which every length in metres or centimetres stands in both units.

    Focal lengths and sizes in millimetres, and masses, stay as they are. A length that carries its feet
    (`figures.told`) keeps them.
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
    other = match["sign"] + (match["feet"] or feet(length_m)).replace(" ", "\u00a0")
    return Markup('<span class="metric">{}</span><span class="imperial">{}</span>').format(
        match["metric"], other
    )
