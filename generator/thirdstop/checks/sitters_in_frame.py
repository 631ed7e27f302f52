"""Whether the sitters are in the picture, as far as the framing named wants them there."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from thirdstop.checks.findings import Check, Finding, Verdict
from thirdstop.checks.room_fit import NEAR_M, room_behind_m
from thirdstop.checks.view import SIDES, side_normals
from thirdstop.checks.wording import ceil_cm, clearance, floor_cm, length, needed
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import BodyPart, Ellipsoid
from thirdstop.staging.staging import CameraView, SitterPlace, Staging
from thirdstop.typed import Array, Vec

BROW_M = 0.03
"""From the pupils up to the brow: no close-up of a head is cropped lower; house value."""
SHORTEST_MM = 24
"""No shorter lens is suggested for people: it draws what is near it large; house value."""
_TOP = 3
_HEAD: tuple[BodyPart, ...] = ("head", "hair", "crown")
_FEET: tuple[BodyPart, ...] = ("lower leg",)
_HANDS: tuple[BodyPart, ...] = ("hand",)
_CLOSER_M = 0.01


@dataclass(frozen=True, eq=False)
class _Round:
    """An ellipsoid, or an ellipse, by its middle and its half-axes."""

    centre_m: Vec
    half_m: Array
    """One half-axis a row, shape (3, 3) or (2, 3)."""


@dataclass(frozen=True, eq=False)
class _Wanted:
    """What of a sitter must be in the picture."""

    name: str
    """As in a sentence: 'the head of 'sitter', with what is worn,'."""
    rounds: tuple[_Round, ...]
    top: tuple[_Round, ...]
    """What the top edge must not cut: the same, less what is cropped on purpose."""
    core: tuple[_Round, ...]
    """What must show at least in part."""

    def past_m(self, camera: CameraView) -> Array:
        """How far it reaches past each of SIDES at its own depth, shape (4,); negative inside."""
        past = _extremes_m(camera, self.rounds)[1].max(axis=0)
        past[_TOP] = _extremes_m(camera, self.top)[1].max(axis=0)[_TOP]
        return np.asarray(past)

    def out_m(self, camera: CameraView) -> Array:
        """How far the nearest of its core is past each of SIDES, shape (4,); negative if some is inside."""
        return np.asarray(_extremes_m(camera, self.core)[0].min(axis=0))


def _extremes_m(camera: CameraView, rounds: Sequence[_Round]) -> tuple[Array, Array]:
    """The least and the most that each reaches past each of SIDES, two arrays of shape (n, 4).

    Each side of the picture is a plane through the lens; a linear function's extremes over an ellipsoid are
    its value in the middle and the root of the summed squares of its values along the half-axes.
    """
    axes = np.stack([camera.right, camera.up, camera.forward], axis=1)
    normals = (side_normals(camera) @ axes.T).T
    middle = np.array([(one.centre_m - camera.lens_m) @ normals for one in rounds])
    half = np.array([np.linalg.norm(one.half_m @ normals, axis=0) for one in rounds])
    return middle - half, middle + half


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a sitter: how far inside the picture, or how far past its edges and what brings them in."""
    wanted = [_wanted(staging, sitter) for sitter in staging.sitters]
    return [
        _finding(staging, sitter, own, [one for one in wanted if one is not None])
        for sitter, own in zip(staging.sitters, wanted, strict=True)
        if own is not None
    ]


def _wanted(staging: Staging, sitter: SitterPlace) -> _Wanted | None:
    """None where nothing of the sitter that the framing wants is staged."""
    of = f"of '{sitter.name}'"
    if staging.framing == "hands":
        hands = _solids(staging, sitter, _HANDS)
        return _Wanted(f"the hands {of}", hands, hands, hands) if hands else None
    head = (*_solids(staging, sitter, _HEAD), *_brim(staging, sitter))
    core = _solids(staging, sitter, ("head",))
    if not core:
        return None
    top = _brows(sitter) if staging.framing == "head" else head
    if staging.framing == "full length":
        rounds = (*head, *_solids(staging, sitter, _FEET))
        return _Wanted(f"'{sitter.name}', from what is worn on the head to the feet,", rounds, head, core)
    return _Wanted(f"the head {of}, with what is worn,", head, top, core)


def _solids(staging: Staging, sitter: SitterPlace, parts: tuple[BodyPart, ...]) -> tuple[_Round, ...]:
    own = [solid for solid in staging.scene.solids if solid.sitter == sitter.index and solid.part in parts]
    return tuple(_round(solid) for solid in own)


def _round(solid: Ellipsoid) -> _Round:
    return _Round(solid.centre_m, (solid.axes * solid.semi_axes_m).T)


def _brim(staging: Staging, sitter: SitterPlace) -> tuple[_Round, ...]:
    """A brim belongs to the head that it is round."""
    return tuple(
        _Round(panel.centre_m, np.stack([panel.half_u_m, panel.half_v_m]))
        for panel in staging.scene.panels
        if panel.role == "brim" and _nearest(staging, panel.centre_m) is sitter
    )


def _nearest(staging: Staging, place_m: Vec) -> SitterPlace:
    return min(staging.sitters, key=lambda one: float(np.linalg.norm(one.head_centre_m - place_m)))


def _brows(sitter: SitterPlace) -> tuple[_Round, ...]:
    point = np.zeros((1, 3))
    return tuple(_Round(eye + BROW_M * sitter.up, point) for eye in sitter.eyes_m)


def _finding(staging: Staging, sitter: SitterPlace, own: _Wanted, everyone: list[_Wanted]) -> Finding:
    past, out = own.past_m(staging.camera), own.out_m(staging.camera)
    side, far = int(np.argmax(past)), int(np.argmax(out))
    what = own.name[0].upper() + own.name[1:]
    if past[side] <= 0:
        margin = floor_cm(float(-past[side]))
        plural = staging.framing == "hands"
        text = (
            f"{what} {'are' if plural else 'is'} {clearance(margin)} inside the {SIDES[side]} edge of the "
            f"picture, the least of all edges; {staging.framing} is framed."
        )
        return Finding("sitters-in-frame", "pass", sitter.name, text, "", margin, 0.0, "m")
    whole = bool(out[far] > 0)
    seen = "shows nothing of" if whole else "cuts"
    worst = far if whole else side
    text = (
        f"The picture {seen} {own.name.removesuffix(',')}: {needed(float(past[worst]))} past the "
        f"{SIDES[worst]} edge; {staging.framing} is framed, which wants all of that inside."
    )
    remedy = _remedy(staging, everyone)
    margin, verdict = -ceil_cm(float(past[worst])), _verdict(whole)
    return Finding("sitters-in-frame", verdict, sitter.name, text, remedy, margin, 0.0, "m")


def _verdict(whole: bool) -> Verdict:
    return "halt" if whole else "look"


def _remedy(staging: Staging, everyone: list[_Wanted]) -> str:
    """What brings all of them in, each tried on the camera itself."""
    camera = staging.camera
    ways = [
        _moved(staging, camera, everyone)
        or _turned_and_moved(staging, everyone)
        or _moved_and_shorter(staging, everyone),
        _farther(staging, everyone),
        _lens_alone(camera, everyone),
        "bring the sitters closer together" if len(everyone) > 1 and _only_aside(camera, everyone) else "",
    ]
    told = [way for way in ways if way]
    if not told:
        return "Nothing brings that in within this room: name a tighter framing, or seat them otherwise."
    told[0] = told[0].replace(" it", " the camera", 1)
    return f"{told[0][0].upper()}{', or '.join(told)[1:]}."


def _turned_and_moved(staging: Staging, everyone: list[_Wanted]) -> str:
    camera = _turned(staging.camera)
    turn = "turn it to its other format"
    if _fits(camera, everyone):
        return turn
    move = _moved(staging, camera, everyone)
    return f"{turn} and {move}" if move else ""


def _only_aside(camera: CameraView, everyone: list[_Wanted]) -> bool:
    """Whether someone reaches past the left or right edge, and nobody past the others."""
    past = np.max([one.past_m(camera) for one in everyone], axis=0)
    return bool(past[:2].max() > 0 >= past[2:].max())


def _fits(camera: CameraView, everyone: list[_Wanted]) -> bool:
    return all(float(one.past_m(camera).max()) <= 0 for one in everyone)


def _turned(camera: CameraView) -> CameraView:
    return replace(
        camera,
        sensor_across_m=camera.sensor_upright_m,
        sensor_upright_m=camera.sensor_across_m,
        tan_half_across=camera.tan_half_upright,
        tan_half_upright=camera.tan_half_across,
    )


def _moved(staging: Staging, camera: CameraView, everyone: list[_Wanted]) -> str:
    """Sidewise, up or down, by as little as brings everyone in; empty where that doesn't, or not in here."""
    past = np.max([one.past_m(camera) for one in everyone], axis=0)
    across, up = _shift_m(past[0], past[1]), _shift_m(past[2], past[3])
    there = _shifted(camera, across, up)
    return _move_words(across, up) if _fits(there, everyone) and _stands(staging, there) else ""


def _moved_and_shorter(staging: Staging, everyone: list[_Wanted]) -> str:
    """Moved to the middle of everyone, along the edges past which someone is, and then a shorter lens."""
    camera = staging.camera
    past = np.max([one.past_m(camera) for one in everyone], axis=0)
    across, up = (
        round(float(high - low) / 2, 2) if max(low, high) > 0 else 0.0 for low, high in (past[:2], past[2:])
    )
    there = _shifted(camera, across, up)
    move, lens = _move_words(across, up), _shorter(there, everyone)
    return f"{move} and {lens}" if move and lens and _stands(staging, there) else ""


def _shifted(camera: CameraView, across_m: float, up_m: float) -> CameraView:
    return replace(camera, focal_plane_m=camera.focal_plane_m + across_m * camera.right + up_m * camera.up)


def _move_words(across: float, up: float) -> str:
    ways = [
        f"{length(abs(move))} {words[move > 0]}"
        for move, words in ((across, ("to camera-left", "to camera-right")), (up, ("down", "up")))
        if move
    ]
    return f"move it {' and '.join(ways)}" if ways else ""


def _lens_alone(camera: CameraView, everyone: list[_Wanted]) -> str:
    lens = _shorter(camera, everyone)
    return f"{lens} from where it is" if lens else ""


def _shift_m(past_low_m: float, past_high_m: float) -> float:
    """Toward the side past which something reaches: to the centimetre."""
    if past_low_m > 0:
        return -ceil_cm(float(past_low_m))
    return ceil_cm(float(past_high_m)) if past_high_m > 0 else 0.0


def _stands(staging: Staging, camera: CameraView) -> bool:
    """Whether a camera is 10 cm from floor, ceiling and side walls: half its body, and a hand's breadth."""
    room, (x, _, z) = staging.room, camera.focal_plane_m
    clear_m = 2 * NEAR_M
    return bool(
        room.left_m + clear_m <= x <= room.right_m - clear_m and clear_m <= z <= room.height_m - clear_m
    )


def _farther(staging: Staging, everyone: list[_Wanted]) -> str:
    camera, nose_m = staging.camera, staging.sitters[0].nose_m
    spare_m = floor_cm(room_behind_m(staging) - staging.behind_camera_m)

    def at(back_m: float) -> bool:
        place = camera.focal_plane_m - back_m * np.array([0.0, 1.0, 0.0])
        there = replace(camera, focal_plane_m=place, distance_m=float(np.linalg.norm(nose_m - place)))
        return _fits(_focused(there, there.focal_length_m), everyone)

    back_m = _least(at, spare_m)
    return f"take it {length(ceil_cm(back_m))} farther back" if back_m is not None else ""


def _shorter(camera: CameraView, everyone: list[_Wanted]) -> str:
    """The longest lens that takes everyone in from where the camera is, in whole millimetres."""
    for mm in range(int(camera.focal_length_m * 1000 - 1e-6), SHORTEST_MM - 1, -1):
        if _fits(_focused(camera, mm / 1000), everyone):
            return f"use a lens of {mm} mm or shorter"
    return ""


def _focused(camera: CameraView, focal_m: float) -> CameraView:
    """The camera with that focal length, focused on its distance: 1/f = 1/u + 1/v, D = u + v."""
    distance_m = camera.distance_m
    image_m = (distance_m - float(np.sqrt(distance_m**2 - 4 * focal_m * distance_m))) / 2
    return replace(
        camera,
        focal_length_m=focal_m,
        image_distance_m=image_m,
        tan_half_across=camera.sensor_across_m / 2 / image_m,
        tan_half_upright=camera.sensor_upright_m / 2 / image_m,
    )


def _least(holds: Callable[[float], bool], most: float) -> float | None:
    """The least from 0 to `most`, in centimetres, at which it holds; None where it doesn't."""
    for step in range(1, int(most / _CLOSER_M + 1e-6) + 1):
        if holds(step * _CLOSER_M):
            return step * _CLOSER_M
    return None


CHECK = Check(
    "sitters-in-frame",
    "Sitters in the picture",
    run,
    "Every sitter's head, with hair, hat and brim, must be inside all four edges of the picture; in a full "
    "length the feet too; where hands are framed, only the hands. Framed as a head, the top edge may crop "
    "hair and hat down to the brow (3 cm over the pupils). A head of which nothing shows is a halt: the "
    "picture can't be taken so. One that is cut is worth a look. Each remedy was tried on the camera, with "
    "every sitter in it: the move sidewise, up or down, the distance back with the house's room left free "
    "behind the focal plane, the longest lens in whole millimetres (24 mm or more). What stands before a "
    "sitter, and how much room over a head looks well, is the photographer's to judge.",
)
