"""One ask, tried: every set of states once, with its goals, whether it fits, and what it costs."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from thirdstop.checks.findings import Check, Finding
from thirdstop.exposure.readings import Readings
from thirdstop.placing.asking import Ask
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.fitting import CONSTRAINTS, EYES, NOTHING, Baseline, baseline_of, refusals
from thirdstop.placing.goals import Goal, goals_of
from thirdstop.placing.movers import STEP_DEG, STEP_M, Mover, State
from thirdstop.placing.values import Changes, with_value
from thirdstop.staging.staging import Staging

States = tuple[State, ...]

SCAN_SLACK_STOPS = 0.06
"""By how much a ratio computed for trying may differ from the one that is printed (measured: 0.04)."""

_MOVING_COST = 0.2
"""Of carrying a thing anywhere at all from where the recipe has it."""
_SURFACE_COST, _STEP_COST, _SOUGHT_COST = 0.4, 0.1, 0.05
_PANEL_DISTANCE_COST = 0.02
_OFF_COST = 2.0
"""Of missing a goal by its whole tolerance; it grows with the square, so that near enough is near enough."""


@dataclass(frozen=True, eq=False)
class Tried:
    """States with what light makes of them."""

    states: States
    changes: Changes
    staging: Staging
    readings: Readings
    goals: dict[str, Goal]

    @property
    def off(self) -> float:
        """How far the ratio is over what is wanted, in stops; 0 where none is wanted."""
        return self.goals["ratio"].off if "ratio" in self.goals else 0.0

    @property
    def ratio(self) -> float:
        """The ratio as a number."""
        return self.readings.ratio.ratio


@dataclass(eq=False)
class Trials:
    """Tries states of an ask."""

    evaluator: Evaluator
    ask: Ask
    given_baseline: Baseline | None = None
    """What is excused; left out: what the recipe's own places make the checks say."""
    given_goals: frozenset[str] | None = None
    """The goals to be met; left out: those that what moves can do something for."""
    before: Staging | None = None
    """A staging of which what did not move is known to fit; left out: the recipe's own."""
    scan_off_stops: float = 0.0
    """By how much trying is known to put the ratio too high."""
    _tried: dict[Changes, Tried | None] = field(default_factory=dict)
    _fits: dict[Changes, list[Finding]] = field(default_factory=dict)
    reference: Readings | None = None
    """Readings for checks of places, which only ask of them whether the key works by way of a wall."""

    def __post_init__(self) -> None:
        self._out_of_power: set[str] = set()
        self.wanted = self._wanted() if self.given_goals is None else self.given_goals
        self.checks: tuple[Check, ...] = (EYES, *CONSTRAINTS) if self.moves_key else CONSTRAINTS
        self.baseline = self._baseline() if self.given_baseline is None else self.given_baseline
        if self.given_baseline is None:
            self.before = self.evaluator.staging()

    @property
    def moves_key(self) -> bool:
        """Whether the key may move."""
        return any(mover.path == ("lights", 0) for mover in self.ask.movers)

    @property
    def seeks_ratio(self) -> bool:
        """Whether moving what may move is meant to bring about the ratio."""
        return "ratio" in self.wanted

    @property
    def all_tried(self) -> list[Tried]:
        """Everything that could be staged so far, in the order in which it was tried."""
        return [one for one in self._tried.values() if one is not None]

    def at(self, states: Sequence[State]) -> Tried | None:
        """The states tried; None where they can't be staged."""
        key = tuple(states)
        changes = self.ask.changes(key)
        if changes not in self._tried:
            self._tried[changes] = self._try(key, changes)
        return self._tried[changes]

    def refusals(self, states: Sequence[State]) -> list[Finding]:
        """What rules the states out; empty where they fit. They must be such as can be staged."""
        changes = self.ask.changes(states)
        if changes not in self._fits:
            staging = self.evaluator.staging(changes)
            assert staging is not None
            self._fits[changes] = refusals(
                staging, self._reference(changes), self.baseline, self.checks, self.before
            )
        return self._fits[changes]

    def has_room(self, states: Sequence[State]) -> bool:
        """Whether the states can be staged and no check of places rules them out; asks no light."""
        return self.evaluator.staging(self.ask.changes(states)) is not None and not self.refusals(states)

    def fits(self, tried: Tried) -> bool:
        """Whether nothing rules the states out: room, picture, way, stands, and each lamp's clicks."""
        return self.in_power(tried.readings) and not self.refusals(tried.states)

    def _reference(self, changes: Changes) -> Readings:
        if self.reference is None:
            self.reference = self.evaluator.scanned(changes)
        return self.reference

    def in_power(self, readings: Readings) -> bool:
        """Whether every lamp has the click that it needs, or lacked it from the start."""
        out = {lamp.emitter for lamp in readings.lamps if not 1 <= lamp.click <= lamp.clicks}
        return out <= self._out_of_power

    def within(self, tried: Tried, slack: float = 0.0) -> bool:
        """Whether every goal that moving is meant for is met, but for so many stops."""
        goals = (tried.goals[name] for name in self.wanted if name in tried.goals)
        return all(abs(goal.off) <= goal.within + slack + 1e-9 for goal in goals)

    def score(self, tried: Tried) -> float:
        """What the states cost: how far they are from the goals and from the recipe. The less the better."""
        goals = (tried.goals[name] for name in self.wanted if name in tried.goals)
        missed = sum((goal.off / max(goal.within, 0.05)) ** 2 for goal in goals)
        return _OFF_COST * missed + self.cost(tried.states)

    def cost(self, states: Sequence[State]) -> float:
        """What it costs to move everything there from where it starts."""
        pairs = zip(self.ask.movers, states, strict=True)
        return sum(cost_of(mover, state) for mover, state in pairs if self.ask.moves(mover, state))

    def _try(self, states: States, changes: Changes) -> Tried | None:
        staging = self.evaluator.staging(changes)
        if staging is None:
            return None
        readings = self.evaluator.scanned(changes)
        goals = goals_of(staging, readings)
        if "ratio" in goals and self.scan_off_stops:
            goals["ratio"] = replace(goals["ratio"], found=goals["ratio"].found - self.scan_off_stops)
        return Tried(states, changes, staging, readings, goals)

    def _wanted(self) -> frozenset[str]:
        """The goals that what moves can do something for."""
        wanted = set()
        for mover in self.ask.movers:
            if mover.kind != "light" or mover.free - {"height"}:
                wanted.add("ratio")
            if mover.kind == "light":
                wanted |= {"backdrop light", "backdrop tone"}
        if self.evaluator.recipe.target.ratio is None:
            wanted.discard("ratio")
        staging = self.evaluator.staging()
        if staging is not None:
            # what the recipe's own places miss, by what moves here or not, is told but not insisted on
            goals = goals_of(staging, self.evaluator.scanned())
            wanted -= {name for name, goal in goals.items() if not goal.met and name != "ratio"}
        return frozenset(wanted)

    def _baseline(self) -> Baseline:
        evaluator = self.evaluator
        if evaluator.staging() is not None:
            readings = evaluator.scanned()
            self._out_of_power = {
                lamp.emitter for lamp in readings.lamps if not 1 <= lamp.click <= lamp.clicks
            }
            self.reference = readings
            return self._of_checks(evaluator)
        return self._of_checks(self._without_panels())

    def _of_checks(self, evaluator: Evaluator) -> Baseline:
        if evaluator.staging() is None:
            return NOTHING
        # eyes that are to be lit by moving the key are not excused by their being dark now
        seeks_eyes = any(m.path == ("lights", 0) and "height" in m.free for m in self.ask.movers)
        checks = CONSTRAINTS if seeks_eyes else self.checks
        return baseline_of(evaluator.staging(), evaluator.scanned(), checks)

    def _without_panels(self) -> Evaluator:
        """The recipe without the cards and blockers whose place is still to be found."""
        evaluator, recipe = self.evaluator, self.evaluator.recipe
        for key, kind in (("cards", "card"), ("blockers", "blocker")):
            gone = {mover.path[1] for mover in self.ask.movers if mover.kind == kind}
            kept = [panel for index, panel in enumerate(getattr(recipe, key)) if index not in gone]
            recipe = with_value(recipe, (key,), kept)
        return Evaluator(recipe, evaluator.studio, evaluator.marks, evaluator.slug)


def cost_of(mover: Mover, state: State) -> float:
    """What one thing's move costs: a new surface most, then turns and heights, distance least."""
    start, cost = mover.start, 0.0 if mover.sought else _MOVING_COST
    if "surface" in mover.free:
        place = mover.surfaces.index(state.surface)
        cost += 0.2 * place + (_SURFACE_COST if place and "surface" not in mover.sought else 0.0)
    for aspect, steps in (
        ("bearing", abs(state.bearing_deg - start.bearing_deg) / STEP_DEG),
        ("height", abs(state.height_m - start.height_m) / STEP_M),
    ):
        if aspect in mover.free:
            cost += steps * (_SOUGHT_COST if aspect in mover.sought else _STEP_COST)
    if "distance" in mover.free:
        a_step = _STEP_COST if mover.kind == "light" else _PANEL_DISTANCE_COST
        cost += a_step * abs(state.string_m - start.string_m) / STEP_M
    return cost
