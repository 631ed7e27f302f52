"""The correction table: in full on the recipe's page, in a line each on the set-up card."""

from dataclasses import dataclass, replace

from thirdstop.pages.figures import together
from thirdstop.pages.views import whose
from thirdstop.placing.correction import Correction
from thirdstop.placing.setup import BEST
from thirdstop.staging.staging import Staging

_READINGS = ("shadow side ", "key ", "ratio ")
"""How an expectation begins that is read off the meter once the row is done."""

_NOTHING = "nothing else "
"""How it is said that nothing else moves by as much as is worth telling."""


@dataclass(frozen=True)
class Line:
    """A row as a card has it: what shows, from what, what to do, what it reads then."""

    shows: str
    cause: str
    """Leaves the card first: what to do doesn't hang on it."""
    do: str
    then: str
    """Empty where the line itself says what is the best to be had, or where it is to be computed anew."""


def for_card(rows: tuple[Correction, ...]) -> tuple[Line, ...]:
    """A line for each row that a card is for: the key's clicks stand in its meter block, and another aperture
    is another set-up.
    """
    return tuple(_line(row) for row in rows if row.brief)


def _line(row: Correction) -> Line:
    shows, _, do = row.brief.partition(": ")
    then = row.expect.replace("shadow side ", "").replace("ratio ", "")
    told = BEST not in do and row.expect.startswith(_READINGS)
    return Line(*map(together, (shows, row.cause, do, then if told else "")))


def in_full(rows: tuple[Correction, ...], staging: Staging) -> tuple[Correction, ...]:
    """Every row as it was computed; that nothing else moves needs no words."""
    return tuple(_full(row, staging) for row in rows)


def _full(row: Correction, staging: Staging) -> Correction:
    def told(text: str) -> str:
        return together(whose.told(staging, text))

    moves = "" if row.moves.startswith(_NOTHING) else row.moves
    return replace(
        row,
        shows=told(row.shows),
        do=told(row.do),
        cause=told(row.cause),
        expect=told(row.expect),
        moves=told(moves),
        brief=told(row.brief),
    )
