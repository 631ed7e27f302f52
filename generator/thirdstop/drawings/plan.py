"""The plan: the whole room from above, the camera at the bottom, dimensions from M along two edges."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.constants import Units
from thirdstop.drawings.contents import (
    describe,
    draw_contents,
    polygon_of,
    wish_fixed_names,
    wish_mark,
    wish_numbers,
    wish_sitter_names,
    wish_spot,
)
from thirdstop.drawings.detail import LETTER, LIMIT_MM, detail_frame
from thirdstop.drawings.fonts import ascent_mm, cap_height_mm, descent_mm, text_width_mm
from thirdstop.drawings.geometry import View, inside_window, plan_view, rectangle
from thirdstop.drawings.labels import Box
from thirdstop.drawings.lengths import METRIC, SYSTEMS
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.palette import palette as shipped_palette
from thirdstop.drawings.rulers import Place, Ruler, dimension_along, entries, scale_bar, scale_bar_mm
from thirdstop.drawings.sheet import Drawing, Sheet
from thirdstop.drawings.svg import identifier
from thirdstop.staging.staging import Door, Item, Room, Staging

Scale: TypeAlias = Literal[10, 20, 50, 100]
"""ISO 5455 scales that a set-up fits on a sheet at."""

WALL_MM = 3.0
"""Breadth of the band that stands for a wall."""
RULER_OFF_MM = 4.0


@dataclass(frozen=True)
class _Layout:
    """Where the room's inside lies on the sheet, and the sheet's size; mm."""

    room: Box
    width: float
    height: float


def plan(
    staging: Staging,
    scale: Scale = 50,
    palette: Palette | None = None,
    detail_mm: tuple[float, float] | None = LIMIT_MM,
    rulers: bool = True,
    units: Units = "metric",
) -> Drawing:
    """The plan at 1:scale with running dimensions from M, M's own place, item numbers and a scale bar.

    `detail_mm` is the limit that the detail is drawn with: its ground is framed here. Everything is drawn
    from the geometry of the staging. Without `rulers` there are no running dimensions and no scale bar, only
    scale and unit: for a small sheet whose table has the figures.
    """
    return plan_in(staging, scale, palette, detail_mm, rulers)(units)


def plan_in(
    staging: Staging,
    scale: Scale = 50,
    palette: Palette | None = None,
    detail_mm: tuple[float, float] | None = LIMIT_MM,
    rulers: bool = True,
) -> Callable[[Units], Drawing]:
    """The same for one system of units after another: the room, which holds no length, is drawn once."""
    inside = _room_of(staging, scale, palette or shipped_palette()).moved(np.zeros(2), METRIC)
    view, box = _at(plan_view(scale), staging.room, 0.0, 0.0)
    if detail_mm is not None:
        _frame(inside, view, staging, box, detail_mm)
    _labels(inside, view, staging, box)
    return lambda units: _finished(inside, staging, scale, rulers, units)


@lru_cache(maxsize=2)
def _room_of(staging: Staging, scale: Scale, look: Palette) -> Sheet:
    """The room with all that is in it and no label yet; remembered, as a page and a card share each scale."""
    sheet, room = Sheet(look), staging.room
    view, box = _at(plan_view(scale), room, 0.0, 0.0)
    _room(sheet, view, room, box)
    draw_contents(sheet, view, staging, box)
    return sheet


def _finished(inside: Sheet, staging: Staging, scale: Scale, rulers: bool, units: Units) -> Drawing:
    """With what stands around the room, most of it lengths."""
    room, view, system = staging.room, plan_view(scale), SYSTEMS[units]
    bare = Sheet(inside.look, system)
    sides, toward = entries(side_places(staging), system), entries(toward_places(staging), system)
    layout = (
        _layout(bare, room, view, Ruler(bare, toward, turned=False), Ruler(bare, sides, turned=True))
        if rulers
        else _bare_layout(bare, room, view)
    )
    sheet = inside.moved(np.array([layout.room.x0, layout.room.y0]), system)
    view, _ = _at(view, room, layout.room.x0, layout.room.y0)
    if rulers:
        _rulers(
            sheet, view, layout.room, Ruler(sheet, toward, turned=False), Ruler(sheet, sides, turned=True)
        )
        _foot(sheet, view, layout, scale)
    else:
        _scale_name(sheet, layout.room, room, scale)
    _mark_place(sheet, view, room, layout.room)
    title = f"Plan of {staging.title}, 1:{scale}"
    prefix = f"{identifier(staging.slug)}-{'plan' if rulers else 'bare-plan'}-{scale}"
    return sheet.finish(layout.width, layout.height, scale, prefix, title, describe(staging, system))


def _at(view: View, room: Room, x_mm: float, y_mm: float) -> tuple[View, Box]:
    """The view with the corner of the room's inside at a place of the sheet, and that inside."""
    k = view.mm_per_m
    box = Box(x_mm, y_mm, x_mm + room.width_m * k, y_mm + room.length_m * k)
    return view.at(x_mm - room.left_m * k, y_mm + room.back_m * k), box


def thumbnail(staging: Staging, palette: Palette | None = None) -> Drawing:
    """The plan at 1:100 without a word, a number or a stand on it."""
    sheet = Sheet(palette or shipped_palette())
    room, edge = staging.room, 2.0
    view, box = _at(plan_view(100), room, edge, edge)
    _room(sheet, view, room, box, band_mm=1.5, named=False)
    draw_contents(sheet, view, staging, box, stands=False)
    title = f"Small plan of {staging.title}, 1:100"
    prefix = f"{identifier(staging.slug)}-small"
    return sheet.finish(box.x1 + edge, box.y1 + edge, 100, prefix, title, describe(staging))


def toward_places(staging: Staging) -> list[Place]:
    """Where everything stands toward the camera from M, in metres, positive toward it."""
    return _places(staging, lambda item: item.toward_m, 1, -1.0)


def side_places(staging: Staging) -> list[Place]:
    """Where everything stands to the side of M, in metres, positive camera-right."""
    return _places(staging, lambda item: item.side_m, 0, 1.0)


def _places(staging: Staging, distance: Callable[[Item], float], axis: int, sign: float) -> list[Place]:
    places = [Place(0.0, None, "M")]
    if not any(item.kind == "sitter" for item in staging.items):
        places += [Place(sign * float(s.mark_m[axis]), None, s.name) for s in staging.sitters[1:]]
    for item in staging.items:
        if item.kind != "sitter" or round(item.toward_m, 2) or round(item.side_m, 2):
            places.append(Place(distance(item), item.number))
        if item.support is not None:
            places.append(Place(sign * float(item.support.base_m[axis]), item.number, "base"))
    return places


def _layout(sheet: Sheet, room: Room, view: View, left: Ruler, foot: Ruler) -> _Layout:
    sizes, k = sheet.look.sizes, view.mm_per_m
    margin = WALL_MM + RULER_OFF_MM
    over = WALL_MM + ascent_mm(sizes.value) + descent_mm(sizes.value) + 3.7
    before, after = foot.over_mm(-room.left_m * k, room.right_m * k, k)
    above, below = left.over_mm(room.back_m * k, -room.front_m * k, k)
    x0, y0 = max(margin + left.reach_mm, before) + 0.5, max(over, above + 0.5)
    x1, y1 = x0 + room.width_m * k, y0 + room.length_m * k
    foot_y = y1 + max(margin + foot.reach_mm, below) + 1.5
    return _Layout(Box(x0, y0, x1, y1), x1 + max(over, after + 0.5), foot_y + 6.5)


def _bare_layout(sheet: Sheet, room: Room, view: View) -> _Layout:
    """Room for the walls and for M's place above and to the right, and no more."""
    size, k = sheet.look.sizes.value, view.mm_per_m
    over = WALL_MM + ascent_mm(size) + descent_mm(size) + 3.7
    x0, y0 = WALL_MM + 0.5, over
    x1, y1 = x0 + room.width_m * k, y0 + room.length_m * k
    return _Layout(Box(x0, y0, x1, y1), x1 + over, y1 + WALL_MM + 0.5)


def _room(
    sheet: Sheet, view: View, room: Room, box: Box, band_mm: float = WALL_MM, named: bool = True
) -> None:
    """The wall as a band around the room's inside, open at each door; fixed things."""
    outer = box.grown(band_mm)
    sides = {
        "back wall": (Box(outer.x0, outer.y0, outer.x1, box.y0), (box.x0, box.y0, box.x1, box.y0)),
        "front wall": (Box(outer.x0, box.y1, outer.x1, outer.y1), (box.x0, box.y1, box.x1, box.y1)),
        "left wall": (Box(outer.x0, box.y0, box.x0, box.y1), (box.x0, box.y0, box.x0, box.y1)),
        "right wall": (Box(box.x1, box.y0, outer.x1, box.y1), (box.x1, box.y0, box.x1, box.y1)),
    }
    for wall, (band, edge) in sides.items():
        axis = 0 if wall in ("back wall", "front wall") else 1
        openings = [_opening(view, door, axis) for door in room.doors if door.wall == wall]
        _wall(sheet, band, edge, axis, sorted(openings))
        if named:
            for low, high in openings:
                _door_name(sheet, band, axis, low, high)
    for fixed in room.fixed:
        corners = np.concatenate([fixed.footprint_m, np.zeros((len(fixed.footprint_m), 1))], axis=1)
        for line in inside_window(
            np.concatenate([view.project(corners), view.project(corners[:1])]), polygon_of(box.grown(0.01))
        ):
            sheet.line("thin", line)


def _opening(view: View, door: Door, axis: int) -> tuple[float, float]:
    ends = view.project(
        np.array(
            [[door.from_m, 0, 0], [door.to_m, 0, 0]]
            if axis == 0
            else [[0, door.from_m, 0], [0, door.to_m, 0]]
        )
    )[:, axis]
    return float(ends.min()), float(ends.max())


def _wall(
    sheet: Sheet,
    band: Box,
    edge: tuple[float, float, float, float],
    axis: int,
    openings: list[tuple[float, float]],
) -> None:
    low, high = (band.x0, band.x1) if axis == 0 else (band.y0, band.y1)
    marks = [low, *(end for opening in openings for end in opening), high]
    for start, end in zip(marks[::2], marks[1::2], strict=True):
        if axis == 0:
            sheet.area("wall", rectangle(start, band.y0, end, band.y1))
            sheet.segment("thick", max(start, edge[0]), edge[1], min(end, edge[2]), edge[1])
        else:
            sheet.area("wall", rectangle(band.x0, start, band.x1, end))
            sheet.segment("thick", edge[0], max(start, edge[1]), edge[0], min(end, edge[3]))
    for jamb in marks[1:-1]:
        if axis == 0:
            sheet.segment("thin", jamb, band.y0, jamb, band.y1)
        else:
            sheet.segment("thin", band.x0, jamb, band.x1, jamb)


def _door_name(sheet: Sheet, band: Box, axis: int, low: float, high: float) -> None:
    size = sheet.look.sizes.small
    if text_width_mm("door", size) + 1 > high - low:
        return
    middle, lift = (low + high) / 2, cap_height_mm(size) / 2
    x, y = band.centre
    at = (middle, y + lift) if axis == 0 else (x + lift, middle)
    sheet.text("door", *at, size, kind="name", anchor="middle", turned=axis == 1, about="door")


def _frame(sheet: Sheet, view: View, staging: Staging, room: Box, detail_mm: tuple[float, float]) -> None:
    """The detail's ground as a dash-dot rectangle with its letter."""
    sheet.window = polygon_of(room)
    corners = view.project(detail_frame(staging, detail_mm))
    sheet.line("frame", corners, close=True)
    sheet.window = None
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    size = sheet.look.sizes.number
    width, height = sheet.size(LETTER, size, 700)
    spots = [
        (x, y)
        for x in (x1 - width / 2 - 0.9, x0 + width / 2 + 0.9, x1 + width / 2 + 0.9, x0 - width / 2 - 0.9)
        for y in (y0 + height / 2 + 0.8, y1 - height / 2 - 0.8)
    ]
    wish_spot(sheet, LETTER, spots, size, 700, f"detail {LETTER}")


def _rulers(sheet: Sheet, view: View, room: Box, left: Ruler, foot: Ruler) -> None:
    x, y = room.x0 - WALL_MM - RULER_OFF_MM, room.y1 + WALL_MM + RULER_OFF_MM
    left.draw(x, view.mark_mm[1], view.mm_per_m, (room.y0, room.y1))
    foot.draw(y, view.mark_mm[0], view.mm_per_m, (room.x0, room.x1))
    size = sheet.look.sizes.small
    beside = x + 0.9 + ascent_mm(size)
    sheet.text("away", beside, room.y0, size, anchor="end", turned=True)
    sheet.text("toward camera", beside, room.y1, size, turned=True)
    above = y - 0.9 - descent_mm(size)
    ends = room.x0 - WALL_MM, room.x1 + WALL_MM
    words = ("camera-left", "camera-right")
    if sum(text_width_mm(word, size) for word in words) + 2 > ends[1] - ends[0]:
        words = ("left", "right")
    sheet.text(words[0], ends[0], above, size)
    sheet.text(words[1], ends[1], above, size, anchor="end")


def _mark_place(sheet: Sheet, view: View, room: Room, box: Box) -> None:
    """M's distances from the two walls of the named corner, above and to the right of the room."""
    mx, my = view.mark_mm
    at_left, at_back = "left" in room.corner, "back" in room.corner
    wall_x, wall_y = box.x0 if at_left else box.x1, box.y0 if at_back else box.y1
    top, side = box.y0 - WALL_MM - 2.0, box.x1 + WALL_MM + 2.0
    for x in (wall_x, mx):
        sheet.segment("measure", x, box.y0, x, top - 1.0)
    for y in (wall_y, my):
        sheet.segment("measure", box.x1, y, side + 1.0, y)
    across = abs(room.left_m if at_left else room.right_m)
    along = abs(room.back_m if at_back else room.front_m)
    dimension_along(sheet, np.array([wall_x, top]), np.array([mx, top]), across, "M from the side wall")
    dimension_along(
        sheet, np.array([side, wall_y]), np.array([side, my]), along, "M from the end wall", below=True
    )
    sheet.ring(wall_x, wall_y, 1.1)


def _foot(sheet: Sheet, view: View, layout: _Layout, scale: int) -> None:
    caption = f"Plan 1:{scale}. {sheet.system.name.capitalize()} from M."
    bar = scale_bar_mm(sheet.system, view.mm_per_m)
    room_for_it = bar + 8.0 + text_width_mm(caption, sheet.look.sizes.note)
    x = max(2.0, min(layout.room.x0, layout.width - room_for_it))
    scale_bar(sheet, x, layout.height - 6.0, view.mm_per_m, caption)


def _scale_name(sheet: Sheet, box: Box, room: Room, scale: int) -> None:
    """Scale and unit, upright to the right of the room, at the end that M's own distance leaves free."""
    size = sheet.look.sizes.note
    x, words = box.x1 + WALL_MM + 1.2 + ascent_mm(size), f"Plan 1:{scale}, {sheet.system.short}"
    if "back" in room.corner:
        sheet.text(words, x, box.y1, size, turned=True)
    else:
        sheet.text(words, x, box.y0, size, anchor="end", turned=True)


def _labels(sheet: Sheet, view: View, staging: Staging, room: Box) -> None:
    """Item numbers, M, and the names of fixed things, placed by the search inside the room."""
    wish_mark(sheet, view)
    wish_sitter_names(sheet, view, staging)
    wish_fixed_names(sheet, view, staging.room)
    wish_numbers(sheet, view, staging.items)
    sheet.settle(room.grown(-0.6))
