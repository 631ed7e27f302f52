"""Whether a stand's column goes through somebody, a seat, another column, another thing or the camera."""

from dataclasses import dataclass

import numpy as np

from thirdstop.checks.parts import TUBE_HALF_M, placed
from thirdstop.checks.segments import in_solids
from thirdstop.checks.wording import length, listed
from thirdstop.staging.clashes import CAMERA_BACK_M, CAMERA_HALF_M, LENS_FRONT_M
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.staging import CameraView, Item, SitterPlace, Staging, Support
from thirdstop.typed import Array, Mask

SEAT_HALF_M = 0.18
"""Half of a seat's width: a round stool of 36 cm about the pelvis, assumed."""
GIVES_M = 0.01
"""A column or boom may touch clothes, or press them in by this much."""
_MOST_M = 0.60
_STEP_M = 0.01
_WAYS = (
    ("camera-left", (-1.0, 0.0)),
    ("camera-right", (1.0, 0.0)),
    ("toward the camera", (0.0, -1.0)),
    ("away from the camera", (0.0, 1.0)),
)


@dataclass(frozen=True)
class Through:
    """A column that can't stand where it is."""

    what: str
    """All that it goes through: 'the right thigh of 'sitter' and the seat of 'sitter''."""
    move_m: float | None
    """The least move along or across the camera line that frees it; None where none up to 60 cm does."""
    way: str
    """'camera-left', 'toward the camera'."""
    on_boom: bool = False

    @property
    def remedy(self) -> str:
        """What to do about it."""
        other = "let the boom come from another side" if self.on_boom else "use a boom from beside"
        if self.move_m is None:
            return f"Put the stand elsewhere, or {other}."
        return f"Move the stand {length(self.move_m)} {self.way}, or {other}."


def through(staging: Staging, item: Item) -> Through | None:
    """What the column of a thing's stand goes through, and what frees it; None where it stands free."""
    support = item.support
    if support is None:
        return None
    here = support.base_m[None, :2]
    names, hit = column_hits(staging, item, support, here)
    if not hit.any():
        return None
    found = [name for name, at in zip(names, hit[0], strict=True) if at]
    move_m, way = _least_move(staging, item, support)
    return Through(listed(list(dict.fromkeys(found))), move_m, way, support.boom is not None)


def _least_move(staging: Staging, item: Item, support: Support) -> tuple[float | None, str]:
    room, steps = staging.room, np.arange(1, round(_MOST_M / _STEP_M) + 1) * _STEP_M
    ways = np.array([way for _, way in _WAYS])
    # axes: step, way, xy
    places = (support.base_m[:2] + steps[:, None, None] * ways).reshape(-1, 2)
    free = ~column_hits(staging, item, support, places)[1].any(axis=1)
    free &= (places > (room.left_m, room.front_m)).all(axis=1)
    free &= (places < (room.right_m, room.back_m)).all(axis=1)
    if not free.any():
        return None, ""
    first = int(np.argmax(free))
    return float(steps[first // len(_WAYS)]), _WAYS[first % len(_WAYS)][0]


def column_hits(staging: Staging, item: Item, support: Support, places: Array) -> tuple[list[str], Mask]:
    """What there is, and whether a column at each place on the plan, of shape (n, 2), hits it, (n, k)."""
    top_m = float(support.column_top_m[2])
    others = [one for one in placed(staging) if one.name != item.name]
    names = [part_of(staging, solid) for solid in staging.scene.solids]
    foot, top = (np.column_stack([places, np.full(len(places), z_m)]) for z_m in (0.0, top_m))
    masks = [in_solids(staging.scene.solids, foot, top, TUBE_HALF_M - GIVES_M)]
    for sitter in staging.sitters:
        if sitter.seat_height_m is not None:
            names.append(f"the seat of '{sitter.name}'")
            masks.append(_near(places, _seat_m(staging, sitter), SEAT_HALF_M + TUBE_HALF_M)[:, None])
    for other in others:
        if other.support is not None:
            names.append(f"the column of the stand of '{other.name}'")
            masks.append(_near(places, other.support.base_m[:2], 2 * TUBE_HALF_M)[:, None])
    names.append("the camera")
    masks.append(_at_camera(staging, places)[:, None])
    return names, np.concatenate(masks, axis=1)


def part_of(staging: Staging, solid: Ellipsoid) -> str:
    """A part of a body in a sentence: 'the right thigh of 'sitter''."""
    name = staging.sitters[solid.sitter].name
    return f"the {solid.name.removeprefix(name + ' ')} of '{name}'"


def _near(places: Array, middle: Array, radius_m: float) -> Mask:
    return np.asarray(((places - middle) ** 2).sum(axis=1) < radius_m**2)


def _seat_m(staging: Staging, sitter: SitterPlace) -> Array:
    """Middle of the seat on the plan: under the pelvis, else the mark."""
    for solid in staging.scene.solids:
        if solid.sitter == sitter.index and solid.part == "pelvis":
            return np.asarray(solid.centre_m[:2])
    return np.asarray(sitter.mark_m[:2])


def _at_camera(staging: Staging, places: Array) -> Mask:
    """Whether places are under, in or over the camera's body and lens, as it looks on the plan."""
    low, high = camera_plan_m(staging.camera)
    return np.asarray(((places > low - TUBE_HALF_M) & (places < high + TUBE_HALF_M)).all(axis=1))


def camera_plan_m(camera: CameraView) -> tuple[Array, Array]:
    """The two corners on the plan, each of shape (2,), between which a camera's body and lens are."""
    half_m = CAMERA_HALF_M[0] if camera.sensor_across_m >= camera.sensor_upright_m else CAMERA_HALF_M[1]
    x, y = float(camera.focal_plane_m[0]), float(camera.focal_plane_m[1])
    front_m = float(camera.lens_m[1]) + LENS_FRONT_M
    return np.array([x - half_m, y - CAMERA_BACK_M]), np.array([x + half_m, front_m])
