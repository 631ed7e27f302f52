"""The correction table of a set-up: what the meter or the set shows, why, what to do, what comes of it.

Every row is computed: the cause is put into the engine, the answer is put back there at the values that are
printed, and what it says then is what the row says.
"""

from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.checks import power
from thirdstop.checks.wording import minus
from thirdstop.exposure.readings import LampReading
from thirdstop.placing import metered, people, swapped
from thirdstop.placing.correction import Correction
from thirdstop.placing.evaluating import Evaluator, Shared
from thirdstop.placing.setup import Setup


def corrections(
    recipe: Recipe, studio: Studio, marks: Marks, slug: str = "recipe", shared: Shared | None = None
) -> tuple[Correction, ...]:
    """The rows of a recipe that can be staged, most likely first; empty where it can't be.

    Lamps whose power is to be found stand at the clicks that are found for them.
    """
    found = Evaluator(recipe, studio, marks, slug, shared=shared or Shared())
    if found.staging() is None:
        return ()
    if without := [lamp for lamp in found.answered().lamps if not 1 <= lamp.click <= lamp.clicks]:
        return (_no_click(found, without[0]),)
    setup = Setup(found)
    shadow, surfaces = list(metered.shadow_side(setup)), list(swapped.surfaces(setup))
    # computed last: where a sitter moves, the room is arranged anew, and what was kept of it goes
    key, leaned, taller = metered.key_reading(setup), people.leaned_in(setup), people.taller(setup)
    apertures = swapped.apertures(setup)
    return (*shadow, *key, *leaned, *taller, *apertures, *surfaces)


def _no_click(found: Evaluator, lamp: LampReading) -> Correction:
    """The one row of a set-up that can't be lit as it stands."""
    staging = found.staging()
    assert staging is not None
    remedy = next(one.remedy for one in power.run(staging, found.answered()) if one.about == lamp.emitter)
    wants = f"click {minus(lamp.click)} is wanted, and it has 1 to {lamp.clicks}"
    seen = f"'{lamp.emitter}' can't be set: {wants}."
    return Correction(
        shows=seen,
        do=remedy,
        cause="the lamp is too weak or too strong for this aperture",
        expect="to be computed anew after that",
        moves="every reading",
        brief=f"{seen} {remedy}".strip(),
        reachable=False,
    )
