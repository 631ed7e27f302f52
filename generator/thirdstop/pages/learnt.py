"""How well a book's studio is known, as pages get it beside what was computed of each recipe."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from thirdstop.calibrating.history import History
from thirdstop.calibrating.plan_told import PlanWords
from thirdstop.calibrating.planning import Worth


@dataclass(frozen=True, eq=False)
class Learnt:
    """Plans of readings, and by recipe what one more reading is worth and what was shot."""

    plans: tuple[PlanWords, ...] = ()
    worths: Mapping[str, Worth] = field(default_factory=dict)
    shot: Mapping[str, History] = field(default_factory=dict)
    rig: tuple[str, ...] = ()
    """What each stand needs to hold a planned lamp, in words."""
