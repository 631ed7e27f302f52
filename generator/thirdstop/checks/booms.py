"""Whether a boom goes through somebody, a hat, another thing and its stand, the backdrop or the camera."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from thirdstop.checks.columns import GIVES_M, camera_plan_m, column_hits, part_of
from thirdstop.checks.parts import TUBE_HALF_M, boom_ends_m, parts_of, placed
from thirdstop.checks.polygons import HalfSpace, clip, outer_outline, plan_gap_m
from thirdstop.checks.segments import in_solids, to_polygon_m, to_segments_m
from thirdstop.checks.wording import degrees, length, listed
from thirdstop.staging.clashes import CAMERA_HALF_M
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Item, Staging, Support
from thirdstop.staging.vectors import UP, bearing_direction, bearing_of
from thirdstop.typed import Array, Mask

_TURN_DEG = 5.0
"""Steps in which a boom's side is tried and told."""


@dataclass(frozen=True)
class BoomThrough:
    """A boom that can't be where it is."""

    what: str
    """All that it goes through: 'the head of 'sitter' and the card 'fill''."""
    from_deg: float | None
    """The nearest side that it can come from instead, as a bearing at its load; None where there is none."""
    turn_deg: float
    """How far round that is."""
    base_m: Array
    """Where its stand then stands, shape (3,)."""

    @property
    def remedy(self) -> str:
        """What to do about it."""
        if self.from_deg is None:
            return "Use a stand without a boom, or another place for its load or for what is in the way."
        return (
            f"Let it come from {_side(self.from_deg)} instead: its stand then stands {_place(self.base_m)}."
        )


def _side(bearing_deg: float) -> str:
    if round(bearing_deg) % 180 == 0:
        return "straight in front" if abs(bearing_deg) < 90 else "straight behind"
    return f"{degrees(abs(bearing_deg))} camera-{'right' if bearing_deg > 0 else 'left'}"


def _place(base_m: Array) -> str:
    along = f"{length(abs(float(base_m[1])))} {'toward' if base_m[1] <= 0 else 'away from'} the camera"
    return f"{along} and {length(abs(float(base_m[0])))} camera-{'right' if base_m[0] >= 0 else 'left'} of M"


def boom_through(
    staging: Staging, item: Item, suits: Callable[[Item], bool] = lambda _: True
) -> BoomThrough | None:
    """What the boom under a thing goes through, and from which side it could come; None where it is free.

    `suits` says whether the thing with its boom from another side fits all the rest: the room, the picture.
    """
    support = item.support
    if support is None or support.boom is None:
        return None
    names, hit = _hits(staging, item, [support])
    if not hit.any():
        return None
    what = listed(list(dict.fromkeys(name for name, at in zip(names, hit[0], strict=True) if at)))
    for turn_deg, bearing_deg, turned in _turned(staging, item, support):
        if suits(replace(item, support=turned)):
            return BoomThrough(what, bearing_deg, turn_deg, turned.base_m)
    return BoomThrough(what, None, 0.0, support.base_m)


def _turned(staging: Staging, item: Item, support: Support) -> list[tuple[float, float, Support]]:
    """Turn and bearing in degrees, and the boom from there; the least turn first, those alone that are free
    with their column.
    """
    now_deg = bearing_of(support.base_m - support.load_m)
    sides = np.arange(-180.0 + _TURN_DEG, 180.0 + _TURN_DEG, _TURN_DEG)
    turns = np.abs((sides - now_deg + 180.0) % 360.0 - 180.0)
    order = np.argsort(turns, kind="stable")
    supports = [_from(support, float(sides[k])) for k in order]
    bases = np.array([one.base_m[:2] for one in supports])
    masks = _hits(staging, item, supports)[1], column_hits(staging, item, support, bases)[1]
    free = np.flatnonzero(~np.concatenate(masks, axis=1).any(axis=1))
    return [(float(turns[order[k]]), float(sides[order[k]]), supports[k]) for k in free]


def _from(support: Support, bearing_deg: float) -> Support:
    """The same boom from another side, its load where it is."""
    out_m = float(np.hypot(*(support.base_m - support.load_m)[:2])) * bearing_direction(bearing_deg)
    base_m, top_m = support.base_m.copy(), support.column_top_m.copy()
    base_m[:2] = top_m[:2] = support.load_m[:2] + out_m[:2]
    return replace(support, base_m=base_m, column_top_m=top_m)


def _hits(staging: Staging, item: Item, supports: list[Support]) -> tuple[list[str], Mask]:
    """What there is, and whether each of n booms hits it, shape (n, k)."""
    start_m, end_m = (np.array(ends) for ends in zip(*map(boom_ends_m, supports), strict=True))
    names = [part_of(staging, solid) for solid in staging.scene.solids]
    masks = [in_solids(staging.scene.solids, start_m, end_m, TUBE_HALF_M - GIVES_M)]
    for name, polygon in _flat(staging, item):
        names.append(name)
        masks.append((to_polygon_m(start_m, end_m, polygon) < TUBE_HALF_M - GIVES_M)[:, None])
    for name, (first_m, last_m) in _tubes(staging, item):
        names.append(name)
        masks.append(to_segments_m(start_m, end_m, first_m[None], last_m[None]) < 2 * TUBE_HALF_M)
    names.append("the camera")
    masks.append(np.array([_at_camera(staging, ends) for ends in zip(start_m, end_m, strict=True)])[:, None])
    return names, np.concatenate(masks, axis=1)


def _flat(staging: Staging, item: Item) -> Iterator[tuple[str, Array]]:
    """Faces and bodies of other things, brims, the sheet of the backdrop."""
    for other in placed(staging):
        if other.name != item.name:
            for part in parts_of(other):
                if part.name in ("face", "body") and len(part.polygon) > 2:
                    yield f"the {other.kind} '{other.name}'", part.polygon
    for panel in staging.scene.panels:
        if panel.name == "backdrop":
            yield "the backdrop", panel.corners_m
        elif panel.role == "brim":
            yield _brim(staging, panel), _outline(panel)


def _brim(staging: Staging, panel: Panel) -> str:
    """The first sitter's brim has no name before it."""
    return f"the brim of '{panel.name.removesuffix('brim').strip() or staging.sitters[0].name}'"


def _outline(panel: Panel) -> Array:
    return outer_outline(panel.outline, panel.centre_m, panel.half_u_m, panel.half_v_m)


def _tubes(staging: Staging, item: Item) -> Iterator[tuple[str, tuple[Array, Array]]]:
    """Columns and booms of other things."""
    for other in placed(staging):
        if other.name == item.name or other.support is None:
            continue
        yield f"the column of the stand of '{other.name}'", (other.support.base_m, other.support.column_top_m)
        if other.support.boom is not None:
            yield f"the boom of '{other.name}'", boom_ends_m(other.support)


def _at_camera(staging: Staging, ends_m: tuple[Array, Array]) -> bool:
    """Whether a boom is in the camera's body and lens, or under them, where they are carried."""
    (left, back), (right, front) = camera_plan_m(staging.camera)
    footprint = np.array([[left, back, 0.0], [right, back, 0.0], [right, front, 0.0], [left, front, 0.0]])
    # as high as its body is held either way, which is more than its lens
    top_m = float(staging.camera.focal_plane_m[2]) + max(CAMERA_HALF_M)
    low = clip(np.array(ends_m), HalfSpace(UP, top_m + TUBE_HALF_M))
    return len(low) > 0 and plan_gap_m(low, footprint) < TUBE_HALF_M
