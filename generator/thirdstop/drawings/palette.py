"""How drawings look, read from a theme's `drawing.toml`."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

from thirdstop.errors import BookFaults, Fault
from thirdstop.resources import BASE_THEME, theme_file


@dataclass(frozen=True)
class Pen:
    """A line: colour, width in mm, dashes in mm (none: continuous)."""

    colour: str
    width_mm: float
    dashes_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class Ink:
    """A filled area: colour and opacity, 0 to 1."""

    colour: str
    opacity: float = 1.0


@dataclass(frozen=True)
class TypeSizes:
    """Font sizes in mm: numbers in circles, values, notes, the smallest."""

    number: float
    value: float
    note: float
    small: float


@dataclass(frozen=True, eq=False)
class Palette:
    """Pens and inks by their class, text colours, type sizes."""

    pens: dict[str, Pen]
    inks: dict[str, Ink]
    ink: str
    accent: str
    sizes: TypeSizes


@cache
def palette(theme: str = "default") -> Palette:
    """A theme's drawing palette, or the base theme's.

    Raises ResourceError where there is no such theme, BookFaults where its palette is wrong.
    """
    file = theme_file(theme, "drawing.toml")
    text = ""
    try:
        text = file.read_text(encoding="utf-8")
        return from_data(tomllib.loads(text))
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise BookFaults([_fault(f"themes/{theme}/{file.name}", error, text)]) from error


def _fault(file: str, error: Exception, text: str) -> Fault:
    """What is wrong with a palette, at the line where it is known."""
    usual = f"it as themes/{BASE_THEME}/drawing.toml has it"
    if isinstance(error, tomllib.TOMLDecodeError):
        # the standard library says the place only in its sentence: '… (at line 1, column 5)'
        what, _, place = str(error).partition(" (at ")
        line, column = ([int(n) for n in re.findall(r"\d+", place)] or [len(text.splitlines()) or 1, 1])[:2]
        return Fault(file, line, column, what[:1].lower() + what[1:], "", usual)
    if isinstance(error, KeyError):
        named = f'"{error.args[0]}"'
        line = next((n for n, one in enumerate(text.splitlines(), 1) if named in one), 1)
        return Fault(file, line, 1, f"there is no '{error.args[0]}'", "", usual)
    return Fault(file, 1, 1, " ".join(str(error).split()), "", usual)


def from_data(data: dict[str, Any]) -> Palette:
    """A palette from the data of a drawing.toml; KeyError names a missing entry."""
    colours, widths = data["colour"], data["width"]
    pens = {
        name: Pen(colours[line["colour"]], float(widths[line["width"]]), tuple(line.get("dashes", ())))
        for name, line in data["line"].items()
    }
    inks = {
        name: Ink(colours[fill["colour"]], float(fill.get("opacity", 1.0)))
        for name, fill in data["fill"].items()
    }
    sizes = TypeSizes(**{name: float(size) for name, size in data["type"].items()})
    return Palette(pens, inks, colours["ink"], colours["accent"], sizes)
