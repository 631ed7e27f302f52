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
_ROUNDS = 4


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
    to_key_cm, by = _allowed(evaluator, toward)
    from_key_cm, _ = _allowed(evaluator, -toward)
    return Drift(to_key_cm, from_key_cm, by)


def _allowed(evaluator: Evaluator, direction: Vec) -> tuple[int, str]:
    """The most whole centimetres that hold, each tried in the engine; and what is off beyond."""
    low_cm, high_cm, cm, by = 0, MOST_CM + 1, _FIRST_CM, "key reading"
    for _ in range(_ROUNDS):
        worst, what = _worst_stops(evaluator, direction, cm)
        if worst <= THIRD:
            low_cm = cm
        else:
            high_cm, by = cm, what
        if high_cm - low_cm <= 1:
            break
        # nearly in proportion
        guess = int(cm * THIRD / worst) if worst > 1e-6 else MOST_CM
        cm = min(max(guess, low_cm + 1), high_cm - 1)
    return low_cm, by


def _worst_stops(evaluator: Evaluator, direction: Vec, cm: int) -> tuple[float, str]:
    moved = replace_world(evaluator, sitters_moved(direction * cm / 100)).scanned()
    still = evaluator.scanned()
    key = abs(float(np.log2(moved[moved.key_point].lux_seconds / still[still.key_point].lux_seconds)))
    if evaluator.recipe.target.ratio is None:
        return key, "key reading"
    ratio = abs(moved.ratio.stops - still.ratio.stops)
    return (key, "key reading") if key >= ratio else (ratio, "ratio")
