"""How far a sitter may drift before a reading is a third of a stop off."""

from dataclasses import dataclass

import numpy as np

from thirdstop.placing.causes import replace_world, sitters_moved
from thirdstop.placing.evaluating import Evaluator
from thirdstop.staging.vectors import vec
from thirdstop.typed import Vec

THIRD = 1 / 3
MOST_CM = 40
"""Farther than this nobody drifts unseen; the allowance ends there."""
_FIRST_CM = 10
_ROUNDS = 6
_SURE_CM = 0.4
"""Where a third of a stop is reached at least so far before the next centimetre, that one isn't tried."""


@dataclass(frozen=True)
class Drift:
    """Whole centimetres along the floor within which key reading and ratio stay within a third of a stop."""

    to_key_cm: int
    """Toward the key's floor point."""
    from_key_cm: int
    by: str
    """What is off first on the way to the key: 'key reading' or 'ratio'."""


def drift_of(evaluator: Evaluator) -> Drift:
    """The allowance of a recipe whose lamps stand at whole clicks; KeyError where it can't be staged."""
    staging = evaluator.staging()
    if staging is None:
        raise KeyError("the recipe can't be staged")
    away = staging.scene.emitters[0].centre_m - staging.sitters[0].nose_m
    flat = vec(float(away[0]), float(away[1]), 0.0)
    size = float(np.linalg.norm(flat))
    toward = flat / size if size > 1e-6 else vec(0.0, -1.0, 0.0)
    to_key_cm, by = _allowed(evaluator, toward, _FIRST_CM)
    # the other way it is about as far
    from_key_cm, _ = _allowed(evaluator, -toward, max(to_key_cm, _FIRST_CM))
    return Drift(to_key_cm, from_key_cm, by)


def _allowed(evaluator: Evaluator, direction: Vec, first_cm: int) -> tuple[int, str]:
    """The most whole centimetres that hold, tried in the engine; and what is off beyond."""
    cm, by, before, holds = first_cm, "key reading", _Tried(0, 0.0), _Tried(0, 0.0)
    fails: _Tried | None = None
    for _ in range(_ROUNDS):
        worst, what = _worst_stops(evaluator, direction, cm)
        if worst <= THIRD:
            before, holds = holds, _Tried(cm, worst)
        else:
            fails, by = _Tried(cm, worst), what
        guess_cm = _crosses_cm(holds, fails or before)
        most_cm = MOST_CM if fails is None else fails.cm - 1
        if holds.cm >= most_cm or (worst <= THIRD and guess_cm + _SURE_CM < cm + 1):
            break
        cm = min(max(int(guess_cm), holds.cm + 1), most_cm)
    return holds.cm, by


@dataclass(frozen=True)
class _Tried:
    cm: int
    worst_stops: float


def _crosses_cm(one: _Tried, other: _Tried) -> float:
    """Where the line through two tries, nearly the truth, reaches a third of a stop."""
    slope = (one.worst_stops - other.worst_stops) / (one.cm - other.cm)
    return one.cm + (THIRD - one.worst_stops) / slope if slope > 1e-6 else float(MOST_CM)


def _worst_stops(evaluator: Evaluator, direction: Vec, cm: int) -> tuple[float, str]:
    moved = replace_world(evaluator, sitters_moved(direction * cm / 100)).scanned()
    still = evaluator.scanned()
    key = abs(float(np.log2(moved[moved.key_point].lux_seconds / still[still.key_point].lux_seconds)))
    if evaluator.recipe.target.ratio is None:
        return key, "key reading"
    ratio = abs(moved.ratio.stops - still.ratio.stops)
    return (key, "key reading") if key >= ratio else (ratio, "ratio")
