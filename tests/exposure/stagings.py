"""Stagings for the engine's tests: a scene, its lamps, and what is wanted."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from exposure.sets import scene, vec
from thirdstop.exposure.readings import Transport
from thirdstop.staging.shapes import Lambertian
from thirdstop.staging.staging import (
    CameraView,
    GuideNumberOutput,
    LampPlace,
    MeterPlace,
    Room,
    Scene,
    Staging,
    TargetPlace,
)
from thirdstop.typed import Array

CLICKS = 25
CAMERA = CameraView(
    vec(0, -2, 1.2), vec(0, 1, 0), vec(1, 0, 0), vec(0, 0, 1), 0.085, 0.024, 0.036, 0.14, 0.21, 2.0
)


def lamp_place(emitter: str, click: int | None, level_stops: float | None = None) -> LampPlace:
    """A lamp with 25 clicks and a guide number."""
    return LampPlace(
        emitter=emitter,
        lamp="battery 400",
        clicks=CLICKS,
        display=tuple(f"shown {k}" for k in range(1, CLICKS + 1)),
        click=click,
        level_stops=level_stops,
        output=GuideNumberOutput(60.0, 100.0),
        bare_emission=Lambertian(),
        axial_loss_stops=0.0,
        energy_j=400.0,
        output_known_by="guide number",
        output_spread_stops=0.5,
        role="key",
    )


def staging(
    of: Scene | None = None,
    lamps: Sequence[LampPlace] = (),
    target: TargetPlace | None = None,
    aperture: float = 8.0,
    ambient_lux: float | None = None,
    shutter_s: float = 1 / 160,
) -> Staging:
    """A staging of a scene whose exposure is read by the dome under the chin."""
    return Staging(
        title="A set",
        slug="a-set",
        scene=of or scene(),
        room=Room(-1.5, 1.5, -2.25, 2.25, 2.4),
        camera=CAMERA,
        sitters=(),
        items=(),
        lamps=tuple(lamps) or (lamp_place("key", None),),
        meter=MeterPlace(100.0, aperture, shutter_s, 250.0, 340.0, 0.1, "chin dome", ambient_lux),
        target=target or TargetPlace(3.0, "lit to shadow", 1 / 3, None),
        walkway_m=0.6,
        behind_camera_m=0.5,
        framing="head and shoulders",
    )


def two_lamps() -> Scene:
    """The usual scene with a second, small lamp."""
    here = scene()
    key = here.emitters[0]
    return replace(here, emitters=(key, replace(key, name="behind", centre_m=vec(-1.2, 1.5, 0.5))))


def transport(of: Scene, direct: Array | list[list[float]], bounced: float = 0.0) -> Transport:
    """Made-up light: direct (e, p), and `bounced` lx·s off each surface everywhere."""
    names = (*(p.name for p in of.panels), *(s.name for s in of.solids))
    points = tuple(p.name for p in of.points)
    light = np.full((len(of.emitters), len(points), len(names)), bounced)
    return Transport(tuple(e.name for e in of.emitters), points, names, np.array(direct, dtype=float), light)
