"""Whether the face is sharp from the tip of the nose to the ear."""

import math
from dataclasses import dataclass

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.view import to_view
from thirdstop.checks.wording import clearance, floor_cm, minus, needed
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import aperture_value, f_number_of, third_mark
from thirdstop.staging.staging import CameraView, SitterPlace, Staging

CIRCLES_PER_DIAGONAL = 1500.0
"""The sensor's diagonal over the circle of confusion (a usual choice; common practice)."""
HALF_HEAD_M = 0.075
"""Half a head's breadth where no head solid tells it (ANSUR II means 148 and 154 mm)."""
_SMALLEST_AV = 10.0


@dataclass(frozen=True)
class Sharp:
    """Nearest and farthest sharp distance from the lens, metres."""

    near_m: float
    far_m: float


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding: the face, or all faces, against the sharp depth about the nearest eye."""
    if not staging.sitters:
        return []
    camera, aperture = staging.camera, staging.meter.aperture
    focus_m, first_m, last_m = _depths_m(staging)
    circle_m = circle_of_confusion_m(camera)
    sharp = sharp_depth(camera.focal_length_m, aperture, circle_m, focus_m)
    margin = min(first_m - sharp.near_m, sharp.far_m - last_m)
    what = "the face" if len(staging.sitters) == 1 else "all faces"
    text = (
        f"Focused on the nearest eye, {minus(focus_m, 2)} m from the lens, {third_mark(aperture)} is sharp "
        f"from {_before(focus_m - sharp.near_m)} before it to {_behind(sharp.far_m - focus_m)} behind; "
        f"{what} need{'s' if what == 'the face' else ''} {needed(focus_m - first_m)} and "
        f"{needed(last_m - focus_m)} (tip of the nose to the ear)."
    )
    spare = floor_cm(margin)
    if margin >= 0:
        return [Finding("depth-of-field", "pass", "recipe", text, "", spare, 0.0, "m")]
    return [Finding("depth-of-field", "look", "recipe", text, _remedy(staging, circle_m), spare, 0.0, "m")]


def circle_of_confusion_m(camera: CameraView) -> float:
    """The sensor's diagonal over 1500, metres."""
    return math.hypot(camera.sensor_across_m, camera.sensor_upright_m) / CIRCLES_PER_DIAGONAL


def sharp_depth(focal_length_m: float, f_number: float, circle_m: float, distance_m: float) -> Sharp:
    """Sharp depth about a distance from the lens; far is infinite from the hyperfocal distance on.

    Greenleaf, Photographic Optics (1950): h = f²/(N·c) + f; near = s(h − f)/(h + s − 2f);
    far = s(h − f)/(h − s).
    """
    f, s = focal_length_m, distance_m
    h = f * f / (f_number * circle_m) + f
    near = s * (h - f) / (h + s - 2 * f)
    return Sharp(near, s * (h - f) / (h - s) if s < h else math.inf)


def _depths_m(staging: Staging) -> tuple[float, float, float]:
    """Depth along the lens's axis of the nearest eye, of the nearest nose and of the farthest near ear."""
    camera = staging.camera
    eyes = np.concatenate([to_view(camera, sitter.eyes_m)[:, 2] for sitter in staging.sitters])
    noses = to_view(camera, np.array([sitter.nose_m for sitter in staging.sitters]))[:, 2]
    ears = [_near_ear_m(staging, sitter) for sitter in staging.sitters]
    return float(eyes.min()), float(min(noses.min(), eyes.min())), max(ears)


def _near_ear_m(staging: Staging, sitter: SitterPlace) -> float:
    """Depth of the ear that the camera has nearer: half a head's breadth to the side of its middle."""
    half_m = HALF_HEAD_M
    for solid in staging.scene.solids:
        if solid.part == "head" and solid.sitter == sitter.index:
            half_m = float(solid.semi_axes_m[0])
    sides = np.array([half_m, -half_m])[:, None] * sitter.sitter_right
    return float(to_view(staging.camera, sitter.head_centre_m + sides)[:, 2].min())


def _before(depth_m: float) -> str:
    return clearance(depth_m)


def _behind(depth_m: float) -> str:
    return clearance(depth_m) if math.isfinite(depth_m) else "any distance"


def _remedy(staging: Staging, circle_m: float) -> str:
    """The first third-stop mark that holds everything, and what it costs in clicks."""
    focus_m, first_m, last_m = _depths_m(staging)
    start = aperture_value(staging.meter.aperture)
    for third in range(math.floor(3 * start) + 1, math.floor(3 * _SMALLEST_AV) + 1):
        sharp = sharp_depth(staging.camera.focal_length_m, f_number_of(third / 3), circle_m, focus_m)
        if sharp.near_m <= first_m and sharp.far_m >= last_m:
            clicks = math.ceil((third / 3 - start) * CLICKS_PER_STOP - 1e-6)
            return (
                f"Close the aperture to {third_mark(f_number_of(third / 3))} and turn every lamp up by "
                f"{clicks} {'click' if clicks == 1 else 'clicks'}, or step the camera back, or set the faces "
                "at one distance."
            )
    return "No aperture to f/32 holds it: set the faces at one distance from the camera, or step back."


CHECK = Check(
    "depth-of-field",
    "Sharp from nose to ear",
    run,
    "Greenleaf's formulas for the sharp depth about the nearest eye, with a circle of the sensor's diagonal "
    "over 1500, against the tip of the nose and the nearer ear of every sitter, all measured along the "
    "lens's axis. A thin lens with symmetric pupils; the marked aperture. How sharp is sharp depends on the "
    "print.",
)
