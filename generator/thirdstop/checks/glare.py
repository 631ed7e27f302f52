"""Whether a lamp or a bright card shows in a pair of glasses, as the camera sees it.

A lens's front is part of a sphere of radius 530 mm over its base curve in dioptres, its axis tilted down by
the frame. Every ray from the camera to the lens is mirrored there; where one meets a bright face, it shows.
"""

import math
from dataclasses import dataclass

import numpy as np

from thirdstop.checks.faces import Source, shows, sources
from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.headframe import EYES, own_face
from thirdstop.checks.mirror import angles_to_face_deg, mirrored
from thirdstop.checks.polygons import outer_outline
from thirdstop.checks.sightlines import passing
from thirdstop.checks.wording import minus, percent
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import SitterPlace, Staging
from thirdstop.staging.vectors import unit
from thirdstop.typed import Array, Vec

TOOLING_MM = 530.0
"""Radius in mm times base curve in dioptres: tooling index 1.53 (from memory)."""
FLAT_DIOPTRE = 0.05
"""A base curve under this is taken as flat."""
BEFORE_PUPIL_M = 0.016
"""From the pupil forward to the lens's front: 3 mm to the cornea and about 13 mm of vertex distance."""
HALF_WIDE_M = 0.025
HALF_HIGH_M = 0.018
"""Half the lens's opening, 50 × 36 mm (assumed: frames differ)."""
OVER_EYE_M = 0.006
"""Glare nearer to the lens's middle than this covers the pupil."""
NEAR_DEG = 5.0
"""A smaller margin than this goes with a nod of 2 to 3 degrees."""
_COLUMNS, _ROWS = 25, 19


@dataclass(frozen=True, eq=False)
class Lens:
    """The front of one lens: places on it and the outward normals there."""

    places_m: Array
    """Shape (n, 3)."""
    normals: Array
    """Shape (n, 3)."""
    from_middle_m: Array
    """Shape (n,): distance from the lens's middle."""


_LEAST_SAID = 0.01
"""What shows at all is said as 1 % at least: '0 %' is what is wanted."""


@dataclass(frozen=True)
class Reflection:
    """One source in one lens."""

    source: str
    kind: str
    eye: str
    margin_deg: float
    """Least angle between a mirrored ray and the source's face; negative never: 0 where it shows."""
    share: float
    """Of the lens's opening that the source covers."""
    over_eye: bool


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding for each sitter with glasses; none without."""
    return [_look_at(staging, sitter) for sitter in staging.sitters if sitter.glasses]


def axis(sitter: SitterPlace) -> Vec:
    """The lens's axis: the nose line tilted down by the frame's tilt."""
    tilt = math.radians(sitter.glasses_tilt_deg)
    return unit(math.cos(tilt) * sitter.forward - math.sin(tilt) * sitter.up)


def front_radius_m(dioptre: float) -> float:
    """Radius of a lens's front for its base curve, metres; infinite for a flat one."""
    return TOOLING_MM / 1000 / dioptre if dioptre > FLAT_DIOPTRE else math.inf


def lens_front(sitter: SitterPlace, eye: int) -> Lens:
    """The front of the lens before a sitter's right (0) or left (1) eye, as a lattice of places."""
    middle = sitter.eyes_m[eye] + BEFORE_PUPIL_M * sitter.forward
    out, right = axis(sitter), sitter.sitter_right
    s, t = np.meshgrid(
        np.linspace(-HALF_WIDE_M, HALF_WIDE_M, _COLUMNS), np.linspace(-HALF_HIGH_M, HALF_HIGH_M, _ROWS)
    )
    flat = s.ravel()[:, None] * right + t.ravel()[:, None] * np.cross(out, right)
    radius = front_radius_m(sitter.glasses_base_dioptre)
    from_middle = np.hypot(s, t).ravel()
    if math.isinf(radius):
        return Lens(middle + flat, np.broadcast_to(out, flat.shape), from_middle)
    depth = np.sqrt(radius**2 - from_middle**2)
    normals = (flat + depth[:, None] * out) / radius
    return Lens(middle + radius * (normals - out), normals, from_middle)


def reflections(staging: Staging, sitter: SitterPlace) -> list[Reflection]:
    """Every bright source in either lens, as far as it is turned to it."""
    found = []
    for eye in range(len(sitter.eyes_m)):
        lens = lens_front(sitter, eye)
        for source in sources(staging):
            if shows(source, sitter.eyes_m[eye]):
                found.append(_reflection(staging, sitter, eye, lens, source))
    return found


def _reflection(staging: Staging, sitter: SitterPlace, eye: int, lens: Lens, source: Source) -> Reflection:
    camera_m = staging.camera.lens_m
    incoming = lens.places_m - camera_m
    incoming = incoming / np.linalg.norm(incoming, axis=1, keepdims=True)
    outward = mirrored(incoming, lens.normals)
    face = source.face
    outline = outer_outline(face.outline, face.centre_m, face.half_u_m, face.half_v_m)
    angles = angles_to_face_deg(lens.places_m, outward, outline, face.normal)
    visible = np.einsum("nk,nk->n", incoming, lens.normals) < 0
    hit = (angles == 0) & visible
    hit[hit] = [_clear(staging, sitter, lens, outward, source, int(k)) for k in np.flatnonzero(hit)]
    margin = 0.0 if hit.any() else float(angles[visible & (angles > 0)].min(initial=180.0))
    over_eye = bool((hit & (lens.from_middle_m <= OVER_EYE_M)).any())
    return Reflection(source.name, source.kind, EYES[eye], margin, float(hit.mean()), over_eye)


def _clear(
    staging: Staging, sitter: SitterPlace, lens: Lens, outward: Array, source: Source, place: int
) -> bool:
    """Whether the mirrored ray from one place of the lens reaches the source past everything else."""
    start, face = lens.places_m[place], source.face
    t = float((face.centre_m - start) @ face.normal) / float(outward[place] @ face.normal)
    own = own_face(sitter, staging.scene.solids) | {source.name}
    return bool(passing(staging.scene, start, (start + t * outward[place])[None, :], own)[0] > 0)


def _look_at(staging: Staging, sitter: SitterPlace) -> Finding:
    found = reflections(staging, sitter)
    if not found:
        text = f"No lamp or bright card is turned to the glasses of '{sitter.name}' (0 % of a lens covered)."
        return Finding("glare", "pass", sitter.name, text)
    showing = [one for one in found if one.share > 0]
    if showing:
        return _shows(sitter, showing)
    nearest = min(found, key=lambda one: one.margin_deg)
    margin = math.floor((nearest.margin_deg - NEAR_DEG) * 10) / 10
    text = (
        f"Nothing shows in the glasses of '{sitter.name}'; nearest is {_named(nearest)}, "
        f"{minus(nearest.margin_deg, 1)}° from the {nearest.eye}'s lens; {minus(NEAR_DEG)}° is wanted."
    )
    if margin >= 0:
        return Finding("glare", "pass", sitter.name, text, "", margin, NEAR_DEG, "deg")
    return Finding("glare", "look", sitter.name, text, _remedy(nearest), margin, NEAR_DEG, "deg")


def _shows(sitter: SitterPlace, showing: list[Reflection]) -> Finding:
    said = "; ".join(
        f"{_named(one)} covers {percent(max(one.share, _LEAST_SAID))} of the {one.eye}'s "
        f"lens{', the pupil too' if one.over_eye else ''}"
        for one in showing
    )
    text = f"In the glasses of '{sitter.name}' {said}; 0 % is wanted."
    worst = max(showing, key=lambda one: (one.over_eye, one.share))
    return Finding("glare", "look", sitter.name, text, _remedy(worst), -NEAR_DEG, NEAR_DEG, "deg")


def _named(one: Reflection) -> str:
    return f"the {one.kind} '{one.source}'"


def _remedy(one: Reflection) -> str:
    if one.kind == "card":
        return (
            "Take the card farther to the side or below until it leaves the lenses, or tip the glasses: each "
            "degree moves what shows by two; down at the front shows what is lower, up what is higher."
        )
    return (
        "Raise the lamp or take it farther to the side, or tip the glasses down at the front (lift the "
        "temple ends): each degree moves what shows by two. Then check the eyes again."
    )


CHECK = Check(
    "glare",
    "Glare in glasses",
    run,
    "Where glasses are worn, rays from the lens of the camera are mirrored at 475 places of each spectacle "
    "lens's front (50 × 36 mm, radius 530 mm over the base curve, tilted as the frame is), and each mirrored "
    "ray is held against every lamp and bright card: the share of the lens that is covered, or the least "
    "angle between. 5° is wanted, since a nod of 2 to 3° moves a reflection by twice that. Left out: the "
    "lens's back surface, its coating, the frame's wrap, walls and backdrop as sources.",
)
