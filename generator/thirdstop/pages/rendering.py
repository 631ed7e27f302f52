"""Fill the theme's templates. They compute nothing: they are given strings, numbers and finished HTML."""

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from thirdstop.errors import ResourceError
from thirdstop.pages.units import both
from thirdstop.resources import shipped

_STATIC = frozenset({".css", ".js", ".woff2", ".txt"})
"""Kinds of file that a theme may bring along; anything else in its folders stays there."""


def theme_folder(theme: str) -> Path:
    """The folder of a shipped theme; ResourceError naming those there are."""
    folder = shipped("themes") / theme
    if not (folder / "templates").is_dir():
        there = sorted(path.name for path in shipped("themes").iterdir() if (path / "templates").is_dir())
        raise ResourceError(f"there is no theme '{theme}'; there is {', '.join(there)}")
    return folder


@cache
def _environment(folder: Path) -> Environment:
    environment = Environment(
        loader=FileSystemLoader(folder / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["both"] = both
    return environment


def render(theme: str, template: str, values: Mapping[str, object]) -> bytes:
    """One page as UTF-8. A value that a template asks for and doesn't get is an error of ours."""
    return _environment(theme_folder(theme)).get_template(template).render(values).encode()


def markup(html: str) -> Markup:
    """HTML that was made here (a drawing, rendered Markdown), not to be escaped again."""
    return Markup(html)


def static_files(theme: str) -> Iterator[tuple[str, bytes]]:
    """Path within the theme's static folder and bytes of all that its pages load."""
    folder = theme_folder(theme)
    for path in sorted(folder.rglob("*")):
        if path.suffix in _STATIC and path.is_file() and "templates" not in path.parts:
            yield path.relative_to(folder).as_posix().removeprefix("static/"), path.read_bytes()
