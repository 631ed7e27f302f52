"""The search: one aspect solved exactly on its steps, the others tried in the order of what they cost.

Along one aspect the ratio is smooth, so it is computed at a few places, then between the two where it
passes what is wanted, down to neighbouring steps. Nothing is random; the number of tries is bounded.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from thirdstop.placing.goals import goals_of
from thirdstop.placing.movers import Aspect, Mover
from thirdstop.placing.trying import SCAN_SLACK_STOPS, States, Trials, Tried

ANSWERS = 3
"""The best answer and two more."""

MOST_TRIES = 110
"""Of computing light for one ask with several unknowns."""

_GROWTH = 1.35
"""From one place to the next, of a first look along a distance."""
_FIRST_STEP = 4
_NEAR = 3
_TURNING_STOPS = 0.5
"""A turning place of the ratio is looked into when it comes within this of the goal."""
_TOGETHER = 2
"""Aspects beside the one that is solved for which leave their start in one try; the climb to the ends goes on
from there.
"""
_COARSE = (2, 3)
"""Steps of an aspect that is tried beside a distance, and beside more: 10 and 15 cm, 10° and 15°."""
_WALK = 2
"""Steps that are tried on each side of an answer, for others like it."""
_WORTH = 0.2
"""How much dearer than the best an answer may be and still be worth looking for."""
_APART_M, _APART_DEG = 0.095, 9.5


@dataclass(frozen=True)
class Axis:
    """One free aspect of one mover."""

    mover: int
    aspect: Aspect
    values: tuple[float | str, ...]


class Search:
    """Finds the answers to one ask."""

    def __init__(self, trials: Trials, count: int = ANSWERS, most_tries: int = MOST_TRIES) -> None:
        self.trials = trials
        self.count = count
        self.walk = _WALK if count > 1 else 0
        self.movers = trials.ask.movers
        self.axes = axes_of(self.movers)
        self.most_tries = most_tries
        self._near: int | None = None

    def answers(self) -> list[Tried]:
        """Up to `count` that meet the goals at what is printed, the best first; empty where none was found.

        They are unlike each other if that can be.
        """
        if not self.axes:
            start = self.trials.at(())
            return [start] if start is not None else []
        if not self.trials.seeks_ratio:
            return self.chosen(self._by_cost())
        primary, others = self.axes[0], self.axes[1:]
        found: list[Tried] = []
        for states in self.others(others):
            if self._enough(found, self.trials.cost(states)) or self._tired:
                break
            found += self.along(states, primary)
        return self.chosen(found)

    @property
    def _tired(self) -> bool:
        return len(self.trials.all_tried) >= self.most_tries

    def others(self, axes: Sequence[Axis]) -> list[States]:
        """States of every other axis with the first at its start, by cost; coarse where there are several."""
        start = self.trials.ask.start
        coarse = len([axis for axis in axes if axis.aspect != "surface"]) > 1
        options = [self._values(axis, coarse if axes is not self.axes else None) for axis in axes]
        found = dict.fromkeys([start])
        for together in range(1, min(_TOGETHER, len(axes)) + 1):
            for chosen in itertools.combinations(range(len(axes)), together):
                for values in itertools.product(*(options[k] for k in chosen)):
                    states = start
                    for k, value in zip(chosen, values, strict=True):
                        states = self.with_value(states, axes[k], value)
                    found[states] = None
        return sorted(found, key=lambda states: round(self.trials.cost(states), 9))

    def _values(self, axis: Axis, coarse: bool | None) -> list[float | str]:
        if axis.aspect == "surface":
            return list(axis.values)
        start = self._start_index(axis)
        step = 1 if coarse is None else _COARSE[coarse]
        return [axis.values[k] for k in range(len(axis.values)) if (k - start) % step == 0]

    def _start_index(self, axis: Axis) -> int:
        return self.index_of(self.trials.ask.start, axis)

    def index_of(self, states: States, axis: Axis) -> int:
        """The index on an axis that is nearest to the states."""
        state = states[axis.mover]
        if axis.aspect == "surface":
            return axis.values.index(state.surface)
        here = {"distance": state.string_m, "bearing": state.bearing_deg, "height": state.height_m}
        values = [float(value) for value in axis.values]
        return min(range(len(values)), key=lambda k: (abs(values[k] - here[axis.aspect]), k))

    def with_value(self, states: States, axis: Axis, value: float | str) -> States:
        """The states with one aspect of one mover changed."""
        changed = list(states)
        mover = self.movers[axis.mover]
        changed[axis.mover] = mover.with_value(states[axis.mover], axis.aspect, value)
        return tuple(changed)

    def _enough(self, found: list[Tried], cost: float) -> bool:
        """Whether no dearer states can be among the best."""
        scores = sorted(self.trials.score(one) for one in found if self.trials.fits(one))
        return len(scores) >= self.count and cost >= min(scores[self.count - 1], scores[0] + _WORTH)

    def _by_cost(self) -> list[Tried]:
        """Without a ratio to solve for: states by cost until enough of them fit."""
        found: list[Tried] = []
        for states in self.others(self.axes):
            if len(found) >= self.count or self._tired:
                break
            if not self.trials.has_room(states):
                continue
            tried = self.trials.at(states)
            if tried is None or not self.trials.within(tried, SCAN_SLACK_STOPS):
                continue
            if self.trials.fits(tried) and all(tried is not one for one in found):
                found.append(tried)
        return found

    def look_near(self, states: States, axis: Axis) -> None:
        """The next look along an axis begins about these states."""
        self._near = self.index_of(states, axis)

    # along one axis

    def along(self, states: States, axis: Axis) -> list[Tried]:
        """The states along one axis that meet the goals at the accuracy of trying, and fit."""
        found: dict[int, Tried] = {}
        good: list[Tried] = []
        look: list[tuple[int, Tried]] = []
        for look in self._looks(states, axis):
            for (k, low), (m, high) in itertools.pairwise(look):
                if (low.off > 0) != (high.off > 0):
                    self._walk(states, axis, self._crossing(states, axis, (k, low), (m, high)), found)
            good = [one for one in found.values() if self.trials.fits(one)]
            if good:
                break
        if not good:
            for k in self._turnings(look):
                self._walk(states, axis, self._descent(states, axis, k), found)
            good = [one for one in found.values() if self.trials.fits(one)]
        if good:
            best = min(good, key=lambda one: abs(one.off))
            self._near = next(k for k, one in found.items() if one is best)
        return good

    def _at(self, states: States, axis: Axis, index: int) -> Tried | None:
        if not 0 <= index < len(axis.values):
            return None
        return self.trials.at(self.with_value(states, axis, axis.values[index]))

    def _looks(self, states: States, axis: Axis) -> Iterator[list[tuple[int, Tried]]]:
        """Where there was an answer before: about it, first on the side where the goal should be."""
        if self._near is not None:
            near = self._looked(states, axis, [self._near])
            if near:
                # less fill comes from farther off
                ahead = self._near + (_NEAR if near[0][1].off < 0 else -_NEAR)
                side = self._looked(states, axis, sorted({self._near, self._inside(ahead, axis)}))
                if _passes(side):
                    yield side
        yield self._first_look(states, axis)

    def _inside(self, index: int, axis: Axis) -> int:
        return min(max(index, 0), len(axis.values) - 1)

    def _first_look(self, states: States, axis: Axis) -> list[tuple[int, Tried]]:
        """Places over the whole axis; near the last answer where there is one."""
        if self._near is None:
            return self._looked(states, axis, self._whole(axis))
        about = sorted({self._inside(k, axis) for k in (self._near - _NEAR, self._near, self._near + _NEAR)})
        look = self._looked(states, axis, about)
        if _passes(look) or any(self.trials.within(one) for _, one in look):
            return look
        return self._looked(states, axis, sorted({*about, *self._whole(axis)}))

    def _looked(self, states: States, axis: Axis, indices: Sequence[int]) -> list[tuple[int, Tried]]:
        tried = [(k, self._at(states, axis, k)) for k in indices]
        look = [(k, one) for k, one in tried if one is not None]
        # the ends of what can be staged lie between the places looked at
        if look and look[-1][0] < indices[-1]:
            look += self._edge(states, axis, look[-1][0], indices[indices.index(look[-1][0]) + 1])
        if look and look[0][0] > indices[0]:
            look = self._edge(states, axis, look[0][0], indices[indices.index(look[0][0]) - 1])[::-1] + look
        return look

    def _edge(self, states: States, axis: Axis, inside: int, outside: int) -> list[tuple[int, Tried]]:
        """The last index that can be staged on the way from one that can to one that can't."""
        first = inside
        while abs(outside - inside) > 1:
            middle = (inside + outside) // 2
            changes = self.trials.ask.changes(self.with_value(states, axis, axis.values[middle]))
            if self.trials.evaluator.staging(changes) is None:
                outside = middle
            else:
                inside = middle
        tried = self._at(states, axis, inside)
        return [(inside, tried)] if tried is not None and inside != first else []

    def _whole(self, axis: Axis) -> list[int]:
        last = len(axis.values) - 1
        if axis.aspect != "distance":
            return sorted({*range(0, last, _FIRST_STEP), self._start_index(axis), last})
        found, value = [0], float(axis.values[0])
        while value < float(axis.values[-1]):
            value *= _GROWTH
            found.append(min(range(last + 1), key=lambda k: (abs(float(axis.values[k]) - value), k)))
        return sorted({*found, last})

    def _crossing(self, states: States, axis: Axis, low: tuple[int, Tried], high: tuple[int, Tried]) -> int:
        """The index nearest to the goal between two on either side of it."""
        while high[0] - low[0] > 1:
            share = low[1].off / (low[1].off - high[1].off)
            guess = round(low[0] + share * (high[0] - low[0]))
            guess = min(max(guess, low[0] + 1), high[0] - 1)
            tried = self._at(states, axis, guess)
            if tried is None:
                break
            if (tried.off > 0) == (low[1].off > 0):
                low = (guess, tried)
            else:
                high = (guess, tried)
        return low[0] if abs(low[1].off) <= abs(high[1].off) else high[0]

    def _turnings(self, look: Sequence[tuple[int, Tried]]) -> list[int]:
        """Where the ratio comes near the goal without passing it."""
        found = []
        for place, (index, one) in enumerate(look):
            sides = [look[k][1] for k in (place - 1, place + 1) if 0 <= k < len(look)]
            same = all((side.off > 0) == (one.off > 0) for side in sides)
            least = all(abs(one.off) <= abs(side.off) for side in sides)
            if same and least:
                tolerance = one.goals["ratio"].within if "ratio" in one.goals else 0.0
                if abs(one.off) <= tolerance + _TURNING_STOPS:
                    found.append(index)
        return found

    def _descent(self, states: States, axis: Axis, index: int) -> int:
        """The index nearest to the goal, downhill from one."""
        tried = self._at(states, axis, index)
        if tried is not None and self.trials.within(tried):
            return index
        step = 2
        while step:
            options = [(k, self._at(states, axis, k)) for k in (index - step, index, index + step)]
            known = [(k, one) for k, one in options if one is not None]
            best = min(known, key=lambda pair: (abs(pair[1].off), pair[0]))[0]
            step = step if best != index and step > 1 else step // 2
            index = best
        return index

    def _walk(self, states: States, axis: Axis, index: int, found: dict[int, Tried]) -> None:
        """Collects the good ones about an index: a few, or as far as it takes until one fits."""
        for way in (1, -1):
            if way == -1 and not self.walk and index in found and self.trials.fits(found[index]):
                return
            k, fitting = index if way == 1 else index - 1, 0
            while 0 <= k < len(axis.values) and (not fitting or abs(k - index) <= self.walk):
                if self.trials.has_room(self.with_value(states, axis, axis.values[k])):
                    tried = self._at(states, axis, k)
                    if tried is None or not self.trials.within(tried, SCAN_SLACK_STOPS):
                        break
                    found[k] = tried
                    fitting += self.trials.fits(tried)
                k += way

    # the best

    def chosen(self, found: Sequence[Tried]) -> list[Tried]:
        """The best that hold at the accuracy of what is printed, then others unlike them."""
        ordered = sorted(found, key=lambda one: (round(self.trials.score(one), 9), repr(one.changes)))
        chosen: list[Tried] = []
        for apart in (True, False):
            for one in ordered:
                if len(chosen) >= self.count:
                    return chosen
                if any(one is other for other in chosen):
                    continue
                if apart and not all(self._apart(one, other) for other in chosen):
                    continue
                if holds(self.trials, one):
                    chosen.append(one)
        return chosen

    def _apart(self, one: Tried, other: Tried) -> bool:
        return any(
            a.surface != b.surface
            or abs(a.string_m - b.string_m) > _APART_M
            or abs(a.bearing_deg - b.bearing_deg) > _APART_DEG
            or abs(a.height_m - b.height_m) > _APART_M
            for a, b in zip(one.states, other.states, strict=True)
        )


def holds(trials: Trials, one: Tried) -> bool:
    """Whether what is found still meets the goals at the accuracy of what is printed."""
    readings = trials.evaluator.answered(one.changes)
    goals = goals_of(one.staging, readings)
    met = all(goals[name].met for name in trials.wanted if name in goals)
    return met and trials.in_power(readings)


def axes_of(movers: Sequence[Mover]) -> list[Axis]:
    """The free aspects of all movers: first the one that is solved for, a card's distance if there is one."""
    order: dict[tuple[str, str], int] = {}
    for place, pair in enumerate(
        itertools.product(("card", "blocker", "light"), ("distance", "bearing", "height"))
    ):
        order[pair] = place
    found = [
        Axis(index, aspect, mover.values(aspect))
        for index, mover in enumerate(movers)
        for aspect in ("distance", "bearing", "height", "surface")
        if aspect in mover.free
    ]
    return sorted(found, key=lambda axis: (order.get((movers[axis.mover].kind, axis.aspect), 99), axis.mover))


def _passes(look: Sequence[tuple[int, Tried]]) -> bool:
    return any((a.off > 0) != (b.off > 0) for (_, a), (_, b) in itertools.pairwise(look))
