"""How far a sitter may drift before a reading is a third of a stop off."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from thirdstop.placing.causes import replace_world, sitters_moved
from thirdstop.placing.evaluating import Evaluator
from thirdstop.staging.vectors import vec
from thirdstop.typed import Array, Vec

THIRD = 1 / 3
MOST_CM = 40
"""Farther than this nobody drifts unseen; the allowance ends there."""
_FIRST_SHARE = 0.16
"""Of the key's distance: about so far a third of a stop is reached, and there it is tried first."""
_ROUNDS = 6
_NEAR_CM, _SURE_CM = 1.5, 0.2
"""Where a third of a stop is reached so near to the place that was tried last, and at least so far from every
whole centimetre, none of them is tried (measured: each recipe's allowance is as if all had been).
"""
_MODEL_POINTS = 3
"""Places tried through which a parabola is laid."""
_GRID_CM = np.arange(0.0, MOST_CM + 1.0, 0.02)
"""Where it is asked; about as fine as it is true."""


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
    line = _Line(evaluator, flat / size if size > 1e-6 else vec(0.0, -1.0, 0.0))
    first_cm = max(_whole(_FIRST_SHARE * 100 * float(np.linalg.norm(away))), 1)
    line.off_stops(first_cm)
    # what is known of both ways tells how readings bend
    line.off_stops(-max(_whole(line.reached_cm(-1, first_cm)), 1))
    to_key_cm, from_key_cm = _allowed_cm(line, 1), _allowed_cm(line, -1)
    return Drift(to_key_cm, from_key_cm, line.by(to_key_cm + 1))


@dataclass(eq=False)
class _Line:
    """Readings along the floor line through the key, less those on the mark; toward the key is positive."""

    evaluator: Evaluator
    toward: Vec
    tried: dict[int, tuple[float, ...]] = field(default_factory=dict)
    """Signed centimetres → by how many stops the key reading is off, and the ratio where one is wanted."""

    def __post_init__(self) -> None:
        self.tried[0] = (0.0,) if self.evaluator.recipe.target.ratio is None else (0.0, 0.0)

    def off_stops(self, cm: int) -> float:
        """By how much the worse of the two is off there, tried in the engine."""
        if cm not in self.tried:
            moved = replace_world(self.evaluator, sitters_moved(self.toward * cm / 100)).glanced()
            still = self.evaluator.scanned()
            light = moved[moved.key_point].lux_seconds / still[still.key_point].lux_seconds
            off = (float(np.log2(light)), moved.ratio.stops - still.ratio.stops)
            self.tried[cm] = off[: len(self.tried[0])]
        return max(map(abs, self.tried[cm]))

    def reached_cm(self, way: int, near_cm: int) -> float:
        """Where one of the two is a third of a stop off, on the curve through the nearest places tried."""
        off = np.max([np.abs(each) for each in self._curves(way * _GRID_CM, way * near_cm)], axis=0)
        beyond = np.flatnonzero(off > THIRD)
        return float(_GRID_CM[beyond[0]] if len(beyond) else _GRID_CM[-1])

    def by(self, cm: int) -> str:
        """Which of the two is off first there."""
        off = [abs(float(each[0])) for each in self._curves(np.array([float(cm)]), cm)]
        return "key reading" if off[0] >= off[-1] else "ratio"

    def _curves(self, at_cm: Array, near_cm: int) -> Sequence[Array]:
        """Both along `at_cm`: parabolas, or lines where no more was tried."""
        places = sorted(self.tried, key=lambda cm: (abs(cm - near_cm), cm))[:_MODEL_POINTS]
        known = np.array([self.tried[cm] for cm in places])
        fits = np.polyfit(np.array(places, float), known, len(places) - 1)
        return [np.polyval(fit, at_cm) for fit in fits.T]


def _allowed_cm(line: _Line, way: int) -> int:
    """The most whole centimetres that hold one way."""
    holds, fails = 0, MOST_CM + 1
    for cm in sorted(abs(cm) for cm in line.tried if cm * way > 0):
        holds, fails = (cm, fails) if line.off_stops(way * cm) <= THIRD else (holds, min(fails, cm))
    last_cm = fails if fails <= MOST_CM else holds
    for _ in range(_ROUNDS):
        reached_cm = line.reached_cm(way, last_cm)
        most_cm = min(max(_whole(reached_cm), holds), fails - 1)
        near = abs(reached_cm - last_cm) < _NEAR_CM
        if fails - holds == 1 or (near and abs(reached_cm - round(reached_cm)) > _SURE_CM):
            return most_cm
        last_cm = most_cm if most_cm > holds else holds + 1
        if line.off_stops(way * last_cm) <= THIRD:
            holds = last_cm
        else:
            fails = last_cm
    return holds


def _whole(cm: float) -> int:
    return int(min(cm, MOST_CM))
