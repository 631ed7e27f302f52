"""What pages say of how well the studio is known: plans of readings, their worth, and what was shot.

Plans take some seconds of light; they are kept beside the book, by all that they depend on.
"""

from collections.abc import Sequence

from thirdstop.book.book import Book
from thirdstop.book.studio import StandModel
from thirdstop.calibrating.candidates import LAMP_HEIGHT_M, candidates, used_by
from thirdstop.calibrating.history import history
from thirdstop.calibrating.plan_told import PlanSetup, PlanWords, plan_words
from thirdstop.calibrating.planning import PLANS_MINUTES, Worth, plan, problem, worth
from thirdstop.checks.statics import required_bag_kg
from thirdstop.checks.wording import STATIC
from thirdstop.exposure.charging import charge
from thirdstop.keeping import OF_BOOK, Name, Shelf, digest_of, name_of
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.learnt import Learnt
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec

KEPT = (PlanWords, PlanSetup, Worth)


def learnt(book: Book, done: Sequence[Evaluated]) -> Learnt:
    """Everything that the pages say of it; plans are empty where no set-up of readings fits the room."""
    words, worths = _planned(book, done)
    shot = {one.slug: found for one in done if (found := history(book, one.loaded, one.readings)) is not None}
    return Learnt(words, worths, shot, rig_lines(book))


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


def _name(book: Book, done: Sequence[Evaluated]) -> Name:
    each = [name_of("plan", one.loaded, book.studio).key for one in done]
    return Name(f"{OF_BOOK}.plan", digest_of(*each))


# safety of what the plans build


def rig_lines(book: Book) -> tuple[str, ...]:
    """For every stand that reaches a planned lamp's height, the bag that the heaviest lamp of the book needs
    on it, plumb over its column: a static estimate.
    """
    studio, used = book.studio, used_by(loaded.recipe for loaded in book.recipes)
    lamps = {lamp.name: lamp.mass.kg for lamp in studio.lamps}
    shapers = {shaper.name: shaper.mass.kg for shaper in studio.shapers}
    loads = {f"{shaper} on {lamp}": lamps[lamp] + shapers[shaper] for lamp, shaper in used.lamps}
    if not loads:
        return ()
    heaviest = max(loads, key=lambda name: loads[name])
    lines = []
    for stand in studio.stands:
        if stand.lowest.m <= LAMP_HEIGHT_M <= stand.highest.m:
            bag_kg = required_bag_kg(_support(stand, loads[heaviest]))
            needs = f"a bag of at least {bag_kg:g} kg on its column"
            if bag_kg <= 0:
                needs = "it stands without a bag; hang one all the same"
            lines.append(f"{stand.name} with {heaviest} at {LAMP_HEIGHT_M:g} m: {needs}. {STATIC}")
    return tuple(lines)


def _support(stand: StandModel, load_kg: float) -> Support:
    """A stand with a lamp plumb over its column."""
    top_m = vec(0.0, 0.0, LAMP_HEIGHT_M)
    return Support(stand.name, vec(0.0, 0.0, 0.0), top_m, stand.leg_reach.m, stand.mass.kg, top_m, load_kg)
