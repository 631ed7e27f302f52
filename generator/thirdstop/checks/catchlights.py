"""Catchlights: where, how many and how large the lamps show in the corneas, as the camera sees them."""

import math
from dataclasses import dataclass

import numpy as np

from thirdstop.checks.faces import Source, edge_m, shows, sources, spread_m
from thirdstop.checks.findings import Check, Finding, Verdict
from thirdstop.checks.headframe import EYES, own_face
from thirdstop.checks.mirror import reflecting_normals
from thirdstop.checks.places import key_is_indirect
from thirdstop.checks.polygons import HalfSpace, area_m2, clip_all
from thirdstop.checks.sightlines import passing
from thirdstop.checks.wording import listed, minus, percent
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import SitterPlace, Staging
from thirdstop.staging.vectors import unit
from thirdstop.typed import Array, Vec

CORNEA_RADIUS_M = 0.0078
"""Mean radius of an adult cornea's front (secondary page; Gullstrand's eye has 7.7 mm)."""
PUPIL_IN_FRONT_M = 0.0048
"""From the cornea's centre of curvature forward to the pupil as it appears: 7.8 mm less about 3 mm, from
memory."""
IRIS_RADIUS_M = 0.00585
"""Of the visible iris (11.7 mm across, from memory); past it there is no clear reflection."""
UPPER_LID_M = 0.0039
"""Lid's edge over the pupil: 7.8 mm · sin 30°, where a lamp 60° up is lost (common practice)."""
LOWER_LID_M = 0.0055
"""Lid's edge under the pupil (from memory)."""
WANTED_DEG = 75.0
"""Ten to two o'clock by the nearest hour: this far from twelve to either side."""
_CENTRED_M = 0.0005
_HALF = 0.5
_AWAY_COSINE = 0.5


@dataclass(frozen=True, eq=False)
class Catchlight:
    """One bright shape in one cornea, as the camera sees it."""

    source: str
    kind: str
    """'lamp' or 'card'."""
    glows: bool
    """A card that may be lit from behind."""
    clock_deg: float
    """Around the pupil, clockwise from twelve, −180 to 180."""
    offset_m: float
    """Of the shape's middle from the pupil's."""
    size_m: float
    """The larger of its extents across and up."""
    shown: float
    """Share of it that lids, iris and what stands between leave."""
    outline_m: Array
    """Its outline, shape (n, 2): across to camera-right, up; from the pupil's middle."""

    @property
    def hour(self) -> int:
        """Nearest hour on the clock's face."""
        return (round(self.clock_deg / 30) - 1) % 12 + 1

    @property
    def margin_deg(self) -> float:
        """How far inside ten to two o'clock."""
        return WANTED_DEG - abs(self.clock_deg)


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a sitter, both eyes in it."""
    return [_look_at(staging, readings, sitter) for sitter in staging.sitters]


def catchlights(staging: Staging, sitter: SitterPlace, eye: int) -> tuple[Catchlight, ...]:
    """What shows in a sitter's right (0) or left (1) eye, lamps first, but for what is hidden whole."""
    found = [_catchlight(staging, sitter, eye, source) for source in sources(staging)]
    return tuple(one for one in found if one is not None and one.shown > 0.01)


def looks_away(staging: Staging, sitter: SitterPlace) -> bool:
    """Whether face or eyes are turned more than 60° past the lens, so that no catchlight is wanted."""
    toward = unit(staging.camera.lens_m - sitter.eyes_m.mean(axis=0))
    return min(float(sitter.gaze @ toward), float(sitter.forward @ toward)) < _AWAY_COSINE


def _catchlight(staging: Staging, sitter: SitterPlace, eye: int, source: Source) -> Catchlight | None:
    pupil = sitter.eyes_m[eye]
    if not shows(source, pupil):
        return None
    outline = image_m(staging, pupil, sitter.gaze, edge_m(source.face))
    whole = area_m2(outline)
    if whole <= 0:
        return None
    middle = image_m(staging, pupil, sitter.gaze, source.face.centre_m[None, :])[0]
    shown = area_m2(clip_all(outline, _opening())) / whole * _free(staging, sitter, pupil, source)
    across, up = np.ptp(outline[:, 0]), np.ptp(outline[:, 1])
    return Catchlight(
        source.name,
        source.kind,
        source.glows,
        float(np.degrees(np.arctan2(middle[0], middle[1]))),
        float(np.hypot(middle[0], middle[1])),
        float(max(across, up)),
        min(1.0, shown),
        outline,
    )


def image_m(staging: Staging, pupil_m: Vec, gaze: Vec, places_m: Array) -> Array:
    """Where the camera sees places mirrored in a cornea, from the pupil's middle, shape (n, 2), metres."""
    camera = staging.camera
    centre = pupil_m - PUPIL_IN_FRONT_M * gaze
    normals = reflecting_normals(centre, CORNEA_RADIUS_M, camera.lens_m, places_m)
    offset = centre + CORNEA_RADIUS_M * normals - pupil_m
    return np.stack([offset @ camera.right, offset @ camera.up], axis=1)


def _opening() -> list[HalfSpace]:
    """The iris (as a 24-gon) between the lids, in the picture's plane."""
    angles = 2 * np.pi * np.arange(24) / 24
    iris = [HalfSpace(np.array([math.cos(a), math.sin(a)]), IRIS_RADIUS_M) for a in angles]
    lids = [HalfSpace(np.array([0.0, 1.0]), UPPER_LID_M), HalfSpace(np.array([0.0, -1.0]), LOWER_LID_M)]
    return iris + lids


def _free(staging: Staging, sitter: SitterPlace, pupil_m: Vec, source: Source) -> float:
    """Share of the source's face that the eye sees past everything else."""
    places = spread_m(source.face, 89)
    own = own_face(sitter, staging.scene.solids) | {source.name}
    ahead = (places - pupil_m) @ sitter.forward > 0
    return float((passing(staging.scene, pupil_m, places, own) * ahead).mean())


def _look_at(staging: Staging, readings: Readings, sitter: SitterPlace) -> Finding:
    if looks_away(staging, sitter):
        text = f"'{sitter.name}' is turned more than 60° past the lens, so no catchlight is wanted."
        return Finding("catchlights", "pass", sitter.name, text)
    both = [catchlights(staging, sitter, k) for k in range(len(sitter.eyes_m))]
    # where the key works by way of a sheet, the sheet is what shows
    indirect = key_is_indirect(readings)
    fit = [[one for one in seen if one.kind == "lamp" or (indirect and one.glows)] for seen in both]
    mains = [[one for one in seen if one.shown >= _HALF] for seen in fit]
    text = f"In the eyes of '{sitter.name}': {_both(both)}. One lamp at 10 to 2 o'clock is wanted."
    if indirect and not any(mains):
        text += " The key works by way of a wall, whose shape in the eye is not computed."
        return Finding("catchlights", "pass", sitter.name, text)
    margin = min(max((_margin(one) for one in main), default=-180.0) for main in mains)
    trouble = _trouble(fit, mains, margin)
    known = math.floor(margin * 10) / 10 if all(mains) else None
    verdict: Verdict = "pass" if trouble is None else "look"
    return Finding("catchlights", verdict, sitter.name, text, trouble or "", known, WANTED_DEG, "deg")


def _both(both: list[tuple[Catchlight, ...]]) -> str:
    return "; ".join(f"{EYES[k]} {_said(seen)}" for k, seen in enumerate(both))


def _margin(one: Catchlight) -> float:
    """Degrees inside ten to two; a shape on the pupil's middle has no hour and is outside."""
    return one.margin_deg if one.offset_m >= _CENTRED_M else -1.0


def _said(seen: tuple[Catchlight, ...]) -> str:
    return listed([_one(one) for one in seen]) if seen else "0 catchlights"


def _one(one: Catchlight) -> str:
    where = f"at {one.hour} o'clock" if one.offset_m >= _CENTRED_M else "on the pupil"
    fainter = "a fainter one from " if one.kind == "card" else ""
    cut = f", {percent(one.shown)} of it clear of lids and iris" if one.shown < 0.95 else ""
    return (
        f"{fainter}'{one.source}' {where}, {minus(one.offset_m * 1000, 1)} mm out, "
        f"{minus(one.size_m * 1000, 1)} mm large{cut}"
    )


def _trouble(fit: list[list[Catchlight]], mains: list[list[Catchlight]], margin: float) -> str | None:
    if any(not main for main in mains):
        if any(fit):
            return (
                "Lids, the iris or a thing between cut it off: lower the lamp, bring it nearer to the lens's "
                "line, or lift the chin."
            )
        return "An eye without a catchlight looks dull: bring the key round or down until it shows in both."
    if any(len(main) > 1 for main in mains):
        names = listed(sorted({f"'{one.source}'" for main in mains for one in main}))
        return (
            f"Several lamps show ({names}): accept it, flag one from the eyes, or take one out in the finish."
        )
    if margin < 0:
        low = any(abs(one.clock_deg) > 90 for main in mains for one in main)
        way = "raise the key" if low else "bring the key nearer to the lens's line, or raise it"
        return f"Outside 10 to 2 o'clock: {way}, or turn the face."
    return None


CHECK = Check(
    "catchlights",
    "Catchlights",
    run,
    "Each lamp's and bright card's edge is mirrored in a cornea of 7.8 mm radius at the place where the "
    "surface's normal halves the angle between source and lens, and drawn as the camera sees it: hour on the "
    "clock's face, millimetres from the pupil, extent. Iris (11.7 mm) and lids cut it; a brim or a blocker "
    "takes its share. One lamp in each eye at 10 to 2 o'clock is wanted; whether two are acceptable is the "
    "house's to say. Cards count as fainter and are only told. Eyes differ, and squint.",
)
