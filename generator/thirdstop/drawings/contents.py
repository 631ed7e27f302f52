"""What plan and detail share: everything in the room from above, and the labels that go with it."""

import numpy as np

from thirdstop.drawings.fonts import ascent_mm, cap_height_mm
from thirdstop.drawings.geometry import View, hull, rectangle
from thirdstop.drawings.labels import Box, Wish, around
from thirdstop.drawings.lengths import METRIC, System
from thirdstop.drawings.sheet import NUMBER_DIAMETER_MM, Sheet
from thirdstop.drawings.things import (
    draw_camera,
    draw_item,
    draw_sitter,
    draw_support,
    draw_worn_and_seats,
    field_m,
    item_points,
)
from thirdstop.staging.staging import Item, Room, Staging
from thirdstop.typed import Array, Vec

CROSS_MM = 1.1
"""Half the side of the square that the cross at a mark fills."""
CROSS_THICK_MM = 15.0
"""So large a metre is drawn where the cross is thick."""
NEAR_MARK_MM = 2.0
"""From here on the M needs a leader."""
NUMBER_DISTANCES_MM = (2.0, 3.5, 5.0, 7.0, 9.0, 12.0, 15.0, 19.0, 24.0, 30.0, 38.0, 48.0)


def polygon_of(box: Box) -> Array:
    """The box as a polygon, (4, 2)."""
    return rectangle(*box.row())


def draw_contents(sheet: Sheet, view: View, staging: Staging, room: Box, stands: bool = True) -> None:
    """Field, sitters, lamps, cards, blockers, backdrop and camera, cut at the room's inside.

    `stands` adds what holds things up, and a cross at each mark.
    """
    sheet.window = polygon_of(room)
    _sweep(sheet, view, staging)
    _field(sheet, view, staging)
    for sitter in staging.sitters:
        draw_sitter(sheet, view, sitter, staging)
    draw_worn_and_seats(sheet, view, staging)
    things = [item for item in staging.items if item.kind not in ("sitter", "camera")]
    for item in sorted(things, key=lambda item: (item.kind == "blocker", item.number)):
        draw_item(sheet, view, item, staging)
    draw_camera(sheet, view, staging)
    if stands:
        _stands(sheet, view, staging)
    sheet.window = None


def _sweep(sheet: Sheet, view: View, staging: Staging) -> None:
    """The part of a backdrop that lies on the floor."""
    for panel in staging.scene.panels:
        if panel.role == "backdrop" and abs(float(panel.normal[2])) > 0.7:
            sheet.line("hair", view.project(panel.corners_m), close=True)


def _stands(sheet: Sheet, view: View, staging: Staging) -> None:
    for item in staging.items:
        if item.support is not None:
            draw_support(sheet, view, item.support, staging.room)
    for sitter in staging.sitters:
        _cross(sheet, view, sitter.mark_m)


def _field(sheet: Sheet, view: View, staging: Staging) -> None:
    """The camera's field: a tint between two long-dash-dot lines, and the line mark to camera."""
    field = view.project(field_m(staging, across=True))
    sheet.area("tint", field)
    for edge in (field[1], field[2]):
        sheet.line("field", np.stack([field[0], edge]))


def _cross(sheet: Sheet, view: View, mark_m: Vec) -> None:
    """Slanted, as the nose and the line to the camera run through it upright; thick where heads are large."""
    (x, y), style = view.point(mark_m), "thick" if view.mm_per_m >= CROSS_THICK_MM else "thin"
    for way in (-1.0, 1.0):
        sheet.segment(style, x - CROSS_MM, y - way * CROSS_MM, x + CROSS_MM, y + way * CROSS_MM)


def wish_mark(sheet: Sheet, view: View) -> None:
    """Wish for the M beside the cross, with a leader where it stands off."""
    x, y = (float(part) for part in view.point(np.zeros(3)))
    size = sheet.look.sizes.note
    wish = around((x, y), sheet.size("M", size, 700), (1.6, 2.5, 4.0, 5.5, 7.5, 10.0, 13.0))
    _keep_text(sheet, wish, "M", size, 700, "M", NEAR_MARK_MM)


def wish_sitter_names(sheet: Sheet, view: View, staging: Staging) -> None:
    """Wish for each sitter's name beside the head, where there is more than one sitter."""
    size = sheet.look.sizes.small
    for sitter in staging.sitters if len(staging.sitters) > 1 else ():
        x, y = (float(part) for part in view.point(sitter.head_centre_m))
        near, *far = _beside_head(view)
        wish = around((x, y), sheet.size(sitter.name, size), (near, *far), optional=True)
        _keep_text(sheet, wish, sitter.name, size, 400, sitter.name, near)


def _beside_head(view: View) -> tuple[float, ...]:
    return tuple(0.12 * view.mm_per_m + off for off in (0.6, 2.0, 4.0, 7.0))


def _keep_text(
    sheet: Sheet, wish: Wish, text: str, size: float, weight: int, about: str, near_mm: float = np.inf
) -> None:
    """The text at the chosen place, with the wish's leader where that is longer than `near_mm`."""

    def keep(index: int) -> None:
        x0, y0 = (float(edge) for edge in wish.boxes[index][:2])
        sheet.text(text, x0, y0 + ascent_mm(size), size, kind="mark", weight=weight, about=about)
        if wish.leaders is not None:
            ends = wish.leaders[index].reshape(2, 2)
            if float(np.linalg.norm(ends[1] - ends[0])) > near_mm + 1e-6:
                sheet.leader(ends)

    sheet.wish(wish, keep)


def wish_fixed_names(sheet: Sheet, view: View, room: Room) -> None:
    """The name of each fixed thing inside its outline, lying or upright, else a wish for it nearby."""
    size = sheet.look.sizes.small
    for fixed in room.fixed:
        corners = view.project(np.pad(fixed.footprint_m, ((0, 0), (0, 1))))
        (x0, y0), (x1, y1) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
        (width, height), (x, y) = sheet.size(fixed.name, size), ((x0 + x1) / 2, (y0 + y1) / 2)
        lift = cap_height_mm(size) / 2
        if width + 1 < x1 - x0 and height < y1 - y0:
            sheet.text(fixed.name, x, y + lift, size, kind="name", anchor="middle", about=fixed.name)
        elif width + 1 < y1 - y0 and height < x1 - x0:
            sheet.text(
                fixed.name, x + lift, y, size, kind="name", anchor="middle", turned=True, about=fixed.name
            )  # fmt: skip
        else:
            half = sorted((x1 - x0, y1 - y0))
            distances = tuple(side / 2 + off for side in half for off in (0.6, 2.0, 5.0, 9.0))
            wish = around((x, y), (width, height), distances, leader=False, optional=True)
            _keep_text(sheet, wish, fixed.name, size, 400, fixed.name)


def wish_spot(
    sheet: Sheet, text: str, spots: list[tuple[float, float]], size: float, weight: int, about: str
) -> None:
    """Wish for a text centred on one of some spots, the first liked best."""
    width, height = sheet.size(text, size, weight)
    boxes = np.array([(x - width / 2, y - height / 2, x + width / 2, y + height / 2) for x, y in spots])
    wish = Wish(boxes, 0.5 * np.arange(len(boxes), dtype=float))
    _keep_text(sheet, wish, text, size, weight, about)


def wish_numbers(sheet: Sheet, view: View, items: tuple[Item, ...]) -> None:
    """Wish for each item's number, its leader's dot on the middle of its face (its floor point)."""
    for item in items:
        x, y = view.point(item.centre_m)
        sheet.grounds[item.number] = hull(view.project(item_points(item)))
        _wish_number(sheet, item, float(x), float(y))


def _wish_number(sheet: Sheet, item: Item, x: float, y: float) -> None:
    size = (NUMBER_DIAMETER_MM, NUMBER_DIAMETER_MM)
    wish = around((x, y), size, NUMBER_DISTANCES_MM, leader=True, round_label=True)
    assert wish.leaders is not None
    leaders = wish.leaders

    def keep(index: int) -> None:
        box = Box(*(float(edge) for edge in wish.boxes[index]))
        sheet.number(item.number, *box.centre, about=f"item {item.number}")
        sheet.leader(leaders[index].reshape(2, 2))

    sheet.wish(wish, keep)


def describe(staging: Staging, system: System = METRIC) -> str:
    """The plan in words, for readers who don't see it."""
    sentences = [
        f"{item.number}: {item.name}, {item.gear}, {_where(item, system)}." for item in staging.items
    ]
    return " ".join(["The room from above, the camera at the bottom. From the mark M:", *sentences])


def _where(item: Item, system: System) -> str:
    toward = "toward the camera" if item.toward_m >= 0 else "away from the camera"
    side = "camera-right" if item.side_m >= 0 else "camera-left"
    if round(item.toward_m, 2) == 0 and round(item.side_m, 2) == 0:
        return "over M"
    return f"{system.said(item.toward_m)} {toward}, {system.said(item.side_m)} {side}"
