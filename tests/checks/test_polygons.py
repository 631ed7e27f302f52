"""Clipping, leftovers and distances against areas that can be worked out on paper."""

import numpy as np
import pytest

from thirdstop.checks.polygons import (
    HalfSpace,
    area_m2,
    circle_on_floor,
    clip,
    clip_all,
    distance_m,
    outer_outline,
    plan_gap_m,
    without,
)
from thirdstop.staging.vectors import vec

SQUARE = np.array([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)], dtype=float)


def test_clip_keeps_the_share_below_the_plane() -> None:
    """The half-space x ≤ 0.25 leaves a quarter of the unit square; x ≤ 2 all of it, x ≤ −1 nothing."""
    assert area_m2(clip(SQUARE, HalfSpace(vec(1, 0, 0), 0.25))) == pytest.approx(0.25)
    assert area_m2(clip(SQUARE, HalfSpace(vec(1, 0, 0), 2.0))) == pytest.approx(1.0)
    assert len(clip(SQUARE, HalfSpace(vec(1, 0, 0), -1.0))) == 0


def test_clip_by_a_slant_leaves_a_triangle() -> None:
    """The half-space x + y ≤ 1 leaves half the unit square."""
    assert area_m2(clip(SQUARE, HalfSpace(vec(1, 1, 0), 1.0))) == pytest.approx(0.5)


def test_clipped_segment_ends_on_the_plane() -> None:
    """A segment from 0 to 1 cut at 0.3 ends there."""
    segment = np.array([(0, 0, 0), (1, 0, 0)], dtype=float)
    assert clip(segment, HalfSpace(vec(1, 0, 0), 0.3))[:, 0].max() == pytest.approx(0.3)


def test_taking_a_solid_out_leaves_the_rest() -> None:
    """Taking 0.25 ≤ x ≤ 0.75, 0.25 ≤ y ≤ 0.75 out of the unit square leaves 3/4 of it."""
    hole = [
        HalfSpace(vec(1, 0, 0), 0.75),
        HalfSpace(vec(-1, 0, 0), -0.25),
        HalfSpace(vec(0, 1, 0), 0.75),
        HalfSpace(vec(0, -1, 0), -0.25),
    ]
    pieces = without([SQUARE], hole)
    assert sum(area_m2(piece) for piece in pieces) == pytest.approx(0.75)
    assert all(len(clip_all(piece, hole)) == 0 or area_m2(clip_all(piece, hole)) < 1e-12 for piece in pieces)


@pytest.mark.parametrize(
    ("place", "expected"),
    [((0.5, 0.5, 0.3), 0.3), ((0.5, -0.4, 0.0), 0.4), ((-0.3, -0.4, 0.0), 0.5), ((2.0, 1.0, 0.0), 1.0)],
)
def test_distance_to_face_edge_and_corner(place: tuple[float, float, float], expected: float) -> None:
    """Over the face the height, beside it the way to the edge, past a corner Pythagoras (0.3, 0.4, 0.5)."""
    assert distance_m(SQUARE, vec(*place)) == pytest.approx(expected)


def test_plan_gap_between_squares() -> None:
    """Unit squares 0.3 m and 0.4 m apart along both axes are 0.5 m apart; overlapping ones 0."""
    assert plan_gap_m(SQUARE, SQUARE + vec(1.3, 1.4, 5.0)) == pytest.approx(0.5)
    assert plan_gap_m(SQUARE, SQUARE + vec(0.5, 0.5, 5.0)) == 0.0
    assert plan_gap_m(SQUARE, 0.2 * SQUARE + vec(0.4, 0.4, 0.0)) == 0.0


def test_plan_gap_of_segments_and_places() -> None:
    """A segment beside a square, a place beside a segment, and two parallel segments."""
    segment = np.array([(2, 0, 0), (2, 1, 0)], dtype=float)
    assert plan_gap_m(SQUARE, segment) == pytest.approx(1.0)
    assert plan_gap_m(segment, np.array([(2.5, 0.5, 0)])) == pytest.approx(0.5)
    assert plan_gap_m(segment, segment + vec(0.25, 0, 0)) == pytest.approx(0.25)
    assert plan_gap_m(segment, np.array([(1.0, 0.5, 0), (3.0, 0.5, 0)])) == 0.0


def test_outer_outline_holds_the_whole_ellipse() -> None:
    """Every place on the ellipse lies inside the polygon, whose area is within 0.3 % of π·a·b."""
    outline = outer_outline("ellipse", vec(0, 0, 0), vec(0.45, 0, 0), vec(0, 0.3, 0))
    angles = np.linspace(0, 2 * np.pi, 1000)
    edges = outline - np.roll(outline, 1, axis=0)
    for t in angles:
        place = vec(0.45 * np.cos(t), 0.3 * np.sin(t), 0)
        assert (np.cross(edges, place - outline)[:, 2] > -1e-12).all()
    assert area_m2(outline) == pytest.approx(np.pi * 0.45 * 0.3, rel=3e-3)


def test_circle_on_floor_holds_the_circle() -> None:
    """The nearest edge of the polygon is exactly the radius away."""
    ring = circle_on_floor(vec(1, 2, 0), 0.5)
    middles = 0.5 * (ring + np.roll(ring, 1, axis=0)) - vec(1, 2, 0)
    assert np.linalg.norm(middles, axis=1).min() == pytest.approx(0.5)
