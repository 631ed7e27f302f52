"""The one door to files that ship with thirdstop: themes and the demo book."""

from pathlib import Path

from thirdstop.errors import ResourceError

_PACKAGE = Path(__file__).resolve().parent


def shipped(folder: str) -> Path:
    """The folder 'themes' or 'recipes' as installed, or in a checkout beside pyproject.toml.

    Raises ResourceError naming both places when neither is there.
    """
    installed = _PACKAGE / "_data" / folder
    if installed.is_dir():
        return installed
    checkout = _PACKAGE.parents[1] / folder
    if checkout.is_dir() and (_PACKAGE.parents[1] / "pyproject.toml").is_file():
        return checkout
    raise ResourceError(f"'{folder}' is neither at {installed} nor at {checkout}; install thirdstop again")


BASE_THEME = "default"
"""The theme whose files stand in for those that another one doesn't bring."""


def theme_file(theme: str, name: str) -> Path:
    """A theme's file by its path within the theme, or the base theme's where it has none of its own.

    Raises ResourceError naming the themes there are where there is no such theme.
    """
    there = theme_names()
    if theme not in there:
        raise ResourceError(f"there is no theme '{theme}'; there is {', '.join(there)}")
    own = shipped("themes") / theme / name
    return own if own.exists() else shipped("themes") / BASE_THEME / name


def theme_names() -> list[str]:
    """The themes that ship, by name."""
    return sorted(path.name for path in shipped("themes").iterdir() if path.is_dir())
