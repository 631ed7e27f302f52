"""What the pages say of how well the studio is known: plans of readings, their worth, and what was shot.

Plans take some seconds of light; they are kept beside the book, by all that they depend on.
"""

import hashlib
from collections.abc import Sequence

from thirdstop.book.book import Book
from thirdstop.calibrating.candidates import candidates, used_by
from thirdstop.calibrating.history import history
from thirdstop.calibrating.plan_told import PlanSetup, PlanWords, plan_words
from thirdstop.calibrating.planning import PLANS_MINUTES, Worth, plan, problem, worth
from thirdstop.exposure.charging import charge
from thirdstop.keeping import Shelf, name_of
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.learnt import Learnt

KEPT = (PlanWords, PlanSetup, Worth)


def learnt(book: Book, done: Sequence[Evaluated]) -> Learnt:
    """Everything that the pages say of it; plans are empty where no set-up of readings fits the room."""
    words, worths = _planned(book, done)
    shot = {one.slug: found for one in done if (found := history(book, one.loaded, one.readings)) is not None}
    return Learnt(words, worths, shot)


def _planned(book: Book, done: Sequence[Evaluated]) -> tuple[tuple[PlanWords, ...], dict[str, Worth]]:
    shelf, name = Shelf(book.root, KEPT), _name(book, done)
    kept = shelf.find(name)
    if isinstance(kept, dict) and set(kept) == {"words", "worths"}:
        return kept["words"], kept["worths"]
    recipes = [(one.recipe, charge(one.staging)) for one in done]
    metering, setups = candidates(book.studio, used_by(recipe for recipe, _ in recipes))
    if not setups or not recipes:
        return (), {}
    given = problem(recipes, setups, book.studio)
    words = tuple(plan_words(plan(given, metering, minutes)) for minutes in PLANS_MINUTES)
    worths = {one.slug: worth(given, metering, k) for k, one in enumerate(done)}
    shelf.keep(name, {"words": words, "worths": worths})
    return words, worths


def _name(book: Book, done: Sequence[Evaluated]) -> str:
    each = "".join(name_of("plan", one.loaded, book.studio) for one in done)
    return f"book.plan.{hashlib.sha256(each.encode()).hexdigest()}.json"
