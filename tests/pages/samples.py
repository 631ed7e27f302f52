"""The demo book computed quickly: one scan of each scene, without the bands of place and paint."""

from dataclasses import replace
from functools import cache
from pathlib import Path

from thirdstop.book.book import Book
from thirdstop.book.defaults import defaults_of
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.pages.evaluated import Correction, Evaluated
from thirdstop.running import StagedRecipe, open_and_stage

DEMO = Path(__file__).resolve().parents[2] / "recipes"

CORRECTIONS = (
    Correction(
        "Shadow reads f/4 + 6/10", "aim the card again; then card to 0.85 m; then meter the key again"
    ),
    Correction("Shadow reads f/4", "aim the card again; then card to 1.05 m; then meter the key again"),
    Correction("Key reads f/8 + 7/10", "2 clicks down"),
    Correction("Key reads f/5.6 + 7/10", "1 click up"),
    Correction("Eyes dark", "card 10 cm nearer"),
)
"""Five rows, as long as they get."""

HALT = Finding(
    "statics",
    "halt",
    "key: stand",
    "The lamp 'key' tips by itself.",
    "Use a heavier stand.",
    safety=True,
)


def evaluated(staged: StagedRecipe) -> Evaluated:
    """A recipe with readings from one scan, and findings that follow from them."""
    staging = staged.staging
    readings = read(staging, solve(staging.scene, SCAN))
    findings = check(staging, readings)
    defaults = tuple(defaults_of(staged.loaded.recipe))
    return Evaluated(staged.loaded, staging, readings, findings, defaults, CORRECTIONS)


@cache
def demo() -> tuple[Book, tuple[Evaluated, ...]]:
    """The whole demo book."""
    return of_book(DEMO)


def of_book(root: Path) -> tuple[Book, tuple[Evaluated, ...]]:
    """A book with every recipe evaluated."""
    book, staged = open_and_stage(root)
    return book, tuple(map(evaluated, staged))


def one(slug: str) -> Evaluated:
    """One demo recipe."""
    return next(each for each in demo()[1] if each.slug == slug)


def halted(each: Evaluated) -> Evaluated:
    """The same recipe with a halt on safety."""
    return replace(each, findings=(HALT, *each.findings))
