"""The elevation at 1:50: heights, strings and leans, seen along the floor.

It runs along the line mark→camera, or along the key's bearing, the camera or the key to the left. A string
or a lean is written only where it is drawn at its true size; the others stand in the table.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.constants import Units
from thirdstop.drawings.contents import polygon_of, wish_numbers
from thirdstop.drawings.detail import measured_items
from thirdstop.drawings.fonts import ascent_mm, descent_mm, text_width_mm
from thirdstop.drawings.geometry import UPRIGHT, View, rectangle
from thirdstop.drawings.labels import Box
from thirdstop.drawings.lengths import METRIC, SYSTEMS, System
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.palette import palette as shipped_palette
from thirdstop.drawings.rulers import Place, Ruler, arrowhead, entries, scale_bar, scale_bar_mm
from thirdstop.drawings.sheet import Drawing, Sheet
from thirdstop.drawings.svg import identifier
from thirdstop.drawings.things import (
    camera_item,
    camera_parts,
    depth_of,
    draw_camera,
    draw_item,
    draw_sitter,
    draw_support,
    draw_worn_and_seats,
    face_points,
    field_m,
    is_black,
    item_points,
    support_points,
)
from thirdstop.drawings.values import wish_text, wish_value
from thirdstop.staging.staging import Item, Staging
from thirdstop.typed import Vec

Along: TypeAlias = Literal["camera", "key", "auto"]

Scale: TypeAlias = Literal[20, 50]
SCALE: Scale = 50
BAND_MM = 2.0
OBLIQUE_DEG = 20.0
"""With the key further than this from the camera's line, its own bearing shows more."""
ROOM_M = 0.35
"""Kept free before the first and after the last thing."""
FACES_EDGE = 0.2
"""A face is seen as an edge, so that its lean is drawn true, when this share or less of it looks here."""
_LINE_MM = 0.3
"""A column's line beside the camera by less looks as if it touched it."""
_APART_M = 0.10
"""Nearer to the camera than this, across the sheet, a column isn't said to be another thing's."""
LEAN_LINE_MM = 9.0


@dataclass(frozen=True, eq=False)
class _Ground:
    """What the elevation holds: its plane, from where along it, where that lies on the sheet."""

    along_key: bool
    view: View
    start_m: float
    box: Box
    over_mm: float = 0.0
    """How far the ruler's labels reach below the floor."""

    def beside(self, ruler: Ruler, staging: Staging) -> "_Ground":
        """The same on the sheet where a ruler of heights has its room to the left."""
        k, was = self.view.mm_per_m, self.box
        band = 0.0 if self.along_key else BAND_MM
        above, below = ruler.over_mm(staging.room.height_m * k, 0.0, k)
        x0 = 3.0 + ruler.reach_mm + 0.8 + band * float(self.start_m <= staging.room.front_m + 1e-6)
        y0 = max(BAND_MM, above) + 0.8
        view = self.view.at(x0 - self.start_m * k, y0 + was.y1)
        return replace(self, view=view, box=was.moved(x0, y0), over_mm=below)


def elevation(
    staging: Staging,
    along: Along = "auto",
    scale: Scale = SCALE,
    palette: Palette | None = None,
    units: Units = "metric",
) -> Drawing:
    """The elevation at 1:scale with heights over the floor at the left, strings and leans where true."""
    return elevation_in(staging, along, scale, palette)(units)


def elevation_in(
    staging: Staging, along: Along = "auto", scale: Scale = SCALE, palette: Palette | None = None
) -> Callable[[Units], Drawing]:
    """The same for one system of units after another: what stands there is drawn once."""
    things = Sheet(palette or shipped_palette())
    ground = _ground(staging, along, scale)
    _room(things, ground)
    _contents(things, staging, ground)
    return lambda units: _finished(things, staging, ground, scale, units)


def _finished(things: Sheet, staging: Staging, at_origin: _Ground, scale: Scale, units: Units) -> Drawing:
    """With heights, strings, leans and numbers."""
    system = SYSTEMS[units]
    heights = entries(height_places(staging), system)
    ground = at_origin.beside(Ruler(Sheet(things.look, system), heights, turned=False), staging)
    box, view = ground.box, ground.view
    sheet = things.moved(np.array([box.x0, box.y0]), system)
    Ruler(sheet, heights, turned=False).draw(box.x0 - 3.0, box.y1, view.mm_per_m, (box.y0, box.y1))
    sheet.window = polygon_of(box)
    if not ground.along_key:
        _wish_frame(sheet, view, staging)
    for item in measured_items(staging):
        _string(sheet, view, staging, item)
        _lean(sheet, view, item)
    sheet.window = None
    wish_numbers(sheet, view, _shown(staging, ground))
    sheet.settle(box.grown(-0.6))
    lines = [line for line in (_depths_say(staging, view), camera_says(staging, view)) if line]
    foot = _foot(sheet, ground, scale, lines)
    line = "the key's bearing" if ground.along_key else "the line mark to camera"
    title = f"Elevation of {staging.title} along {line}, 1:{scale}"
    prefix = f"{identifier(staging.slug)}-elevation-{scale}"
    width = max(box.x1 + (0.0 if ground.along_key else BAND_MM), foot.x1) + 1.0
    return sheet.finish(width, foot.y1 + 0.8, scale, prefix, title, describe_heights(staging, system))


def height_places(staging: Staging) -> list[Place]:
    """What the ruler of heights shows, upward from the floor as negative distances, metres."""
    places = [Place(0.0, None, "floor"), Place(-staging.room.height_m, None, "ceiling")]
    for sitter in staging.sitters:
        name = "eyes" if len(staging.sitters) == 1 else f"eyes {sitter.name}"
        places.append(Place(-sitter.eye_height_m, None, name))
    for item in staging.items:
        if item.kind in ("lamp", "card", "blocker", "camera"):
            places.append(Place(-item.height_m, item.number))
    return places


def describe_heights(staging: Staging, system: System = METRIC) -> str:
    """The elevation in words, for readers who don't see it."""
    sentences = [
        f"{item.number}: {item.name}, {system.said(item.height_m)} over the floor, {_lean_words(item)}."
        for item in staging.items
        if item.kind in ("lamp", "card", "blocker", "camera")
    ]
    return " ".join(["The room from the side, heights over the floor.", *sentences])


def _lean_words(item: Item) -> str:
    lean = round(item.lean_deg)
    return "upright" if lean == 0 else f"leaning {lean}° {item.lean_way}"


def key_item(staging: Staging) -> Item | None:
    """The key among the numbered things."""
    return next((item for item in staging.items if item.kind == "lamp"), None)


def _ground(staging: Staging, along: Along, scale: Scale) -> _Ground:
    """With the upper left corner of what is shown at the sheet's own."""
    key = key_item(staging)
    aside = 0.0 if key is None else abs(np.degrees(np.arctan2(np.sin(_bearing(key)), np.cos(_bearing(key)))))
    aside = min(aside, 180.0 - aside)
    use_key = key is not None and (along == "key" or (along == "auto" and aside > OBLIQUE_DEG))
    way = np.array([0.0, -1.0, 0.0])
    if use_key and key is not None:
        way = np.array([np.sin(_bearing(key)), -np.cos(_bearing(key)), 0.0])
    view = View(-way, UPRIGHT, scale)
    start, end = _span_m(staging, view, use_key)
    k = view.mm_per_m
    box = Box(0.0, 0.0, (end - start) * k, staging.room.height_m * k)
    return _Ground(use_key, view.at(-start * k, box.y1), start, box)


def _bearing(item: Item) -> float:
    return float(np.arctan2(item.side_m, item.toward_m))


def _span_m(staging: Staging, view: View, along_key: bool) -> tuple[float, float]:
    """From where to where along the floor the things reach, and some room beyond; metres from M."""
    points = [item_points(item) for item in staging.items if _drawn(item, view)]
    points += [solid.centre_m[None, :] for solid in staging.scene.solids]
    points += [support_points(i.support, staging.room) for i in staging.items if i.support is not None]
    reach = np.concatenate(points) @ view.right
    start, end = float(reach.min()) - ROOM_M, float(reach.max()) + ROOM_M
    room = staging.room
    xs, ys = (room.left_m, room.right_m), (room.front_m, room.back_m)
    corners = np.array([(x, y, 0.0) for x in xs for y in ys]) @ view.right
    low, high = float(corners.min()), float(corners.max())
    return max(start, low), high if not along_key else min(end, high)


def _drawn(item: Item, view: View) -> bool:
    """Whether a thing is drawn here: a backdrop only where it is seen as an edge."""
    return item.kind != "backdrop" or abs(float(item.normal @ view.toward)) < FACES_EDGE


def _shown(staging: Staging, ground: _Ground) -> tuple[Item, ...]:
    inside = polygon_of(ground.box.grown(-0.3))
    (x0, y0), (x1, y1) = inside[0], inside[2]
    shown = []
    for item in staging.items:
        x, y = ground.view.point(item.centre_m)
        if _drawn(item, ground.view) and x0 <= x <= x1 and y0 <= y <= y1:
            shown.append(item)
    return tuple(shown)


def _room(sheet: Sheet, ground: _Ground) -> None:
    """Floor and ceiling as bands; the back wall too where it is seen as an edge."""
    box = ground.box
    right = box.x1 if ground.along_key else box.x1 + BAND_MM
    sheet.area("wall", rectangle(box.x0, box.y1, right, box.y1 + BAND_MM))
    sheet.area("wall", rectangle(box.x0, box.y0 - BAND_MM, right, box.y0))
    sheet.segment("thick", box.x0, box.y1, box.x1, box.y1)
    sheet.segment("thick", box.x0, box.y0, box.x1, box.y0)
    if not ground.along_key:
        sheet.area("wall", rectangle(box.x1, box.y0, right, box.y1))
        sheet.segment("thick", box.x1, box.y0, box.x1, box.y1)


def _contents(sheet: Sheet, staging: Staging, ground: _Ground) -> None:
    view = ground.view
    sheet.window = polygon_of(ground.box)
    if not ground.along_key:
        _field(sheet, view, staging)
    for sitter in staging.sitters:
        draw_sitter(sheet, view, sitter, staging)
    draw_worn_and_seats(sheet, view, staging)
    things = [i for i in staging.items if i.kind not in ("sitter", "camera") and _drawn(i, view)]
    for item in things:
        draw_item(sheet, view, item, staging, depth_of(view, item))
    for item in staging.items:
        if item.support is not None:
            draw_support(sheet, view, item.support, staging.room)
    draw_camera(sheet, view, staging)
    eyes = staging.sitters[0].eyes_m.mean(axis=0)
    eye_y = float(view.point(eyes)[1])
    sheet.segment("axis", ground.box.x0, eye_y, ground.box.x1, eye_y)
    sheet.window = None


def _field(sheet: Sheet, view: View, staging: Staging) -> None:
    """The camera's field in height: a tint between its lower and its upper edge."""
    field = view.project(field_m(staging, across=False))
    sheet.area("tint", field)
    for edge in (field[1], field[2]):
        sheet.line("field", np.stack([field[0], edge]), tag="frame")


def _wish_frame(sheet: Sheet, view: View, staging: Staging) -> None:
    """Wish for the name of the field's lower edge."""
    field = view.project(field_m(staging, across=False))
    lower = field[1] if field[1][1] > field[2][1] else field[2]
    size = sheet.look.sizes.small
    spots = [field[0] + part * (lower - field[0]) for part in (0.5, 0.4, 0.6, 0.3, 0.7, 0.8, 0.9)]
    wish_text(sheet, "frame", spots, size, 400, "mark", "lower edge of the frame", own="frame", optional=True)


def _string(sheet: Sheet, view: View, staging: Staging, item: Item) -> None:
    """The string from nose to the middle of a face, where it is drawn at its true length."""
    nose, middle = view.point(staging.sitters[0].nose_m), view.point(item.centre_m)
    length, system = float(np.linalg.norm(middle - nose)), sheet.system
    text, stated = system.text(item.string_m), system.stated_m(item.string_m)
    if abs(length / view.mm_per_m - stated) > system.step_m / 2 or length < 6.0:
        return
    way, tag = (middle - nose) / length, f"string {item.number}"
    sheet.line("measure", np.stack([nose, middle]), tag=tag)
    arrowhead(sheet, middle, way)
    arrowhead(sheet, nose, -way)
    across = np.array([-way[1], way[0]])
    spots = [nose + way * length * part for part in (0.5, 0.6, 0.4, 0.7, 0.3)]
    spots += [nose + way * length * part + across * off for part in (0.5, 0.7, 0.3) for off in (3, -3, 5, -5)]
    far = [
        nose + way * length * part + across * off for off in (8, -8, 11, -11) for part in (0.5, 0.25, 0.75)
    ]
    about = f"item {item.number}"
    wish_value(sheet, text, [*spots, *far], tag, "dimension", about, stated, length, last=len(far))


def drawn_lean_deg(view: View, item: Item) -> float:
    """The angle on the sheet between upright and the trace of the face, in degrees."""
    x, y = view.direction(item.normal)
    return float(np.degrees(np.arctan2(abs(y), abs(x))))


def _lean(sheet: Sheet, view: View, item: Item) -> None:
    """The lean as an arc from upright to the face's trace, where it is drawn true."""
    lean, drawn = round(item.lean_deg), drawn_lean_deg(view, item)
    if lean < 3 or abs(drawn - lean) > 0.5 or abs(float(item.normal @ view.toward)) > FACES_EDGE:
        return
    middle, tag = view.point(item.centre_m), f"lean {item.number}"
    trace = _upward_trace(view, item)
    half = float(np.ptp(view.project(face_points(item)) @ trace)) / 2
    foot = middle - trace * half
    radius = max(LEAN_LINE_MM, min(half * 1.4, 14.0))
    sheet.line("measure", np.stack([foot, foot + np.array([0.0, -1.0]) * (radius + 2.0)]), tag=tag)
    angles = np.linspace(0.0, np.arctan2(trace[0], -trace[1]), 10)
    ring = foot + radius * np.stack([np.sin(angles), -np.cos(angles)], axis=1)
    sheet.line("measure", ring, tag=tag)
    spots, last = _lean_spots(foot, radius, float(angles[-1]))
    about = f"item {item.number}"
    wish_value(sheet, f"{lean}°", spots, tag, "lean", about, float(lean), drawn, last=last)


def _upward_trace(view: View, item: Item) -> Vec:
    """Unit direction on the sheet of the face's trace, the upward one."""
    x, y = view.direction(item.normal)
    trace = np.array([-y, x]) / float(np.hypot(x, y))
    return trace if trace[1] < 0 else -trace


def _lean_spots(foot: Vec, radius: float, end: float) -> tuple[list[Vec], int]:
    """On the arc, past it, and past its ends; the last so many are level with its foot, for a low ceiling."""
    places: list[tuple[float, float]] = [(end / 2, 0.0), (end / 2, 3.0), (end / 2, -4.0)]
    places += [(-np.sign(end) * off, 0.0) for off in (0.35, 0.5, 0.7)]
    places += [(end + np.sign(end) * off, 0.0) for off in (0.35, 0.5, 0.7)]
    places += [(end / 2, 6.0), (end / 2, 9.0)]
    far = [(way * turn, off) for turn in (1.0, 1.3, 1.6) for off in (0.0, 4.0) for way in (1, -1)]
    return [
        foot + (radius + off) * np.array([np.sin(angle), -np.cos(angle)]) for angle, off in (*places, *far)
    ], len(far)


def _depths_say(staging: Staging, view: View) -> str:
    """What is grey: the black things that the drawing's plane doesn't cut."""
    black = [i for i in staging.items if i.kind != "backdrop" and is_black(i, staging)]
    off = {depth_of(view, item) for item in black} - {""}
    words = {"front": "grey: nearer than this line", "behind": "dashed grey: farther off than this line"}
    return "; ".join(words[way] for way in ("front", "behind") if way in off)


def camera_says(staging: Staging, view: View) -> str:
    """Of a camera drawn over a stand's column that it is not on, which of the two is nearer; else empty."""
    camera = camera_item(staging)
    if camera is None:
        return ""
    corners = np.concatenate([view.project(part) for part in camera_parts(staging.camera, camera)])
    (x0, y0), (x1, _) = corners.min(axis=0), corners.max(axis=0)
    for item in staging.items:
        if item.support is None:
            continue
        x, top = view.point(item.support.column_top_m)
        off_m = float((camera.centre_m - item.support.base_m) @ view.toward)
        if x0 - _LINE_MM < x < x1 + _LINE_MM and top < y0 and abs(off_m) > _APART_M:
            way = "nearer" if off_m > 0 else "farther off"
            return f"{camera.number} is {way} than the stand of {item.number}, not on it"
    return ""


def _foot(sheet: Sheet, ground: _Ground, scale: Scale, lines: list[str]) -> Box:
    """M under the floor, the scale bar and what is shown; the ground it takes."""
    box, view = ground.box, ground.view
    x = float(view.mark_mm[0])
    size = sheet.look.sizes.note
    under = box.y1 + BAND_MM
    sheet.segment("thin", x, box.y1 - 1.2, x, under + 0.8)
    mark = sheet.text("M", x, under + 1.2 + ascent_mm(size), size, kind="mark", weight=700, anchor="middle")
    line = "the key's bearing" if ground.along_key else "the line mark to camera"
    words = f"1:{scale}, along {line}"
    needed = scale_bar_mm(sheet.system, view.mm_per_m) + 8.0 + text_width_mm(words, size)
    left = max(2.0, min(box.x0, box.x1 - needed))
    top = max(mark.box.y1, box.y1 + ground.over_mm) + descent_mm(size)
    bar = scale_bar(sheet, left, top, view.mm_per_m, words)
    right, end = bar.x1, bar.y1
    for line in lines:
        said = sheet.text(line, left, end + 0.8 + ascent_mm(size), size).box
        right, end = max(right, said.x1), said.y1
    return Box(0.0, box.y0, right, end)
