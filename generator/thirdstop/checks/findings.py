"""What a check says."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Staging

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


Run: TypeAlias = Callable[[Staging, Readings], list[Finding]]


@dataclass(frozen=True)
class Check:
    """One check: what the pages call it, why it is made, and what does it."""

    name: str
    """Page anchor and `Finding.check`: 'in-frame'."""
    title: str
    """Heading, as people say it."""
    run: Run
    explains: str
    """A paragraph for the page: what is computed, with which limit, and what is left out."""
