"""Rows for a meter that disagrees: the shadow side, the key reading."""

from collections.abc import Iterator
from dataclasses import dataclass

from thirdstop.checks.wording import tolerance
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import ratio_text
from thirdstop.placing.causes import brighter, factor_for, fill_scaled
from thirdstop.placing.correction import Correction
from thirdstop.placing.evaluating import World
from thirdstop.placing.setup import Setup, card_words, clicks_of, in_range, moved_to, nearest_of, turn_words
from thirdstop.placing.values import with_changes

THIRD = 1 / CLICKS_PER_STOP


def shadow_side(setup: Setup) -> Iterator[Correction]:
    """A third of a stop over, and under, where a card fills it."""
    card = setup.filling_card()
    if card is None:
        return
    point = setup.now.ratio.shadow_point
    causes = [(more, factor_for(setup.rough(), (card,), point, more)) for more in (THIRD, -THIRD)]
    found = [_Brighter(more, round((factor - 1.0) * 100)) for more, factor in causes if factor is not None]
    # before any card moves, so that what is kept of the set-up serves all of them
    shown = [setup.evaluator(setup.recipe, one.world(card)).answered() for one in found]
    for one, readings in zip(found, shown, strict=True):
        yield _shadow_row(setup, card, one, readings)


@dataclass(frozen=True)
class _Brighter:
    """Card and room return more than assumed."""

    more: float
    """What that does to the shadow side, in stops."""
    percent: int

    def world(self, card: str) -> World:
        """The cause at the whole percent that is told."""
        return fill_scaled((card,), 1.0 + self.percent / 100)


def _shadow_row(setup: Setup, card: str, one: _Brighter, shown: Readings) -> Correction:
    point, world, more, percent = setup.now.ratio.shadow_point, one.world(card), one.more, one.percent
    reads = f"{setup.mark(shown, point)}, {_off(more)}"
    seen = f"The shadow side ({point}) reads {reads}."
    way = "more" if more > 0 else "less"
    cause = f"'{card}' and the room return about {abs(percent)} % {way} light than assumed"
    tried, search = setup.card_for(setup.recipe, world, card)
    first = f"Aim '{card}' again first: {setup.aim_words(card)}"
    brief = f"Shadow {reads}: aim {card} again"
    if tried is None:
        nearest = nearest_of(search)
        do = f"{first}. No place of it brings the ratio back: {nearest.words}."
        expect = f"ratio {ratio_text(shown.ratio.ratio)} if left as it is"
        brief = f"{brief}; {nearest.brief}"
        return Correction(seen, do, cause, expect, setup.moved(shown), brief, reachable=False)
    readings = search.trials.evaluator.answered(tried.changes)
    do = f"{first}. Then {card_words(tried, search)}. Then meter the key again."
    expect = f"shadow side {setup.mark(readings, point)}, ratio {ratio_text(readings.ratio.ratio)}"
    brief = f"{brief}, then {moved_to(tried)}; then meter the key again"
    return Correction(seen, do, cause, expect, setup.moved(readings), brief)


def key_reading(setup: Setup) -> Iterator[Correction]:
    """A third of a stop over, and under."""
    for more in (THIRD, -THIRD):
        yield _key_row(setup, more)


def _key_row(setup: Setup, more: float) -> Correction:
    lamp, shift = setup.lamps[0], -1 if more > 0 else 1
    world = brighter(lamp.emitter, more)
    shown = setup.evaluator(setup.recipe, world).answered()
    seen = f"The key reads {setup.key_mark(shown)}, {_off(more)}."
    cause = (
        f"'{lamp.emitter}' gives {tolerance(abs(more))} {'more' if more > 0 else 'less'} than it is known for"
    )
    turn = turn_words(lamp, shift, setup.staging.lamps[0].display)
    if not in_range(lamp, shift):
        do = f"It would take to {turn}, and it has 1 to {lamp.clicks}: change the ISO or the aperture."
        return Correction(
            seen, do, cause, f"key {setup.key_mark(shown)}", setup.moved(shown), reachable=False
        )
    clicks = clicks_of((lamp,), shift)
    readings = setup.evaluator(with_changes(setup.recipe, clicks), world).answered()
    do = f"{turn[0].upper()}{turn[1:]}. Then read the shadow side."
    return Correction(seen, do, cause, setup.key_and_ratio(readings), setup.moved(readings))


def _off(more: float) -> str:
    return f"{tolerance(abs(more))} {'over' if more > 0 else 'under'}"
