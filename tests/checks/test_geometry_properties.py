"""Geometry that holds for any shapes: halves add up, taking away is disjoint, gaps agree with brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checks import samples
from thirdstop.checks.polygons import (
    HalfSpace,
    area_m2,
    clip,
    clip_all,
    distance_m,
    plan_gap_m,
    to_edges_m,
    without,
)
from thirdstop.checks.sightlines import enters
from thirdstop.checks.view import inside, moves_out_m, outside_by_m, side_direction, to_view
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.vectors import vec
from thirdstop.typed import Array, Vec

LENGTH = st.floats(-1.0, 1.0, allow_subnormal=False)
PLACE = st.builds(vec, LENGTH, LENGTH, LENGTH)
SIDE = st.floats(0.1, 1.0)
STEADY = settings(max_examples=150, derandomize=True, deadline=None)
"""The same examples each time, on a busy machine too."""


@st.composite
def rectangles(draw: st.DrawFn) -> Array:
    """A rectangle anywhere in space, shape (4, 3)."""
    centre, toward, aside = draw(PLACE), draw(PLACE), draw(PLACE)
    u = toward + vec(0.01, 0.02, 2.0)
    v = np.cross(u, aside + vec(2.0, 0.03, 0.01))
    u, v = draw(SIDE) * u / np.linalg.norm(u), draw(SIDE) * v / np.linalg.norm(v)
    return np.array([centre + u + v, centre - u + v, centre - u - v, centre + u - v])


@given(rectangles(), PLACE, LENGTH)
@STEADY
def test_both_sides_of_a_plane_make_the_whole(polygon: Array, normal: Vec, offset: float) -> None:
    """What is kept and what is cut off have the whole area together, and lie on their own sides."""
    half_space = HalfSpace(normal + vec(0, 0, 1.5), offset)
    kept, cut = clip(polygon, half_space), clip(polygon, half_space.flipped())
    assert area_m2(kept) + area_m2(cut) == pytest.approx(area_m2(polygon), abs=1e-9)
    assert len(kept) == 0 or (kept @ half_space.normal - half_space.offset).max() <= 1e-9
    assert len(cut) == 0 or (cut @ half_space.normal - half_space.offset).min() >= -1e-9


@given(rectangles(), st.lists(st.tuples(PLACE, LENGTH), min_size=1, max_size=5))
@STEADY
def test_taken_out_and_left_make_the_whole(face: Array, planes: list[tuple[Vec, float]]) -> None:
    """What lies in a convex solid and what `without` leaves have the whole area together."""
    solid = [HalfSpace(normal + vec(0, 0, 1.5), offset) for normal, offset in planes]
    left = without([face], solid)
    assert area_m2(clip_all(face, solid)) + sum(map(area_m2, left)) == pytest.approx(area_m2(face), abs=1e-9)
    for piece in left:
        assert area_m2(clip_all(piece, solid)) < 1e-9


def _along(polygon: Array, count: int = 400) -> Array:
    steps = np.arange(count) / count
    onward = np.roll(polygon, -1, axis=0) - polygon
    return np.asarray((polygon[:, None] + steps[None, :, None] * onward[:, None]).reshape(-1, 3))


@given(rectangles(), PLACE)
@STEADY
def test_distance_to_a_face_by_brute_force(polygon: Array, place: Vec) -> None:
    """No place of the face is nearer than the distance, and a fine grid comes as near."""
    s, t = np.meshgrid(np.linspace(0, 1, 81), np.linspace(0, 1, 81))
    grid = (
        polygon[0]
        + s.reshape(-1, 1) * (polygon[1] - polygon[0])
        + t.reshape(-1, 1) * (polygon[3] - polygon[0])
    )
    brute = np.linalg.norm(grid - place, axis=1).min()
    assert brute - 0.03 <= distance_m(polygon, place) <= brute + 1e-9


@given(rectangles(), rectangles())
@STEADY
def test_gap_on_the_plan_by_brute_force(a: Array, b: Array) -> None:
    """A fine walk along either outline comes as near to the other as the gap; inside it the gap is 0."""
    gap = plan_gap_m(a, b)
    brute = min(to_edges_m(_along(a), b).min(), to_edges_m(_along(b), a).min())
    assert gap <= brute + 1e-9
    assert gap == pytest.approx(brute, abs=0.01)


@given(PLACE, PLACE)
@STEADY
def test_line_through_a_ball(start: Vec, end: Vec) -> None:
    """A line from outside enters a ball of 0.3 m when its distance from the middle is less."""
    ball = Ellipsoid("head", "head", 0, vec(0, 0, 0), vec(0.3, 0.3, 0.3), np.eye(3), samples.GREY)
    near = distance_m(np.array([start, end]), vec(0, 0, 0))
    if abs(near - 0.3) > 1e-3:
        assert enters(ball, start, end[None, :])[0] == (near < 0.3)


@given(rectangles())
@STEADY
def test_outside_by_is_the_least_growth(polygon: Array) -> None:
    """Grown by a little less the picture shows nothing of it, by a little more it does."""
    view = samples.camera()
    seen = to_view(view, polygon + vec(0, 0, 1.2))
    by = outside_by_m(view, seen)
    if 0 < by < np.inf:
        assert len(inside(view, seen, by - 1e-5)) == 0
        assert len(inside(view, seen, by + 1e-5)) > 0
    elif by == 0:
        assert len(inside(view, seen, 1e-9)) > 0


@given(rectangles(), st.sampled_from(range(4)))
@STEADY
def test_moving_out_leaves_the_picture(polygon: Array, side: int) -> None:
    """Moved past any edge by what is told, nothing of a face in front of the lens shows."""
    view = samples.camera()
    places = 0.5 * polygon + vec(0, 0, 1.2)
    move = moves_out_m(view, to_view(view, places))[side]
    moved = places + (move + 1e-6) * side_direction(view, side)
    assert len(inside(view, to_view(view, moved))) == 0
