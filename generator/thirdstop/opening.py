"""A book read, of which only what isn't known to be sound is parsed and staged."""

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, Protocol, TypeVar

from thirdstop.book.book import (
    Book,
    LoadedRecipe,
    load_course,
    load_log,
    load_pages,
    load_recipe,
    load_studio,
    open_book,
    shared_titles,
)
from thirdstop.book.sources import Source, Sources, read_sources
from thirdstop.book.studio import Studio
from thirdstop.calibrating.history import History, history
from thirdstop.calibrating.log_check import check_log
from thirdstop.desk import Desk, desk_at, evaluated_of
from thirdstop.errors import BookFaults, Fault
from thirdstop.keeping import Name, digest_of
from thirdstop.running import faults_of_studio
from thirdstop.staging.resolve import stage


class Titled(Protocol):
    """Anything that is kept of a recipe by its text."""

    @property
    def title(self) -> str:
        """What the house calls it."""


Kind = TypeVar("Kind", bound=Titled)


@dataclass(frozen=True)
class Opened(Generic[Kind]):
    """A book without faults, as far as its files show them."""

    desk: Desk
    sources: Sources
    book: Book
    """Without its recipes."""
    known: dict[str, Kind]
    """What is kept of recipes, by slug."""
    log: "Log"

    @property
    def missing(self) -> list[Source]:
        """The recipes of which nothing is kept."""
        return [source for source in self.sources.recipes if source.slug not in self.known]


def open_known(root: Path, keeping: Path, kind: str, of: type[Kind]) -> Opened[Kind]:
    """Read a book; a recipe of which there is a result of this kind among what is kept is known to be sound.

    Raises BookFaults with every fault of the first stage that has any, UsageError where it is no book.
    """
    faults: list[Fault] = []
    sources = read_sources(root, faults)
    studio, marks = load_studio(sources.studio, faults)
    pages, course = load_pages(sources.pages, faults), load_course(sources.course, faults)
    shoots = load_log(sources.log, faults)
    desk = None if studio is None else desk_at(keeping, studio)
    known = {} if desk is None else _known(desk, sources, kind, of)
    later = _check_others(studio, sources, known, faults)
    if studio is None or desk is None or faults:
        raise BookFaults(faults)
    book = Book(root, studio, (), pages, marks, course, shoots)
    log = Log(desk, book, {source.slug: source for source in sources.recipes}, _texts(sources.log))
    faults = faults_of_studio(book) + later + log.faults()
    if faults:
        raise BookFaults(faults)
    return Opened(desk, sources, book, known, log)


def _known(desk: Desk, sources: Sources, kind: str, of: type[Kind]) -> dict[str, Kind]:
    """What is kept of this kind, by slug."""
    found = {one.slug: desk.shelf.find(desk.name_of(kind, one)) for one in sources.recipes}
    return {slug: one for slug, one in found.items() if isinstance(one, of)}


def _check_others(
    studio: Studio | None, sources: Sources, known: Mapping[str, Titled], faults: list[Fault]
) -> list[Fault]:
    """Read and stage every recipe that isn't known; what its text has wrong is added to `faults`.

    Returns what only its staging shows.
    """
    later: list[Fault] = []
    titles = {slug: one.title for slug, one in known.items()}
    for source in sources.recipes:
        if source.slug in known:
            continue
        loaded = load_recipe(source, faults, studio)
        if loaded is not None:
            titles[source.slug] = loaded.recipe.title
            if studio is not None:
                later += stage(loaded.recipe, studio, loaded.marks, loaded.slug)[1]
    folded = [title.casefold() for title in titles.values()]
    if len(set(folded)) < len(folded):
        every = (load_recipe(source, []) for source in sources.recipes)
        faults += shared_titles(one for one in every if one is not None)
    return later


@dataclass
class Log:
    """The shoots, by recipe; a recipe whose history is kept has sound ones."""

    desk: Desk
    book: Book
    """Without its recipes."""
    sources: Mapping[str, Source]
    texts: Mapping[str, str]
    """Of the log's files."""
    _found: dict[str, History] = field(default_factory=dict)

    def faults(self) -> list[Fault]:
        """What is wrong with the shoots, beside their own fields."""
        slugs = {one.shoot.recipe for one in self.book.log}
        if not slugs <= self.sources.keys():
            return check_log(open_book(self.book.root))  # it names those that there are
        for slug in slugs:
            found = self.desk.shelf.find(self._name(slug))
            if isinstance(found, History):
                self._found[slug] = found
        return check_log(self._of(slugs - self._found.keys()))

    def histories(self) -> dict[str, History]:
        """Of every recipe that was shot."""
        for slug in {one.shoot.recipe for one in self.book.log} - self._found.keys():
            evaluated, _ = evaluated_of(self.desk, self.sources[slug])
            made = history(self._of({slug}), evaluated.loaded, evaluated.readings)
            if made is not None:
                self._found[slug] = made
                self.desk.shelf.keep(self._name(slug), made)
        return self._found

    def _name(self, slug: str) -> Name:
        shot = [(one.file, self.texts[one.file]) for one in self.book.log if one.shoot.recipe == slug]
        return Name(f"{slug}.history", digest_of(self.desk.key_of(self.sources[slug]), shot))

    def _of(self, slugs: Container[str]) -> Book:
        """The book of these recipes alone, those among them that can be read."""
        found = (load_recipe(one, []) for slug, one in self.sources.items() if slug in slugs)
        recipes: tuple[LoadedRecipe, ...] = tuple(one for one in found if one is not None)
        log = tuple(one for one in self.book.log if one.shoot.recipe in slugs)
        return Book(self.book.root, self.book.studio, recipes, (), log=log)


def _texts(sources: Sequence[Source]) -> dict[str, str]:
    return {one.file: one.text for one in sources}
