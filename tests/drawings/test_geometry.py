"""Projection, silhouettes, unions, clipping and hatching against closed forms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawings.samples import SKIN, turned, vec
from thirdstop.drawings.geometry import (
    UPRIGHT,
    View,
    area_mm2,
    cut_polygon,
    hatch,
    hull,
    inside_convex,
    inside_window,
    outside_convex,
    plan_view,
    rectangle,
    silhouette,
)
from thirdstop.drawings.outlines import union_outline
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.typed import Array

ANGLES = st.floats(-180, 180)
LENGTHS = st.floats(0.05, 0.5)


def length_of(lines: list[Array]) -> float:
    return sum(float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines)


def test_the_plan_puts_the_camera_at_the_bottom() -> None:
    """Toward the camera is down the sheet, camera-right is to the right, a metre is 20 mm at 1:50."""
    view = plan_view(50).at(10, 20)

    assert view.point(vec(0, -1, 1.3)).tolist() == [10, 40]
    assert view.point(vec(1, 0, 0)).tolist() == [30, 20]


def test_the_view_along_the_floor_keeps_heights() -> None:
    """A height of 2.40 m is 48 mm at 1:50, upward."""
    view = View(vec(0, 1, 0), UPRIGHT, 50)

    assert view.point(vec(0.7, 0.5, 2.4)) == pytest.approx([10, -48])
    assert view.toward.tolist() == [1, 0, 0]


@given(ANGLES, LENGTHS, LENGTHS, LENGTHS)
def test_a_silhouette_is_as_wide_as_its_ellipsoid(turn_deg: float, a: float, b: float, c: float) -> None:
    """The half width of an ellipsoid along a direction n is |diag(axes)·Rᵀn| (support function)."""
    axes = turned(turn_deg)
    solid = Ellipsoid("x", "head", 0, vec(0, 0, 1), vec(a, b, c), axes, SKIN)
    outline = silhouette(solid, plan_view(10))
    across = float(np.hypot(a * axes[0, 0], b * axes[0, 1])) * 100

    # a chord polygon of n points misses the extreme by less than 1 − cos(π/n) of the half width
    assert outline[:, 0].max() <= across + 1e-9
    assert outline[:, 0].max() >= across * np.cos(np.pi / len(outline)) - 1e-9


def test_a_union_has_the_outline_of_both_squares() -> None:
    """Two unit squares that overlap by a quarter have an outline of 8 − 2 = 6 in length."""
    squares = [rectangle(0, 0, 1, 1), rectangle(0.5, 0.5, 1.5, 1.5)]

    assert length_of(union_outline(squares)) == pytest.approx(6.0, abs=1e-3)


def test_squares_that_share_an_edge_lose_it() -> None:
    """Two unit squares side by side have an outline of 6, the same as a rectangle of 2 × 1."""
    squares = [rectangle(0, 0, 1, 1), rectangle(1, 0, 2, 1)]

    assert length_of(union_outline(squares)) == pytest.approx(6.0, abs=1e-3)


def test_a_narrow_box_on_a_wide_one_keeps_the_shoulders() -> None:
    """A 1 × 1 square centred on the long side of a 3 × 1 box: outline 8 + 4 − 2 = 10."""
    boxes = [rectangle(0, 0, 3, 1), rectangle(1, 1, 2, 2)]

    assert length_of(union_outline(boxes)) == pytest.approx(10.0, abs=1e-3)


def test_what_is_covered_twice_is_outlined_once() -> None:
    """Two polygons on the same ground have the outline of one."""
    assert length_of(union_outline([rectangle(0, 0, 2, 1)] * 2)) == pytest.approx(6.0, abs=1e-3)


def test_gaps_smaller_than_asked_are_left_out() -> None:
    """Four bars around a small hole: with a limit over its size only the outer edge is left."""
    bars = [rectangle(0, 0, 3, 1), rectangle(0, 2, 3, 3), rectangle(0, 0, 1, 3), rectangle(2, 0, 3, 3)]

    assert length_of(union_outline(bars)) == pytest.approx(16.0, abs=1e-3)
    assert length_of(union_outline(bars, least_mm=1.5)) == pytest.approx(12.0, abs=1e-3)


@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(-3, 3)), min_size=2, max_size=6))
def test_a_line_is_inside_or_outside_a_window(points: list[tuple[float, float]]) -> None:
    """The parts inside and outside of a convex window add up to the line."""
    line, window = np.array(points), rectangle(-1, -1, 1, 1)
    parts = length_of(inside_window(line, window)) + length_of(outside_convex(line, [window]))

    assert parts == pytest.approx(length_of([line]), abs=1e-6)


def test_a_line_past_a_window_stays_as_it_is() -> None:
    """Its bounds hold the window, but it runs past a corner; two points, not cut and joined again."""
    line = np.array([(0.0, 3.0), (10.0, 13.0)])
    left = outside_convex(line, [rectangle(6, 0, 9, 8)])

    assert [piece.tolist() for piece in left] == [line.tolist()]


@pytest.mark.parametrize("angle_deg", [0, 45, 90, 135])
def test_hatching_fills_a_square_evenly(angle_deg: float) -> None:
    """Lines a pitch apart have area / pitch in length, within one line at the edges."""
    square = rectangle(0, 0, 20, 20)
    lines = hatch(square, angle_deg, 0.5)

    assert length_of(lines) == pytest.approx(area_mm2(square) / 0.5, abs=29)
    assert all(bool(inside_convex(line.mean(axis=0)[None, :], square).all()) for line in lines)


def test_a_polygon_is_cut_at_a_window() -> None:
    """A square of 2 × 2 shifted by half its size leaves a quarter of its area."""
    assert area_mm2(cut_polygon(rectangle(1, 1, 3, 3), rectangle(0, 0, 2, 2))) == pytest.approx(1.0)


def test_a_hull_drops_what_lies_inside() -> None:
    """The hull of a square's corners with its middle is the square."""
    points = np.concatenate([rectangle(0, 0, 2, 2), [[1.0, 1.0]]])

    assert len(hull(points)) == 4
    assert area_mm2(hull(points)) == pytest.approx(4.0)
