"""A set of the log again: that day's set-up for today's sitter, with what is known today."""

from dataclasses import dataclass
from pathlib import Path as FilePath

from thirdstop.book.book import Book, LoadedShoot, open_book
from thirdstop.book.log import as_shot
from thirdstop.book.marks import near
from thirdstop.calibrating.history import changed
from thirdstop.calibrating.log_check import check_log
from thirdstop.errors import BookFaults, UsageError
from thirdstop.placing.matching import Match, Wish, match
from thirdstop.staging.studio_check import check_studio


@dataclass(frozen=True)
class Repeated:
    """A set of the log, matched."""

    book: Book
    match: Match
    shoot: LoadedShoot
    others: tuple[LoadedShoot, ...]
    """Shoots of the same recipe that the name fits too; the last one was taken."""

    @property
    def told(self) -> tuple[str, ...]:
        """Which shoot it is and what was set that day, line by line."""
        shoot = self.shoot.shoot
        by = f" by {shoot.by}" if shoot.by else ""
        lines = [f"Set of {shoot.date.isoformat()}{by}, {self.shoot.file}."]
        if self.others:
            others = ", ".join(one.slug for one in self.others)
            lines.append(f"The last of several; the others: {others}.")
        was = changed(self.shoot)
        return (*lines, f"That day: {'; '.join(was)}." if was else "That day: all as the recipe says.")


def repeat(root: FilePath, name: str, wish: Wish) -> Repeated:
    """The set-up of one shoot of the log, changed as little as keeps its picture for the wish.

    Raises BookFaults where the book can't be read, UsageError where the log has no such shoot.
    """
    book = open_book(root)
    if faults := [*check_studio(book.studio, book.studio_marks), *check_log(book)]:
        raise BookFaults(faults)
    *others, shoot = fitting_shoots(book, name)
    loaded = next(one for one in book.recipes if one.slug == shoot.shoot.recipe)
    found = match(as_shot(loaded.recipe, shoot.shoot), book.studio, loaded.marks, loaded.slug, wish)
    return Repeated(book, found, shoot, tuple(others))


def picked_shoot(book: Book, name: str) -> LoadedShoot:
    """The shoot of that file, or the last one whose date begins so: '2026-03' is the set of March."""
    return fitting_shoots(book, name)[-1]


def fitting_shoots(book: Book, name: str) -> list[LoadedShoot]:
    """The shoot of that file, or those whose date begins so, the oldest first, all of one recipe.

    Raises UsageError where there is none, or where they are of several recipes.
    """
    wanted = name.strip().removeprefix("log/").removesuffix(".yaml")
    found = [one for one in book.log if one.slug == wanted]
    found = found or [one for one in book.log if one.shoot.date.isoformat().startswith(wanted) and wanted]
    recipes = {one.shoot.recipe for one in found}
    if len(recipes) > 1:
        several = ", ".join(one.slug for one in found)
        raise UsageError(f"'{name}' may be {several}; write one of them")
    if found:
        return found
    slugs = [one.slug for one in book.log]
    best = near(wanted, slugs)
    hint = f"did you mean '{best}'?" if best else f"the log has {', '.join(slugs) or 'nothing yet'}"
    raise UsageError(f"the log has no shoot '{name}'; {hint}")
