"""Where the meter is held, what it is set to, and what it should show."""

from dataclasses import dataclass

import numpy as np

from thirdstop.exposure.readings import Reading
from thirdstop.exposure.stops import meter_mark, third_mark
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.shares import whole_parts
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.staging import Staging
from thirdstop.staging.vectors import direction_at

KEY_READING = "key reading"
SITTER = "sitter"
"""Whose cheek it is, where only one sits there."""
_NEAR = 0.9995
"""Cosine above which two directions count as the same (within 2°)."""


@dataclass(frozen=True)
class Share:
    """A part of a reading by where its light last came from."""

    source: str
    percent: Figure


@dataclass(frozen=True)
class Metered:
    """One reading, with all that it takes to take it."""

    point: str
    """The measuring point's name in the book's files."""
    name: str
    where: str
    """Position and direction in words."""
    receptor: str
    iso: str
    reads: str
    """As the meter shows it: 'f/8 + 1/10'."""
    camera: str
    """The same on a camera's scale of thirds: 'f/8'."""
    from_key: Figure
    band: Figure
    """Half-width of the 90 % band."""
    shares: tuple[Share, ...]


def metered(evaluated: Evaluated, name: str) -> Metered:
    """The reading at a measuring point; KeyError where there is none of that name."""
    staging = evaluated.staging
    point = next(one for one in staging.scene.points if one.name == name)
    reading = evaluated.readings[name]
    return Metered(
        point=name,
        name=said(name, first_of(staging)),
        where=where(staging, point),
        receptor=reading.receptor,
        iso=f"ISO {staging.meter.iso:g}",
        reads=meter_mark(reading.f_number, staging.meter.step_stops),
        camera=third_mark(reading.f_number),
        from_key=figures.stops(reading.stops_from_key),
        band=figures.apart(reading.band_stops),
        shares=_shares(reading),
    )


def all_metered(evaluated: Evaluated) -> tuple[Metered, ...]:
    """Every reading, the key reading first."""
    key = evaluated.readings.key_point
    names = [key, *(name for name in evaluated.readings.readings if name != key)]
    return tuple(metered(evaluated, name) for name in names)


def first_of(staging: Staging) -> str:
    """Who sits at M, where there are several by their name."""
    return staging.sitters[0].name if len(staging.sitters) > 1 else SITTER


def person(name: str) -> str:
    """Who is meant, after 'the': a side by itself would be taken for a side."""
    return f"{name} one" if name in ("left", "right", "middle") else name


def said(name: str, first: str = SITTER) -> str:
    """A measuring point in words: left and right of a face are the sitter's own; `first`: who sits at M."""
    prefix, _, rest = name.rpartition("chin dome")
    if name.endswith("chin dome") and not rest:
        return f"{prefix}{KEY_READING}".strip() if not prefix else f"{prefix}under the chin, dome"
    for side in ("left", "right"):
        for part in ("cheek", "eye"):
            if name.endswith(f"{side} {part}"):
                whose = name.removesuffix(f"{side} {part}").strip()
                return f"{whose or first}’s {side} {part}"
    return name


def where(staging: Staging, point: MeasuringPoint) -> str:
    """Position and direction in words."""
    name = point.name
    if name.endswith("chin dome"):
        return f"{_chin_place(staging, point)}, {_toward(staging, point)}"
    if name.endswith("cheek"):
        return "3 cm off the skin, level, 60° from the nose line"
    if name.endswith("forehead"):
        return "3 cm off the forehead, straight ahead and 20° up"
    if name.endswith("eye"):
        return "at the pupil, along the nose line"
    if name.endswith("under chin"):
        return "under the chin, 45° down"
    if name.startswith("backdrop"):
        return f"3.5 cm before the sheet at {figures.length(float(point.place_m[2]))}, toward the camera"
    return f"at {figures.length(float(point.place_m[2]))}, {_toward(staging, point)}"


def _chin_place(staging: Staging, point: MeasuringPoint) -> str:
    """The point under the chin by numbers: under the nose tip, and behind it along the face’s own line."""
    sitter = staging.sitters[point.sitter or 0]
    behind = -direction_at(sitter.head_turn_deg, 0.0)
    from_nose_m = point.place_m - sitter.nose_m
    below_m, behind_m = -float(from_nose_m[2]), float(from_nose_m @ behind)
    chin = f"{person(sitter.name)}’s chin" if len(staging.sitters) > 1 else "chin"
    below, behind_it = figures.length(below_m), figures.length(behind_m)
    return f"under the {chin}, {below} below and {behind_it} behind the nose tip"


def _toward(staging: Staging, point: MeasuringPoint) -> str:
    targets = {"toward the lens": staging.camera.lens_m}
    targets |= {
        f"toward {emitter.name}": emitter.centre_m for emitter in staging.scene.emitters if emitter.name
    }
    for words, target in targets.items():
        direction = target - point.place_m
        if float(direction @ point.direction) > _NEAR * float(np.linalg.norm(direction)):
            return words
    bearing = float(np.degrees(np.arctan2(point.direction[0], -point.direction[1])))
    up = float(np.degrees(np.arcsin(np.clip(point.direction[2], -1, 1))))
    tilted = figures.tilt(up)
    return f"facing {figures.turn(bearing)}" + (f", {tilted}" if tilted.word else "")


def _shares(reading: Reading) -> tuple[Share, ...]:
    """Whole percents that sum to a hundred, the largest first."""
    parts = whole_parts(reading.budget)
    names = sorted(parts, key=lambda name: (-round(reading.budget[name], 6), name))
    return tuple(Share(name, Figure(str(parts[name]), " %")) for name in names if parts[name])
