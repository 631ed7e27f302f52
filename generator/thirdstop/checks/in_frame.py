"""Whether a card, a lamp, a blocker or what holds it stands in the picture."""

from dataclasses import dataclass

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.parts import Part, called, parts_of, placed
from thirdstop.checks.places import main_sheet
from thirdstop.checks.polygons import HalfSpace, clip
from thirdstop.checks.sightlines import passing
from thirdstop.checks.view import (
    SIDES,
    from_view,
    inside,
    moves_out_m,
    outside_by_m,
    side_direction,
    to_view,
)
from thirdstop.checks.wording import ceil_cm, clearance, floor_cm, length, needed
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import CameraView, Item, Staging
from thirdstop.typed import Array

NEAR_M = 0.05
"""Clear of the frame by less than this is worth a look: a card is placed to 5 cm."""
_SHOWN = 0.005
"""Share of the sample places that must be seen for a thing to count as visible."""
_WAYS = ("to camera-left", "to camera-right", "down", "up")
_SIDEWISE = (0, 1)
_ON_FLOOR = ("column", "legs")
_RINGS = 15
_NEAREST_STRING_M = 0.15
_STEP_M = 0.01


@dataclass(frozen=True, eq=False)
class _Sight:
    """A part of a thing as the lens has it."""

    part: Part
    view: Array
    """What of the part stands in front of the sheet, view axes."""
    inside: bool
    """Whether any of it lies inside the edges of the picture."""
    seen: float
    """Share of what lies inside that the lens sees past sitters and other things."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a thing: how far outside the picture it stands, or how far it must move to leave it."""
    return [_look_at(staging, item) for item in placed(staging)]


def frame_margin_m(staging: Staging, item: Item) -> float:
    """How far a thing with all that holds it is outside the picture, at its own depth.

    Infinity where none of it is in front of the lens; negative, by what it must move, where it shows.
    """
    sights = _sights(staging, item)
    visible = [sight for sight in sights if sight.seen > _SHOWN]
    if visible:
        return -float(_moves_m(staging.camera, visible).min())
    return min((_margin_m(staging.camera, sight) for sight in sights), default=float("inf"))


def closest_string_m(staging: Staging, item: Item) -> float:
    """The string to which a face may come along its own line to the nose before 5 cm from the picture.

    It keeps its direction. Its present string where it is too near already, 0.15 m where it never is.
    """
    face, line = parts_of(item)[0].polygon, staging.sitters[0].nose_m - item.centre_m
    string_m = float(np.linalg.norm(line))
    for step in range(int((string_m - _NEAREST_STRING_M) / _STEP_M) + 1):
        moved = to_view(staging.camera, face + step * _STEP_M / string_m * line)
        if len(inside(staging.camera, moved, NEAR_M)):
            return string_m - max(0, step - 1) * _STEP_M
    return min(string_m, _NEAREST_STRING_M)


def _look_at(staging: Staging, item: Item) -> Finding:
    sights = _sights(staging, item)
    visible = [sight for sight in sights if sight.seen > _SHOWN]
    if visible:
        return _in_picture(staging, item, visible)
    if any(sight.inside for sight in sights):
        return _hidden(item, [sight for sight in sights if sight.inside])
    return _outside(staging, item, sights)


def _sights(staging: Staging, item: Item) -> list[_Sight]:
    found = []
    for part in parts_of(item):
        view = _before_sheet(staging, part)
        if len(view):
            piece = inside(staging.camera, view, part.half_m)
            seen = _seen(staging, item, from_view(staging.camera, piece)) if len(piece) else 0.0
            found.append(_Sight(part, view, len(piece) > 0, seen))
    return found


def _before_sheet(staging: Staging, part: Part) -> Array:
    """The part in view axes, without what stands behind the backdrop sheet's plane."""
    sheet, polygon = main_sheet(staging), part.polygon
    if sheet is not None:
        away = sheet.normal
        if float(away @ (staging.camera.lens_m - sheet.centre_m)) > 0:
            away = -away
        polygon = clip(polygon, HalfSpace(away, float(away @ sheet.centre_m)))
    return to_view(staging.camera, polygon) if len(polygon) else polygon


def _seen(staging: Staging, item: Item, piece: Array) -> float:
    return float(passing(staging.scene, staging.camera.lens_m, _spread(piece), {item.name}).mean())


def _spread(polygon: Array) -> Array:
    """Places over a convex polygon, its corners pulled in a little, shape (m, 3)."""
    middle = polygon.mean(axis=0)
    onward = np.roll(polygon, 1, axis=0) - polygon
    edges = np.concatenate([polygon + t * onward for t in (0.0, 0.25, 0.5, 0.75)])
    return np.concatenate([middle + r * (edges - middle) for r in np.linspace(0.02, 0.98, _RINGS)])


def _margin_m(camera: CameraView, sight: _Sight) -> float:
    return outside_by_m(camera, sight.view) - sight.part.half_m


def _moves_m(camera: CameraView, visible: list[_Sight]) -> Array:
    """How far the visible parts together must move past each side, shape (4,)."""
    moves = [moves_out_m(camera, sight.view) + sight.part.half_m for sight in visible]
    return np.asarray(np.max(moves, axis=0))


def _in_picture(staging: Staging, item: Item, visible: list[_Sight]) -> Finding:
    moves = _moves_m(staging.camera, visible)
    order = [int(k) for k in np.argsort(moves, kind="stable")]
    # what stands on the floor leaves the picture sidewise alone
    on_floor = any(sight.part.name in _ON_FLOOR for sight in visible)
    order = [k for k in order if k in _SIDEWISE or not on_floor]
    ways = [k for k in order if _has_room(staging, item, k, float(moves[k]))]
    side = (ways or order)[0]
    move_m = float(moves[side])
    words = " and ".join(dict.fromkeys(sight.part.words for sight in visible))
    text = (
        f"{called(item)} stands in the picture with {words}: it reaches {needed(move_m)} past the "
        f"{SIDES[side]} edge, and must stay {length(NEAR_M)} outside."
    )
    remedy = f"Move it {needed(move_m)} {_WAYS[side]} at its own depth, and {length(NEAR_M)} more to be sure."
    if not ways:
        remedy = (
            "No move at its own depth leaves the picture inside this room: "
            "frame tighter, or use a smaller one nearer to the sitter."
        )
        if on_floor:
            boomed = item.support is not None and item.support.boom is not None
            other = "let its boom come from another side" if boomed else "hold it by a boom from beside"
            remedy = (
                "No move aside leaves the picture inside this room: frame tighter, raise the camera, or "
                f"{other}."
            )
    margin = -ceil_cm(move_m + NEAR_M)
    return Finding("in-frame", "look", item.name, text, remedy, margin, NEAR_M, "m")


def _has_room(staging: Staging, item: Item, side: int, move_m: float) -> bool:
    """Whether face and body, and aside the column too, stay in the room when moved past that side."""
    room = staging.room
    names = ("face", "body", "column") if side in _SIDEWISE else ("face", "body")
    moved = np.concatenate([part.polygon for part in parts_of(item) if part.name in names])
    moved = moved + move_m * side_direction(staging.camera, side)
    low = np.array([room.left_m, room.front_m, 0.0])
    high = np.array([room.right_m, room.back_m, room.height_m])
    return bool((moved >= low).all() and (moved <= high).all())


def _hidden(item: Item, sights: list[_Sight]) -> Finding:
    words = " and ".join(dict.fromkeys(sight.part.words for sight in sights))
    text = (
        f"{called(item)} stands inside the edges of the picture with {words}, "
        "but the sitter or another thing hides all of it from the lens (0 % shows)."
    )
    return Finding("in-frame", "pass", item.name, text)


def _outside(staging: Staging, item: Item, sights: list[_Sight]) -> Finding:
    margins = [(_margin_m(staging.camera, sight), sight.part) for sight in sights]
    finite = [pair for pair in margins if np.isfinite(pair[0])]
    if not finite:
        text = f"{called(item)} stands wholly behind the lens or behind the sheet, out of the picture."
        return Finding("in-frame", "pass", item.name, text)
    margin_m, part = min(finite, key=lambda pair: pair[0])
    text = (
        f"{called(item)} clears the picture by {clearance(margin_m)} at its own depth, nearest with "
        f"{part.words}; {length(NEAR_M)} is wanted."
    )
    spare_m = floor_cm(margin_m - NEAR_M)
    if item.kind == "card" and staging.sitters and item.string_from == "nose":
        closest = needed(closest_string_m(staging, item))
        text += f" On its line to the nose it stays clear to a string of {closest}."
    if margin_m >= NEAR_M:
        return Finding("in-frame", "pass", item.name, text, "", spare_m, NEAR_M, "m")
    remedy = f"Move it {needed(NEAR_M - margin_m)} further out, or look through the camera before each take."
    return Finding("in-frame", "look", item.name, text, remedy, spare_m, NEAR_M, "m")


CHECK = Check(
    "in-frame",
    "Out of the picture",
    run,
    "Every polygon of a card, blocker or lamp (face, body, column, boom, the circle of the stand's legs) is "
    "cut with the pyramid from the lens through the edges of the picture. What stands behind the backdrop "
    "sheet does not count, nor what a sitter or another thing hides wholly. The margin is measured along the "
    "picture at the thing's own depth; 5 cm is wanted, since a card is placed to 5 cm. A thing that shows "
    "gets the shortest move past an edge that stays inside the room. Which way a stand's legs point is not "
    "stated, so the whole circle of their ends counts. The lens is taken as a point that draws without "
    "distortion.",
)
