"""Bodies cut up and looked at."""

import math

import numpy as np
import pytest

from exposure.sets import point, scene, solid, vec
from thirdstop.exposure.bodies import body_mesh, solid_angles_sr, surface, views, whole_cubes
from thirdstop.exposure.quality import ANSWER
from thirdstop.staging.staging import Scene


@pytest.mark.parametrize("times", [0, 1, 2])
def test_cube_cells_fill_the_sphere(times: int) -> None:
    """However often quartered, the cells' solid angles add up to 4π and their pieces lie all around."""
    squares = whole_cubes(1)
    for _ in range(times):
        squares = squares.quarters()
    ball = surface((solid(vec(0, 0, 0), vec(1, 1, 1)),), squares)

    assert len(ball.area_m2) == 6 * 4**times
    assert solid_angles_sr(squares).sum() == pytest.approx(4 * math.pi)
    assert ball.area_m2 @ ball.place_m == pytest.approx([0, 0, 0], abs=1e-12)
    assert np.linalg.norm(ball.place_m, axis=1) == pytest.approx(1)
    assert ball.normal == pytest.approx(ball.place_m)


def test_bodies_are_finer_near_a_point_that_sees_them() -> None:
    """A dome close to a sphere gets small patches before it and leaves the far side as it is."""
    ball = solid(vec(0, 0, 0), vec(0.2, 0.2, 0.2))
    near = point("dome", vec(0, 0, 0.25), vec(0, 1, 0), "dome")
    mesh = body_mesh(Scene((), (ball,), (), (near,)), ANSWER)
    front = mesh.size_m[mesh.place_m[:, 2] > 0.15]
    back = mesh.size_m[mesh.place_m[:, 2] < 0]

    assert front.max() < 0.6 * back.min()


def test_area_of_a_spheroid() -> None:
    """Area of a prolate spheroid: 2πa²(1 + c/(a·e)·asin e), e² = 1 − a²/c² (Euclidean geometry)."""
    a, c = 0.2, 0.4
    e = math.sqrt(1 - a * a / c / c)
    exact = 2 * math.pi * a * a * (1 + c / (a * e) * math.asin(e))
    mesh = body_mesh(Scene((), (solid(vec(0, 0, 0), vec(a, a, c)),), (), ()), ANSWER)

    # By one value a cell: 1 % of a body's light, which is itself some per cent of a reading.
    assert mesh.quarter_area_m2.sum() == pytest.approx(exact, rel=0.01)


def test_what_is_buried_in_another_solid_is_dropped() -> None:
    """Two equal spheres half a radius apart lose to each other the caps that lie inside."""
    pair = (solid(vec(0, 0, 0), vec(0.2, 0.2, 0.2)), solid(vec(0.1, 0, 0), vec(0.2, 0.2, 0.2)))
    mesh = body_mesh(Scene((), pair, (), ()), ANSWER)
    second = mesh.solid == 1
    inside = np.linalg.norm(mesh.quarter_m[second] - pair[0].centre_m, axis=2) < 0.2 - 1e-9

    assert (mesh.quarter_area_m2[second][inside] == 0).all()
    assert (mesh.quarter_area_m2[second][~inside] > 0).all()
    assert not inside.all(axis=1).any()


@pytest.mark.parametrize("distance", [1.01, 1.5, 4.0])
def test_solid_angle_of_a_sphere(distance: float) -> None:
    """A sphere of radius 1 at distance D fills 2π(1 − √(1 − 1/D²)) sr."""
    sphere = Scene((), (solid(vec(0, 0, 0), vec(1, 1, 1)),), (), ())
    seen = views(sphere, np.array([[distance, 0, 0]]), 500)

    assert seen.solid_angle_sr.sum() == pytest.approx(2 * math.pi * (1 - math.sqrt(1 - 1 / distance**2)))


def test_solid_angle_of_an_ellipsoid() -> None:
    """An ellipsoid's solid angle is what a fine grid of rays finds."""
    body = solid(vec(0.1, 0, 0), vec(0.3, 0.1, 0.2))
    eye = vec(-0.3, -0.25, 0.1)
    seen = views(Scene((), (body,), (), ()), eye[None], 4000)
    u, v = np.meshgrid((np.arange(600) + 0.5) / 600, (np.arange(600) + 0.5) / 600)
    z, turn = 2 * u.ravel() - 1, 2 * math.pi * v.ravel()
    rays = np.stack([np.sqrt(1 - z * z) * np.cos(turn), np.sqrt(1 - z * z) * np.sin(turn), z], axis=1)
    a, d = (eye - body.centre_m) / body.semi_axes_m, rays / body.semi_axes_m
    hit = (((d @ a) ** 2 - (d * d).sum(1) * (a @ a - 1)) > 0) & (d @ a < 0)

    assert seen.solid_angle_sr.sum() == pytest.approx(4 * math.pi * hit.mean(), rel=2e-3)


def test_views_lie_on_the_near_side() -> None:
    """Every place that a point looks at is on the solid and faces the point."""
    everything = scene()
    points = np.array([p.place_m for p in everything.points])
    seen = views(everything, points, 300)
    for k, body in enumerate(everything.solids):
        on = seen.solid == k
        unit = (seen.place_m[on] - body.centre_m) @ body.axes / body.semi_axes_m

        assert np.linalg.norm(unit, axis=1) == pytest.approx(1)
        assert ((points[seen.point[on]] - seen.place_m[on]) * seen.normal[on]).sum(axis=1).min() > 0
