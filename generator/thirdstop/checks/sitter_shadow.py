"""Whether a sitter's shadow falls on what the picture shows of the backdrop, how deep and how soft."""

from dataclasses import dataclass, replace

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.places import points
from thirdstop.checks.room_fit import forward_m
from thirdstop.checks.shadows import (
    kept_by_solids,
    left_by_things,
    seen_background_m,
    sent,
    softness_m,
    toward_lens,
)
from thirdstop.checks.wording import clearance, length, needed, percent, stops
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import Emitter
from thirdstop.staging.staging import Scene, Staging
from thirdstop.typed import Array, Vec

DEEPEST_STOPS = 1.0
"""House limit: how much darker than without the sitter a place of the backdrop in the picture may be."""
_NOTHING = 0.02
_STEP_M = 0.10
_MOST_M = 1.5


@dataclass(frozen=True, eq=False)
class Shadow:
    """The darkest place of a sitter's shadow that the picture shows."""

    hidden: float
    """Share of the lamp's light that bodies keep from it."""
    stops: float
    """How much darker it is than without them; infinite where nothing else arrives."""
    place_m: Vec
    soft_m: float
    """Width of the shadow's soft rim there."""


@dataclass(frozen=True)
class _Level:
    """What the readings say of the backdrop: the lamp's light per unit of `sent`, and all other light."""

    per_unit: float
    other: float


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding for each lamp whose shadow of a sitter could fall on the backdrop."""
    places = seen_background_m(staging)
    if len(places) == 0 or not staging.sitters:
        return []
    return [_lamp(staging, readings, one, places) for one in staging.scene.emitters]


def deepest(staging: Staging, readings: Readings, lamp: Emitter, places_m: Array) -> Shadow | None:
    """The darkest of these places in the shadow of a sitter; None where a lamp or a reading doesn't reach."""
    level = _level(staging, readings, lamp)
    normal = toward_lens(staging)
    direct = sent(lamp, places_m, normal)[0].mean(axis=1)
    if level is None or direct.max(initial=0.0) <= 0:
        return None
    left = left_by_things(staging, lamp, places_m)
    hidden = kept_by_solids(staging.scene.solids, lamp, places_m)
    before = level.per_unit * direct * left
    darker = np.log2((before + level.other) / np.maximum(before * (1 - hidden) + level.other, 1e-12))
    worst = int(np.argmax(darker))
    head_m = staging.sitters[0].head_centre_m
    soft_m = softness_m(lamp, head_m, places_m[worst])
    return Shadow(float(hidden[worst]), float(darker[worst]), places_m[worst], soft_m)


def _level(staging: Staging, readings: Readings, lamp: Emitter) -> _Level | None:
    """From the backdrop's readings: the lamp's own light by the best lit of them, the rest as their mean."""
    measured = [point for point in points(staging, "backdrop") if point.name in readings.readings]
    if not measured:
        return None
    places = np.array([point.place_m for point in measured])
    reaches = sent(lamp, places, toward_lens(staging))[0].mean(axis=1)
    reaches = reaches * left_by_things(staging, lamp, places)
    reaches = reaches * (1 - kept_by_solids(staging.scene.solids, lamp, places))
    shown = [readings[point.name] for point in measured]
    name = "key" if lamp.name == staging.key else lamp.name
    lights = np.array([one.lux_seconds for one in shown])
    direct = lights * np.array([one.budget.get(name, 0.0) for one in shown])
    best = int(np.argmax(reaches))
    per_unit = float(direct[best] / reaches[best]) if reaches[best] > 0 else 0.0
    return _Level(per_unit, float((lights - direct).mean()))


def _lamp(staging: Staging, readings: Readings, lamp: Emitter, places: Array) -> Finding:
    found = deepest(staging, readings, lamp, places)
    if found is None or found.hidden < _NOTHING or found.stops < _NOTHING:
        text = (
            f"What the picture shows of the backdrop lies in no shadow of a sitter from '{lamp.name}': less "
            f"than {percent(_NOTHING)} of its light is kept off there."
        )
        return Finding("sitter-shadow", "pass", lamp.name, text, "", DEEPEST_STOPS, DEEPEST_STOPS, "stops")
    text = (
        f"From '{lamp.name}' a sitter's shadow falls on the backdrop in the picture, "
        f"{_where(found.place_m)}: {percent(found.hidden)} of its light is kept off, which makes it "
        f"{stops(found.stops)} darker there; its rim is {length(found.soft_m)} soft. "
        f"{stops(DEEPEST_STOPS)} is the limit."
    )
    margin = DEEPEST_STOPS - found.stops
    if margin >= 0:
        return Finding("sitter-shadow", "pass", lamp.name, text, "", margin, DEEPEST_STOPS, "stops")
    remedy = _remedy(staging, readings, lamp)
    return Finding("sitter-shadow", "look", lamp.name, text, remedy, margin, DEEPEST_STOPS, "stops")


def _where(place_m: Vec) -> str:
    x = float(place_m[0])
    side = f"{length(abs(x))} camera-{'right' if x > 0 else 'left'} of M" if abs(x) >= 0.005 else "behind M"
    return f"deepest {side} at {length(float(place_m[2]))}"


def _remedy(staging: Staging, readings: Readings, lamp: Emitter) -> str:
    more_m = farther_m(staging, readings, lamp)
    ways = "take the lamp farther to the side, or raise it, so that the shadow leaves the picture"
    if more_m is None:
        return f"{ways[0].upper()}{ways[1:]}; or use a larger face nearer to the sitter, which softens it."
    free_m = forward_m(staging, more_m)
    if free_m >= more_m:
        return (
            f"Bring sitter, lamps and camera {needed(more_m)} farther from the backdrop, which the room "
            f"allows; or {ways}."
        )
    can = (
        f"{clearance(free_m)} of it is the most that this room allows"
        if free_m
        else "this room has none of it"
    )
    return (
        f"{ways[0].upper()}{ways[1:]}; {needed(more_m)} more between sitter and backdrop would do, but {can}."
    )


def farther_m(staging: Staging, readings: Readings, lamp: Emitter) -> float | None:
    """How much farther off the backdrop must hang for the limit, in steps of 10 cm to 1.5 m; None if more.

    All other light on it is taken to stay as it is.
    """
    for step in range(1, round(_MOST_M / _STEP_M) + 1):
        moved = _backdrop_moved(staging, step * _STEP_M)
        found = deepest(moved, readings, lamp, seen_background_m(moved))
        if found is None or found.stops <= DEEPEST_STOPS:
            return step * _STEP_M
    return None


def _backdrop_moved(staging: Staging, by_m: float) -> Staging:
    scene: Scene = staging.scene
    away = -by_m * toward_lens(staging)
    panels = tuple(
        replace(panel, centre_m=panel.centre_m + away)
        if panel.role == "backdrop" or panel.name == "back wall"
        else panel
        for panel in scene.panels
    )
    return replace(staging, scene=replace(scene, panels=panels))


CHECK = Check(
    "sitter-shadow",
    "The sitter's shadow",
    run,
    "From 165 places of the backdrop that the lens sees past sitters and things, the share of each lamp's "
    "face that bodies hide, weighted by what each of 89 places on the face sends. How much darker that "
    "makes the place follows from the readings on the backdrop: the lamp's own light there against all "
    "other light, which is taken to be even. More than 1 stop darker, in the picture, is worth a look: a "
    "house limit. The rim's softness is the face's extent times the distance from head to backdrop over "
    "that from face to head, by similar triangles. A sheet on the floor, other lamps that fill the shadow "
    "unevenly, hats' brims and hair that isn't solid are left out.",
)
