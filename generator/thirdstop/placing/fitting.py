"""What a place must not do: leave the room, stand in the picture, block the way, tip or hang over a head."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from thirdstop.checks import brim, in_frame, overhead, room_fit, sitters_in_frame, statics
from thirdstop.checks.findings import Check, Finding
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Item, Staging

CONSTRAINTS = (statics.CHECK, overhead.CHECK, in_frame.CHECK, room_fit.CHECK)
"""The checks that a new place must pass, the quickest first."""

WITH_SITTERS = (*CONSTRAINTS, sitters_in_frame.CHECK)
"""Where sitters move too, and the camera after them; no place of a thing changes what of them is framed."""

_OF_EACH_THING = (statics.CHECK, overhead.CHECK, in_frame.CHECK)
"""Checks that look at one thing at a time, so that what did not move need not be looked at again."""

_CAN_BE_TURNED = ": legs"
"""A stand whose legs must lie along a wall stands, if turned: a look that is allowed, and said."""
_MENDED_BY_HAND = (statics.CHECK.name,)
"""What a bag mends is said with the answer and refuses no place; a stand that tips by itself does."""
_NOT_OURS = ("camera",)
"""Findings about these do not depend on what moves here."""
_SLACK = 0.005


@dataclass(frozen=True)
class Baseline:
    """What the recipe's own places already make the checks say, so that it isn't held against a new one."""

    looks: dict[tuple[str, str], float]
    """Check and what it speaks of → its margin; a new place may not be worse."""
    hidden: frozenset[str] = frozenset()
    """What stands inside the picture's edges already, wholly hidden."""

    def excuses(self, finding: Finding) -> bool:
        """Whether the finding was there before and isn't worse now."""
        was = self.looks.get((finding.check, finding.about))
        if was is None:
            return False
        return finding.margin is None or finding.margin >= was - _SLACK


NOTHING = Baseline({})
"""Excuses nothing."""


def baseline_of(staging: Staging | None, readings: Readings | None, checks: Iterable[Check]) -> Baseline:
    """The looks and halts of a staging that is there before anything moves; none without a staging."""
    if staging is None or readings is None:
        return NOTHING
    found = [finding for check in checks for finding in check.run(staging, readings)]
    return Baseline(
        {
            (finding.check, finding.about): finding.margin if finding.margin is not None else float("-inf")
            for finding in found
            if finding.verdict != "pass"
        },
        frozenset(finding.about for finding in found if _hidden(finding, staging)),
    )


def refusals(
    staging: Staging,
    readings: Readings,
    baseline: Baseline,
    checks: Iterable[Check] = CONSTRAINTS,
    before: Staging | None = None,
) -> list[Finding]:
    """The findings of the first check that rules a place out; empty where it fits.

    `before` is a staging that is known to fit but for what is in the baseline.
    """
    moved = replace(staging, items=_moved(staging, before))
    for check in checks:
        of = moved if check in _OF_EACH_THING else staging
        found = [finding for finding in check.run(of, readings) if _rules_out(finding, of, baseline)]
        if found:
            return found
    return []


def _moved(staging: Staging, before: Staging | None) -> tuple[Item, ...]:
    """The things that are not as they were; all of them where nothing is known of before."""
    if before is None:
        return staging.items
    were = {item.name: item for item in before.items}
    return tuple(item for item in staging.items if not _alike(item, were.get(item.name)))


def _alike(item: Item, was: Item | None) -> bool:
    return (
        was is not None
        and bool((item.centre_m == was.centre_m).all() and (item.normal == was.normal).all())
        and item.surface == was.surface
    )


def _rules_out(finding: Finding, staging: Staging, baseline: Baseline) -> bool:
    if finding.about in _NOT_OURS:
        return False
    if finding.verdict == "pass":
        # hidden behind something is no place to send a thing to
        return _hidden(finding, staging) and finding.about not in baseline.hidden
    if finding.verdict == "look" and (
        finding.check in _MENDED_BY_HAND or finding.about.endswith(_CAN_BE_TURNED)
    ):
        return False
    return not baseline.excuses(finding)


def _hidden(finding: Finding, staging: Staging) -> bool:
    """Whether a thing is inside the picture's edges or close to them, and passes because it is covered."""
    if finding.check != in_frame.CHECK.name or finding.verdict != "pass" or finding.margin is not None:
        return False
    return in_frame.frame_margin_m(staging, staging.item(finding.about)) < in_frame.NEAR_M


EYES = brim.CHECK
"""Asked of every place of the key where its height may change."""
