"""A staging's readings with their bands, in one call."""

from collections.abc import Callable, Iterator

import numpy as np

from thirdstop.exposure import perturbed
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import lamp_readings, levels, powers_at, ratio_points, read, variation
from thirdstop.exposure.quality import ANSWER, ROUGH, Quality
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.transport import solve
from thirdstop.exposure.uncertainty import TOLERANCES, Tolerances, Variation
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import Scene, Staging

_PLACED = ("card", "blocker", "net")
_ROOM = {"wall": "reflectance of the walls", "ceiling": "reflectance of the ceiling"} | {
    "floor": "reflectance of the floor",
    "backdrop": "reflectance of the backdrop",
}


def predict(staging: Staging, quality: Quality = ANSWER, spread: Quality = ROUGH) -> Readings:
    """The readings, with bands from every stated tolerance: some thirty further evaluations at `spread`.

    Lamps are charged with their known output first (see `charging`).
    """
    lit = charge(staging)
    return read(lit, solve(lit.scene, quality), variations(lit, spread))


def variations(
    staging: Staging, quality: Quality = ROUGH, tolerances: Tolerances = TOLERANCES
) -> list[Variation]:
    """What each tolerance of place, aim and surface does, by re-evaluated scenes at the same clicks.

    The staging's lamps must be charged.
    """
    nominal = solve(staging.scene, quality)
    powers = powers_at(staging, nominal, [lamp.click for lamp in lamp_readings(staging, nominal)])
    points = ratio_points(staging, nominal, levels(nominal, powers))
    return [
        variation(cause, staging, nominal, solve(scene, quality), (powers, powers), points)
        for cause, scene in varied_scenes(staging.scene, tolerances)
    ]


def varied_scenes(scene: Scene, tolerances: Tolerances = TOLERANCES) -> Iterator[tuple[str, Scene]]:
    """Each cause in words with the scene at the end of its 90 % interval."""
    faces: list[Panel | Emitter] = [p for p in scene.panels if p.role in _PLACED]
    faces = [*scene.emitters, *faces]
    for name in dict.fromkeys(face.name for face in faces):
        face = next(f for f in faces if f.name == name)
        for axis in np.eye(3):
            yield f"place of {name}", perturbed.moved(scene, name, tolerances.position_m * axis)
        for edge in (face.half_u_m, face.half_v_m):
            yield f"aim of {name}", perturbed.turned(scene, name, edge, tolerances.aim_deg)
    for sitter in sorted({s.sitter for s in scene.solids}):
        for axis in np.eye(3)[:2]:
            yield "where the sitter sits", perturbed.sitter_moved(scene, sitter, tolerances.sitter_m * axis)
    yield from _surfaces(scene, tolerances)


def _surfaces(scene: Scene, tolerances: Tolerances) -> Iterator[tuple[str, Scene]]:
    for role, cause in _ROOM.items():
        known = [p.front.provenance for p in scene.panels if p.role == role]
        if known:
            share = max(tolerances.reflectance(k) for k in known)
            yield cause, perturbed.reflectance_scaled(scene, _of_role(role), 1 + share)
    for name in dict.fromkeys(p.name for p in scene.panels if p.role == "card"):
        card = next(p for p in scene.panels if p.name == name)
        share = tolerances.reflectance(card.front.provenance)
        yield (
            f"reflectance of {name}",
            perturbed.reflectance_scaled(scene, _named(name), 1 - share),
        )
    if scene.solids:
        share = tolerances.reflectance("assumed")
        yield "reflectance of skin and clothes", perturbed.body_scaled(scene, 1 + share)


def _of_role(role: str) -> Callable[[Panel], bool]:
    return lambda panel: panel.role == role


def _named(name: str) -> Callable[[Panel], bool]:
    return lambda panel: panel.name == name
