"""Outlines of what several convex polygons cover together, in millimetres on the sheet."""

from functools import lru_cache
from typing import TypeAlias

import numpy as np

from thirdstop.drawings.geometry import area_mm2, hull, inside_convex, spans_in_convex, successors
from thirdstop.typed import Array, Mask, Vec

_SAME_DECIMALS = 6
"""Of millimetres: polygons that agree so far are the same."""
_Place: TypeAlias = tuple[float, float]
"""Where an end of a piece lies, so far rounded that ends which meet have the same."""


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
    ends = np.concatenate([successors(polygon) for polygon in solid])
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
    for polygon, near in zip(polygons, _near(points, points, polygons), strict=True):
        # a closer look only at what isn't covered yet, and might be by this one
        left = np.flatnonzero(near & ~covered)
        if len(left):
            covered[left] = inside_convex(points[left], polygon)
    return covered


def _near(starts: Array, ends: Array, polygons: list[Array]) -> Mask:
    """Which segments (n, 2) to (n, 2) have bounds that touch those of which of m polygons, (m, n)."""
    corners = np.concatenate(polygons)
    at = np.cumsum([0, *(len(polygon) for polygon in polygons[:-1])])
    low, high = np.minimum.reduceat(corners, at)[:, None], np.maximum.reduceat(corners, at)[:, None]
    met = (np.maximum(starts, ends) >= low) & (np.minimum(starts, ends) <= high)
    near: Mask = met[..., 0] & met[..., 1]
    return near


def _grown(polygon: Array, by_mm: float) -> Array:
    """The polygon a trifle larger, so that edges along its own edges are cut at its corners."""
    middle = polygon.mean(axis=0)
    size = float(np.linalg.norm(polygon - middle, axis=1).max())
    grown: Array = middle + (polygon - middle) * (1 + by_mm / size)
    return grown


def _pieces(starts: Array, ends: Array, polygons: list[Array]) -> Array:
    """Edges cut wherever they enter or leave a polygon: (m, 4)."""
    grown = [_grown(polygon, 1e-5) for polygon in polygons]
    cuts = np.zeros((1 + len(grown), 2, len(starts)))
    cuts[0, 1] = 1.0  # each edge's own ends
    for cut, polygon, near in zip(cuts[1:], grown, _near(starts, ends, grown), strict=True):
        low, high = spans_in_convex(starts[near], ends[near], polygon)
        cut[:, near] = np.where(high > low, (low, high), 0.0)
    marks = np.sort(cuts.reshape(-1, len(starts)).T, axis=1)
    edge, mark = np.nonzero(np.diff(marks, axis=1) > 1e-6)
    along = ends - starts
    low_ends = starts[edge] + marks[edge, mark][:, None] * along[edge]
    high_ends = starts[edge] + marks[edge, mark + 1][:, None] * along[edge]
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


def _place(point: list[float]) -> _Place:
    return round(point[0], 3) + 0.0, round(point[1], 3) + 0.0


def _spans(line: Array) -> float:
    return float(np.ptp(line, axis=0).max())
