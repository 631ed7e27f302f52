"""How drawings look, read from a theme's `drawing.toml`."""

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

from thirdstop.resources import theme_file


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
    """A theme's drawing palette, or the base theme's; ResourceError where there is no such theme."""
    return from_data(tomllib.loads(theme_file(theme, "drawing.toml").read_text(encoding="utf-8")))


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
