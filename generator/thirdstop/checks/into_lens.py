"""Whether a lamp's face shines into the camera's lens."""

import math
from dataclasses import dataclass

import numpy as np

from thirdstop.checks.faces import spread_m
from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.in_frame import frame_margin_m
from thirdstop.checks.sightlines import passing
from thirdstop.checks.view import to_view
from thirdstop.checks.wording import degrees, length, minus, needed, percent
from thirdstop.exposure.emission import relative_luminance
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import Emitter, Gridded
from thirdstop.staging.staging import Staging
from thirdstop.typed import Vec

LEAST_SHARE = 0.10
"""House limit: of the intensity that a face sends along its own axis, what may go to the lens."""
HOOD_DEG = 45.0
"""A lens hood of usual depth keeps off what comes from farther than this from the axis (assumed)."""
FLAG_FROM_LAMP_M = 0.40
"""Where a flag goes, from the face toward the lens (common practice: 0.3 to 0.7 m)."""
LENS_RADIUS_M = 0.04
"""Of the front of a lens, which the flag's shadow must cover."""


@dataclass(frozen=True)
class Shine:
    """What a face sends into the lens."""

    share: float
    """Intensity toward the lens over that along the face's own axis, less what is kept off."""
    off_axis_deg: float
    """The face's middle from the lens's axis."""
    spare_deg: float
    """How far the lens is outside the angle in which the face shines; negative inside."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a lamp."""
    return [_lamp(staging, emitter) for emitter in staging.scene.emitters]


def shine(staging: Staging, emitter: Emitter) -> Shine:
    """What a lamp's face sends into the lens past blockers, cards and people."""
    lens = staging.camera.lens_m
    places = spread_m(emitter, 377)
    toward = lens - places
    cosine = toward @ emitter.normal / np.linalg.norm(toward, axis=1)
    before = to_view(staging.camera, places)[:, 2] > 0
    sent = relative_luminance(emitter.emission, cosine) * np.maximum(cosine, 0.0) * before
    if sent.max() > 0:
        sent = sent * passing(staging.scene, lens, places, {emitter.name})
    middle = to_view(staging.camera, emitter.centre_m[None, :])[0]
    off_axis = math.degrees(math.atan2(float(np.hypot(middle[0], middle[1])), float(middle[2])))
    reach = emitter.emission.cutoff_deg if isinstance(emitter.emission, Gridded) else 90.0
    spare = math.degrees(math.acos(float(np.clip(cosine.max(), -1, 1)))) - reach
    return Shine(float(sent.mean()), off_axis, spare)


def _lamp(staging: Staging, emitter: Emitter) -> Finding:
    found = shine(staging, emitter)
    name = emitter.name
    if found.share <= LEAST_SHARE or found.off_axis_deg > HOOD_DEG:
        return Finding("into-lens", "pass", name, _not(found, name), "", *_spare(found), "deg")
    margin_m = frame_margin_m(staging, staging.item(name))
    where = (
        f"{length(max(0.0, margin_m))} outside the picture"
        if math.isfinite(margin_m)
        else "out of the picture"
    )
    if margin_m < 0:
        where = "in the picture"
    text = (
        f"'{name}' shines into the lens: from {degrees(found.off_axis_deg)} off the lens's axis, {where}, it "
        f"sends {percent(found.share)} of what it sends along its own axis; {percent(LEAST_SHARE)} is the "
        "limit."
    )
    share = round(LEAST_SHARE - found.share, 2)
    return Finding("into-lens", "look", name, text, _flag(staging, emitter), share, LEAST_SHARE, "share")


def _spare(found: Shine) -> tuple[float | None, float | None]:
    return (math.floor(found.spare_deg * 10) / 10, 0.0) if found.spare_deg > 0 else (None, None)


def _not(found: Shine, name: str) -> str:
    if found.off_axis_deg >= 90:
        return f"'{name}' stands beside or behind the lens, {degrees(found.off_axis_deg)} off its axis."
    if found.spare_deg > 0:
        return (
            f"'{name}' is turned away: the lens is {minus(found.spare_deg, 1)}° outside what its face lights."
        )
    if found.share > LEAST_SHARE:
        return (
            f"'{name}' sends {percent(found.share)} of its axial light to the lens from "
            f"{degrees(found.off_axis_deg)} off the lens's axis; past {degrees(HOOD_DEG)} a hood keeps it "
            "off."
        )
    return (
        f"'{name}' sends {percent(found.share)} of its axial light to the lens; {percent(LEAST_SHARE)} is "
        "the limit."
    )


def flag_place_m(staging: Staging, emitter: Emitter) -> Vec:
    """Middle of a flag on the line from the face to the lens, 40 cm from the face."""
    way = staging.camera.lens_m - emitter.centre_m
    place: Vec = emitter.centre_m + FLAG_FROM_LAMP_M * way / np.linalg.norm(way)
    return place


def flag_size_m(staging: Staging, emitter: Emitter) -> tuple[float, float]:
    """Sides along the face's own edges of a flag there whose shadow covers the front of the lens.

    Between a face of half-size a and a lens of radius r at distance D, a stop at distance d from the face
    must reach a·(1 − d/D) + r·d/D from the line between their middles.
    """
    distance = float(np.linalg.norm(staging.camera.lens_m - emitter.centre_m))
    t = FLAG_FROM_LAMP_M / distance
    sides = [
        2 * (float(np.linalg.norm(half)) * (1 - t) + LENS_RADIUS_M * t)
        for half in (emitter.half_u_m, emitter.half_v_m)
    ]
    return sides[0], sides[1]


def _flag(staging: Staging, emitter: Emitter) -> str:
    place = flag_place_m(staging, emitter)
    wide, high = flag_size_m(staging, emitter)
    side = f"{length(abs(float(place[0])))} camera-{'right' if place[0] >= 0 else 'left'}"
    along = (
        f"{length(abs(float(place[1])))} {'toward the camera' if place[1] < 0 else 'away from the camera'}"
    )
    return (
        f"Set a flag of at least {needed(wide)} × {needed(high)} between lamp and lens: its middle {side} of "
        f"M, {along}, {length(float(place[2]))} high, {length(FLAG_FROM_LAMP_M)} from the lamp's face. Then "
        "check that it is out of the picture and off the face's light."
    )


CHECK = Check(
    "into-lens",
    "Lamp into the lens",
    run,
    "A lamp in front of the lens, up to 45° off its axis, that sends it more than a tenth of the intensity "
    "along its own axis (by its beam or grid, and by the cosine at which the lens sees its face) makes "
    "veiling flare, in or out of the picture: house limits. Past 45° a hood on the lens is counted on. What "
    "blockers, cards and people keep off is taken out. The flag that is named covers the whole face for the "
    "whole front of an 8 cm lens, by similar triangles. How much a lens flares is not computed.",
)
