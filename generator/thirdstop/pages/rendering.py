"""Fill the theme's templates. They compute nothing: they are given strings, numbers and finished HTML."""

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from jinja2 import ChoiceLoader, Environment, FileSystemLoader, PrefixLoader, StrictUndefined
from markupsafe import Markup

from thirdstop.pages import theme_faults
from thirdstop.pages.compiling import Compiled
from thirdstop.pages.figures import together
from thirdstop.pages.units import both, curly, times
from thirdstop.resources import BASE_THEME, shipped, theme_file

_STATIC = frozenset({".css", ".js", ".woff2", ".txt"})
"""Kinds of file that a theme may bring along; anything else in its folders stays there."""


@cache
def _environment(theme: str) -> Environment:
    """Templates of the theme before the base theme's; those by their own name too: 'default/base.html'."""
    folders = [theme_file(theme, "templates"), theme_file(BASE_THEME, "templates")]
    base = PrefixLoader({BASE_THEME: FileSystemLoader(folders[1])})
    environment = Environment(
        loader=ChoiceLoader([FileSystemLoader(folders), base]),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        # a filter isn't worked out beforehand: a template's code knows nothing of what it does
        optimized=False,
        finalize=_shown,
        bytecode_cache=Compiled(Path(__file__)),
    )
    environment.filters["both"] = both
    environment.filters["curly"] = curly
    environment.filters["times"] = times
    return environment


def _shown(value: object) -> object:
    """What a template prints: in a text no number is parted from its unit. Finished HTML stays as it is."""
    return together(value) if type(value) is str else value


def render(theme: str, template: str, values: Mapping[str, object]) -> bytes:
    """One page as UTF-8. Raises BookFaults where a template of the theme's own is wrong.

    A value that the base theme's templates ask for and don't get is an error of ours.
    """
    with theme_faults.told(theme):
        return _environment(theme).get_template(template).render(values).encode()


def markup(html: str) -> Markup:
    """HTML that was made here (a drawing, rendered Markdown), not to be escaped again."""
    return Markup(html)


def static_files(theme: str) -> Iterator[tuple[str, bytes]]:
    """Path in the site's static folder and bytes of all that the theme's pages load.

    A theme's own file stands in for the base theme's of the same name.
    """
    theme_file(theme, "static")  # a theme that isn't there is told before anything is read
    files: dict[str, Path] = {}
    for folder in (shipped("themes") / BASE_THEME, shipped("themes") / theme):
        for path in folder.rglob("*"):
            if path.suffix in _STATIC and path.is_file() and "templates" not in path.parts:
                files[path.relative_to(folder).as_posix().removeprefix("static/")] = path
    for name, path in sorted(files.items()):
        yield name, path.read_bytes()
