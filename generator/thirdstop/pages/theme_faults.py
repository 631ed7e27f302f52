"""What is wrong with a theme's template, as one line: file and line, what is wrong, what to write."""

import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path

from jinja2 import TemplateNotFound, TemplateSyntaxError, UndefinedError

from thirdstop.errors import BookFaults, Fault
from thirdstop.resources import BASE_THEME, shipped

_LIKE_ENOUGH = 0.9
"""Likeness from which a template's name is taken for a slip: two letters swapped in 'default/base.html'."""


@contextmanager
def told(theme: str) -> Iterator[None]:
    """Turns whatever goes wrong in a template of the theme's own into the one fault of BookFaults.

    What goes wrong in the base theme's is an error of ours, and stays what it is.
    """
    try:
        yield
    except Exception as error:
        place = _place(error, shipped("themes") / theme)
        if theme == BASE_THEME or place is None:
            raise
        file, line = place
        shown = file.relative_to(shipped("themes").parent).as_posix()
        raise BookFaults([Fault(shown, line, 1, *_wrong(error, file))]) from error


def _place(error: Exception, folder: Path) -> tuple[Path, int] | None:
    """File and line of the theme's own template where it came to nothing: the last one that was being filled.

    None where no template of that folder had a part in it.
    """
    if isinstance(error, TemplateSyntaxError) and error.filename and _inside(error.filename, folder):
        return Path(error.filename), error.lineno
    # Jinja puts templates and their lines among the frames of Python
    frames = [one for one in traceback.extract_tb(error.__traceback__) if _inside(one.filename, folder)]
    if frames:
        return Path(frames[-1].filename), frames[-1].lineno or 1
    if isinstance(error, UnicodeDecodeError):
        return next(((path, 1) for path in sorted(folder.rglob("*.html")) if not _is_text(path)), None)
    return None


def _inside(file: str, folder: Path) -> bool:
    return Path(file).is_relative_to(folder)


def _is_text(path: Path) -> bool:
    try:
        path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _wrong(error: Exception, file: Path) -> tuple[str, str, str]:
    """What is wrong, what was given, what to write."""
    if isinstance(error, TemplateNotFound):
        named = str(error.name or "")
        return "there is no such template", named, _nearest(named, file.name)
    if isinstance(error, RecursionError):
        return "this template leads to itself", "", f'{{% extends "{BASE_THEME}/{file.name}" %}}'
    if isinstance(error, UndefinedError):
        return _sentence(error.message), "", f"a name that {BASE_THEME}'s templates use there"
    if isinstance(error, UnicodeDecodeError):
        return "this isn't text in UTF-8", "", "the file saved as UTF-8"
    if isinstance(error, TemplateSyntaxError):
        return _sentence(error.message), "", f"it as {BASE_THEME}'s templates do, or take the file away"
    return _sentence(str(error) or type(error).__name__), "", f"it as {BASE_THEME}'s templates do"


def _sentence(text: str | None) -> str:
    """Jinja's own, as one of ours: on one line, without capital and full stop."""
    said = " ".join((text or "this can't be read").split()).rstrip(".")
    return said[:1].lower() + said[1:]


def _nearest(named: str, own: str) -> str:
    """The base theme's template of nearly that name; else the one whose place the theme's own takes."""
    folder = shipped("themes") / BASE_THEME / "templates"
    names = [f"{BASE_THEME}/{path.relative_to(folder).as_posix()}" for path in sorted(folder.rglob("*.html"))]
    close = get_close_matches(named, names, 1, _LIKE_ENOUGH)
    return next(iter([*close, *(name for name in names if name == f"{BASE_THEME}/{own}")]), names[0])
