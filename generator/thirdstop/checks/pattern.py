"""Which nose-shadow pattern the key's place goes with, relative to the face."""

import math

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.headframe import FromNose, from_nose, to_camera
from thirdstop.checks.places import key_emitter
from thirdstop.checks.wording import degrees, listed, minus
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import SitterPlace, Staging
from thirdstop.typed import Vec

NOSE_M = 0.025
"""How far a nose stands out where no head is staged (a usual value, from memory)."""
TURNED_DEG = 10.0
"""A face turned less than this from the lens has neither a broad nor a short side."""

# name, azimuth from the nose line and elevation, both as (least, most) in degrees. Common practice without a
# single source; writers differ, so the bands overlap on purpose.
BANDS = (
    ("butterfly", (0.0, 10.0), (25.0, 60.0)),
    ("loop", (15.0, 50.0), (25.0, 60.0)),
    ("closed triangle", (40.0, 60.0), (30.0, 60.0)),
    ("split", (80.0, 100.0), (0.0, 30.0)),
    ("rim", (120.0, 180.0), (-90.0, 90.0)),
)


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a sitter; it only tells, there is no limit."""
    key_m = key_emitter(staging).centre_m
    return [_pattern(staging, sitter, key_m) for sitter in staging.sitters]


def consistent_with(azimuth_deg: float, elevation_deg: float) -> tuple[str, ...]:
    """Names of the patterns whose bands hold this key direction; azimuth as an absolute value."""
    return tuple(
        name
        for name, (least, most), (low, high) in BANDS
        if least <= azimuth_deg <= most and low <= elevation_deg <= high
    )


def nose_shadow_m(azimuth_deg: float, elevation_deg: float, nose_m: float = NOSE_M) -> tuple[float, float]:
    """How far the tip's shadow falls to the side and down on a flat face, metres; infinite from 90° on.

    A tip at p in front of a plane, light from azimuth α and elevation ε: p·tan α aside, p·tan ε / cos α down.
    """
    if azimuth_deg >= 90:
        return math.inf, math.inf
    a, e = math.radians(azimuth_deg), math.radians(elevation_deg)
    return nose_m * math.tan(a), nose_m * math.tan(e) / math.cos(a)


def nose_out_m(staging: Staging, sitter: SitterPlace) -> float:
    """How far the tip of the nose stands before this sitter's face, along the nose line.

    Back from the tip, the head's ellipsoid |a + t·b| = 1 in the frame where it is the unit sphere.
    """
    for solid in staging.scene.solids:
        if solid.part == "head" and solid.sitter == sitter.index:
            a = (sitter.nose_m - solid.centre_m) @ solid.axes / solid.semi_axes_m
            b = -sitter.forward @ solid.axes / solid.semi_axes_m
            root = float(a @ b) ** 2 - float(b @ b) * (float(a @ a) - 1)
            if root >= 0:
                return max(0.0, (-float(a @ b) - math.sqrt(root)) / float(b @ b))
    return NOSE_M


def _pattern(staging: Staging, sitter: SitterPlace, key_m: Vec) -> Finding:
    at = from_nose(sitter, key_m)
    side = "right" if at.azimuth_deg > 0 else "left"
    where = f"{degrees(abs(at.azimuth_deg))} to the sitter's {side} of the nose line"
    if abs(at.azimuth_deg) < 1:
        where = "on the nose line"
    height = f"{degrees(abs(at.elevation_deg))} {'up' if at.elevation_deg >= 0 else 'down'}"
    text = (
        f"On '{sitter.name}' the key stands {where} and {height}: {_named(at)}"
        f"{_shadow(at, nose_out_m(staging, sitter))}"
        f"{_turned(staging, sitter, at)}"
    )
    return Finding("pattern", "pass", sitter.name, text)


def _named(at: FromNose) -> str:
    names = consistent_with(abs(at.azimuth_deg), at.elevation_deg)
    return (
        f"consistent with {listed(names).replace(' and ', ' or ')}."
        if names
        else "between the named patterns."
    )


def _shadow(at: FromNose, nose_m: float) -> str:
    aside, down = nose_shadow_m(abs(at.azimuth_deg), at.elevation_deg, nose_m)
    if not math.isfinite(aside) or max(aside, abs(down)) > 0.15:
        return ""
    way = "down" if down >= 0 else "up"
    return (
        f" A nose of {minus(nose_m * 100, 1)} cm throws its tip's shadow {minus(aside * 100, 1)} cm aside "
        f"and {minus(abs(down) * 100, 1)} cm {way}."
    )


def _turned(staging: Staging, sitter: SitterPlace, at: FromNose) -> str:
    toward = to_camera(sitter, staging.camera.lens_m)
    across = float(toward @ sitter.sitter_right)
    if abs(math.degrees(math.atan2(across, float(toward @ sitter.forward)))) < TURNED_DEG:
        return ""
    if abs(at.azimuth_deg) < 5:
        return ""
    same = (across > 0) == (at.azimuth_deg > 0)
    return f" It lights the {'broad side, nearer to' if same else 'short side, away from'} the camera."


CHECK = Check(
    "pattern",
    "Nose-shadow pattern",
    run,
    "The key's middle as seen from the nose tip, in degrees from the nose line and up, in the head's own "
    "frame, so a turned face counts as turned. Bands of the trade's names overlap on purpose, and writers "
    "differ: the sentence says 'consistent with', never more. The shadow's length is that of the staged "
    "nose's tip before a flat face, as far as it stands before the head's solid. Faces are not flat, and "
    "noses differ.",
)
