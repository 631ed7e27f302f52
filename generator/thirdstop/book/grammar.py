"""How a measure is read from text: folding, exact numbers, units, and refusals that show a right example.

Numbers are read as fractions and become floats once, at the end, so '1/3 stop' and '1.15 m' are as near
as a float can be. Digits are bounded before anything is computed.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

NUMBER = (
    r"(?:[0-9]{1,4} [0-9]{1,4}/[0-9]{1,5}|[0-9]{1,7}/[0-9]{1,7}|[0-9]{1,7}(?:\.[0-9]{1,9})?|\.[0-9]{1,9})"
)
"""A folded number: '1 1/2', '1/160', '40', '1.15' or '.5'."""

_FOLDED = str.maketrans(
    {
        "’": "'",
        "‘": "'",
        "′": "'",
        "”": '"',
        "“": '"',
        "″": '"',
        "−": "-",
        "–": "-",
        "×": "x",
        "⁄": "/",
        "½": " 1/2",
        "⅓": " 1/3",
        "⅔": " 2/3",
        "¼": " 1/4",
        "¾": " 3/4",
        "º": "°",
    }
)
_MEASURE = re.compile(rf"([+-]?) ?({NUMBER}) ?([^0-9].*)?")
_WORD = re.compile(r"""[A-Za-zµ°%'"·/ -]*""")
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")


UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]"
)
"""Control characters, line separators, direction overrides, half characters, what no XML may hold."""


INVISIBLE = re.compile(
    "[\u00ad\u061c\u115f\u1160\u180e\u200b\u200e\u200f\u2060-\u2064\u206a-\u206f\u3164\ufff9-\ufffb\uffa0"
    "\U000e0000-\U000e0fff]"
)
"""What shows as nothing, so that two names would look like one. Joiners, which scripts need, are none."""


class QuantityError(ValueError):
    """Text that isn't the quantity asked for: `wrong` says why, `write` is a right example."""

    def __init__(self, wrong: str, write: str) -> None:
        super().__init__(f"{wrong}; write: {write}")
        self.wrong = wrong
        self.write = write

    def __reduce__(self) -> tuple[type["QuantityError"], tuple[str, str]]:
        return (QuantityError, (self.wrong, self.write))


@dataclass(frozen=True)
class Kind:
    """What one kind of measure may look like: its name in messages, its units, its range."""

    name: str
    """As it begins a message: 'a length'."""
    example: str
    units: Mapping[str, Fraction]
    """Unit as written → factor to the base unit. The first is suggested where a unit is missing."""
    most: Fraction
    """Largest magnitude in the base unit."""
    most_text: str
    signs: str = ""
    """Signs that may be written: '', '-', or '+-'."""
    least: Fraction = Fraction(0)
    least_text: str = "0"
    tails: tuple[str, ...] = ("",)
    """What suggestions end in, one suggestion each: ' camera-right', ' camera-left'."""
    big_units: tuple[tuple[float, str], ...] = ()
    """For suggestions: from this bare number on, this unit."""
    suggests: bool = True
    """Whether a bare number and a unit make a whole example."""


@dataclass(frozen=True)
class Measure:
    """A number in its kind's base unit, and whatever followed the unit."""

    value: Fraction
    tail: str
    unit: str


def fold(text: str) -> str:
    """The text with typographic signs folded to ASCII ones and spaces to single ones."""
    return " ".join(text.translate(_FOLDED).split()).replace("- ", "-").replace("+ ", "+")


def number(text: str, kind: Kind) -> Fraction:
    """The exact value of a folded unsigned number. Raises QuantityError on a zero under the bar."""
    whole, _, part = text.rpartition(" ")
    top, _, bottom = part.partition("/")
    if bottom and int(bottom) == 0:
        raise QuantityError("nothing can be divided by 0", kind.example)
    return Fraction(whole or 0) + (Fraction(int(top), int(bottom)) if bottom else Fraction(top))


def text_of(given: object, kind: Kind) -> str:
    """The folded text of what was given. Raises QuantityError for anything but text."""
    if isinstance(given, str):
        return fold(given)
    if isinstance(given, (int, float)) and not isinstance(given, bool):
        raise QuantityError(f"{kind.name} needs its unit", _suggestion(given, kind))
    raise QuantityError(f"{kind.name} is one piece of text with its unit", kind.example)


def measure(given: object, kind: Kind) -> Measure:
    """What was given, read as a number with a unit of this kind, range checked.

    Raises QuantityError, whose example is built from the number given where that makes sense.
    """
    text = text_of(given, kind)
    found = _MEASURE.fullmatch(text)
    if found is None or _COMMA.search(text) or not _WORD.fullmatch(found.group(3) or ""):
        raise _unreadable(text, kind)
    sign, digits, rest = found.group(1), found.group(2), found.group(3) or ""
    if not rest:
        raise QuantityError(
            f"{kind.name} needs its unit", _suggestion(float(number(digits, kind)), kind, sign + digits)
        )
    unit = _unit(rest, kind, sign + digits)
    if sign and sign not in kind.signs:
        raise QuantityError(f"{kind.name} is written without a sign", text.lstrip("+-"))
    value = number(digits, kind) * kind.units[unit] * (-1 if sign == "-" else 1)
    return Measure(in_range(value, kind), rest[len(unit) :].strip(), unit)


def only(given: object, kind: Kind) -> Fraction:
    """Like `measure`, where nothing may follow the unit."""
    found = measure(given, kind)
    if found.tail:
        raise QuantityError(f"'{shorten(found.tail)}' doesn't belong in {kind.name}", kind.example)
    return found.value


def with_tails(amount: str, kind: Kind) -> str:
    """The amount with each of the kind's endings: nobody but the writer knows which side was meant."""
    return " or ".join(amount + tail for tail in kind.tails)


def in_range(value: Fraction, kind: Kind) -> Fraction:
    """The same value. Raises QuantityError outside the kind's range."""
    if abs(value) > kind.most:
        raise QuantityError(f"{kind.name} is at most {kind.most_text}", kind.example)
    if abs(value) < kind.least:
        raise QuantityError(f"{kind.name} is at least {kind.least_text}", kind.example)
    return value


def shorten(text: str, most: int = 40) -> str:
    """The text on one line, cut with an ellipsis when it is longer than `most`."""
    flat = " ".join(text.split())
    return flat if len(flat) <= most else flat[: most - 1] + "…"


def plain(value: float, places: int = 6) -> str:
    """A number in as few digits as it needs, never in exponents: '0.4', '12', '-1.5'."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _unit(rest: str, kind: Kind, written: str) -> str:
    for unit in sorted(kind.units, key=len, reverse=True):
        if rest == unit or rest.startswith(unit + " "):
            return unit
    word = rest.split(" ")[0]
    for unit in kind.units:
        if unit.lower() == word.lower():
            raise QuantityError(f"{kind.name} is written with {unit}", with_tails(f"{written} {unit}", kind))
    if f" {rest}" in kind.tails:
        raise QuantityError(f"{kind.name} needs its unit", f"{written} {next(iter(kind.units))} {rest}")
    raise QuantityError(f"'{shorten(word)}' isn't a unit of {kind.name}", kind.example)


def _unreadable(text: str, kind: Kind) -> QuantityError:
    if _COMMA.search(text) and _MEASURE.fullmatch(_COMMA.sub(".", text)):
        return QuantityError("decimals are written with a point, not a comma", _COMMA.sub(".", text))
    return QuantityError(f"this isn't {kind.name}", kind.example)


def _suggestion(value: float, kind: Kind, written: str = "") -> str:
    # A bare number that no example can be built from (huge, negative) gets the kind's own example.
    buildable = kind.suggests and kind.units and (value >= 0 or "-" in kind.signs)
    if not buildable or not abs(value) < 10_000:
        return kind.example
    unit = next(iter(kind.units))
    for start, larger in kind.big_units:
        if abs(value) >= start:
            unit = larger
    return with_tails(f"{written or plain(value)} {unit}", kind)
