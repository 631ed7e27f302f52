"""Why a meter may disagree: what is otherwise than assumed, as a change of the scene."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from thirdstop.exposure import perturbed
from thirdstop.placing.evaluating import Evaluator, World
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Vec

_ROOM = ("wall", "ceiling", "floor")
_LEAST, _MOST = 0.05, 4.0
_NEAR_ENOUGH_STOPS = 0.03
_ROUNDS = 4


def fill_scaled(cards: tuple[str, ...], factor: float) -> World:
    """These cards and the room return so much more, or less, than was assumed."""

    def world(scene: Scene) -> Scene:
        return perturbed.reflectance_scaled(scene, _fills(cards), factor)

    return world


def _fills(cards: tuple[str, ...]) -> Callable[[Panel], bool]:
    return lambda panel: panel.role in _ROOM or panel.name in cards


def factor_for(evaluator: Evaluator, cards: tuple[str, ...], point: str, more_stops: float) -> float | None:
    """The factor on what cards and room return that moves the reading at a point by so many stops.

    None where none does it: the point has its light from elsewhere, or nothing returns more than all.
    """
    now = evaluator.scanned()[point].lux_seconds
    wanted = float(2.0**more_stops)
    factor: float = wanted
    for _ in range(_ROUNDS):
        tried = replace_world(evaluator, fill_scaled(cards, factor))
        got = tried.scanned()[point].lux_seconds / now
        if abs(np.log2(got / wanted)) < _NEAR_ENOUGH_STOPS:
            return factor
        if abs(got - 1.0) < 1e-3:
            return None
        factor = min(max(1.0 + (factor - 1.0) * (wanted - 1.0) / (got - 1.0), _LEAST), _MOST)
    return None


def sitters_moved(by_m: Vec) -> World:
    """All sitters off their marks by so much."""

    def world(scene: Scene) -> Scene:
        for sitter in sorted({solid.sitter for solid in scene.solids}):
            scene = perturbed.sitter_moved(scene, sitter, by_m)
        return scene

    return world


def brighter(emitter: str, stops: float) -> World:
    """One lamp gives so much more than was known."""

    def world(scene: Scene) -> Scene:
        emitters = tuple(
            replace(e, luminance_cd_s_m2=e.luminance_cd_s_m2 * 2.0**stops) if e.name == emitter else e
            for e in scene.emitters
        )
        return replace(scene, emitters=emitters)

    return world


def replace_world(evaluator: Evaluator, world: World | None) -> Evaluator:
    """The same recipe and studio where something is otherwise."""
    return Evaluator(
        evaluator.recipe,
        evaluator.studio,
        evaluator.marks,
        evaluator.slug,
        world,
        shared=evaluator.shared,
    )
