"""The book: a folder with studio.yaml, recipes/*.yaml, log/*.yaml, pages/*.md, read whole or not at all."""

import errno
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from stat import S_ISREG
from typing import TypeVar

from pydantic import BaseModel

from thirdstop.book.fields import NAME_MOST, SLUG, TITLE_MOST, parse_line
from thirdstop.book.grammar import QuantityError, shorten
from thirdstop.book.loading import load_model
from thirdstop.book.log import Shoot
from thirdstop.book.marks import Marks, fault_at, near
from thirdstop.book.recipe import Recipe
from thirdstop.book.strict_yaml import MOST_BYTES, decode
from thirdstop.book.studio import Studio
from thirdstop.errors import BookFaults, Fault, UsageError

STUDIO_FILE = "studio.yaml"
RECIPES_FOLDER = "recipes"
PAGES_FOLDER = "pages"
COURSE_FOLDER = "course"
LOG_FOLDER = "log"

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
    _refuse_no_book(root)
    faults: list[Fault] = []
    studio, studio_marks, _ = _load(Studio, root, STUDIO_FILE, faults)
    recipes = tuple(_recipes(root, faults))
    pages = tuple(_pages(root, PAGES_FOLDER, faults))
    course = tuple(_pages(root, COURSE_FOLDER, faults))
    faults += _no_topic(course)
    shoots = tuple(_shoots(root, faults))
    faults += _shared_titles(recipes)
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
    file = _shown(str(path))
    text = _read(path, None, file, faults)
    if text is not None:
        checked, marks, faults = load_model(model, text, file)
        if checked is not None:
            return checked, marks, text
    raise BookFaults(faults)


def _refuse_no_book(root: Path) -> None:
    try:
        if not root.is_dir():
            raise UsageError(f"there is no folder {root}")
        if not (root / STUDIO_FILE).exists() and not (root / STUDIO_FILE).is_symlink():
            raise UsageError(f"{root} is not a book: it has no {STUDIO_FILE}")
    except OSError as error:
        raise UsageError(f"{root} can't be read: {_reason(error)}") from error


def _recipes(root: Path, faults: list[Fault]) -> Iterator[LoadedRecipe]:
    names = list(_names(root, RECIPES_FOLDER, ".yaml", (".yml", ".json"), faults))
    if not names and not faults:
        faults.append(Fault(RECIPES_FOLDER, 1, 1, "the book has no recipe", "", "recipes/first.yaml"))
    for slug, file in names:
        recipe, marks, text = _load(Recipe, root, file, faults)
        if recipe is not None:
            yield LoadedRecipe(slug, file, recipe, marks, text)


def _shoots(root: Path, faults: list[Fault]) -> list[LoadedShoot]:
    found = []
    for slug, file in _names(root, LOG_FOLDER, ".yaml", (".yml", ".json"), faults):
        shoot, marks, _ = _load(Shoot, root, file, faults)
        if shoot is not None:
            found.append(LoadedShoot(slug, file, shoot, marks))
    return sorted(found, key=lambda one: (one.shoot.date, one.slug))


def _pages(root: Path, folder: str, faults: list[Fault]) -> Iterator[MarkdownPage]:
    for slug, file in _names(root, folder, ".md", (".markdown", ".txt"), faults):
        text = _text(root, file, faults)
        if text is not None:
            try:
                yield _page(slug, file, text)
            except QuantityError as error:
                faults.append(Fault(file, 1, 1, error.wrong, shorten(text.split("\n")[0]), error.write))


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


def _page(slug: str, file: str, text: str) -> MarkdownPage:
    """Raises QuantityError where the first line is no title."""
    first, _, rest = text.partition("\n")
    found = _HEADING.fullmatch(first)
    if not found:
        raise QuantityError("a page begins with its title", "# Title")
    return MarkdownPage(slug, file, parse_line(found[1], "a title", TITLE_MOST), rest)


def _names(
    root: Path, folder: str, ending: str, near_endings: tuple[str, ...], faults: list[Fault]
) -> Iterator[tuple[str, str]]:
    """Slug and file of everything in a folder that is meant for the book, in the order of file names.

    Hidden files and files with other endings are left alone.
    """
    for path in _listed(root, folder, faults):
        file = f"{folder}/{path.name}"
        if path.name.startswith("."):
            continue
        if path.suffix == ending:
            if _is_slug(path.stem, file, faults):
                yield path.stem, file
        elif path.suffix in near_endings:
            faults.append(Fault(_shown(file), 1, 1, f"a file here ends in {ending}", path.suffix, ending))
        elif path.is_dir():
            faults.append(
                Fault(_shown(file), 1, 1, f"files stand directly in {folder}", "", f"{folder}/name{ending}")
            )


def _listed(root: Path, folder: str, faults: list[Fault]) -> list[Path]:
    """What stands in a folder of the book, by name; nothing, after noting why, where that can't be known."""
    place = root / folder
    try:
        if not place.exists() and not place.is_symlink():
            return []
        if not place.resolve(strict=True).is_relative_to(root.resolve()):
            faults.append(Fault(folder, 1, 1, "this leads out of the book", "", "the folder itself"))
            return []
        return sorted(place.iterdir())
    except NotADirectoryError:
        faults.append(Fault(folder, 1, 1, "this isn't a folder", "", "a folder"))
    except (OSError, RuntimeError) as error:
        faults.append(Fault(folder, 1, 1, "this can't be read", _reason(error), "a folder that can be read"))
    return []


def _is_slug(stem: str, file: str, faults: list[Fault]) -> bool:
    if SLUG.fullmatch(stem) and len(stem) <= NAME_MOST:
        return True
    wrong = f"a file's name is lower-case letters, digits and hyphens, at most {NAME_MOST}"
    better = "-".join(re.findall("[a-z0-9]+", stem.lower()))[:NAME_MOST].strip("-") or "first"
    faults.append(Fault(_shown(file), 1, 1, wrong, "", better))
    return False


def _load(
    model: type[AnyModel], root: Path, file: str, faults: list[Fault]
) -> tuple[AnyModel | None, Marks, str]:
    text = _text(root, file, faults)
    if text is None:
        return None, Marks(file), ""
    checked, marks, found = load_model(model, text, file)
    faults += found
    return checked, marks, text


def _text(root: Path, file: str, faults: list[Fault]) -> str | None:
    """The text of a file of the book; None after noting why there is none."""
    return _read(root / file, root, file, faults)


def _read(path: Path, inside: Path | None, file: str, faults: list[Fault]) -> str | None:
    """A file's text, called `file` in faults; None after noting why there is none.

    Reads no more than a file may hold, nothing but regular files, and none outside the folder `inside`.
    """
    try:
        resolved = path.resolve(strict=True)
        if inside is not None and not resolved.is_relative_to(inside.resolve()):
            faults.append(Fault(file, 1, 1, "this leads out of the book", "", "the file itself"))
            return None
        if not S_ISREG(resolved.stat().st_mode):
            faults.append(Fault(file, 1, 1, "this isn't a file", "", "a file"))
            return None
        with resolved.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except (OSError, RuntimeError) as error:
        faults.append(Fault(file, 1, 1, "this can't be read", _reason(error), "a file that can be read"))
        return None
    text, found = decode(data, file)
    faults += found
    return text


def _reason(error: OSError | RuntimeError) -> str:
    # Python before 3.13 raises RuntimeError for a loop of links, later ones OSError
    if not isinstance(error, OSError) or error.errno == errno.ELOOP:
        return "a link to itself"
    return (error.strerror or "").lower()


def _shared_titles(recipes: tuple[LoadedRecipe, ...]) -> list[Fault]:
    first: dict[str, str] = {}
    faults = []
    for loaded in recipes:
        other = first.setdefault(loaded.recipe.title.casefold(), loaded.file)
        if other != loaded.file:
            faults.append(
                fault_at(loaded.marks, ("title",), f"{other} has this title already", None, "another title")
            )
    return faults


def _shown(file: str) -> str:
    """A file's name fit for a line of text: file names may hold line breaks and bytes that aren't text."""
    return "".join(c if c.isprintable() else "?" for c in file)
