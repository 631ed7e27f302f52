"""Text: every file of a book's folder as it was read, before anything is made of it."""

import errno
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISREG

from thirdstop.book.fields import NAME_MOST, SLUG
from thirdstop.book.strict_yaml import MOST_BYTES, decode
from thirdstop.errors import Fault, UsageError

STUDIO_FILE = "studio.yaml"
RECIPES_FOLDER = "recipes"
PAGES_FOLDER = "pages"
COURSE_FOLDER = "course"
LOG_FOLDER = "log"

_YAML = (".yaml", (".yml", ".json"))
_MARKDOWN = (".md", (".markdown", ".txt"))


@dataclass(frozen=True)
class Source:
    """One file."""

    slug: str
    """Its name without its ending."""
    file: str
    """Relative to the book: 'recipes/brim.yaml'."""
    text: str
    """With line ends folded."""


@dataclass(frozen=True)
class Sources:
    """All files of a book, each folder's in the order of their names, without those that can't be read."""

    root: Path
    studio: Source | None
    recipes: tuple[Source, ...]
    pages: tuple[Source, ...]
    course: tuple[Source, ...]
    log: tuple[Source, ...]


def read_sources(root: Path, faults: list[Fault]) -> Sources:
    """Read the folder, and add to `faults` what can't be read. Raises UsageError where it is no book."""
    _refuse_no_book(root)
    text = read_text(root / STUDIO_FILE, root, STUDIO_FILE, faults)
    recipes = tuple(_folder(root, RECIPES_FOLDER, *_YAML, faults))
    if not recipes and not faults:
        faults.append(Fault(RECIPES_FOLDER, 1, 1, "the book has no recipe", "", "recipes/first.yaml"))
    return Sources(
        root=root,
        studio=None if text is None else Source("studio", STUDIO_FILE, text),
        recipes=recipes,
        pages=tuple(_folder(root, PAGES_FOLDER, *_MARKDOWN, faults)),
        course=tuple(_folder(root, COURSE_FOLDER, *_MARKDOWN, faults)),
        log=tuple(_folder(root, LOG_FOLDER, *_YAML, faults)),
    )


def no_book(root: Path) -> UsageError:
    """What is said of a folder without a studio file."""
    return UsageError(
        f"{root} is not a book: it has no {STUDIO_FILE}; name the folder that has it, "
        "or make a book with: thirdstop start DIR"
    )


def _refuse_no_book(root: Path) -> None:
    try:
        if not root.exists():
            raise UsageError(f"there is no folder {root}; name the book's, the one with its {STUDIO_FILE}")
        if not root.is_dir():
            raise UsageError(f"{root} is not a folder; name the book's, the one with its {STUDIO_FILE}")
        if not (root / STUDIO_FILE).exists() and not (root / STUDIO_FILE).is_symlink():
            raise no_book(root)
    except OSError as error:
        raise UsageError(f"{root} can't be read: {_reason(error)}") from error


def _folder(
    root: Path, folder: str, ending: str, near_endings: tuple[str, ...], faults: list[Fault]
) -> Iterator[Source]:
    for slug, file in _names(root, folder, ending, near_endings, faults):
        text = read_text(root / file, root, file, faults)
        if text is not None:
            yield Source(slug, file, text)


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
            faults.append(Fault(shown(file), 1, 1, f"a file here ends in {ending}", path.suffix, ending))
        elif path.is_dir():
            faults.append(
                Fault(shown(file), 1, 1, f"files stand directly in {folder}", "", f"{folder}/name{ending}")
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
    faults.append(Fault(shown(file), 1, 1, wrong, "", better))
    return False


def read_text(path: Path, inside: Path | None, file: str, faults: list[Fault]) -> str | None:
    """A file's text, called `file` in faults; None after noting why there is none.

    Reads no more than a file may hold, nothing but regular files, and none outside the folder `inside`; the
    folder that `path` names is taken to lie in it.
    """
    try:
        resolved = path
        if not S_ISREG(path.lstat().st_mode):  # a link, perhaps
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


def shown(file: str) -> str:
    """A file's name fit for a line of text: file names may hold line breaks and bytes that aren't text."""
    return "".join(c if c.isprintable() else "?" for c in file)
