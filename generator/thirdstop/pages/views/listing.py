"""Recipes that a thing is used by, as a line of links."""

from collections.abc import Iterable
from dataclasses import dataclass

from thirdstop.pages.house import Step

MANY = 3
"""More than so many recipes, if they are all there are, are said as 'every recipe'."""


@dataclass(frozen=True)
class Listing:
    """Some of a book's recipes."""

    recipes: tuple[Step, ...]
    every: bool
    """Whether they are all, and many."""


def listing(asked: Iterable[tuple[Step, bool]]) -> Listing:
    """Those of the recipes for which it is true."""
    every = list(asked)
    found = tuple(step for step, used in every if used)
    return Listing(found, len(found) == len(every) > MANY)
