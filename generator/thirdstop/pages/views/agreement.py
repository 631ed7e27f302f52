"""How well the engine agrees with a path tracer, as measured: the same numbers as in `docs/agreement.md`."""

from dataclasses import dataclass

BINS = ("under 0.002", "0.002 to 0.005", "0.005 to 0.01", "0.01 to 0.02", "0.02 to 0.05", "over 0.05")
"""Differences in stops."""


@dataclass(frozen=True)
class Agreement:
    """One set of stagings. Differences are |log₂(engine ÷ path tracer)|."""

    name: str
    stagings: int
    points: int
    worst: str
    most: str
    """95 in 100 points are under this."""
    median: str
    over: int
    """Points over 0.05 stop."""
    parts: tuple[float, ...]
    """Of 100 points, how many in each of `BINS`."""

    @property
    def shares(self) -> dict[str, float]:
        """The parts by bin, 0 to 1, those that are empty left out."""
        return {name: part / 100 for name, part in zip(BINS, self.parts, strict=True) if part > 0}


AGREEMENT = (
    Agreement(
        "Recipes of the demo book", 20, 228, "0.025", "0.008", "0.0009", 0, (70.6, 17.5, 9.2, 1.8, 0.9, 0.0)
    ),
    Agreement("Made by hand", 46, 459, "0.042", "0.009", "0.0012", 0, (63.2, 22.4, 10.7, 3.3, 0.4, 0.0)),
    Agreement("At random, first", 64, 687, "0.035", "0.015", "0.0020", 0, (49.3, 24.9, 15.4, 7.4, 2.9, 0.0)),
    Agreement(
        "At random, second", 58, 687, "0.123", "0.022", "0.0019", 8, (52.5, 18.5, 12.1, 10.5, 5.2, 1.2)
    ),
)


@dataclass(frozen=True)
class Omission:
    """Something that the model leaves out or makes even, and what it did to seventeen recipes."""

    what: str
    cheeks: str
    """Largest change of a cheek's reading, stops: median and worst of the recipes."""
    ratio: str
    """Change of one cheek against the other, stops: the same."""


OMISSIONS = (
    Omission(
        "A soft box that shines from the middle seven tenths of its width alone", "0.05, 0.52", "0.07, 0.72"
    ),
    Omission("A second person 2.2 m before the sitter, 0.9 m beside the camera", "0.00, 0.01", "0.00, 0.01"),
    Omission("No arms and hands", "0.00, 0.01", "0.00, 0.01"),
    Omission("No hair", "0.00, 0.01", "0.00, 0.01"),
)
