"""What pages say of how well the studio is known: plans of readings, their worth, what the stands need.

The light that this takes is computed once for each recipe and once for the readings, and is kept.
"""

from collections.abc import Callable, Mapping, Sequence

from thirdstop.book.book import Book
from thirdstop.book.studio import StandModel, Studio
from thirdstop.calibrating.candidates import LAMP_HEIGHT_M, Used, candidates, used_by
from thirdstop.calibrating.plan_told import PlanSetup, PlanWords, plan_words
from thirdstop.calibrating.planning import (
    PLANS_MINUTES,
    Leaning,
    Readable,
    Worth,
    assembled,
    plan,
    readable,
    worths,
)
from thirdstop.calibrating.quantities import Quantity
from thirdstop.calibrating.setups import StagedSetup
from thirdstop.checks.statics import required_bag_kg
from thirdstop.checks.wording import STATIC
from thirdstop.keeping import OF_BOOK, Name, Shelf, digest_of, program, without_prose
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec

KEPT_CLASSES = (PlanWords, PlanSetup, Worth, Leaning, Readable, Quantity)


def planned(
    shelf: Shelf, studio: Studio, used: Used, recipes: Mapping[str, str], lean: Callable[[str], Leaning]
) -> tuple[tuple[PlanWords, ...], dict[str, Worth]]:
    """Plans of readings for a book, and by recipe the worth of one more; nothing where no set-up fits.

    `recipes` are slugs, each with a digest of the recipe's values; `lean` says of a slug how it leans.
    """
    given = digest_of(program(), without_prose(studio), used)
    name = Name(f"{OF_BOOK}.plan", digest_of(given, recipes))
    kept = shelf.find(name)
    if isinstance(kept, dict) and set(kept) == {"words", "worths"}:
        return kept["words"], kept["worths"]
    metering, setups = candidates(studio, used)
    if not setups or not recipes:
        return (), {}
    found = _readable(shelf, Name(f"{OF_BOOK}.readable", given), setups, studio)
    problem = assembled(found, [lean(slug) for slug in recipes], studio)
    words = tuple(plan_words(plan(problem, metering, minutes)) for minutes in PLANS_MINUTES)
    worth = dict(zip(recipes, worths(problem, metering), strict=True))
    shelf.keep(name, {"words": words, "worths": worth})
    return words, worth


def _readable(shelf: Shelf, name: Name, setups: Sequence[StagedSetup], studio: Studio) -> Readable:
    found = shelf.find(name)
    if isinstance(found, Readable):
        return found
    made = readable(setups, studio)
    shelf.keep(name, made)
    return made


# safety of what the plans build


def rig_lines(book: Book) -> tuple[str, ...]:
    """For every stand that reaches a planned lamp's height, the bag that the heaviest lamp of the book needs
    on it, plumb over its column: a static estimate.
    """
    return rig_of(book.studio, used_by(loaded.recipe for loaded in book.recipes))


def rig_of(studio: Studio, used: Used) -> tuple[str, ...]:
    """The same for what a book's recipes use."""
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
