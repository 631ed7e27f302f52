"""The correction table: in full on the recipe's page, in a line each on the set-up card."""

from dataclasses import fields

from thirdstop.pages.evaluated import Correction
from thirdstop.pages.figures import together


def for_card(rows: tuple[Correction, ...]) -> tuple[str, ...]:
    """A line for each row that a card is for: the key's clicks stand in its meter block, and another aperture
    is another set-up.
    """
    return tuple(together(row.brief) for row in rows if row.brief)


def in_full(rows: tuple[Correction, ...]) -> tuple[Correction, ...]:
    """Every row as it was computed."""
    return tuple(Correction(*(together(getattr(row, field.name)) for field in fields(row))) for row in rows)
