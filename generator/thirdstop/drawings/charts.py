"""Charts from plain numbers, labelled directly: where the light at a point came from, and a ratio's curve."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thirdstop.book.feet import FOOT_M
from thirdstop.constants import Units
from thirdstop.drawings.fonts import ascent_mm, cap_height_mm, descent_mm, text_width_mm
from thirdstop.drawings.geometry import hatch, rectangle
from thirdstop.drawings.labels import Box, around
from thirdstop.drawings.lengths import SYSTEMS, System
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.palette import palette as shipped_palette
from thirdstop.drawings.rulers import spread
from thirdstop.drawings.sheet import Drawing, Sheet
from thirdstop.drawings.svg import identifier
from thirdstop.shares import whole_parts
from thirdstop.typed import Array

BAR_MM = 5.0
ROW_MM = 14.0
REST_BELOW = 0.04
"""Shares under this are added up as 'rest'."""
HATCHES: tuple[tuple[float, ...], ...] = ((), (45.0,), (135.0,), (0.0,), (45.0, 135.0), (90.0,))
"""Of the second source onward; the first one is solid."""


def budget_chart(
    rows: Sequence[tuple[str, Mapping[str, float]]],
    name: str,
    title: str,
    width_mm: float = 120.0,
    palette: Palette | None = None,
    rest_below: float = REST_BELOW,
) -> Drawing:
    """One bar of a hundred parts for each point: (point, share by source), shares 0 to 1 that sum to 1.

    A source looks the same in every bar; its name and its parts stand under it. `name` prefixes the ids.
    """
    sheet = Sheet(palette or shipped_palette())
    sources = list(dict.fromkeys(source for _, shares in rows for source in shares))
    size = sheet.look.sizes.value
    left = 1.0 + max((text_width_mm(point, size, 700) for point, _ in rows), default=0.0) + 3.0
    for index, (point, shares) in enumerate(rows):
        top = 1.0 + index * ROW_MM
        sheet.text(point, 1.0, top + BAR_MM / 2 + cap_height_mm(size) / 2, size, kind="name", weight=700)
        _bar(sheet, Box(left, top, width_mm - 1.0, top + BAR_MM), parts_of(shares, rest_below), sources)
    words = [
        f"{point}: " + ", ".join(f"{source} {part}" for source, part in parts_of(shares, rest_below))
        for point, shares in rows
    ]
    height = 1.0 + len(rows) * ROW_MM
    return sheet.finish(
        width_mm, height, 1, identifier(name), title, "Parts of a hundred. " + ". ".join(words)
    )


def parts_of(shares: Mapping[str, float], rest_below: float = REST_BELOW) -> list[tuple[str, int]]:
    """Shares (0 to 1) as whole parts that sum to 100; those of small ones together as 'rest'."""
    whole = whole_parts(shares)
    total = sum(shares.values())
    small = [source for source, share in shares.items() if share < rest_below * total and source != "rest"]
    rest = sum(whole.pop(source) for source in small)
    whole["rest"] = whole.pop("rest", 0) + rest
    return [(source, part) for source, part in whole.items() if part > 0]


def _bar(sheet: Sheet, box: Box, parts: list[tuple[str, int]], sources: list[str]) -> None:
    """One bar with its parts, and their names under them."""
    scale = (box.x1 - box.x0) / 100
    ends = np.concatenate([[0.0], np.cumsum([part for _, part in parts])]) * scale + box.x0
    for index, (source, _) in enumerate(parts):
        look = sources.index(source) if source in sources else len(HATCHES)
        _part(sheet, rectangle(float(ends[index]), box.y0, float(ends[index + 1]), box.y1), look)
    _part_names(sheet, box, parts, (ends[:-1] + ends[1:]) / 2)


def _part(sheet: Sheet, polygon: Array, look: int) -> None:
    if look == 0:
        sheet.area("black", polygon)
    elif look < len(HATCHES):
        for angle_deg in HATCHES[look]:
            for line in hatch(polygon, angle_deg, 1.1):
                sheet.line("hatch", line)
    sheet.line("thin", polygon, close=True)


def _part_names(sheet: Sheet, box: Box, parts: list[tuple[str, int]], middles: Array) -> None:
    size = sheet.look.sizes.note
    texts = [f"{source} {part}" for source, part in parts]
    widths = np.array([text_width_mm(text, size) + 2.0 for text in texts])
    places = _within(spread(middles, widths), widths, box.x0 - 1.0, box.x1 + 1.0)
    baseline = box.y1 + 3.4 + ascent_mm(size)
    for text, middle, place in zip(texts, middles.tolist(), places.tolist(), strict=True):
        sheet.segment("hair", middle, box.y1, middle, box.y1 + 0.7)
        sheet.segment("hair", middle, box.y1 + 0.7, place, box.y1 + 2.9)
        sheet.text(text, place, baseline, size, anchor="middle")


def _within(places: Array, widths: Array, low: float, high: float) -> Array:
    """Places (n,) of spread-out labels (widths (n,)), pushed in from both ends as far as there is room."""
    pushed = places.copy()
    edge = low
    for index, width in enumerate(widths):
        pushed[index] = max(pushed[index], edge + width / 2)
        edge = float(pushed[index]) + width / 2
    edge = high
    for index in range(len(widths) - 1, -1, -1):
        pushed[index] = min(pushed[index], edge - widths[index] / 2)
        edge = float(pushed[index]) - widths[index] / 2
    return pushed


@dataclass(frozen=True, eq=False)
class FillCurve:
    """A ratio against the card's distance: arrays of shape (n,), metres and ratios."""

    distances_m: Array
    ratios: Array
    low: Array
    """Lower end of the band at each distance."""
    high: Array
    chosen_m: float
    chosen_ratio: float
    chosen_text: str
    """The chosen ratio as it is to be printed: '4:1'."""
    forbidden: tuple[tuple[float, float, str], ...] = ()
    """Ranges where the card can't stand, metres, each with why: 'in frame'."""


STEPS_M: dict[Units, tuple[float, ...]] = {
    "metric": (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0),
    "imperial": tuple(FOOT_M * step for step in (0.25, 0.5, 1, 2, 5, 10, 20)),
}
"""Round distances of the axis; the smallest step is taken whose numbers have room."""
MOST_STEPS = 8
TICK_GAP_MM = 1.5
FILL_MM = (110.0, 68.0)
"""Size of a ratio's chart."""
RATIO_MARKS = (1, 2, 3, 4, 6, 8, 12, 16, 24, 32)


def fill_chart(
    curve: FillCurve,
    name: str,
    title: str,
    size_mm: tuple[float, float] = FILL_MM,
    across: str = "card to nose",
    palette: Palette | None = None,
    units: Units = "metric",
) -> Drawing:
    """The ratio over the card's distance, stops spaced evenly; the band as a tint, the chosen point named."""
    sheet = Sheet(palette or shipped_palette(), SYSTEMS[units])
    system, marks = sheet.system, _marks(curve)
    axes = _fill_axes(curve, marks, size_mm, sheet.look.sizes.note)
    _grid(sheet, axes, marks)
    _distances(sheet, axes, f"{across}, {system.name}", size_mm[0])
    _forbidden(sheet, axes, curve)
    band = np.concatenate(
        [axes.places(curve.distances_m, curve.low), axes.places(curve.distances_m, curve.high)[::-1]]
    )
    sheet.area("band", band)
    sheet.line("curve", axes.places(curve.distances_m, curve.ratios))
    _chosen(sheet, axes, curve)
    sheet.settle(axes.box.grown(-0.3))
    words = f"At {_chosen_text(system, curve)}. " + " ".join(
        f"{system.said(distance)}: {ratio:.1f} to 1."
        for distance, ratio in zip(curve.distances_m, curve.ratios, strict=True)
    )
    return sheet.finish(*size_mm, 1, identifier(name), title, words)


def can_be_drawn(curve: FillCurve) -> bool:
    """Whether all of its ratios are among those that a chart rules."""
    return float(np.max(curve.ratios)) <= RATIO_MARKS[-1]


def fill_spots(curve: FillCurve, distance_m: float) -> tuple[float, float]:
    """Where the curve of a chart of the usual size is at a distance, x and y in mm."""
    axes = _fill_axes(curve, _marks(curve), FILL_MM, shipped_palette().sizes.note)
    stops = np.interp(distance_m, curve.distances_m, np.log2(curve.ratios))
    return axes.x(distance_m), axes.y(float(2.0**stops))


def _fill_axes(curve: FillCurve, marks: list[int], size_mm: tuple[float, float], size: float) -> "_Axes":
    """Room is left for the ratios' texts, of that size, and for two lines of them at the foot."""
    left = 1.5 + max(text_width_mm(f"{mark}:1", size) for mark in marks) + 1.5
    foot = 2 * (ascent_mm(size) + descent_mm(size)) + 4.0
    return _Axes(Box(left, 2.0, size_mm[0] - 4.0, size_mm[1] - foot), curve, marks)


def _marks(curve: FillCurve) -> list[int]:
    """The ratios that are ruled: from the one under the band to the one over it."""
    low, high = float(np.min(curve.low)), float(np.max(curve.high))
    under = max((mark for mark in RATIO_MARKS if mark <= low), default=RATIO_MARKS[0])
    over = min((mark for mark in RATIO_MARKS if mark >= high), default=RATIO_MARKS[-1])
    over = over if over > under else RATIO_MARKS[RATIO_MARKS.index(under) + 1]
    return [mark for mark in RATIO_MARKS if under <= mark <= over]


class _Axes:
    """From metres and ratios to the sheet: distance evenly, the ratio by its stops."""

    def __init__(self, box: Box, curve: FillCurve, marks: list[int]) -> None:
        self.box = box
        reach = [*curve.distances_m.tolist(), curve.chosen_m]
        self.start, self.end = min(reach), max(reach)
        self.low, self.high = np.log2(marks[0]), np.log2(marks[-1])

    def x(self, distance_m: float) -> float:
        part = (distance_m - self.start) / (self.end - self.start)
        return float(self.box.x0 + part * (self.box.x1 - self.box.x0))

    def y(self, ratio: float) -> float:
        part = (np.log2(ratio) - self.low) / (self.high - self.low)
        return float(self.box.y1 - np.clip(part, 0.0, 1.0) * (self.box.y1 - self.box.y0))

    def places(self, distances_m: Array, ratios: Array) -> Array:
        """Points (n, 2) mm."""
        return np.array(
            [(self.x(float(d)), self.y(float(r))) for d, r in zip(distances_m, ratios, strict=True)]
        )


def _grid(sheet: Sheet, axes: _Axes, marks: list[int]) -> None:
    box, size = axes.box, sheet.look.sizes.note
    lift = cap_height_mm(size) / 2
    for mark in marks:
        y = axes.y(mark)
        sheet.segment("thin" if mark == marks[0] else "hair", box.x0, y, box.x1, y)
        sheet.text(f"{mark}:1", box.x0 - 1.2, y + lift, size, anchor="end")


def _distances(sheet: Sheet, axes: _Axes, across: str, width_mm: float) -> None:
    """Ticks at round distances under the chart, and what they are."""
    box, size = axes.box, sheet.look.sizes.note
    baseline = box.y1 + 2.2 + ascent_mm(size)
    for tick in _ticks(axes, sheet.system, size, width_mm):
        x = axes.x(tick.distance_m)
        sheet.segment("thin", x, box.y1, x, box.y1 + 1.4)
        sheet.text(tick.text, (tick.start + tick.end) / 2, baseline, size, anchor="middle")
    sheet.text(across, box.x1, baseline + ascent_mm(size) + descent_mm(size) + 0.8, size, anchor="end")


@dataclass(frozen=True)
class _Tick:
    """A round distance, its text, and from where to where the text stands, mm."""

    distance_m: float
    text: str
    start: float
    end: float


def _ticks(axes: _Axes, system: System, size: float, width_mm: float) -> list[_Tick]:
    """The round distances whose texts stand apart, by the smallest step that allows it."""
    steps = [step for step in STEPS_M[system.units] if (axes.end - axes.start) / step <= MOST_STEPS]
    rows = ([_tick(axes, system, m, size, width_mm) for m in _multiples(axes, step)] for step in steps)
    return next(row for row in rows if all(b.start - a.end >= TICK_GAP_MM for a, b in pairwise(row)))


def _tick(axes: _Axes, system: System, distance_m: float, size: float, width_mm: float) -> _Tick:
    """With its text in the middle under it, or as far to the right as the sheet allows."""
    text = system.round_text(distance_m)
    width = text_width_mm(text, size)
    start = min(axes.x(distance_m) - width / 2, width_mm - width - 0.5)
    return _Tick(distance_m, text, start, start + width)


def _multiples(axes: _Axes, step: float) -> list[float]:
    """The multiples of a step on the axis, metres."""
    first, last = int(np.ceil(axes.start / step - 1e-9)), int(np.floor(axes.end / step + 1e-9))
    return [round(step * n, 4) for n in range(first, last + 1)]


def _forbidden(sheet: Sheet, axes: _Axes, curve: FillCurve) -> None:
    """Hatched ranges, each named at its top."""
    box, size = axes.box, sheet.look.sizes.note
    for start_m, end_m, why in curve.forbidden:
        start, end = max(start_m, axes.start), min(end_m, axes.end)
        if end <= start:
            continue
        ground = rectangle(axes.x(start), box.y0, axes.x(end), box.y1)
        for line in hatch(ground, 45.0, 2.2):
            sheet.line("hair", line)
        for edge_m in (start_m, end_m):
            if axes.start < edge_m < axes.end:
                sheet.segment("thin", axes.x(edge_m), box.y0, axes.x(edge_m), box.y1)
        middle = (axes.x(start) + axes.x(end)) / 2
        half = text_width_mm(why, size) / 2
        x = min(max(middle, box.x0 + half + 0.6), box.x1 - half - 0.6)
        sheet.text(why, x, box.y0 + 0.8 + ascent_mm(size), size, kind="name", anchor="middle", about=why)


def _chosen(sheet: Sheet, axes: _Axes, curve: FillCurve) -> None:
    """The chosen point with its foot on the axis, named beside the curve."""
    x, y = axes.x(curve.chosen_m), axes.y(curve.chosen_ratio)
    sheet.segment("thin", x, y, x, axes.box.y1)
    sheet.ring(x, y, 1.1)
    size = sheet.look.sizes.value
    text = _chosen_text(sheet.system, curve)
    wish = around((x, y), sheet.size(text, size, 700), (1.8, 3.0, 5.0, 8.0, 12.0), leader=False)

    def keep(index: int) -> None:
        x0, y0 = (float(edge) for edge in wish.boxes[index][:2])
        sheet.text(text, x0, y0 + ascent_mm(size), size, kind="name", weight=700, about="chosen")

    sheet.wish(wish, keep)


def _chosen_text(system: System, curve: FillCurve) -> str:
    return f"{system.said(curve.chosen_m)}, {curve.chosen_text}"
