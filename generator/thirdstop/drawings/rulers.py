"""Dimensions: running dimensions from M along an edge, plain dimension lines, the scale bar.

Running dimensions follow the habit of ISO 129-1: one origin (a small circle), a tick for each place, the
distance from the origin at each tick. Places that print the same distance share one tick's label.
"""

from dataclasses import dataclass

import numpy as np

from thirdstop.drawings.fonts import cap_height_mm, text_width_mm
from thirdstop.drawings.labels import Box
from thirdstop.drawings.lengths import METRIC, System
from thirdstop.drawings.sheet import Label, Sheet
from thirdstop.typed import Array, Vec

TICK_MM = 1.4
JOG_MM = 2.6
BADGE_MM = 4.0
"""Diameter of an item number's circle within a ruler."""
ROW_MM = 4.4
GAP_MM = 0.9
ARROW_MM = (2.2, 0.7)
"""Length and full width of a dimension's arrowhead."""
OVERHANG_MM = 3.0
"""How far the text of a dimension may stand out over the start of its line: less than a wall's band."""


@dataclass(frozen=True)
class Place:
    """One place on a ruler: signed distance from the origin in metres, and what stands there."""

    distance_m: float
    item: int | None
    """The item's number, drawn in a circle; None where `word` says it all."""
    word: str = ""


@dataclass(frozen=True)
class Entry:
    """All places that print the same distance."""

    value: str
    stated_m: float
    """What the value says, unsigned."""
    distance_m: float
    places: tuple[Place, ...]


def entries(places: list[Place], system: System = METRIC) -> list[Entry]:
    """Places gathered by printed distance, in order along the ruler; '0' at the origin itself."""
    groups: dict[int, list[Place]] = {}
    for place in sorted(places, key=lambda p: (p.distance_m, p.item or 0, p.word)):
        groups.setdefault(system.steps(place.distance_m), []).append(place)
    return [_entry(system, steps, group) for steps, group in groups.items()]


def _entry(system: System, steps: int, group: list[Place]) -> Entry:
    distance_m, places = group[0].distance_m, tuple(dict.fromkeys(group))
    return Entry(system.text(distance_m) if steps else "0", system.stated_m(distance_m), distance_m, places)


def spread(wanted: Array, sizes: Array) -> Array:
    """Middles (n,) nearest to the wanted ones, in least squares, so that the sizes (n,) don't overlap.

    Pool adjacent violators on the middles less the room that the ones before need.
    """
    if len(wanted) == 0:
        return wanted
    offsets = np.concatenate([[0.0], np.cumsum((sizes[:-1] + sizes[1:]) / 2)])
    blocks: list[tuple[float, int]] = []
    for target in wanted - offsets:
        blocks.append((float(target), 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (a, n), (b, m) = blocks[-2:]
            blocks[-2:] = [((a * n + b * m) / (n + m), n + m)]
    level: Array = np.concatenate([np.full(n, mean) for mean, n in blocks])
    middles: Array = level + offsets
    return middles


class Ruler:
    """Running dimensions along one line outside the drawing; `turned` runs along x and reads upward."""

    def __init__(self, sheet: Sheet, found: list[Entry], turned: bool) -> None:
        self._sheet, self._entries, self._turned = sheet, found, turned

    @property
    def reach_mm(self) -> float:
        """How far the labels stand out from the ruler's line."""
        return TICK_MM + JOG_MM + max((self._width(entry) for entry in self._entries), default=0.0) + 0.3

    def over_mm(self, before_mm: float, after_mm: float, mm_per_m: float) -> tuple[float, float]:
        """How far the labels reach beyond a span that starts and ends so far before and after the origin."""
        ticks = np.array([entry.distance_m * mm_per_m for entry in self._entries])
        middles = spread(ticks, np.full(len(ticks), ROW_MM))
        low = min(*middles - ROW_MM / 2, *ticks) + before_mm
        high = max(*middles + ROW_MM / 2, *ticks) - after_mm
        return max(0.0, -float(low)), max(0.0, float(high))

    def _width(self, entry: Entry) -> float:
        sizes = self._sheet.look.sizes
        width = text_width_mm(entry.value, sizes.value, 700)
        for place in entry.places:
            width += GAP_MM + self._place_width(place)
        return width

    def _place_width(self, place: Place) -> float:
        if place.word:
            return text_width_mm(self._words(place), self._sheet.look.sizes.small)
        return BADGE_MM

    @staticmethod
    def _words(place: Place) -> str:
        return place.word if place.item is None else f"{place.item} {place.word}"

    def draw(self, line_mm: float, zero_mm: float, mm_per_m: float, span: tuple[float, float]) -> None:
        """Draw it: where its line runs, where the origin is along it, and its ends (all mm)."""
        ticks = np.array([zero_mm + entry.distance_m * mm_per_m for entry in self._entries])
        low, high = min(span[0], *ticks, zero_mm), max(span[1], *ticks, zero_mm)
        self._stroke(line_mm, low, line_mm, high)
        middles = spread(ticks, np.full(len(ticks), ROW_MM))
        for entry, tick, middle in zip(self._entries, ticks, middles, strict=True):
            out = line_mm + self._sign * TICK_MM
            self._stroke(line_mm, tick, out, tick)
            self._stroke(out, tick, line_mm + self._sign * (TICK_MM + JOG_MM), middle)
            self._label(entry, line_mm, float(middle), float(tick) - zero_mm)
        if self._turned:
            self._sheet.ring(zero_mm, line_mm, 0.8)
        else:
            self._sheet.ring(line_mm, zero_mm, 0.8)

    @property
    def _sign(self) -> float:
        return 1.0 if self._turned else -1.0

    def _stroke(self, off0: float, along0: float, off1: float, along1: float) -> None:
        if self._turned:
            self._sheet.segment("measure", along0, off0, along1, off1)
        else:
            self._sheet.segment("measure", off0, along0, off1, along1)

    def _label(self, entry: Entry, line_mm: float, middle: float, drawn_mm: float) -> None:
        sizes = self._sheet.look.sizes
        reach = TICK_MM + JOG_MM + 0.3
        about = ", ".join(self._about(place) for place in entry.places)
        off = line_mm + self._sign * reach
        self._write(
            entry.value,
            off,
            middle,
            sizes.value,
            700,
            about=about,
            stated=entry.stated_m,
            drawn=abs(drawn_mm),
        )
        reach += text_width_mm(entry.value, sizes.value, 700)
        for place in entry.places:
            reach += GAP_MM
            self._place(place, line_mm + self._sign * reach, middle)
            reach += self._place_width(place)

    @staticmethod
    def _about(place: Place) -> str:
        name = place.word if place.item is None else f"item {place.item} {place.word}"
        return name.strip()

    def _place(self, place: Place, off: float, middle: float) -> None:
        small = self._sheet.look.sizes.small
        if place.word:
            self._write(self._words(place), off, middle, small, 400, about=self._about(place))
            return
        centre = off + self._sign * BADGE_MM / 2
        x, y = (middle, centre) if self._turned else (centre, middle)
        badge(self._sheet, str(place.item), x, y, self._turned)

    def _write(
        self,
        text: str,
        off: float,
        middle: float,
        size: float,
        weight: int,
        about: str,
        stated: float | None = None,
        drawn: float | None = None,
    ) -> Label:
        lift = cap_height_mm(size) / 2
        x, y = (middle + lift, off) if self._turned else (off, middle + lift)
        return self._sheet.text(
            text,
            x,
            y,
            size,
            kind="mark" if stated is None else "dimension",
            weight=weight,
            anchor="end",
            turned=self._turned,
            style="ink",
            about=about,
            stated=stated,
            drawn=drawn,
        )


def badge(sheet: Sheet, text: str, x: float, y: float, turned: bool) -> None:
    """An item's number in a small circle, beside a dimension."""
    size = 2.6
    lift = cap_height_mm(size) / 2
    sheet.ring(x, y, BADGE_MM / 2)
    at = (x + lift, y) if turned else (x, y + lift)
    sheet.text(text, *at, size, kind="mark", weight=700, anchor="middle", turned=turned, about=f"item {text}")


def arrowhead(sheet: Sheet, tip: Vec, way: Vec) -> None:
    """A slim filled arrowhead with its tip at a place, pointing along a unit direction."""
    length, width = ARROW_MM
    back = tip - way * length
    side = np.array([-way[1], way[0]]) * width / 2
    sheet.area("arrow", np.stack([tip, back + side, back - side]))


def dimension_along(
    sheet: Sheet, start: Vec, end: Vec, metres: float, about: str, below: bool = False
) -> None:
    """A dimension line between two places on a horizontal or upright line, its value beside it."""
    size = sheet.look.sizes.value
    text, length = sheet.system.text(metres), float(np.linalg.norm(end - start))
    way = (end - start) / length
    sheet.line("measure", np.stack([start, end]))
    roomy = length > 2.5 * ARROW_MM[0]
    arrowhead(sheet, end, way if roomy else -way)
    arrowhead(sheet, start, -way if roomy else way)
    upright = abs(way[1]) > 0.5
    # a text longer than its line starts a little before it
    middle = start + way * max(length / 2, text_width_mm(text, size, 700) / 2 - OVERHANG_MM)
    lift = -0.7 if not below else 0.7 + cap_height_mm(size)
    x, y = (middle[0] + lift, middle[1]) if upright else (middle[0], middle[1] + lift)
    sheet.text(
        text,
        float(x),
        float(y),
        size,
        kind="dimension",
        weight=700,
        anchor="middle",
        turned=upright,
        about=about,
        stated=sheet.system.stated_m(metres),
        drawn=length,
    )


def scale_bar(sheet: Sheet, x: float, y: float, mm_per_m: float, caption: str) -> Box:
    """A bar of half metres, or of feet, with its numbers, and the caption after it; the ground it takes."""
    size, system = sheet.look.sizes.small, sheet.system
    each, end_x = mm_per_m * system.bar_step_m, x + scale_bar_mm(system, mm_per_m)
    for step in range(system.bar_steps):
        x0 = x + step * each
        corners = np.array([(x0, y), (x0 + each, y), (x0 + each, y + 1.2), (x0, y + 1.2)])
        sheet.line("hair", corners, close=True)
        if step % 2 == 0:
            sheet.area("black", corners)
    baseline = y + 1.2 + 0.6 + cap_height_mm(size)
    sheet.text("0", x, baseline, size, kind="mark", anchor="middle", about="scale bar")
    end = sheet.text(
        system.bar_end, end_x, baseline, size, kind="dimension", anchor="middle", about="scale bar",
        stated=system.bar_step_m * system.bar_steps, drawn=end_x - x,
    )  # fmt: skip
    note = sheet.look.sizes.note
    text = sheet.text(caption, max(end_x, end.box.x1) + 2.5, y + 1.6, note, kind="caption")
    return Box(x - 1, y, text.box.x1, max(end.box.y1, text.box.y1))


def scale_bar_mm(system: System, mm_per_m: float) -> float:
    """How long the scale bar is on the sheet."""
    return mm_per_m * system.bar_step_m * system.bar_steps
