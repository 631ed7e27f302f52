"""Proof: every file of a book validated, every recipe checked, unless it was before."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from thirdstop.book.sources import Source
from thirdstop.constants import Units
from thirdstop.desk import Checked, Desk, place_to_keep, staged_of
from thirdstop.errors import BookFaults, Fault
from thirdstop.opening import Opened, open_known
from thirdstop.pages import markdown
from thirdstop.pages.of_house import names_of
from thirdstop.pages.summaries import asked_by
from thirdstop.publishing.prose import prose_faults
from thirdstop.running import evaluate, evaluate_all, keep, kept, open_and_stage
from thirdstop.sharing import each_done
from thirdstop.terminal import Bar


@dataclass(frozen=True)
class Proofed:
    """What `proof` found of a book without faults."""

    house: str
    units: Units
    """Those that the house reads."""
    recipes: tuple[Checked, ...]


def proof(root: Path, bar: Bar) -> Proofed:
    """Check a book.

    Raises BookFaults with every fault of the first stage that has any, UsageError where it is no book.
    """
    with place_to_keep(root) as keeping:
        opened = open_known(root, keeping, "checked", Checked)
        every = dict(opened.known)
        faults: list[Fault] = []
        with bar(len(opened.missing), "Checking") as step:
            for one, found in each_done(partial(checked, opened.desk), opened.missing):
                faults += found
                every[one.slug] = one
                step(1)
    recipes = tuple(every[source.slug] for source in opened.sources.recipes)
    faults = faults or _prose(opened, recipes)
    if faults:
        raise BookFaults(faults)
    studio = opened.book.studio
    return Proofed(studio.name, studio.habits.units, recipes)


def checked(desk: Desk, source: Source) -> tuple[Checked, list[Fault]]:
    """A recipe read and checked, the result kept; and what only the engine sees wrong with it."""
    one = staged_of(desk, source)
    faults: list[Fault] = []
    evaluated = kept(desk.book, one, whole=False)
    if evaluated is None:
        evaluated, faults = evaluate(one)
        if not faults:
            keep(desk.book, one, evaluated, whole=False)
    recipe = one.loaded.recipe
    made = Checked(
        slug=source.slug,
        title=recipe.title,
        file=source.file,
        meant_to_halt=bool(recipe.meant_to_halt),
        findings=evaluated.findings,
        asks=asked_by(recipe.notes),
        sound=not markdown.render(recipe.notes, source.file, lambda name: name).faults,
    )
    if not faults:
        desk.shelf.keep(desk.name_of("checked", source), made)
    return made, faults


def _prose(opened: Opened[Checked], recipes: Sequence[Checked]) -> list[Fault]:
    """Links that lead nowhere; only where one may, or names a place on a page, all the book is looked at."""
    names = names_of(((one.slug, one.title) for one in recipes), opened.book.pages)
    asks = {name for one in recipes for name in one.asks}
    texts = [page.text for page in (*opened.book.pages, *opened.book.course)]
    asks |= {name for text in texts for name in asked_by(text)}
    sound = all(one.sound for one in recipes)
    sound &= not any(markdown.render(text, "", lambda name: name).faults for text in texts)
    if sound and all("#" not in name and names.find(name) for name in asks):
        return []
    book, staged = open_and_stage(opened.book.root)
    return prose_faults(book, evaluate_all(book, staged))
