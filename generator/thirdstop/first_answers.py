"""What a new book asks of its studio: questions with their defaults, and what an answer may be."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from thirdstop.book import parsing
from thirdstop.book.fields import NAME_MOST, parse_line
from thirdstop.book.grammar import QuantityError, shorten
from thirdstop.book.marks import near
from thirdstop.book.paints import PAINTS

Check = Callable[[str], str]
"""The answer as it goes on, or QuantityError with a plain reason."""

ASKS_FOR_LIST = "?"
"""What somebody answers who wants to see what there is."""


@dataclass(frozen=True)
class Question:
    """One thing that a new book has to know."""

    key: str
    """Its flag without the dashes, with low lines: 'guide_number'."""
    asks: str
    default: str
    """Taken where nothing is answered; empty: it may be left out."""
    check: Check

    @property
    def flag(self) -> str:
        """As it is given on the command line."""
        return f"--{self.key.replace('_', '-')}"


def _unit_offered(check: Check) -> Check:
    """The same check, which offers a number without its unit with every unit that it would be taken with."""

    def offering(text: str) -> str:
        try:
            return check(text)
        except QuantityError as error:
            fitting = [said for unit in _UNITS if _takes(check, said := f"{text} {unit}")]
            if not error.wrong.endswith("needs its unit") or not fitting:
                raise
            raise QuantityError(error.wrong, " or ".join(fitting)) from error

    return offering


_UNITS = ("m", "cm", "ft", "in")


def _takes(check: Check, text: str) -> bool:
    try:
        check(text)
    except QuantityError:
        return False
    return True


def _length(what: str, least: str, most: str, why: str) -> Check:
    low, high = parsing.parse_length(least), parsing.parse_length(most)

    def check(text: str) -> str:
        given = parsing.parse_length(text)
        if given.m < low.m:
            raise QuantityError(f"{what} of {text} is too little: {why}", f"{least} or more")
        if given.m > high.m:
            raise QuantityError(f"{what} of {text} is more than a studio's", f"{most} or less")
        return text

    return _unit_offered(check)


def _walls(text: str) -> str:
    if text in PAINTS:
        return text
    if text == ASKS_FOR_LIST:
        raise QuantityError(f"the paints and their shares: {_paints()}", "one of them, or a share like 0.5")
    if not text[:1].isdigit():
        write = near(text, PAINTS) or f"one of {', '.join(PAINTS)}; or a share like 0.5"
        raise QuantityError(f"there is no paint '{shorten(text)}' in the list", write)
    if parsing.parse_share(text).value > 0.99:
        raise QuantityError(f"no wall returns {text} of the light", "0.99 or less; white paint is about 0.8")
    return text


def _paints() -> str:
    return ", ".join(f"{name} {share:g}" for name, (share, _) in PAINTS.items())


def _card(text: str) -> str:
    size = parsing.parse_size(text)
    sides = sorted((size.first_m, size.second_m))
    if sides[0] < 0.3 or sides[1] > 1.8:
        raise QuantityError(
            f"a card of {text} doesn't go beside a seated face: a side is 30 cm to 1.8 m", "120 x 90 cm"
        )
    return text


def _energy(text: str) -> str:
    given = parsing.parse_energy(text)
    if not 50 <= given.j <= 3000:
        raise QuantityError(f"{text} is no studio lamp's energy: 50 J to 3000 J", "400 J")
    return text


def _guide_number(text: str) -> str:
    if not text:
        return ""
    given = parsing.parse_guide_number(text)
    if not 12 <= given.m <= 150:
        raise QuantityError(f"{text} is no guide number of a lamp in a box: 12 m to 150 m", "38 m")
    return text


def _units(text: str) -> str:
    if text not in ("metric", "imperial"):
        raise QuantityError(f"'{shorten(text)}' are no units here", "metric or imperial")
    return text


def _name(what: str) -> Check:
    def check(text: str) -> str:
        if "\n" in text or "\r" in text:
            raise QuantityError(f"{what} is one line of text", "Our studio")
        return parse_line(text, what, NAME_MOST)

    return check


QUESTIONS = (
    Question("name", "The house's name", "Our studio", _name("the house's name")),
    Question(
        "width",
        "Room: width, between the side walls",
        "3.2 m",
        _length("a width", "2.6 m", "30 m", "lamp, sitter and card stand side by side"),
    ),
    Question(
        "length",
        "Room: length, from the wall behind the sitter to the one behind the camera",
        "4.8 m",
        _length("a length", "3.9 m", "30 m", "backdrop, sitter and camera stand one behind the other"),
    ),
    Question(
        "height",
        "Room: height, floor to ceiling",
        "2.5 m",
        _length("a height", "2.3 m", "12 m", "the first recipe's lamp would touch the ceiling"),
    ),
    Question(
        "walls",
        "Walls: a paint ('?' lists them), or the share of light they return, 0 to 1",
        "white paint",
        _walls,
    ),
    Question("lamp", "Lamp: what you call it", "flash", _name("the lamp's name")),
    Question("energy", "Lamp: its energy at full power, as its plate says", "400 J", _energy),
    Question(
        "guide_number",
        "Lamp: its guide number with a 90 cm box on, at ISO 100, if you know it",
        "",
        _guide_number,
    ),
    Question("card", "Card: its size", "120 x 90 cm", _unit_offered(_card)),
    Question("units", "Units that the pages show first, metric or imperial", "metric", _units),
)
"""In the order in which they are asked."""


def checked(question: Question, text: str) -> str:
    """An answer as it goes on. Raises QuantityError with the reason, for the person."""
    folded = " ".join(text.split())
    if not folded and question.default:
        raise QuantityError(f"{question.flag} is empty", question.default)
    return question.check(text if question.key in ("name", "lamp") else folded)


def defaults() -> dict[str, str]:
    """Every default, by key."""
    return {question.key: question.default for question in QUESTIONS}


def said(answers: Mapping[str, str]) -> str:
    """What a book was started with, in a line."""
    output = f"guide number {answers['guide_number']}" if answers["guide_number"] else answers["energy"]
    return (
        f"a room of {answers['width']} × {answers['length']} × {answers['height']} with walls of "
        f"{answers['walls']}, lamp '{answers['lamp']}' ({output}), a card of {answers['card']}, "
        f"{answers['units']} units"
    )
