"""The book: a folder with studio.yaml, recipes/*.yaml, log/*.yaml, pages/*.md, read whole or not at all."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel

from thirdstop.book.examples import NAMED_GEAR
from thirdstop.book.fields import TITLE_MOST, parse_line
from thirdstop.book.grammar import QuantityError, shorten
from thirdstop.book.loading import load_model
from thirdstop.book.log import Shoot
from thirdstop.book.marks import Marks, fault_at, near
from thirdstop.book.recipe import Recipe
from thirdstop.book.sources import Source, read_sources, read_text, shown
from thirdstop.book.studio import Studio
from thirdstop.errors import BookFaults, Fault

TOPICS = ("safety", "placing", "clicks", "distance", "metering", "ratio", "card", "room", "correcting")
"""What a session of the course can be about; its file carries the word: '2-clicks.md'."""

_HEADING = re.compile(r"# +(\S.*?)(?: +#+)? *")

AnyModel = TypeVar("AnyModel", bound=BaseModel)


@dataclass(frozen=True)
class LoadedRecipe:
    """A recipe with where it came from."""

    slug: str
    """Its name in links and on the command line: the file's name without its ending."""
    file: str
    """Relative to the book: 'recipes/brim.yaml'."""
    recipe: Recipe
    marks: Marks
    text: str


@dataclass(frozen=True)
class LoadedShoot:
    """A shoot of the log with where it came from."""

    slug: str
    """The file's name without its ending."""
    file: str
    """Relative to the book: 'log/2026-03-12.yaml'."""
    shoot: Shoot
    marks: Marks


@dataclass(frozen=True)
class MarkdownPage:
    """A page of the house's own."""

    slug: str
    file: str
    title: str
    """Of its first line, '# Title'."""
    text: str
    """The Markdown below that line, blank lines too: its first line is the file's second."""


@dataclass(frozen=True)
class Book:
    """Everything that the folder says, checked file by file; names across files are not checked yet."""

    root: Path
    studio: Studio
    recipes: tuple[LoadedRecipe, ...]
    """In the order of their file names."""
    pages: tuple[MarkdownPage, ...]
    """In the order of their file names."""
    studio_marks: Marks = field(default_factory=Marks)
    course: tuple[MarkdownPage, ...] = ()
    """The sessions of the course, in the order of their file names; see `topic_of`."""
    log: tuple[LoadedShoot, ...] = ()
    """What was shot, the oldest first."""


def topic_of(slug: str) -> str:
    """What a session is about, by its slug without its number: 'clicks' of '2-clicks'."""
    head, _, rest = slug.partition("-")
    return rest if head.isdigit() else slug


def open_book(root: Path) -> Book:
    """Read the book in the folder `root`.

    Raises BookFaults with every fault of every file, UsageError where the folder is no book.
    """
    faults: list[Fault] = []
    sources = read_sources(root, faults)
    studio, studio_marks = load_studio(sources.studio, faults)
    recipes = tuple(loaded for one in sources.recipes if (loaded := load_recipe(one, faults, studio)))
    pages, course = load_pages(sources.pages, faults), load_course(sources.course, faults)
    shoots = load_log(sources.log, faults)
    faults += shared_titles(recipes)
    if studio is None or faults:
        raise BookFaults(faults)
    return Book(root, studio, recipes, pages, studio_marks, course, shoots)


def open_studio(path: Path) -> tuple[Studio, Marks]:
    """A studio file by itself, such as another room's, with its positions.

    Raises BookFaults with every fault that its own fields show; names within it are not checked yet.
    """
    studio, marks, _ = open_file(Studio, path)
    return studio, marks


def open_file(model: type[AnyModel], path: Path) -> tuple[AnyModel, Marks, str]:
    """A file by itself, with its positions and its text, line ends folded.

    Raises BookFaults with every fault that its own fields show.
    """
    faults: list[Fault] = []
    file = shown(str(path))
    text = read_text(path, None, file, faults)
    if text is not None:
        checked, marks, faults = load_model(model, text, file)
        if checked is not None:
            return checked, marks, text
    raise BookFaults(faults)


# from a file's text; what is wrong with it is added to `faults`


def load_studio(source: Source | None, faults: list[Fault]) -> tuple[Studio | None, Marks]:
    """The studio with its positions; None where there are faults."""
    if source is None:
        return None, Marks()
    studio, marks, found = load_model(Studio, source.text, source.file)
    faults += found
    return studio, marks


def load_recipe(source: Source, faults: list[Fault], studio: Studio | None = None) -> LoadedRecipe | None:
    """The recipe; None where there are faults, which name what the studio has."""
    recipe, marks, found = load_model(Recipe, source.text, source.file, _gear(studio))
    faults += found
    return None if recipe is None else LoadedRecipe(source.slug, source.file, recipe, marks, source.text)


def _gear(studio: Studio | None) -> dict[str, list[str]]:
    return {} if studio is None else {key: [one.name for one in getattr(studio, key)] for key in NAMED_GEAR}


def load_log(sources: Iterable[Source], faults: list[Fault]) -> tuple[LoadedShoot, ...]:
    """The shoots without faults, the oldest first."""
    shoots = []
    for source in sources:
        shoot, marks, found = load_model(Shoot, source.text, source.file)
        faults += found
        if shoot is not None:
            shoots.append(LoadedShoot(source.slug, source.file, shoot, marks))
    return tuple(sorted(shoots, key=lambda one: (one.shoot.date, one.slug)))


def load_pages(sources: Iterable[Source], faults: list[Fault]) -> tuple[MarkdownPage, ...]:
    """The pages that begin with a title."""
    return tuple(_pages(sources, faults))


def load_course(sources: Iterable[Source], faults: list[Fault]) -> tuple[MarkdownPage, ...]:
    """The sessions, each of which must be about a topic of its own."""
    course = load_pages(sources, faults)
    faults += _no_topic(course)
    return course


def _pages(sources: Iterable[Source], faults: list[Fault]) -> Iterator[MarkdownPage]:
    for source in sources:
        try:
            yield _page(source)
        except QuantityError as error:
            first = shorten(source.text.split("\n")[0])
            faults.append(Fault(source.file, 1, 1, error.wrong, first, error.write))


def _no_topic(course: tuple[MarkdownPage, ...]) -> list[Fault]:
    """Sessions whose file name is no topic, or one that another file has already."""
    first: dict[str, str] = {}
    faults = []
    for page in course:
        topic = topic_of(page.slug)
        if topic not in TOPICS:
            best = near(topic, TOPICS)
            wrong = f"a session is about {', '.join(TOPICS[:-1])} or {TOPICS[-1]}"
            faults.append(Fault(page.file, 1, 1, wrong, topic, f"1-{best or TOPICS[0]}.md"))
        elif (other := first.setdefault(topic, page.file)) != page.file:
            wrong = f"{other} is about this already"
            faults.append(Fault(page.file, 1, 1, wrong, topic, "one file for each topic"))
    return faults


def _page(source: Source) -> MarkdownPage:
    """Raises QuantityError where the first line is no title."""
    first, _, rest = source.text.partition("\n")
    found = _HEADING.fullmatch(first)
    if not found:
        raise QuantityError("a page begins with its title", "# Title")
    return MarkdownPage(source.slug, source.file, parse_line(found[1], "a title", TITLE_MOST), rest)


def shared_titles(recipes: Iterable[LoadedRecipe]) -> list[Fault]:
    """Recipes that have the title of an earlier one."""
    first: dict[str, str] = {}
    faults = []
    for loaded in recipes:
        other = first.setdefault(loaded.recipe.title.casefold(), loaded.file)
        if other != loaded.file:
            faults.append(
                fault_at(loaded.marks, ("title",), f"{other} has this title already", None, "another title")
            )
    return faults
