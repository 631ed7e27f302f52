"""The detail at 1:20: the ground around the face, with floor runs and bearings from M.

A label is the length that is drawn: the floor run, which is shorter than the string to a thing above or
below the nose. Strings, heights and leans stand in the elevation and in the table.
"""

from collections.abc import Callable
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.constants import Units
from thirdstop.drawings.contents import (
    describe,
    draw_contents,
    polygon_of,
    wish_mark,
    wish_numbers,
    wish_sitter_names,
)
from thirdstop.drawings.fonts import ascent_mm
from thirdstop.drawings.geometry import View, plan_view
from thirdstop.drawings.labels import Box
from thirdstop.drawings.lengths import SYSTEMS
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.palette import palette as shipped_palette
from thirdstop.drawings.rulers import arrowhead
from thirdstop.drawings.sheet import Drawing, Label, Sheet
from thirdstop.drawings.svg import identifier
from thirdstop.drawings.things import item_points
from thirdstop.drawings.values import wish_value
from thirdstop.staging.staging import Item, Staging
from thirdstop.typed import Array, Vec

LETTER = "X"
"""What the plan's frame and the detail are called by: stands and groups of lamps are named from A on."""
LIMIT_MM = (85.0, 85.0)
"""Widest and highest ground of a detail on its sheet."""
Scale: TypeAlias = Literal[10, 20]
SCALE: Scale = 20
EDGE_M = 0.06
"""Kept free around the things that the detail is framed for."""
CORE_M = (-0.32, -0.40, 0.32, 0.28)
"""Always shown: the head, the shoulders and the ground just before the face."""
FIRST_ARC_MM, NEXT_ARC_MM = 11.0, 5.5
LEAST_BEARING_DEG = 2.5
"""A bearing under this is not drawn as an arc."""


def detail_frame(staging: Staging, limit_mm: tuple[float, float] = LIMIT_MM, scale: Scale = SCALE) -> Array:
    """Corners of the ground that the detail shows, (4, 3) metres: framed so that the near things fit.

    Things are taken in from the nearest; one that would not fit whole is taken in up to its floor point,
    one that does not fit at all is cut at the frame.
    """
    most = np.array(limit_mm) * scale / 1000
    low, high = np.array(CORE_M[:2]), np.array(CORE_M[2:])
    for mark in (sitter.mark_m[:2] for sitter in staging.sitters[1:]):
        low, high = _taken(low, high, mark[None, :], most, 0.3)
    for item in sorted(measured_items(staging), key=_floor_run_m):
        low, high = _taken(low, high, item_points(item)[:, :2], most, EDGE_M)
        low, high = _taken(low, high, item.centre_m[None, :2], most, 0.1)
    items = measured_items(staging)
    held = [i for i in items if (low <= i.centre_m[:2]).all() and (i.centre_m[:2] <= high).all()]
    for wanted in (held, items):
        low, high = _filled(low, high, wanted, most)
    room = staging.room
    x0, y0 = np.maximum(low, (room.left_m, room.front_m))
    x1, y1 = np.minimum(high, (room.right_m, room.back_m))
    return np.array([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], dtype=float)


def _filled(low: Vec, high: Vec, wanted: list[Item], most: Vec) -> tuple[Vec, Vec]:
    """The ground grown along each axis, as far as it may, toward what it does not hold whole."""
    if not wanted:
        return low, high
    points = np.concatenate([item_points(item)[:, :2] for item in wanted])
    before = np.maximum(low - (points.min(axis=0) - EDGE_M), 0.0)
    after = np.maximum(points.max(axis=0) + EDGE_M - high, 0.0)
    share = np.clip((most - (high - low)) / np.maximum(before + after, 1e-9), 0.0, 1.0)
    return low - before * share, high + after * share


def _taken(low: Vec, high: Vec, points: Array, most: Vec, edge_m: float) -> tuple[Vec, Vec]:
    """The ground with points (n, 2) taken in, unless it would grow beyond the most; metres."""
    new_low = np.minimum(low, points.min(axis=0) - edge_m)
    new_high = np.maximum(high, points.max(axis=0) + edge_m)
    return (new_low, new_high) if (new_high - new_low <= most + 1e-9).all() else (low, high)


def measured_items(staging: Staging) -> list[Item]:
    """The lamps, cards and blockers that are placed by a string to the nose."""
    kinds = ("lamp", "card", "blocker")
    return [item for item in staging.items if item.kind in kinds and item.string_from == "nose"]


def _floor_run_m(item: Item) -> float:
    return float(np.hypot(item.toward_m, item.side_m))


def detail(
    staging: Staging,
    limit_mm: tuple[float, float] = LIMIT_MM,
    scale: Scale = SCALE,
    palette: Palette | None = None,
    units: Units = "metric",
) -> Drawing:
    """The ground around the face at 1:scale, at most so large on the sheet, with floor runs and bearings."""
    return detail_in(staging, limit_mm, scale, palette)(units)


def detail_in(
    staging: Staging,
    limit_mm: tuple[float, float] = LIMIT_MM,
    scale: Scale = SCALE,
    palette: Palette | None = None,
) -> Callable[[Units], Drawing]:
    """The same for one system of units after another: what stands there is drawn once."""
    things = Sheet(palette or shipped_palette())
    frame = detail_frame(staging, limit_mm, scale)
    view = plan_view(scale)
    (x0, y0), (x1, y1) = frame[0, :2] * view.mm_per_m, frame[2, :2] * view.mm_per_m
    box = Box(1.0, 1.0, 1.0 + float(x1 - x0), 1.0 + float(y1 - y0))
    view = view.at(box.x0 - float(x0), box.y0 + float(y1))
    draw_contents(things, view, staging, box)
    things.line("frame", polygon_of(box), close=True)
    return lambda units: _finished(things.moved(np.zeros(2), SYSTEMS[units]), view, staging, box, scale)


def _finished(sheet: Sheet, view: View, staging: Staging, box: Box, scale: Scale) -> Drawing:
    """With floor runs, bearings, numbers and names."""
    sheet.window = polygon_of(box.grown(-0.2))
    _axis(sheet, view, staging)
    whose = len(measured_items(staging)) > 1
    for item, radius in _arcs(staging):
        _bearing(sheet, view, item, radius, whose)
    for item in measured_items(staging):
        _floor_run(sheet, view, item, box, whose)
    sheet.window = None
    wish_mark(sheet, view)
    wish_sitter_names(sheet, view, staging)
    wish_numbers(sheet, view, tuple(i for i in staging.items if box.holds(_spot(view, i))))
    sheet.settle(box.grown(-0.8))
    text = _caption(sheet, box, scale)
    title = f"Detail {LETTER} of {staging.title}, 1:{scale}"
    prefix = f"{identifier(staging.slug)}-detail-{scale}"
    width = max(box.x1, text.box.x1) + 1.0
    words = describe(staging, sheet.system)
    return sheet.finish(width, text.box.y1 + 0.5, scale, prefix, title, words)


def _caption(sheet: Sheet, box: Box, scale: int) -> Label:
    """Scale, and what its lengths are, as fully as the frame is wide."""
    size, system = sheet.look.sizes.note, sheet.system
    caption = f"{LETTER}, 1:{scale}. Lengths are floor runs from M, in {system.name}."
    if sheet.size(caption, size)[0] > box.x1:
        caption = f"{LETTER}, 1:{scale}. Floor runs, {system.short}."
    return sheet.text(caption, box.x0, box.y1 + 1.4 + ascent_mm(size), size)


def _spot(view: View, item: Item) -> Box:
    x, y = (float(part) for part in view.point(item.centre_m))
    return Box(x, y, x, y)


def _axis(sheet: Sheet, view: View, staging: Staging) -> None:
    """The line from the mark toward the camera, from which bearings are counted."""
    run_m = float(-staging.camera.focal_plane_m[1])
    sheet.line("axis", view.project(np.array([(0.0, 0.0, 0.0), (0.0, -run_m, 0.0)])))


def _arcs(staging: Staging) -> list[tuple[Item, float]]:
    """The items with an arc for their bearing, and its radius: on each side the greater ones nearer to M."""
    arcs: list[tuple[Item, float]] = []
    for side in (-1, 1):
        these = [i for i in measured_items(staging) if i.bearing_deg * side >= LEAST_BEARING_DEG]
        these.sort(key=lambda i: (-abs(i.bearing_deg), i.number))
        arcs += [(item, FIRST_ARC_MM + NEXT_ARC_MM * rank) for rank, item in enumerate(these)]
    return arcs


def drawn_bearing_deg(view: View, item: Item) -> float:
    """The angle on the sheet at M from the line to the camera, positive to the right, in degrees."""
    x, y = view.point(item.centre_m * [1.0, 1.0, 0.0]) - view.point(np.zeros(3))
    return float(np.degrees(np.arctan2(x, y)))


def _bearing(sheet: Sheet, view: View, item: Item, radius: float, whose: bool) -> None:
    """An arc from the camera's line to the thing's, with its degrees and side; `whose`: and its number."""
    mark, end_deg = view.point(np.zeros(3)), drawn_bearing_deg(view, item)
    tag = f"bearing {item.number}"
    angles = np.linspace(0.0, end_deg, max(4, int(abs(end_deg) / 4)))
    ring = np.stack([mark + radius * _way(angle) for angle in angles])
    sheet.line("measure", ring, tag=tag)
    if sheet.in_window(*ring[-1]):
        arrowhead(sheet, ring[-1], _unit(ring[-1] - ring[-2]))
    about, side = f"item {item.number}", "R" if item.bearing_deg > 0 else "L"
    degrees = round(abs(item.bearing_deg))
    spots = [mark + (radius + off) * _way(end_deg * part) for part, off in _ARC_SPOTS]
    beyond = [*(end_deg + np.sign(end_deg) * more for more in _BEYOND_DEG)]
    before = [*(-np.sign(end_deg) * more for more in _BEYOND_DEG)]
    spots += [mark + radius * _way(angle) for angle in (*beyond, *before)]

    def tail(index: int) -> None:
        """Carry the arc on to a value that stands beyond one of its ends."""
        outside = index - len(_ARC_SPOTS)
        if outside >= 0:
            start = end_deg if outside < len(beyond) else 0.0
            turns = np.linspace(start, [*beyond, *before][outside], 6)
            sheet.line("measure", np.stack([mark + radius * _way(turn) for turn in turns]))

    text, stated = f"{degrees}° {side}", float(degrees)
    part = item.number if whose else None
    wish_value(sheet, text, spots, tag, "bearing", about, stated, abs(end_deg), also=tail, part=part)


_ARC_SPOTS = [(part, off) for off in (0.0, 2.2, -2.2, 4.0) for part in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)]
"""Along the arc (part of it) and off it (mm), best first."""
_BEYOND_DEG = (18.0, 25.0, 35.0, 50.0, 65.0)
"""Past either end of the arc."""


def _way(angle_deg: float) -> Vec:
    """Unit direction on the sheet at a bearing, y down."""
    angle = np.radians(angle_deg)
    return np.array([np.sin(angle), np.cos(angle)])


def _unit(vector: Vec) -> Vec:
    unit: Vec = vector / max(float(np.linalg.norm(vector)), 1e-9)
    return unit


def _floor_run(sheet: Sheet, view: View, item: Item, box: Box, whose: bool) -> None:
    """A dimension line from M to the floor point; broken by a zigzag where it leaves the frame."""
    mark, point = view.point(np.zeros(3)), view.point(item.centre_m * [1.0, 1.0, 0.0])
    length = float(np.linalg.norm(point - mark))
    if length < 4.0:
        return
    way, tag = (point - mark) / length, f"run {item.number}"
    inside = box.grown(-0.2).holds(_spot(view, item))
    end = point if inside else mark + way * (_reach(mark, way, box) - 1.5)
    seen = float(np.linalg.norm(end - mark))
    if inside:
        sheet.line("measure", np.stack([mark, end]), tag=tag)
    else:
        broken = _zigzag(mark, end, seen - 7.0)
        sheet.line("measure", broken, tag=tag)
        sheet.clear.append(Box(*broken[1:5].min(axis=0).tolist(), *broken[1:5].max(axis=0).tolist()))
    arrowhead(sheet, end, way)
    about, run_m = f"item {item.number}", _floor_run_m(item)
    text, stated = sheet.system.text(run_m), sheet.system.stated_m(run_m)
    spots, last = _run_spots(mark, way, seen)
    part = item.number if whose else None
    wish_value(sheet, text, spots, tag, "dimension", about, stated, length, not inside, last=last, part=part)


def _run_spots(mark: Vec, way: Vec, seen: float) -> tuple[list[Vec], int]:
    """On a run or beside it, the best first; the last so many lie so far off that they are for a crowd."""
    across = np.array([-way[1], way[0]])
    places = [(part, 0) for part in (0.6, 0.7, 0.5, 0.8, 0.4, 0.3)]
    places += [(part, off) for part in (0.6, 0.75, 0.45) for off in (4, -4, 6, -6)]
    far = [(part, off) for off in (0, 9, -9, 12, -12) for part in (0.55, 0.65, 0.75, 0.35, 0.25)]
    return [mark + way * seen * part + across * off for part, off in (*places, *far)], len(far)


def _reach(start: Vec, way: Vec, box: Box) -> float:
    """How far a ray runs inside a box, mm."""
    edges = np.where(way > 0, (box.x1, box.y1), (box.x0, box.y0))
    runs = [float((edges[k] - start[k]) / way[k]) for k in (0, 1) if abs(way[k]) > 1e-9]
    return min(runs)


def _zigzag(start: Vec, end: Vec, at_mm: float) -> Array:
    """A line with the zigzag of a break, at most near its end."""
    way = _unit(end - start)
    across = np.array([-way[1], way[0]])
    foot = start + way * max(at_mm, 2.0)
    return np.stack(
        [start, foot, foot + way * 0.7 + across * 1.3, foot + way * 2.1 - across * 1.3, foot + way * 2.8, end]
    )
