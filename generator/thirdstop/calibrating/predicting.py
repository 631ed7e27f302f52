"""What the meter would show in set-ups of readings, how that moves with each quantity, and how sure it is.

Axes: n readings, set-up by set-up; k quantities; e emitters of one set-up.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from thirdstop.calibrating.quantities import (
    NINE_IN_TEN,
    SCENE_KINDS,
    Kind,
    Quantity,
    changed,
    clicks_of,
    scene_values,
)
from thirdstop.calibrating.setups import StagedSetup
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure import perturbed
from thirdstop.exposure.quality import ANSWER, ROUGH, Quality
from thirdstop.exposure.transport import Kept, solve
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Vec

# 90 % half-widths of a reading that is taken to learn a room, common practice, no source
PLACE_M = 0.03
"""Of a lamp or card along each axis: measured with a tape, not by string alone."""
AIM_DEG = 5.0
HELD_M = 0.02
"""Of the receptor along each axis."""
HELD_DEG = 5.0
REPEAT_STOPS = 0.1
"""Of flash and meter from one pop to the next."""
COMPUTATION_STOPS = 0.03
"""Of the engine, for each reading by itself."""
DARK_LX_S = 1e-12
_SCENE_STEP = 0.5
"""Finite differences go so many prior standard deviations."""


@dataclass(eq=False)
class Predictor:
    """Quantities x, shape (k,), → what the meter would show."""

    setups: Sequence[StagedSetup]
    quantities: Sequence[Quantity]
    quality: Quality = ANSWER
    """Of what is compared with the readings; slopes are of rougher light."""
    solved: int = 0
    """How many times light was computed."""
    middle: Mapping[str, float] | None = None
    """Lamp → the click at which its output is what the guide number says; left out: the set-ups' mean."""
    _lights: dict[tuple[int, Quality, tuple[float, ...]], Array] = field(default_factory=dict)
    _kept: Kept = field(default_factory=Kept)
    _middle: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        means = {lamp: float(np.mean(clicks)) for lamp, clicks in clicks_of(self.setups).items()}
        self._middle = means if self.middle is None else dict(self.middle)
        self._own = [self._bearing_on(setup) for setup in self.setups]

    def shown(self, x: Array) -> Array:
        """log2 of lx·s as the meter would show it, shape (n,)."""
        every = range(len(self.setups))
        rows = [self._levels(index, x, self._light(index, x, self.quality)) for index in every]
        return np.concatenate(rows) if rows else np.zeros(0)

    def slopes(self, x: Array, quality: Quality = ROUGH) -> Array:
        """Derivatives of `shown`, shape (n, k), by finite differences of rougher light."""
        rows = [self._setup_slopes(index, x, quality) for index in range(len(self.setups))]
        return np.concatenate(rows) if rows else np.zeros((0, len(x)))

    def _setup_slopes(self, index: int, x: Array, quality: Quality) -> Array:
        light = self._light(index, x, quality)
        now = self._levels(index, x, light)
        columns = []
        for k, quantity in enumerate(self.quantities):
            step = _SCENE_STEP * quantity.sd
            moved = x.copy()
            moved[k] += step
            there = light
            if quantity.kind in SCENE_KINDS:
                if k not in self._own[index]:
                    columns.append(np.zeros(len(now)))
                    continue
                there = self._light(index, moved, quality)
            columns.append((self._levels(index, moved, there) - now) / step)
        return np.stack(columns, axis=1)

    def _bearing_on(self, setup: StagedSetup) -> set[int]:
        """Which quantities of the scene are in this set-up at all."""
        there = {about for pair in setup.surfaces.values() for about in pair}
        there |= {*setup.shapers, *(grid for grid in setup.grids if grid)}
        if setup.scene.solids:
            there.add("sitter")
        return {k for k, q in enumerate(self.quantities) if q.kind in SCENE_KINDS and q.about in there}

    def _light(self, index: int, x: Array, quality: Quality) -> Array:
        """Light of each emitter at full power at each reading, shape (e, n of this set-up)."""
        own = sorted(self._own[index])
        key = (index, quality, tuple(float(x[k]) for k in own))
        if key not in self._lights:
            self.solved += 1
            setup = self.setups[index]
            chosen = [self.quantities[k] for k in own]
            scene = applied(setup, scene_values(chosen, x[own]))
            self._lights[key] = solve(scene, quality, self._kept).total_lx_s
        return self._lights[key]

    def _levels(self, index: int, x: Array, light: Array) -> Array:
        setup = self.setups[index]
        at: dict[tuple[Kind, str], float] = {
            (q.kind, q.about): float(v) for q, v in zip(self.quantities, x, strict=True)
        }
        powers = np.stack([self._powers(setup, e, at) for e in range(len(setup.lamps))])
        total = np.log2(np.maximum((powers * light).sum(axis=0), DARK_LX_S))
        dome = np.array([taken.receptor == "dome" for taken in setup.taken])
        flat_off, dome_off = at.get(("flat receptor", "meter"), 0.0), at.get(("dome", "meter"), 0.0)
        return np.asarray(total + np.where(dome, dome_off, flat_off))

    def _powers(self, setup: StagedSetup, e: int, at: Mapping[tuple[Kind, str], float]) -> Array:
        """Share of full power at each reading, shape (n of this set-up,)."""
        lamp = setup.lamps[e]
        clicks = np.array([taken.clicks[e] for taken in setup.taken], dtype=float)
        stops = (clicks - lamp.clicks) / CLICKS_PER_STOP + at.get(("output", setup.outputs[e]), 0.0)
        stops += at.get(("grid loss", setup.grids[e] or ""), 0.0) * -1.0
        longer = (2.0 ** at.get(("click", lamp.lamp), 0.0) - 1.0) / CLICKS_PER_STOP
        stops += (clicks - self._middle[lamp.lamp]) * longer
        return np.asarray(2.0**stops)


def applied(setup: StagedSetup, values: Mapping[tuple[Kind, str], float]) -> Scene:
    """The set-up's scene with those values."""
    return changed(setup.scene, setup.surfaces, setup.shapers, setup.grids, values)


# how sure a reading is


def noise(setups: Sequence[StagedSetup], step_stops: float, quality: Quality = ROUGH) -> Array:
    """Covariance of the readings' own errors, shape (n, n), in stops².

    The meter's step (even within half a step), its repeat, the computation and how it was held are each
    reading's own; a lamp or card that stood or looked a little otherwise moves all readings of its set-up.
    """
    blocks = [_setup_noise(setup, step_stops, quality) for setup in setups]
    size = sum(len(block) for block in blocks)
    whole = np.zeros((size, size))
    start = 0
    for block in blocks:
        end = start + len(block)
        whole[start:end, start:end] = block
        start = end
    return whole


def _setup_noise(setup: StagedSetup, step_stops: float, quality: Quality) -> Array:
    single = step_stops**2 / 12 + (REPEAT_STOPS**2 + COMPUTATION_STOPS**2) / NINE_IN_TEN**2
    powers = _nominal_powers(setup)
    kept = Kept()
    base = _stops(setup.scene, powers, quality, kept)
    count = len(base)
    block = np.eye(count) * single + np.diag(_held(setup, powers, quality))
    for scene in _misplaced(setup.scene):
        moved = (_stops(scene, powers, quality, kept, setup.scene) - base) / NINE_IN_TEN
        block += np.outer(moved, moved)
    return np.asarray(block)


def _nominal_powers(setup: StagedSetup) -> Array:
    rows = [
        [(taken.clicks[e] - lamp.clicks) / CLICKS_PER_STOP for taken in setup.taken]
        for e, lamp in enumerate(setup.lamps)
    ]
    return np.asarray(2.0 ** np.array(rows))


def _stops(
    scene: Scene, powers: Array, quality: Quality, kept: Kept | None = None, like: Scene | None = None
) -> Array:
    light = solve(scene, quality, kept, like).total_lx_s
    repeats = light.shape[1] // powers.shape[1]
    return np.asarray(np.log2(np.maximum((np.tile(powers, repeats) * light).sum(axis=0), DARK_LX_S)))


def _misplaced(scene: Scene) -> Iterator[Scene]:
    """Every lamp and card at the end of its band: along three axes, about its two edges."""
    faces: list[Panel | Emitter] = [*scene.emitters]
    faces += [panel for panel in scene.panels if panel.role in ("card", "blocker", "net")]
    for face in faces:
        for axis in np.eye(3):
            yield perturbed.moved(scene, face.name, PLACE_M * axis)
        for edge in (face.half_u_m, face.half_v_m):
            yield perturbed.turned(scene, face.name, edge, AIM_DEG)


def _held(setup: StagedSetup, powers: Array, quality: Quality) -> Array:
    """Variance of each reading by how the receptor was held, shape (n,): all in one evaluation."""
    points = list(setup.scene.points)
    moves = [HELD_M * axis for axis in np.eye(3)]
    variants = [[_shifted(point, move) for point in points] for move in moves]
    variants += [[_tilted(point, turn) for point in points] for turn in (0, 1)]
    named = [
        replace(point, name=f"{point.name} {row}")
        for row, points_there in enumerate([points, *variants])
        for point in points_there
    ]
    stops = _stops(replace(setup.scene, points=tuple(named)), powers, quality).reshape(len(variants) + 1, -1)
    moved = (stops[1:] - stops[0]) / NINE_IN_TEN
    return np.asarray((moved**2).sum(axis=0))


def _shifted(point: MeasuringPoint, by_m: Vec) -> MeasuringPoint:
    return replace(point, place_m=point.place_m + by_m)


def _tilted(point: MeasuringPoint, turn: int) -> MeasuringPoint:
    """Turned about one of two axes across its direction."""
    n = point.direction
    helper = np.array([0.0, 0.0, 1.0]) if abs(n[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    first = np.cross(n, helper)
    first /= np.linalg.norm(first)
    across = first if turn == 0 else np.cross(n, first)
    angle = np.radians(HELD_DEG)
    return replace(point, direction=np.cos(angle) * n + np.sin(angle) * across)
