"""Plane geometry of a drawing: projection, silhouettes, clipping, hatching.

Everything after `View` is in millimetres on the sheet, x to the right and y down; polygons are (n, 2).
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.vectors import cross
from thirdstop.typed import Array, Mask, Vec

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
    after = successors(polygon)
    return float(abs(np.sum(polygon[:, 0] * after[:, 1] - polygon[:, 1] * after[:, 0])) / 2)


def successors(points: Array) -> Array:
    """Each point's successor around a polygon, (n, 2)."""
    return np.concatenate([points[1:], points[:1]])


def inside_convex(points: Array, polygon: Array, margin_mm: float = 0.0) -> Mask:
    """Which of the (n, 2) points lie inside a convex polygon, deeper than the margin; shape (n,)."""
    edges = successors(polygon) - polygon
    lengths = np.maximum(np.linalg.norm(edges, axis=1), 1e-12)
    side: Array = edges[:, 0] * (points[:, 1, None] - polygon[:, 1])
    side -= edges[:, 1] * (points[:, 0, None] - polygon[:, 0])
    side /= lengths
    after = successors(edges)
    turning = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    if turning.sum() < 0:
        side = -side
    inside: Mask = np.all(side > margin_mm, axis=1)
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
    edges = successors(polygon) - polygon
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


def closed(polygon: Array) -> Array:
    """The polygon (n, 2) as a polyline that returns to its start, (n + 1, 2)."""
    return np.concatenate([polygon, polygon[:1]])


def cut_polygon(polygon: Array, window: Array) -> Array:
    """The part of a polygon inside a convex window (Sutherland and Hodgman), (m, 2), maybe empty."""
    kept: list[tuple[float, float]] = [(x, y) for x, y in polygon.tolist()]
    middle = window.mean(axis=0)
    for a, b in zip(window, successors(window), strict=True):
        normal = np.array([a[1] - b[1], b[0] - a[0]])
        normal = normal if normal @ (middle - a) > 0 else -normal
        (nx, ny), (ax, ay) = normal.tolist(), a.tolist()
        deep = [nx * (x - ax) + ny * (y - ay) for x, y in kept]
        before, kept = list(zip(kept, deep, strict=True)), []
        for ((x, y), here), ((x1, y1), after) in zip(before, before[1:] + before[:1], strict=True):
            if here >= 0:
                kept.append((x, y))
            if (here >= 0) != (after >= 0):
                kept.append((x + (x1 - x) * here / (here - after), y + (y1 - y) * here / (here - after)))
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
