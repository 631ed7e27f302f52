"""A drawing sheet: lines, areas and texts in mm, labels placed at the end, then written as SVG."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.drawings.fonts import ascent_mm, cap_height_mm, descent_mm, text_width_mm
from thirdstop.drawings.geometry import closed, cut_polygon, hatch, inside_window, outside_convex, rectangle
from thirdstop.drawings.labels import Box, Ground, Wish, place
from thirdstop.drawings.lengths import METRIC, System
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.svg import Canvas
from thirdstop.typed import Array, Mask, Vec

LabelKind: TypeAlias = Literal["number", "part", "dimension", "bearing", "lean", "mark", "name", "caption"]
Anchor: TypeAlias = Literal["start", "middle", "end"]

WEIGHTS = {
    "thick": 12.0,
    "thin": 3.0,
    "hidden": 2.0,
    "measure": 4.0,
    "hair": 1.5,
    "field": 1.5,
    "frame": 2.0,
    "axis": 1.0,
    "hatch": 0.25,
    "curve": 12.0,
}
"""What a millimetre of a line costs a text that covers it."""

LEADER_COVERED = 1e7
"""What a millimetre of a leader that is there already costs a text: it is forbidden."""
FILLED = {"black": 2000.0, "overlaid": 6.0}
"""What a millimetre of hatching, `FILLED_PITCH_MM` apart, would cost a text that covers a filled area: ink on
ink is not read, so that even a spot that is kept for need is better.
"""
FILLED_PITCH_MM = 0.6
NUMBER_DIAMETER_MM = 5.0
"""Item numbers stand in circles of this size (in the manner of ISO 6433)."""
PART_DIAMETER_MM = 3.6
"""And in such small ones where they say whose a value is."""

_ORDER = ("hatch", "hair", "axis", "field", "frame", "hidden", "thin", "measure", "leader", "thick", "curve")
_CUT = {"hatch", "hair", "axis", "field", "frame", "hidden", "thin", "measure"}
_CUT_MARGIN_MM = 0.3


@dataclass(frozen=True)
class Label:
    """One text of a drawing, as printed: where it stands, and what it claims."""

    text: str
    kind: LabelKind
    box: Box
    size_mm: float
    weight: int = 400
    about: str = ""
    """Whose: 'item 2', 'M', 'base of 1'."""
    stated: float | None = None
    """The value that the text states: metres of a dimension, degrees of a bearing or lean."""
    drawn: float | None = None
    """What is really drawn: mm of a dimension, degrees of a bearing or lean."""
    broken: bool = False
    """A dimension whose line is broken by a zigzag, so that it is not drawn to length."""


@dataclass(frozen=True, eq=False)
class Drawing:
    """A finished drawing: its SVG, and what the SVG holds, for tests and layout."""

    svg: str
    width_mm: float
    height_mm: float
    scale: float
    labels: tuple[Label, ...]
    leaders: tuple[Array, ...] = ()
    """Each (n, 2) mm, from the thing's dot to the number's circle."""
    thick: tuple[Array, ...] = ()
    """The thick lines, each (n, 2) mm."""
    spots: tuple["Spot", ...] = ()
    """Where each numbered thing lies, for pages that point at it; not in the SVG."""


@dataclass(frozen=True, eq=False)
class Spot:
    """The ground of a numbered thing on the sheet, and its number's circle."""

    number: int
    outline: Array
    """Convex, (n, 2) mm; empty where the thing lies outside what is shown."""
    circle: tuple[float, float, float] | None
    """x, y and radius, mm; None where the number found no room."""


@dataclass(frozen=True)
class _Text:
    style: str
    x: float
    y: float
    anchor: Anchor
    turned: bool
    label: Label

    def moved(self, x_mm: float, y_mm: float) -> "_Text":
        """The same text elsewhere."""
        label = replace(self.label, box=self.label.box.moved(x_mm, y_mm))
        return replace(self, x=self.x + x_mm, y=self.y + y_mm, label=label)


@dataclass(eq=False)
class Sheet:
    """Collects a drawing; `window`, an upright rectangle, cuts whatever is added while it is set."""

    look: Palette
    system: System = METRIC
    """How lengths are written on it."""
    window: Array | None = None
    strokes: list[tuple[str, Array, bool]] = field(default_factory=list)
    tags: dict[int, str] = field(default_factory=dict)
    """By the index of a stroke: whose dimension line it is."""
    areas: list[tuple[str, Array]] = field(default_factory=list)
    dots: list[tuple[str, float, float, float]] = field(default_factory=list)
    rings: list[tuple[float, float, float]] = field(default_factory=list)
    texts: list[_Text] = field(default_factory=list)
    clear: list[Box] = field(default_factory=list)
    """Small signs that no label placed by the search may cover."""
    leaders: list[Array] = field(default_factory=list)
    wishes: list[tuple[Wish, Callable[[int], None]]] = field(default_factory=list)
    later: list[tuple[Wish, Callable[[int], None]]] = field(default_factory=list)
    """What goes with a label and is placed once every label has its place."""
    grounds: dict[int, Array] = field(default_factory=dict)
    """By item number: the convex ground that a thing covers, (n, 2) mm."""
    circles: dict[int, tuple[float, float, float]] = field(default_factory=dict)
    """By item number: x, y and radius of its number's circle, mm."""

    def moved(self, by_mm: Vec, system: System) -> "Sheet":
        """What is on the sheet so far at another place of another sheet, to go on from in that system.

        All wishes must be settled, and no text on it may be a length.
        """
        assert not self.wishes
        x, y = (float(part) for part in by_mm)
        return Sheet(
            self.look,
            system,
            strokes=[(style, points + by_mm, close) for style, points, close in self.strokes],
            tags=dict(self.tags),
            areas=[(style, polygon + by_mm) for style, polygon in self.areas],
            dots=[(style, dx + x, dy + y, radius) for style, dx, dy, radius in self.dots],
            rings=[(rx + x, ry + y, radius) for rx, ry, radius in self.rings],
            texts=[text.moved(x, y) for text in self.texts],
            clear=[box.moved(x, y) for box in self.clear],
            leaders=[ends + by_mm for ends in self.leaders],
            grounds={number: ground + by_mm for number, ground in self.grounds.items()},
            circles={number: (cx + x, cy + y, radius) for number, (cx, cy, radius) in self.circles.items()},
        )

    def line(self, style: str, points: Array, close: bool = False, tag: str = "") -> None:
        """A polyline (n, 2) of one pen; its tag says whose dimension line it is."""
        first = len(self.strokes)
        self._line(style, points, close)
        if tag:
            self.tags.update(dict.fromkeys(range(first, len(self.strokes)), tag))

    def _line(self, style: str, points: Array, close: bool) -> None:
        if self.window is None:
            self.strokes.append((style, np.asarray(points, dtype=float), close))
            return
        whole = closed(points) if close else points
        # most lines lie wholly inside, and are left as they are
        pieces = [whole] if self._holds(whole) else inside_window(whole, self.window)
        self.strokes.extend((style, piece, False) for piece in pieces)

    def segment(self, style: str, x0: float, y0: float, x1: float, y1: float) -> None:
        """A straight line of one pen."""
        self.line(style, np.array([(x0, y0), (x1, y1)]))

    def area(self, style: str, polygon: Array) -> None:
        """A filled polygon (n, 2) of one ink, beneath every line."""
        part = polygon
        if self.window is not None and not self._holds(polygon):
            part = cut_polygon(polygon, self.window)
        if len(part) > 2:
            self.areas.append((style, part))

    def dot(self, x: float, y: float, radius: float, style: str = "black") -> None:
        """A small filled circle, left out where it falls outside the window."""
        if self.window is None or self.in_window(x, y):
            self.dots.append((style, x, y, radius))

    def ring(self, x: float, y: float, radius: float) -> None:
        """A small open circle."""
        self.rings.append((x, y, radius))

    def in_window(self, x: float, y: float) -> bool:
        """Whether a place lies in the window, if there is one."""
        return self._holds(np.array([(x, y)]))

    def _holds(self, points: Array) -> bool:
        """Whether all points (n, 2) lie in the window, an upright rectangle, if there is one."""
        if self.window is None:
            return True
        low, high = self.window.min(axis=0), self.window.max(axis=0)
        return bool((points >= low).all() and (points <= high).all())

    def size(self, text: str, size_mm: float, weight: int = 400) -> tuple[float, float]:
        """Width and height in mm that one line of text takes."""
        return text_width_mm(text, size_mm, weight), ascent_mm(size_mm) + descent_mm(size_mm)

    def text(
        self,
        label: str,
        x: float,
        y: float,
        size_mm: float,
        *,
        kind: LabelKind = "caption",
        weight: int = 400,
        anchor: Anchor = "start",
        turned: bool = False,
        style: str = "ink",
        about: str = "",
        stated: float | None = None,
        drawn: float | None = None,
        broken: bool = False,
    ) -> Label:
        """A text with its baseline at y (turned: reading upward along x)."""
        width = text_width_mm(label, size_mm, weight)
        before = {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        up, down = ascent_mm(size_mm), descent_mm(size_mm)
        if turned:
            box = Box(x - up, y + before - width, x + down, y + before)
        else:
            box = Box(x - before, y - up, x - before + width, y + down)
        placed = Label(label, kind, box, size_mm, weight, about, stated, drawn, broken)
        self.texts.append(_Text(style, x, y, anchor, turned, placed))
        return placed

    def number(self, number: int, x: float, y: float, about: str) -> None:
        """An item number in its circle, centred at a place."""
        size, radius = self.look.sizes.number, NUMBER_DIAMETER_MM / 2
        box = Box(x - radius, y - radius, x + radius, y + radius)
        label = Label(str(number), "number", box, size, 700, about)
        self.rings.append((x, y, radius))
        self.circles[number] = (x, y, radius)
        self.texts.append(_Text("ink", x, y + cap_height_mm(size) / 2, "middle", False, label))

    def part(self, number: int, x: float, y: float, about: str) -> None:
        """An item's number in a small circle, beside a value that is the item's."""
        size, radius = self.look.sizes.small, PART_DIAMETER_MM / 2
        box = Box(x - radius, y - radius, x + radius, y + radius)
        self.rings.append((x, y, radius))
        label = Label(str(number), "part", box, size, 700, about)
        self.texts.append(_Text("ink", x, y + cap_height_mm(size) / 2, "middle", False, label))

    def leader(self, ends: Array) -> None:
        """A leader (2, 2) from a thing to its label, with a dot on the thing."""
        self.leaders.append(ends)
        self.dot(float(ends[0, 0]), float(ends[0, 1]), 0.45)

    def wish(self, wish: Wish, keep: Callable[[int], None]) -> None:
        """A label to be placed by the search; `keep` draws it at the chosen candidate."""
        self.wishes.append((wish, keep))

    def settle(self, within: Box) -> None:
        """Place all that was wished for so far, inside a rectangle of the sheet."""
        window = rectangle(*within.row())
        self.grounds = {number: cut_polygon(ground, window) for number, ground in self.grounds.items()}
        lines = [
            (closed(points) if close else points, WEIGHTS[style], self.tags.get(index, ""))
            for index, (style, points, close) in enumerate(self.strokes)
            if style in WEIGHTS
        ]
        lines += [(line, cost, "") for cost, line in self._filled()]
        lines += [(ends, LEADER_COVERED, "") for ends in self.leaders]
        ground = Ground(within, [*(text.label.box for text in self.texts), *self.clear], lines)
        for (_, keep), index in zip(
            self.wishes, place([wish for wish, _ in self.wishes], ground), strict=True
        ):
            if index is not None:
                keep(index)
        self.wishes, self.later = self.later, []
        if self.wishes:
            self.settle(within)

    def _filled(self) -> Iterator[tuple[float, Array]]:
        """Filled areas as the hatching that a text may not cover, each line with its cost."""
        for style, polygon in self.areas:
            if style in FILLED:
                yield FILLED[style], closed(polygon)
                for line in hatch(polygon, 45.0, FILLED_PITCH_MM):
                    yield FILLED[style], line

    def _seen_through(self, style: str, polygon: Array) -> str:
        """The area's ink; where a text found no place but on black, that is see-through."""
        if style != "black":
            return style
        boxes = np.array([text.label.box.row() for text in self.texts]).reshape(-1, 4)
        near = boxes[_near(polygon, boxes)]
        covered = any(len(cut_polygon(polygon, rectangle(*box))) > 2 for box in near)
        return "overlaid" if covered else style

    def finish(
        self, width_mm: float, height_mm: float, scale: float, prefix: str, title: str, description: str
    ) -> Drawing:
        """Write the SVG: areas, then lines from the thinnest, then dots, circles and texts."""
        prefix = f"{prefix}{self.system.suffix}"
        canvas = Canvas((width_mm, height_mm), prefix, title, description, self.look)
        areas = [(self._seen_through(style, polygon), polygon) for style, polygon in self.areas]
        for style in dict.fromkeys(style for style, _ in areas):
            canvas.areas(style, [polygon for name, polygon in areas if name == style])
        texts = [text.label.box for text in self.texts if text.label.kind != "number"]
        gaps = np.array([box.grown(_CUT_MARGIN_MM).row() for box in texts]).reshape(-1, 4)
        strokes = [*self.strokes, *(("leader", ends, False) for ends in self.leaders)]
        for style in _ORDER:
            canvas.lines(style, _interrupted(style, strokes, gaps))
        for style in dict.fromkeys(style for style, *_ in self.dots):
            canvas.discs(style, [(x, y, r) for name, x, y, r in self.dots if name == style])
        canvas.circles("thin", self.rings)
        for style in dict.fromkeys(text.style for text in self.texts):
            canvas.texts(style, [_row(text) for text in self.texts if text.style == style])
        thick = [closed(line) if close else line for style, line, close in self.strokes if style == "thick"]
        labels = tuple(text.label for text in self.texts)
        spots = tuple(Spot(n, ground, self.circles.get(n)) for n, ground in sorted(self.grounds.items()))
        leaders = tuple(self.leaders)
        return Drawing(canvas.text(), width_mm, height_mm, scale, labels, leaders, tuple(thick), spots)


def _row(text: _Text) -> tuple[str, float, float, float, int, str, bool]:
    label = text.label
    return label.text, text.x, text.y, label.size_mm, label.weight, text.anchor, text.turned


def _interrupted(style: str, strokes: list[tuple[str, Array, bool]], gaps: Array) -> list[tuple[Array, bool]]:
    """The lines of one pen; thin ones are interrupted by the gaps (m, 4) where a text stands on them."""
    kept: list[tuple[Array, bool]] = []
    mine = [(points, close) for name, points, close in strokes if name == style]
    if style not in _CUT or not mine:
        return mine
    meets = _near_each([points for points, _ in mine], gaps)
    for (points, close), row in zip(mine, meets, strict=True):
        near = [rectangle(*gap) for gap in gaps[row].tolist()]
        if near:
            whole = closed(points) if close else points
            kept.extend((piece, False) for piece in outside_convex(whole, near))
        else:
            kept.append((points, close))
    return kept


def _near_each(lines: list[Array], gaps: Array) -> Mask:
    """Which gaps (m, 4) the bounds of each line (n, each (k, 2)) touch, shape (n, m)."""
    starts = np.cumsum([0, *(len(line) for line in lines[:-1])])
    every = np.concatenate(lines)
    low, high = np.minimum.reduceat(every, starts)[:, None], np.maximum.reduceat(every, starts)[:, None]
    return np.asarray(((gaps[:, :2] <= high) & (gaps[:, 2:] >= low)).all(axis=2))


def _near(points: Array, bounds: Array) -> Mask:
    """Which of some boxes (n, 4) the bounds of a line touch, (n,)."""
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    near: Mask = (bounds[:, 0] <= x1) & (bounds[:, 2] >= x0) & (bounds[:, 1] <= y1) & (bounds[:, 3] >= y0)
    return near
