"""The correction table: in full on the recipe's page, in a line each on the set-up card."""

import re

from thirdstop.pages.evaluated import Correction
from thirdstop.pages.figures import together

_SHORTER = (
    (r" \([^)]*\)(?= reads)", ""),
    (r"^The shadow side reads", "Shadow"),
    (r"^The sitter", "Sitter"),
    (r"\.$", ""),
    (r"Aim '([^']+)' again first: between lamp and cheek\. Then '\1' goes to", r"aim \1 again, then"),
    (r"Aim '([^']+)' again first: between lamp and cheek\.", r"aim \1 again."),
    (r"\. Then meter the key again", "; then meter the key again"),
    (r"(?<!\w)'([^']+)'(?!\w)", r"\1"),
)
"""What a card can do without in the sentences of the table."""


def for_card(rows: tuple[Correction, ...]) -> tuple[str, ...]:
    """A line for each row that a card is for: the key's clicks stand in its meter block, and another aperture
    is another set-up.
    """
    return tuple(together(f"{_brief(row.shows)}: {_brief(row.do)}") for row in rows if _on_card(row))


def in_full(rows: tuple[Correction, ...]) -> tuple[Correction, ...]:
    """Every row as it was computed."""
    return tuple(Correction(*map(together, (row.shows, row.do, row.cause, row.expect))) for row in rows)


def _on_card(row: Correction) -> bool:
    return not row.shows.startswith(("The key reads", "Another aperture"))


def _brief(text: str) -> str:
    for pattern, shorter in _SHORTER:
        text = re.sub(pattern, shorter, text)
    return text[:1].lower() + text[1:] if text.startswith(("Bring", "Raise", "Turn", "Lower")) else text
