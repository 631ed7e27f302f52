"""Which recipe of a book a name typed on the command line means."""

from collections.abc import Sequence
from pathlib import PurePath

from thirdstop.book.book import LoadedRecipe
from thirdstop.book.grammar import shorten
from thirdstop.book.marks import near
from thirdstop.errors import UsageError

_MOST_NAMED = 12
"""Recipes that are named where none is meant."""


def named(recipes: Sequence[LoadedRecipe], name: str) -> LoadedRecipe:
    """The recipe of that slug, file or title, or of a slug without its number.

    Raises UsageError naming the nearest one, or those among which the name doesn't choose.
    """
    wanted = name.strip().casefold()
    for known_as in (_names, _short_names):
        found = [one for one in recipes if wanted in known_as(one)]
        if len(found) == 1:
            return found[0]
        if found:
            several = " and ".join(one.slug for one in found)
            raise UsageError(f"'{_shown(name)}' may be {several}; write one of them")
    raise UsageError(f"there is no recipe '{_shown(name)}'; {_hint(name, [one.slug for one in recipes])}")


def _hint(name: str, slugs: Sequence[str]) -> str:
    if best := near(name, slugs):
        return f"did you mean '{best}'?"
    if len(slugs) == 1:
        return f"the book has only '{slugs[0]}'"
    more = " …" if len(slugs) > _MOST_NAMED else ""
    return f"the book has {', '.join(slugs[:_MOST_NAMED])}{more}"


def _shown(name: str) -> str:
    """What was typed, fit for one line of text."""
    return shorten("".join(c if c.isprintable() else "?" for c in name))


def _names(one: LoadedRecipe) -> set[str]:
    names = (one.slug, one.file, PurePath(one.file).name, one.recipe.title)
    return {name.casefold() for name in names}


def _short_names(one: LoadedRecipe) -> set[str]:
    """A slug without its leading number: 'borrowed-window' for '01-borrowed-window'."""
    head, _, rest = one.slug.partition("-")
    return {(rest if head.isdigit() and rest else one.slug).casefold()}
