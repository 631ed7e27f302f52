"""A set of the log again: that day's set-up for today's sitter, with what is known today."""

from pathlib import Path as FilePath

from thirdstop.book.book import Book, LoadedShoot, open_book
from thirdstop.book.log import as_shot
from thirdstop.book.marks import near
from thirdstop.calibrating.log_check import check_log
from thirdstop.errors import BookFaults, UsageError
from thirdstop.placing.matching import Match, Wish, match
from thirdstop.staging.studio_check import check_studio


def repeat(root: FilePath, name: str, wish: Wish) -> tuple[Book, Match]:
    """The set-up of one shoot of the log, changed as little as keeps its picture for the wish.

    Raises BookFaults where the book can't be read, UsageError where the log has no such shoot.
    """
    book = open_book(root)
    if faults := [*check_studio(book.studio, book.studio_marks), *check_log(book)]:
        raise BookFaults(faults)
    shoot = picked_shoot(book, name)
    loaded = next(one for one in book.recipes if one.slug == shoot.shoot.recipe)
    return book, match(as_shot(loaded.recipe, shoot.shoot), book.studio, loaded.marks, loaded.slug, wish)


def picked_shoot(book: Book, name: str) -> LoadedShoot:
    """The shoot of that file, or the last one whose date begins so: '2026-03' is the set of March."""
    wanted = name.strip().removeprefix("log/").removesuffix(".yaml")
    found = [one for one in book.log if one.slug == wanted]
    found = found or [one for one in book.log if one.shoot.date.isoformat().startswith(wanted) and wanted]
    recipes = {one.shoot.recipe for one in found}
    if len(recipes) > 1:
        several = ", ".join(one.slug for one in found)
        raise UsageError(f"'{name}' may be {several}; write one of them")
    if found:
        return found[-1]
    slugs = [one.slug for one in book.log]
    best = near(wanted, slugs)
    hint = f"did you mean '{best}'?" if best else f"the log has {', '.join(slugs) or 'nothing yet'}"
    raise UsageError(f"the log has no shoot '{name}'; {hint}")
