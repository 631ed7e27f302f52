"""What a check says."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

Verdict: TypeAlias = Literal["pass", "look", "halt"]


@dataclass(frozen=True)
class Finding:
    """One sentence of a check about one thing: with the number, the limit and the remedy."""

    check: str
    """The check's name and page anchor: 'in-frame', 'room-fit'."""
    verdict: Verdict
    about: str
    """What it speaks of: an item's name, or the recipe."""
    text: str
    """A full sentence with the number and its limit."""
    remedy: str = ""
    """What to do; empty for a pass."""
    margin: float | None = None
    """Positive inside the limit; in `unit`."""
    limit: float | None = None
    unit: str = ""
    safety: bool = False
    """A halt on safety stands at the top of every page of the recipe."""
