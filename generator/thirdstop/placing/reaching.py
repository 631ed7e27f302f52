"""How low and how high a ratio can be brought by what may move, and still fit."""

from collections.abc import Sequence
from dataclasses import dataclass

from thirdstop.placing.searching import Axis, Search
from thirdstop.placing.trying import States, Tried

_STRIDES = (4, 2, 1)
_MOST_LOOKED_AT = 60
"""Places that are asked whether they fit before it is said that none does."""


@dataclass(frozen=True, eq=False)
class Reach:
    """The ends of what can be reached; None where no place fits at all."""

    lowest: Tried | None
    highest: Tried | None


def reach_of(search: Search) -> Reach:
    """Climbs from the farthest place known that fits, on every axis, until no step goes farther."""
    return Reach(farthest(search, -1.0), farthest(search, 1.0))


def farthest(search: Search, way: float) -> Tried | None:
    """The end toward higher ratios (`way` 1) or lower ones (-1); None where no place fits."""
    find_one_that_fits(search)
    return _farthest(search, way)


def find_one_that_fits(search: Search) -> None:
    """Makes sure that a place that fits has been tried, if one can be found."""
    trials = search.trials
    if any(trials.fits(one) for one in trials.all_tried):
        return
    looked_at = 0
    for states in search.others(search.axes[1:]):
        for value in search.axes[0].values:
            looked_at += 1
            here = search.with_value(states, search.axes[0], value)
            if trials.has_room(here):
                trials.at(here)
                return
            if looked_at >= _MOST_LOOKED_AT:
                return


def _farthest(search: Search, way: float) -> Tried | None:
    ordered = sorted(search.trials.all_tried, key=lambda one: (round(-way * one.ratio, 9), repr(one.changes)))
    start = next((one for one in ordered if search.trials.fits(one)), None)
    return None if start is None else _climbed(search, start, way)


def _climbed(search: Search, best: Tried, way: float) -> Tried:
    moved = True
    while moved:
        moved = False
        for axis in search.axes:
            for states in _neighbours(search, best.states, axis):
                farther = _if_farther(search, states, best, way)
                if farther is not None:
                    best, moved = farther, True
                    break
    return best


def _neighbours(search: Search, states: States, axis: Axis) -> Sequence[States]:
    if axis.aspect == "surface":
        return [search.with_value(states, axis, value) for value in axis.values]
    index = search.index_of(states, axis)
    found = [index + sign * stride for stride in _STRIDES for sign in (1, -1)]
    return [search.with_value(states, axis, axis.values[k]) for k in found if 0 <= k < len(axis.values)]


def _if_farther(search: Search, states: States, best: Tried, way: float) -> Tried | None:
    trials = search.trials
    if not trials.has_room(states):
        return None
    tried = trials.at(states)
    if tried is None or not trials.fits(tried):
        return None
    return tried if way * (tried.readings.ratio.stops - best.readings.ratio.stops) > 1e-6 else None
