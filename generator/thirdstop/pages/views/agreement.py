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
        "Recipes of the demo book", 20, 228, "0.021", "0.012", "0.0027", 0, (41.7, 30.7, 18.9, 8.3, 0.4, 0.0)
    ),
    Agreement("Made by hand", 46, 459, "0.030", "0.010", "0.0015", 0, (58.8, 23.5, 13.1, 3.9, 0.7, 0.0)),
    Agreement(
        "At random, first",
        64,
        687,
        "0.049",
        "0.016",
        "0.0030",
        0,
        (38.1, 28.4, 19.8, 10.8, 2.9, 0.0),
    ),
    Agreement(
        "At random, second",
        61,
        653,
        "0.036",
        "0.017",
        "0.0035",
        0,
        (31.7, 28.8, 22.8, 13.6, 3.1, 0.0),
    ),
    Agreement(
        "At random, untouched", 59, 674, "0.064", "0.023", "0.0046", 2, (29.8, 23.0, 24.5, 15.3, 7.1, 0.3)
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
