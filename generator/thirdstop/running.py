"""Runs the stages in order, text to findings, and gathers every fault on the way."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from functools import partial
from pathlib import Path

from thirdstop.book.book import Book, LoadedRecipe, open_book
from thirdstop.book.defaults import defaults_of
from thirdstop.book.marks import fault_at, near
from thirdstop.book.naming import named
from thirdstop.book.studio import Studio
from thirdstop.calibrating.log_check import check_log
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.drawings.charts import FillCurve
from thirdstop.errors import BookFaults, Fault
from thirdstop.exposure.black_walls import ratio_in_black_walls
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.predict import predict
from thirdstop.exposure.readings import LampReading, RatioReading, Reading, Readings
from thirdstop.exposure.transport import Kept, solve
from thirdstop.keeping import Shelf, name_of
from thirdstop.pages.evaluated import Evaluated, drawn_along
from thirdstop.placing.cards_away import out_of_reach
from thirdstop.placing.correction import Correction
from thirdstop.placing.corrections import corrections
from thirdstop.placing.curve import KeyCurve, RatioCurve, at_clicks, key_curve, ratio_curve
from thirdstop.placing.evaluating import Evaluator, Shared
from thirdstop.placing.mirror_set import MirrorSet, mirror_set
from thirdstop.resources import theme_names
from thirdstop.sharing import each_done
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging
from thirdstop.staging.studio_check import check_studio


@dataclass(frozen=True, eq=False)
class StagedRecipe:
    """A recipe of the book with its staging, lamps charged."""

    loaded: LoadedRecipe
    staging: Staging
    charged: bool = False
    """Whether the lamps' output is in the staging."""


@dataclass(frozen=True, eq=False)
class Known:
    """What was staged before, for a studio: a recipe of the same text need not be staged again."""

    studio: Studio
    staged: Mapping[str, StagedRecipe]

    def find(self, studio: Studio, loaded: LoadedRecipe) -> Staging | None:
        """The staging of a recipe that has not changed since."""
        one = self.staged.get(loaded.slug)
        same = one is not None and one.loaded.text == loaded.text and self.studio == studio
        return one.staging if one is not None and same else None


def open_and_stage(root: Path, known: Known | None = None) -> tuple[Book, list[StagedRecipe]]:
    """The book with every recipe staged, those that are `known` as they were.

    Raises BookFaults with every fault of every file, UsageError where the folder is no book.
    """
    book = open_book(root)
    faults = faults_of_studio(book)
    staged = []
    for loaded in book.recipes:
        before = known.find(book.studio, loaded) if known else None
        if before is not None:
            staged.append(StagedRecipe(loaded, before, charged=True))
            continue
        staging, found = stage(loaded.recipe, book.studio, loaded.marks, loaded.slug)
        faults += found
        if staging is not None:
            staged.append(StagedRecipe(loaded, staging))
    faults += check_log(book)
    if faults:
        raise BookFaults(faults)
    # only now: what a faulty studio file says of a lamp's output is nothing to reckon with
    return book, [charged(one) for one in staged]


def faults_of_studio(book: Book) -> list[Fault]:
    """What is wrong with the studio file beside its own fields."""
    return check_studio(book.studio, book.studio_marks) + _no_theme(book)


def _no_theme(book: Book) -> list[Fault]:
    there = theme_names()
    if book.studio.theme in there:
        return []
    write = near(book.studio.theme, there) or f"{', '.join(there[:-1])} or {there[-1]}"
    return [
        fault_at(book.studio_marks, ("theme",), "there is no theme of this name", book.studio.theme, write)
    ]


def charged(one: StagedRecipe) -> StagedRecipe:
    """With its lamps' output in the staging."""
    return one if one.charged else replace(one, staging=charge(one.staging), charged=True)


def evaluate(staged: StagedRecipe, kept: Kept | None = None) -> tuple[Evaluated, list[Fault]]:
    """Readings and findings of one recipe, and the faults that only the engine can see."""
    readings = predict(staged.staging, kept=kept)
    findings = check(staged.staging, readings)
    loaded, defaults = staged.loaded, tuple(defaults_of(staged.loaded.recipe))
    evaluated = Evaluated(loaded, staged.staging, readings, findings, defaults)
    return evaluated, out_of_reach(staged.staging, readings.ratio.ratio, loaded.marks)


def evaluate_quickly(staged: StagedRecipe) -> Evaluated:
    """Readings without the bands of place, aim and paint, and the findings that follow from them."""
    readings = read(staged.staging, solve(staged.staging.scene))
    findings = check(staged.staging, readings)
    return Evaluated(
        staged.loaded, staged.staging, readings, findings, tuple(defaults_of(staged.loaded.recipe))
    )


def evaluate_whole(studio: Studio, staged: StagedRecipe) -> tuple[Evaluated, list[Fault]]:
    """The same with what the pages show beside it: corrections, and the ratio over the distance of
    card and key.
    """
    shared = Shared()
    evaluated, faults = evaluate(staged, shared.kept)
    loaded = staged.loaded
    rows = corrections(loaded.recipe, studio, loaded.marks, loaded.slug, shared)
    readings = evaluated.readings
    recipe = at_clicks(loaded.recipe, readings.lamps)
    fixed = Evaluator(recipe, studio, loaded.marks, loaded.slug, shared=shared)
    curve = ratio_curve(fixed)
    # while the set-up is still kept as the curve left it
    black_walls = ratio_in_black_walls(staged.staging, readings, shared.kept)
    return replace(
        evaluated,
        corrections=rows,
        curve=None if curve is None else fill_curve(curve, readings.ratio),
        moves=curve,
        key_moves=key_curve(fixed),
        mirror=mirror_set(
            loaded.recipe, studio, loaded.marks, loaded.slug, readings, evaluated.findings, shared
        ),
        black_walls=black_walls,
    ), faults


def fill_curve(curve: RatioCurve, now: RatioReading) -> FillCurve:
    """As it is drawn, with where the card is in the picture."""
    nearest = float(curve.distances_m[0])
    blocked = ((nearest, curve.in_frame_to_m, "in frame"),) if curve.in_frame_to_m > nearest else ()
    return drawn_along(curve, now, blocked)


def evaluate_all(
    book: Book, staged: list[StagedRecipe], progress: Callable[[int], None] | None = None, whole: bool = False
) -> list[Evaluated]:
    """Every recipe evaluated, in order; with `whole` also what only the pages show.

    Raises BookFaults with every target that no set-up reaches. What is kept beside the book is not computed
    again; the rest of a longer book is shared out over the machine's processors. What comes back is the same
    in each case.
    """
    done = [kept(book, one, whole) for one in staged]
    missing = [one for one, found in zip(staged, done, strict=True) if found is None]
    faults: list[Fault] = []
    _tell(progress, len(staged) - len(missing))
    work = partial(evaluate_whole, book.studio) if whole else evaluate
    for one, (evaluated, found) in zip(missing, each_done(work, missing), strict=True):
        done[staged.index(one)] = evaluated
        faults += found
        if not found:
            keep(book, one, evaluated, whole)
        _tell(progress, 1)
    if faults:
        raise BookFaults(faults)
    return [evaluated for evaluated in done if evaluated is not None]


def _tell(progress: Callable[[int], None] | None, count: int) -> None:
    if progress is not None and count:
        progress(count)


KEPT_CLASSES = (
    Readings,
    Reading,
    RatioReading,
    LampReading,
    Finding,
    Correction,
    FillCurve,
    RatioCurve,
    KeyCurve,
    MirrorSet,
)
"""What `Evaluated` holds besides the recipe and its staging."""
_COMPUTED = [f.name for f in fields(Evaluated) if f.name not in ("loaded", "staging", "defaults")]


def kept(book: Book, one: StagedRecipe, whole: bool) -> Evaluated | None:
    """The recipe as it was computed before; a result made for the pages serves for readings too."""
    shelf = Shelf(book.root, KEPT_CLASSES)
    for kind in ("pages",) if whole else ("pages", "readings"):
        found = shelf.find(name_of(kind, one.loaded, book.studio))
        if isinstance(found, dict) and set(found) == set(_COMPUTED):
            defaults = tuple(defaults_of(one.loaded.recipe))
            return Evaluated(loaded=one.loaded, staging=one.staging, defaults=defaults, **found)
    return None


def keep(book: Book, one: StagedRecipe, evaluated: Evaluated, whole: bool) -> None:
    """Keep what was computed of a recipe, for the next time."""
    computed = {name: getattr(evaluated, name) for name in _COMPUTED}
    name = name_of("pages" if whole else "readings", one.loaded, book.studio)
    Shelf(book.root, KEPT_CLASSES).keep(name, computed)


def pick(staged: list[StagedRecipe], name: str) -> StagedRecipe:
    """The recipe that is meant; raises UsageError where none is, or more than one."""
    meant = named([one.loaded for one in staged], name)
    return next(one for one in staged if one.loaded is meant)
