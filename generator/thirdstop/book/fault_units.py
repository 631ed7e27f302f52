"""Faults in the units that a house reads: what the program tells, never the lengths and masses that a person
wrote.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeAlias

from thirdstop.book import strict_yaml
from thirdstop.book.feet import feet
from thirdstop.book.pounds import in_pounds
from thirdstop.book.sources import STUDIO_FILE
from thirdstop.constants import Units
from thirdstop.errors import Fault

_NUMBER = r"-?\d+(?:\.\d+)?"
_LENGTHS = re.compile(
    rf"(?<![\w.·/×-])(?<!\d x )(?:(?P<first>{_NUMBER}) (?P<word>to|and|×) )?(?P<last>{_NUMBER}) "
    r"(?P<unit>m|cm)(?![\w·²/])"
)
_METRES = {"m": 1.0, "cm": 0.01}
_QUOTED = re.compile(r"((?<!\w)'[^']*')")
_A_MEASURE = re.compile(rf"{_NUMBER}(?: x {_NUMBER})? (?:m|cm|kg)")
_UNIT_WANTED = re.compile(r"a (length|mass) needs its unit")
_FEET_UP_TO = 12
"""A number without its unit is shown in feet up to this, else in inches."""
_LEAST = re.compile(r"(?:at least|more than) $"), re.compile(r" (?:or more|at its lowest)\b")
_MOST = re.compile(r"(?:at most|up to) $"), re.compile(r" (?:or less|at most|is the most)\b")
_BETWEEN = re.compile(r"\bare $")
_IMPERIAL = re.compile(r"^\s+units:\s*['\"]?imperial\b|\{\s*(?:[^}#\n]*,\s*)?units:\s*['\"]?imperial\b", re.M)

Round: TypeAlias = Callable[[float], str]


def units_of(root: Path) -> Units:
    """What the book's studio file says, even where it has faults; metric where it can't be told."""
    try:
        text, _ = strict_yaml.decode((root / STUDIO_FILE).read_bytes(), STUDIO_FILE)
    except OSError:
        return "metric"
    data, _, _ = strict_yaml.read(text or "", STUDIO_FILE)
    if not isinstance(data, dict):
        return "imperial" if _IMPERIAL.search(text or "") else "metric"
    habits = data.get("habits")
    found = habits.get("units") if isinstance(habits, dict) else None
    return "imperial" if found == "imperial" else "metric"


def told_in(fault: Fault, units: Units) -> Fault:
    """The fault as the house reads it. A limit is rounded to the side on which it is kept."""
    if units == "metric":
        return fault
    return replace(
        fault,
        wrong=_in_feet(fault.wrong),
        given=_in_feet(fault.given) if fault.worked_out else fault.given,
        write=_write_in_feet(fault),
    )


def _write_in_feet(fault: Fault) -> str:
    """A measure by itself is the person's own, mended, and stays; but a bare number has no unit yet."""
    if not _A_MEASURE.fullmatch(fault.write):
        return _in_feet(fault.write)
    wanted, number = _UNIT_WANTED.fullmatch(fault.wrong), fault.write.split()[0]
    if wanted is not None and number in fault.given:
        if wanted[1] == "mass":
            return f"{number} lb"
        return f"{number} {'ft' if float(number) <= _FEET_UP_TO else 'in'}"
    return fault.write


def _in_feet(text: str) -> str:
    """Lengths in feet and inches and masses in pounds, but for those in names, which stand in quotes."""
    pieces = _QUOTED.split(in_pounds(text))
    return "".join(piece if piece[:1] == "'" else _LENGTHS.sub(_pair, piece) for piece in pieces)


def _pair(found: re.Match[str]) -> str:
    first_round, last_round = _rounds(found.string[: found.start()], found.string[found.end() :])
    metres = _METRES[found["unit"]]
    last = last_round(float(found["last"]) * metres)
    if found["first"] is None:
        return last
    return f"{first_round(float(found['first']) * metres)} {found['word']} {last}"


def _rounds(before: str, after: str) -> tuple[Round, Round]:
    """How the two ends of a range are rounded, by the words around them; a single length is the last one."""
    if _LEAST[0].search(before) or _LEAST[1].match(after):
        return _nearest, _up
    if _MOST[0].search(before) or _MOST[1].match(after):
        return _nearest, _down
    return (_up, _down) if _BETWEEN.search(before) else (_nearest, _nearest)


def _nearest(length_m: float) -> str:
    return _sign(length_m) + feet(length_m)


def _up(length_m: float) -> str:
    return _sign(length_m) + feet(length_m, up=length_m > 0, down=length_m < 0)


def _down(length_m: float) -> str:
    return _sign(length_m) + feet(length_m, up=length_m < 0, down=length_m > 0)


def _sign(length_m: float) -> str:
    return "-" if length_m < 0 else ""
