"""Why a meter may disagree: what is otherwise than assumed, as a change of the scene."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from thirdstop.exposure import perturbed
from thirdstop.exposure.meter import surface_groups
from thirdstop.exposure.readings import Reading
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
    reading = evaluator.scanned()[point]
    now, wanted = reading.lux_seconds, float(2.0**more_stops)
    factor = _first_guess(evaluator, cards, reading, wanted)
    for _ in range(_ROUNDS):
        tried = replace_world(evaluator, fill_scaled(cards, factor))
        got = tried.scanned()[point].lux_seconds / now
        if abs(np.log2(got / wanted)) < _NEAR_ENOUGH_STOPS:
            return factor
        if abs(got - 1.0) < 1e-3:
            return None
        factor = min(max(1.0 + (factor - 1.0) * (wanted - 1.0) / (got - 1.0), _LEAST), _MOST)
    return None


def _first_guess(evaluator: Evaluator, cards: tuple[str, ...], reading: Reading, wanted: float) -> float:
    """As if nothing went back and forth: what comes from them last grows in proportion, the rest stays."""
    staging = evaluator.staging()
    assert staging is not None
    scene, fills = staging.scene, _fills(cards)
    # bodies come last among the groups
    words = {word for panel, word in zip(scene.panels, surface_groups(scene), strict=False) if fills(panel)}
    share = sum(part for word, part in reading.budget.items() if word in words)
    return min(max(1.0 + (wanted - 1.0) / max(share, 0.1), _LEAST), _MOST)


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
        scanning=evaluator.scanning,
    )
