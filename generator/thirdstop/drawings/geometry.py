"""Plane geometry of a drawing: projection, silhouettes, outlines of unions, clipping, hatching.

Everything after `View` is in millimetres on the sheet, x to the right and y down; polygons are (n, 2).
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

import numpy as np

from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.vectors import cross
from thirdstop.typed import Array, Mask, Vec

_SAME_DECIMALS = 6
"""Of millimetres: polygons that agree so far are the same."""
CHORD_MM = 0.8
"""Longest chord of a drawn ellipse: it misses a curve of 1 mm radius by 0.08 mm, wider ones by less."""


@dataclass(frozen=True, eq=False)
class View:
    """A parallel projection onto the sheet: unit axes in space, where M falls on the sheet, the scale."""

    right: Vec
    up: Vec
    scale: float
    """As in 1:scale."""
    mark_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def toward(self) -> Vec:
        """Unit direction from the drawing to the viewer."""
        return cross(self.right, self.up)

    @property
    def mm_per_m(self) -> float:
        """Millimetres on the sheet for a metre in the room."""
        return 1000.0 / self.scale

    def at(self, x_mm: float, y_mm: float) -> "View":
        """The same view with M at another place of the sheet."""
        return replace(self, mark_mm=(x_mm, y_mm))

    def project(self, points_m: Array) -> Array:
        """Points (n, 3) in metres to (n, 2) in millimetres on the sheet."""
        placed: Array = np.empty((*points_m.shape[:-1], 2))
        placed[..., 0] = points_m @ self.right * self.mm_per_m + self.mark_mm[0]
        placed[..., 1] = -(points_m @ self.up) * self.mm_per_m + self.mark_mm[1]
        return placed

    def point(self, point_m: Vec) -> Vec:
        """One point (3,) in metres to (2,) in millimetres on the sheet."""
        placed: Vec = self.project(point_m[None, :])[0]
        return placed

    def direction(self, direction: Vec) -> Vec:
        """A direction in space to its trace on the sheet, (2,), not normalised."""
        return np.array([direction @ self.right, -(direction @ self.up)])


PLAN_RIGHT = np.array([1.0, 0.0, 0.0])
PLAN_UP = np.array([0.0, 1.0, 0.0])
UPRIGHT = np.array([0.0, 0.0, 1.0])


def plan_view(scale: float) -> View:
    """Seen from above, the camera at the bottom of the sheet."""
    return View(PLAN_RIGHT, PLAN_UP, scale)


def silhouette(solid: Ellipsoid, view: View) -> Array:
    """True outline of an ellipsoid in a parallel projection, (n, 2) mm.

    The image of the unit sphere under a 2 × 3 matrix B is the ellipse of B Bᵀ.
    """
    axes_mm = view.project(solid.axes.T * solid.semi_axes_m[:, None]) - np.array(view.mark_mm)
    root = np.linalg.cholesky(axes_mm.T @ axes_mm)
    girth_mm = 2 * np.pi * float(np.sqrt(np.trace(axes_mm.T @ axes_mm) / 2))
    segments = int(np.clip(np.ceil(girth_mm / CHORD_MM), 16, 64))
    outline: Array = view.point(solid.centre_m) + _ring(segments) @ root.T
    return outline


@lru_cache(maxsize=64)
def _ring(segments: int) -> Array:
    """Points around the unit circle, (segments, 2)."""
    angles = 2 * np.pi * np.arange(segments) / segments
    ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    ring.flags.writeable = False  # shared by everyone who asks
    return ring


def hull(points: Array) -> Array:
    """Convex hull of (n, 2) points, (m, 2), in one turning sense (Andrew's monotone chain)."""
    ordered = sorted(set(map(tuple, points.tolist())))
    if len(ordered) < 3:
        return np.array(ordered)

    def chain(walk: list[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for x, y in walk:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], (x, y)) <= 1e-12:
                kept.pop()
            kept.append((x, y))
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]))


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def area_mm2(polygon: Array) -> float:
    """Area of a polygon (n, 2), positive."""
    after = _next(polygon)
    return float(abs(np.sum(polygon[:, 0] * after[:, 1] - polygon[:, 1] * after[:, 0])) / 2)


def _next(points: Array) -> Array:
    """Each point's successor around a polygon, (n, 2)."""
    return np.concatenate([points[1:], points[:1]])


def inside_convex(points: Array, polygon: Array, margin_mm: float = 0.0) -> Mask:
    """Which of the (n, 2) points lie inside a convex polygon, deeper than the margin; shape (n,)."""
    edges = _next(polygon) - polygon
    lengths = np.maximum(np.linalg.norm(edges, axis=1), 1e-12)
    side = edges[:, 0] * (points[:, 1, None] - polygon[:, 1])
    side -= edges[:, 1] * (points[:, 0, None] - polygon[:, 0])
    side /= lengths
    after = _next(edges)
    turning = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    if turning.sum() < 0:
        side = -side
    inside: Mask = (side > margin_mm).all(axis=1)
    return inside


def spans_in_convex(starts: Array, ends: Array, polygon: Array) -> tuple[Array, Array]:
    """The part (from, to in 0..1) of each segment (n, 2) to (n, 2) inside a convex polygon.

    Two arrays (n,); from ≥ to where a segment lies outside (Cyrus and Beck).
    """
    sides = _sides(np.ascontiguousarray(polygon, dtype=float).tobytes())
    if sides is None:
        return np.ones(len(starts)), np.zeros(len(starts))
    normals, offsets = sides
    at_start = starts @ normals.T - offsets
    along = (ends - starts) @ normals.T
    flat = np.abs(along) < 1e-12
    cut = -at_start / np.where(flat, 1.0, along)
    low = np.where(~flat & (along > 0), cut, 0.0).max(axis=1, initial=0.0)
    high = np.where(~flat & (along < 0), cut, 1.0).min(axis=1, initial=1.0)
    return low, np.where((flat & (at_start <= 0)).any(axis=1), low, high)


@lru_cache(maxsize=1024)
def _sides(told: bytes) -> tuple[Array, Array] | None:
    """Inward normals (n, 2) of a convex polygon's edges, and each edge's place along its own; None where it
    covers nothing. Remembered: many lines of a sheet meet the same few texts.
    """
    polygon = np.frombuffer(told).reshape(-1, 2)
    if len(polygon) < 3 or area_mm2(polygon) < 1e-9:
        return None
    edges = _next(polygon) - polygon
    normals = np.stack([-edges[:, 1], edges[:, 0]], axis=1)
    inward = np.sign(np.sum(normals * (polygon.mean(axis=0) - polygon), axis=1))
    normals = normals * inward[:, None]
    return normals, np.asarray(np.sum(normals * polygon, axis=1))


def outside_convex(line: Array, polygons: list[Array]) -> list[Array]:
    """What is left of a polyline (n, 2) outside all convex polygons: a list of polylines."""
    starts, ends = line[:-1], line[1:]
    found = [spans_in_convex(starts, ends, polygon) for polygon in polygons]
    spans = [(low.tolist(), high.tolist()) for low, high in found if (high > low).any()]
    if not spans and len(line) > 1:
        return [line]
    pieces = [
        (index, *gap)
        for index in range(len(starts))
        for gap in _gaps([(low[index], high[index]) for low, high in spans if high[index] > low[index]])
    ]
    return _parts(starts, ends, pieces)


def inside_window(line: Array, polygon: Array) -> list[Array]:
    """What is left of a polyline (n, 2) inside one convex polygon: a list of polylines."""
    starts, ends = line[:-1], line[1:]
    low, high = spans_in_convex(starts, ends, polygon)
    left = np.flatnonzero(high - low > 1e-9)
    return _parts(starts, ends, list(zip(left, low[left], high[left], strict=True)))


def _parts(starts: Array, ends: Array, pieces: list[tuple[int, float, float]]) -> list[Array]:
    """Parts of segments (n, 2) to (n, 2) as polylines: which segment, and from where to where, 0 to 1."""
    if not pieces:
        return []
    which, low, high = (np.array(column) for column in zip(*pieces, strict=True))
    along = ends[which] - starts[which]
    first, last = starts[which] + low[:, None] * along, starts[which] + high[:, None] * along
    return joined(np.stack([first, last], axis=1))


def _gaps(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    gaps, reached = [], 0.0
    for low, high in sorted(spans):
        if low > reached + 1e-9:
            gaps.append((reached, low))
        reached = max(reached, high)
    return [*gaps, (reached, 1.0)] if reached < 1 - 1e-9 else gaps


def joined(pieces: Array) -> list[Array]:
    """Pieces (n, 2, 2) that meet end to start, in order, as longer polylines."""
    met = np.abs(pieces[:-1, 1] - pieces[1:, 0]).max(axis=1, initial=0.0) < 1e-9
    lines = [np.concatenate([run[:1, 0], run[:, 1]]) for run in np.split(pieces, np.flatnonzero(~met) + 1)]
    if len(lines) > 1 and np.abs(lines[-1][-1] - lines[0][0]).max() < 1e-9:
        lines[0] = np.concatenate([lines.pop(), lines[0][1:]])
    return lines


def chained(pieces: list[Array]) -> list[Array]:
    """Pieces (2, 2) in any order and sense, linked where their ends meet, as longer polylines."""
    places = [(_place(start), _place(end)) for start, end in (piece.tolist() for piece in pieces)]
    ends: dict[_Place, list[int]] = {}
    for index, both in enumerate(places):
        for place in both:
            ends.setdefault(place, []).append(index)
    lines, used = [], [False] * len(pieces)

    def followed(line: list[Vec], here: _Place) -> list[Vec]:
        """The line carried on from its last point as long as an unused piece starts or ends there."""
        while True:
            found = next((index for index in ends[here] if not used[index]), None)
            if found is None:
                return line
            used[found] = True
            (first, last), (start, end) = places[found], pieces[found]
            here, point = (last, end) if first == here else (first, start)
            line.append(point)

    for index, (piece, (first, last)) in enumerate(zip(pieces, places, strict=True)):
        if not used[index]:
            used[index] = True
            forward = followed(list(piece), last)
            lines.append(np.array(followed(forward[::-1], first)[::-1]))
    return lines


_Place: TypeAlias = tuple[float, float]
"""Where an end of a piece lies, so far rounded that ends which meet have the same."""


def _place(point: list[float]) -> _Place:
    return round(point[0], 3) + 0.0, round(point[1], 3) + 0.0


def _spans(line: Array) -> float:
    return float(np.ptp(line, axis=0).max())


def closed(polygon: Array) -> Array:
    """The polygon (n, 2) as a polyline that returns to its start, (n + 1, 2)."""
    return np.concatenate([polygon, polygon[:1]])


def union_outline(polygons: list[Array], least_mm: float = 0.0) -> list[Array]:
    """The outline of what several convex polygons cover together: a list of polylines.

    A piece of an edge is kept where only one side of it is covered; twins of an edge are left out.
    Outlines smaller than `least_mm` (gaps between limbs) are left out too. Asked again for the same polygons,
    anywhere on a sheet, as every sheet of a recipe and every look at an edited one asks for its sitter, the
    answer is remembered.
    """
    whole = [np.asarray(each, dtype=float) for each in polygons if len(each) > 2]
    if not whole:
        return []
    origin = whole[0][0]
    told = tuple((each - origin).round(_SAME_DECIMALS).tobytes() for each in whole)
    return [line + origin for line in _outline(told, least_mm)]


@lru_cache(maxsize=1024)
def _outline(told: tuple[bytes, ...], least_mm: float) -> tuple[Array, ...]:
    polygons = [np.frombuffer(each).reshape(-1, 2) for each in told]
    lines = _union(polygons, least_mm)
    for line in lines:
        line.flags.writeable = False  # shared by everyone who asks
    return tuple(lines)


def _union(polygons: list[Array], least_mm: float) -> list[Array]:
    solid = [hull(polygon) for polygon in polygons]
    solid = [polygon for polygon in solid if len(polygon) > 2 and area_mm2(polygon) > 1e-6]
    if not solid:
        return []
    starts = np.concatenate(solid)
    ends = np.concatenate([_next(polygon) for polygon in solid])
    pieces = _pieces(starts, ends, solid)
    first, last = pieces[:, :2], pieces[:, 2:]
    beside = (last - first)[:, ::-1] * [-1.0, 1.0]
    beside = beside / np.linalg.norm(beside, axis=1)[:, None] * 1e-3
    middle = (first + last) / 2
    # outward first: what lies inward of an edge is covered by its own polygon
    both = _covered(middle - beside, solid)
    both[both] = _covered((middle + beside)[both], solid)
    lines = chained(_without_twins(pieces[~both]))
    largest = max((_spans(line) for line in lines), default=0.0)
    return [line for line in lines if _spans(line) > min(least_mm, 0.9 * largest)]


def _covered(points: Array, polygons: list[Array]) -> Mask:
    """Which of the points (n, 2) lie inside at least one of several convex polygons, (n,)."""
    covered: Mask = np.zeros(len(points), dtype=bool)
    for polygon in polygons:
        low, high = polygon.min(axis=0), polygon.max(axis=0)
        # a closer look only at what isn't covered yet, and might be by this one
        left = np.flatnonzero(~covered & ((points > low) & (points < high)).all(axis=1))
        covered[left] = inside_convex(points[left], polygon)
    return covered


def _touching(starts: Array, ends: Array, polygon: Array) -> Array:
    """Which segments (n, 2) to (n, 2) have bounds that touch those of a polygon: (k,) indices."""
    low, high = polygon.min(axis=0), polygon.max(axis=0)
    met = (np.maximum(starts, ends) >= low) & (np.minimum(starts, ends) <= high)
    return np.flatnonzero(met.all(axis=1))


def _grown(polygon: Array, by_mm: float) -> Array:
    """The polygon a trifle larger, so that edges along its own edges are cut at its corners."""
    middle = polygon.mean(axis=0)
    size = float(np.linalg.norm(polygon - middle, axis=1).max())
    grown: Array = middle + (polygon - middle) * (1 + by_mm / size)
    return grown


def _pieces(starts: Array, ends: Array, polygons: list[Array]) -> Array:
    """Edges cut wherever they enter or leave a polygon: (m, 4)."""
    cuts = [np.zeros(len(starts)), np.ones(len(starts))]
    for polygon in polygons:
        grown = _grown(polygon, 1e-5)
        near = _touching(starts, ends, grown)
        low, high = spans_in_convex(starts[near], ends[near], grown)
        inside = high > low
        cut = np.zeros((2, len(starts)))
        cut[:, near] = np.where(inside, low, 0.0), np.where(inside, high, 0.0)
        cuts.extend(cut)
    marks = np.sort(np.stack(cuts, axis=1), axis=1)
    edge, cut = np.nonzero(np.diff(marks, axis=1) > 1e-6)
    along = ends - starts
    low_ends = starts[edge] + marks[edge, cut][:, None] * along[edge]
    high_ends = starts[edge] + marks[edge, cut + 1][:, None] * along[edge]
    return np.concatenate([low_ends, high_ends], axis=1)


def _without_twins(pieces: Array) -> list[Array]:
    seen: set[tuple[float, ...]] = set()
    kept = []
    for piece, (x0, y0, x1, y1) in zip(pieces, pieces.round(4).tolist(), strict=True):
        start, end = (x0, y0), (x1, y1)
        name = (*start, *end) if start <= end else (*end, *start)
        if name not in seen:
            seen.add(name)
            kept.append(piece.reshape(2, 2))
    return kept


def cut_polygon(polygon: Array, window: Array) -> Array:
    """The part of a polygon inside a convex window (Sutherland and Hodgman), (m, 2), maybe empty."""
    kept = [np.asarray(corner) for corner in polygon]
    middle = window.mean(axis=0)
    for a, b in zip(window, _next(window), strict=True):
        normal = np.array([a[1] - b[1], b[0] - a[0]])
        normal = normal if normal @ (middle - a) > 0 else -normal
        before, kept = kept, []
        for here, after in zip(before, before[1:] + before[:1], strict=True):
            d_here, d_after = float(normal @ (here - a)), float(normal @ (after - a))
            if d_here >= 0:
                kept.append(here)
            if (d_here >= 0) != (d_after >= 0):
                kept.append(here + (after - here) * d_here / (d_here - d_after))
    return np.array(kept).reshape(-1, 2)


def hatch(polygon: Array, angle_deg: float, pitch_mm: float) -> list[Array]:
    """Parallel lines across a convex polygon, each (2, 2); on a lattice of the sheet, angle from x."""
    angle = np.radians(angle_deg)
    along, across = np.array([np.cos(angle), -np.sin(angle)]), np.array([np.sin(angle), np.cos(angle)])
    depth, reach = polygon @ across, polygon @ along
    steps = np.arange(np.ceil(depth.min() / pitch_mm), np.floor(depth.max() / pitch_mm) + 1)
    feet = steps[:, None] * pitch_mm * across
    starts, ends = feet + along * (reach.min() - 1), feet + along * (reach.max() + 1)
    low, high = spans_in_convex(starts, ends, polygon)
    across_it, way = high - low > 1e-6, ends - starts
    lines = np.stack([starts + low[:, None] * way, starts + high[:, None] * way], axis=1)
    return list(lines[across_it])


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Array:
    """Corners of an upright rectangle, (4, 2)."""
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
