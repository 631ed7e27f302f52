"""What a studio's readings left open, as independent causes of the bands.

The things that readings told are correlated: a lamp found too bright goes with walls found too dark. Along
the principal axes of their covariance they are not, so each axis is one cause (JCGM 102:2011, 6.2: a joint
normal distribution carried through the model).
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from thirdstop.exposure.spreads import normal
from thirdstop.exposure.uncertainty import Variation
from thirdstop.staging.learned import NINE_IN_TEN, Learned, Open
from thirdstop.staging.materials import Material, Metallised, Translucent
from thirdstop.staging.shapes import Beam, Emitter, Gridded, Panel
from thirdstop.staging.staging import Scene, Staging
from thirdstop.typed import Array

LEAST_STOPS = 0.003
"""Standard deviation along an axis below which it is left out."""
MOST_SHARE, WIDEST_DEG = 0.98, 85.0

Moved = Callable[[Scene], tuple[Array, float]]


def left_open(staging: Staging, moved: Moved, points: tuple[int, int]) -> list[Variation]:
    """One variation a principal axis; `moved` gives what a changed scene does to readings and ratio."""
    known = staging.learned
    if known is None:
        return []
    values, axes = np.linalg.eigh(known.covariance)
    spread = normal(NINE_IN_TEN)
    cause = f"what the readings of {known.measured} left open"
    found = []
    for value, axis in zip(values[::-1], axes.T[::-1], strict=True):
        if value < LEAST_STOPS**2:
            continue
        reading, ratio = [], []
        for node in (spread.node, -spread.node):
            by_stops = node * float(np.sqrt(value)) * axis
            light, of_ratio = moved(changed(staging.scene, known, by_stops))
            shown = _shown(staging, known, by_stops)
            reading.append(light + shown)
            ratio.append(of_ratio + float(shown[points[0]] - shown[points[1]]))
        found.append(Variation(cause, np.array(reading), np.array(ratio), spread.weight))
    return found


def changed(scene: Scene, known: Learned, by_stops: Array) -> Scene:
    """The scene with what was learned off by so many stops each, shape (k,)."""
    for one, by in zip(known.things, by_stops, strict=True):
        factor = float(2.0**by)
        panels = tuple(_panel(panel, one, factor) for panel in scene.panels)
        emitters = tuple(_emitter(e, one, factor) if e.name in one.lamps else e for e in scene.emitters)
        scene = replace(scene, panels=panels, emitters=emitters)
    return scene


def _shown(staging: Staging, known: Learned, by_stops: Array) -> Array:
    """By how much the receptors' own errors move each reading, shape (p,)."""
    off = {one.receptor: float(by) for one, by in zip(known.things, by_stops, strict=True) if one.receptor}
    return np.array([off.get(point.receptor, 0.0) for point in staging.scene.points])


def _panel(panel: Panel, one: Open, factor: float) -> Panel:
    if panel.name in one.fronts:
        panel = replace(panel, front=_material(panel.front, one, factor))
    if panel.name in one.backs:
        panel = replace(panel, back=_material(panel.back, one, factor))
    return panel


def _material(material: Material, one: Open, factor: float) -> Material:
    if one.changes == "reflectance":
        passed = material.transmittance if isinstance(material, Translucent) else 0.0
        return replace(material, reflectance=min(share(material.reflectance, factor), MOST_SHARE - passed))
    if one.changes == "roughness" and isinstance(material, Metallised):
        return replace(material, roughness=min(1.0, material.roughness * factor))
    if one.changes == "transmittance" and isinstance(material, Translucent):
        most = MOST_SHARE - material.reflectance
        return replace(material, transmittance=min(share(material.transmittance, factor), most))
    return material


def share(value: float, factor: float) -> float:
    """A share times a factor as far as small changes go; its odds are changed, so that it stays below 1."""
    if not 0.0 < value < 1.0:
        return value
    odds = value / (1.0 - value) * factor ** (1.0 / (1.0 - value))
    return float(odds / (1.0 + odds))


def _emitter(emitter: Emitter, one: Open, factor: float) -> Emitter:
    if one.changes in ("output", "loss"):
        more = factor if one.changes == "output" else 1.0 / factor
        return replace(emitter, luminance_cd_s_m2=emitter.luminance_cd_s_m2 * more)
    emission = emitter.emission
    if isinstance(emission, Beam):
        return replace(emitter, emission=Beam(min(WIDEST_DEG, emission.half_angle_deg * factor)))
    if isinstance(emission, Gridded):
        return replace(emitter, emission=Gridded(min(WIDEST_DEG, emission.cutoff_deg * factor)))
    return emitter
