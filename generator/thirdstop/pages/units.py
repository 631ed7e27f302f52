"""Feet beside metres, pounds beside kilograms: every page holds both, and one switch shows one of them."""

import re

from markupsafe import Markup, escape

from thirdstop.book.feet import feet
from thirdstop.book.pounds import pounds_of
from thirdstop.pages.figures import END, FEET, together

_LENGTH = re.compile(
    rf"(?<![\w.·/×])(?P<metric>(?P<sign>[−+-]?)(?P<value>\d+(?:\.\d+)?)[ \u00a0]"
    rf"(?P<unit>m|cm|kg))(?![\w·²/])"
    rf"(?:{FEET}(?P<feet>[^{END}]*){END})?"
)
_METRES = {"m": 1.0, "cm": 0.01}
_BY = re.compile(r"(?<=\d) x (?=\d)")
_DAY = re.compile(r"(?<![\w-])\d{4}-\d\d-\d\d(?![\w-])")


def times(text: str) -> str:
    """A name or sentence in which a size is set as a size: '120 × 90' for the '120 x 90' that is typed."""
    return _BY.sub("\u00a0×\u00a0", text)


_OPENING = re.compile(r"(?<![^\s(\[])'(?=\S)")


def curly(text: str) -> str:
    """With quotation marks and apostrophes as they are set, for those that are typed."""
    return _OPENING.sub("‘", text).replace("'", "’")


def both(text: str) -> Markup:
    """A sentence as HTML in which every length in metres or centimetres, and every mass in kilograms, stands
    in both units.

    Focal lengths and sizes in millimetres stay as they are. What carries its feet or pounds (`figures.told`,
    `figures.weighed`) keeps them. Numbers stay with their units, days and sizes in one piece.
    """
    if isinstance(text, Markup):
        return text
    text, found, at = together(times(text)), [], 0
    for match in _LENGTH.finditer(text):
        found += [_days(text[at : match.start()]), _pair(match)]
        at = match.end()
    return Markup("").join([*found, _days(text[at:])])


def _days(text: str) -> Markup:
    """Escaped, no day broken at its hyphens."""
    return Markup(_DAY.sub(r'<span class="nowrap">\g<0></span>', str(escape(text))))


def _other(match: re.Match[str]) -> str:
    value = float(match["value"])
    return pounds_of(match, value) if match["unit"] == "kg" else feet(value * _METRES[match["unit"]])


def _pair(match: re.Match[str]) -> Markup:
    said = match["feet"] or _other(match)
    if said == match[0]:
        return escape(said)
    other = match["sign"] + said.replace(" ", "\u00a0")
    return Markup('<span class="metric">{}</span><span class="imperial">{}</span>').format(
        match["metric"], other
    )
