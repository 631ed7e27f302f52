"""How well the engine agrees with a path tracer, and how much readings tell, as measured: the same numbers
as in `docs/agreement.md` and `docs/calibration.md`.
"""

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
        "Recipes of the demo book", 20, 228, "0.019", "0.007", "0.0009", 0, (71.5, 19.7, 5.7, 3.1, 0.0, 0.0)
    ),
    Agreement("Made by hand", 46, 459, "0.042", "0.009", "0.0012", 0, (64.9, 21.1, 10.2, 3.3, 0.4, 0.0)),
    Agreement("At random, known", 20, 232, "0.064", "0.016", "0.0025", 1, (46.6, 26.3, 15.5, 9.1, 2.2, 0.4)),
    Agreement("At random, new", 60, 676, "0.144", "0.020", "0.0027", 5, (41.1, 25.6, 19.5, 8.7, 4.3, 0.7)),
)


@dataclass(frozen=True)
class Omission:
    """Something that the model leaves out or makes even, put into it."""

    what: str
    recipes: int
    """Of the demo book, in so many."""
    cheeks: str
    """How far a cheek moves from the key reading, stops: median and worst of the recipes."""
    ratio: str
    """One cheek against the other, stops: the same."""


OMISSIONS = (
    Omission(
        "A soft box that shines from the middle seven tenths of its width alone",
        17,
        "0.05, 0.26",
        "0.07, 0.14",
    ),
    Omission(
        "A second person 2.2 m before the sitter, 0.9 m beside the camera", 20, "0.00, 0.01", "0.00, 0.01"
    ),
    Omission("No arms and hands", 20, "0.00, 0.03", "0.00, 0.04"),
    Omission("No hair", 20, "0.00, 0.01", "0.00, 0.01"),
)


@dataclass(frozen=True)
class Told:
    """How sure something is of 80 set-ups in hidden studios, before and after six readings: the same numbers
    as in `docs/calibration.md`, in stops where they are no percentages.
    """

    what: str
    key: str
    shadow: str
    ratio: str


CALIBRATED = (
    Told("Root mean square error as assumed, stops", "0.10", "0.18", "0.11"),
    Told("The same after six readings", "0.06", "0.06", "0.07"),
    Told("Nine in ten errors within, as assumed", "0.17", "0.28", "0.18"),
    Told("The same after six readings", "0.11", "0.10", "0.13"),
    Told("Mean half-width of the band, as assumed", "0.19", "0.34", "0.30"),
    Told("The same after six readings", "0.15", "0.26", "0.29"),
    Told("Cases that the band held, as assumed", "85 %", "81 %", "91 %"),
    Told("The same after six readings", "88 %", "86 %", "90 %"),
)
