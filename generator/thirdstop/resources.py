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
