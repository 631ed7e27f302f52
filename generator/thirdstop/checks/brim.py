"""Whether the key reaches both eyes under a brim and past the brow.

For each pupil, in the head's frame, at the azimuth of a place on the lamp's face:

             . brow 60°
            .    /  brim's front edge
           .   /       h above the pupil, b out     safe elevation = atan(h / b) there
    pupil .__/________
"""

import math
from dataclasses import dataclass

import numpy as np

from thirdstop.checks.faces import edge_m, spread_m
from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.headframe import EYES, in_head, own_face
from thirdstop.checks.places import key_emitter, key_is_indirect
from thirdstop.checks.polygons import outer_outline
from thirdstop.checks.sightlines import passing
from thirdstop.checks.wording import degrees, minus, needed, percent
from thirdstop.exposure.emission import relative_luminance
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import SitterPlace, Staging
from thirdstop.typed import Array

BROW_DEG = 60.0
"""Light from higher than this over the nose line is lost under brow and lid (common practice; it is also the
usual upper limit of one eye's field of view, from memory)."""
ACROSS_NOSE_DEG = 60.0
OUTWARD_DEG = 100.0
"""Limits of one eye's field of view past the nose and past the temple (usual figures, from memory)."""
HALF = 0.5
"""An eye that gets less than this of the key's light has its light elsewhere."""
THIRD = 2.0 ** (-1 / 3)
"""The least share where brim or brow hides some of the lamp: a third of a stop less, a house value."""
_SAMPLES = 987


@dataclass(frozen=True)
class EyeLight:
    """How one pupil sees the key's face."""

    eye: str
    share: float
    """Of the face's light toward the pupil, what arrives past brim, brow and everything else."""
    margin_deg: float
    """How far the nearest place on the face's edge is under what brim and brow let through."""
    edge_deg: float
    """Elevation of that place from the pupil, in the head's frame."""
    safe_deg: float
    """What brim and brow let through at its azimuth."""
    lower_m: float
    """How far that place must go straight down (along the head) to be let through; 0 where it is."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a sitter: the worse eye decides."""
    return [_look_at(staging, readings, sitter) for sitter in staging.sitters]


def eye_light(staging: Staging, sitter: SitterPlace, eye: int) -> EyeLight:
    """How a sitter's right (0) or left (1) pupil sees the key's face."""
    key, pupil = key_emitter(staging), sitter.eyes_m[eye]
    edge = in_head(sitter, edge_m(key) - pupil)
    elevations = np.degrees(np.arctan2(edge[:, 2], np.hypot(edge[:, 0], edge[:, 1])))
    brims = [
        in_head(sitter, _outline(panel) - pupil) for panel in staging.scene.panels if panel.role == "brim"
    ]
    safes = np.array([safe_elevation_deg(brims, math.atan2(place[1], place[0])) for place in edge])
    worst = int(np.argmin(safes - elevations))
    ahead = float(np.hypot(edge[worst, 0], edge[worst, 1]))
    lower = float(edge[worst, 2]) - ahead * math.tan(math.radians(float(safes[worst])))
    return EyeLight(
        EYES[eye],
        _share(staging, sitter, eye, key),
        float(safes[worst] - elevations[worst]),
        float(elevations[worst]),
        float(safes[worst]),
        max(0.0, lower),
    )


def safe_elevation_deg(brims: list[Array], azimuth_rad: float) -> float:
    """Elevation from a pupil up to which light passes brims and brow at an azimuth from the nose line.

    `brims` are outlines in the head's frame with the pupil as origin, shape (n, 3). The half-plane through
    the crown axis cuts a flat brim in a line; its lowest end bounds what passes. The brow cuts at 60°.
    """
    found = [BROW_DEG]
    along = np.array([math.cos(azimuth_rad), math.sin(azimuth_rad)])
    for brim in brims:
        ahead, aside = brim[:, :2] @ along, brim[:, :2] @ np.array([-along[1], along[0]])
        for k in range(len(brim)):
            if (aside[k - 1] > 0) != (aside[k] > 0):
                t = aside[k - 1] / (aside[k - 1] - aside[k])
                out = ahead[k - 1] + t * (ahead[k] - ahead[k - 1])
                up = brim[k - 1, 2] + t * (brim[k, 2] - brim[k - 1, 2])
                if out > 0 and up > 0:
                    found.append(math.degrees(math.atan2(up, out)))
    return min(found)


def _outline(panel: Panel) -> Array:
    return outer_outline(panel.outline, panel.centre_m, panel.half_u_m, panel.half_v_m)


def _share(staging: Staging, sitter: SitterPlace, eye: int, key: Emitter) -> float:
    """Share of the light that the bare face would send to the pupil; 0 where it sends none."""
    places, pupil_m = spread_m(key, _SAMPLES), sitter.eyes_m[eye]
    toward = pupil_m - places
    distance = np.linalg.norm(toward, axis=1)
    cosine = toward @ key.normal / distance
    weight = relative_luminance(key.emission, cosine) * np.maximum(cosine, 0.0) / distance**2
    if weight.sum() <= 0:
        return 0.0
    own = own_face(sitter, staging.scene.solids) | {key.name}
    passed = passing(staging.scene, pupil_m, places, own) * _in_field(sitter, eye, -toward)
    return float((weight * passed).sum() / weight.sum())


def _in_field(sitter: SitterPlace, eye: int, directions: Array) -> Array:
    """1 where brow, nose and temple leave a direction open to that eye, else 0, shape (n,)."""
    ahead, right, up = in_head(sitter, directions).T
    outward = np.degrees(np.arctan2(right if eye == 0 else -right, ahead))
    low = up <= np.hypot(ahead, right) * math.tan(math.radians(BROW_DEG))
    return np.asarray((outward >= -ACROSS_NOSE_DEG) & (outward <= OUTWARD_DEG) & low, dtype=float)


def _look_at(staging: Staging, readings: Readings, sitter: SitterPlace) -> Finding:
    eyes = [eye_light(staging, sitter, k) for k in range(len(sitter.eyes_m))]
    if max(eye.share for eye in eyes) == 0 and key_is_indirect(readings):
        text = (
            f"The key reaches '{sitter.name}' by way of a wall or a sheet; 0 % of its light goes straight to "
            "an eye, and none is meant to."
        )
        return Finding("brim", "pass", sitter.name, text)
    text = _said(sitter, eyes)
    cut, dim = min(eyes, key=lambda eye: eye.margin_deg), min(eyes, key=lambda eye: eye.share)
    margin = math.floor(cut.margin_deg * 10 + 1e-9) / 10
    if cut.margin_deg < 0 and dim.share < THIRD:
        return Finding("brim", "look", sitter.name, text, _lower(sitter, cut), margin, 0.0, "deg")
    if cut.margin_deg < 0:
        spare = math.floor((dim.share - THIRD) * 100) / 100
        return Finding("brim", "pass", sitter.name, text, "", spare, THIRD, "share")
    if dim.share < HALF:
        short = math.floor((dim.share - HALF) * 100) / 100
        return Finding("brim", "look", sitter.name, text, _nearer(dim), short, HALF, "share")
    return Finding("brim", "pass", sitter.name, text, "", margin, 0.0, "deg")


def _said(sitter: SitterPlace, eyes: list[EyeLight]) -> str:
    shares = " and ".join(f"{percent(eye.share)} in the {eye.eye}" for eye in eyes)
    cut = min(eyes, key=lambda eye: eye.margin_deg)
    under = "brim and brow let" if sitter.hat else "the brow lets"
    way, least = ("under", HALF) if cut.margin_deg >= 0 else ("over", THIRD)
    return (
        f"'{sitter.name}' gets {shares} of the key's light, where {percent(least)} is the least; the lamp's "
        f"edge stands {degrees(cut.edge_deg)} up, {minus(abs(cut.margin_deg), 1)}° {way} the "
        f"{degrees(cut.safe_deg)} that {under} through at its bearing."
    )


def _lower(sitter: SitterPlace, cut: EyeLight) -> str:
    chin = math.ceil(-cut.margin_deg - 1e-9)
    what = "the hat tipped back or the chin" if sitter.hat else "the chin"
    return (
        f"Lower the key's upper edge by {needed(cut.lower_m)}, or have {what} lifted by {chin}°, or lift the "
        "eyes with a low card."
    )


def _nearer(dim: EyeLight) -> str:
    return (
        f"The {dim.eye} has the nose, the temple or another thing between itself and the key: bring the key "
        "nearer to the nose line, turn the face toward it, or clear the way; or mean it so."
    )


CHECK = Check(
    "brim",
    "Eyes lit under brim and brow",
    run,
    "From each pupil, which part of the light that the bare face of the key would send there arrives past "
    "the brim, the brow, the nose, the temple and everything that stands between (987 places on the face, "
    "weighted by what each sends); half is the least. The angle is from the place on the lamp's edge that "
    "comes nearest to being cut off to the elevation that brim and brow let through at its bearing, in the "
    "head's frame, so a lifted chin counts: the whole edge under it lights the whole eye evenly. Where the "
    "edge stands over it, part of the lamp is hidden by brim or brow, and an eye may lose a third of a stop, "
    "one click, by it: 79 % is then the least, a house value. "
    "Brow, nose and temple leave an eye what lies up to 60° up, 60° across the nose and 100° "
    "outward: usual figures. Left out: this sitter's own face, lashes, a brim that is not flat.",
)
