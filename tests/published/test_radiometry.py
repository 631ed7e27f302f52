"""Configuration factors, inverse square and the dome against published closed forms.

Howell: J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, by the catalogue's numbers.
F is illuminance over π × luminance.
"""

import math
from typing import TypeAlias

import numpy as np
import pytest

from thirdstop.exposure.bodies import views
from thirdstop.exposure.factors import flat_illuminance, receptor_weight
from thirdstop.exposure.flash import direct_exposure
from thirdstop.staging.materials import Matte
from thirdstop.staging.points import MeasuringPoint, Receptor
from thirdstop.staging.shapes import Ellipsoid, Emitter, Lambertian, Outline, Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

Corner: TypeAlias = tuple[float, float, float]

UP = np.array([0.0, 0.0, 1.0])


def factor(
    polygon: list[tuple[float, float, float]], normal: tuple[float, float, float] = (0, 0, 1)
) -> float:
    """Configuration factor of a polygon at an element at the origin."""
    return float(flat_illuminance(np.array(polygon, dtype=float), np.array(normal, dtype=float))) / math.pi


def face(outline: Outline, half_u_m: float, half_v_m: float, height_m: float) -> Emitter:
    """A Lambertian face of unit luminance, level, that looks straight down from above the origin."""
    centre, u, v = np.array([0, 0, height_m]), np.array([half_u_m, 0, 0]), np.array([0, -half_v_m, 0])
    return Emitter("lamp", centre, u, v, outline, Lambertian(), 1.0)


def element(x_m: float = 0.0, tilt_deg: float = 0.0, receptor: Receptor = "flat") -> MeasuringPoint:
    """A receptor in the plane z = 0, tilted from straight up."""
    tilt = math.radians(tilt_deg)
    direction = np.array([math.sin(tilt), 0.0, math.cos(tilt)])
    return MeasuringPoint("point", np.array([x_m, 0.0, 0.0]), direction, receptor)


@pytest.mark.parametrize(
    ("a", "b", "c", "expected"),
    [
        (1, 1, 1, 0.138531606),
        (1, 1, 2, 0.059864118),
        (2, 1, 1, 0.167375010),
        (0.5, 0.3, 1, 0.039085007),
        (10, 10, 1, 0.247971408),
    ],
)
def test_parallel_rectangle(a: float, b: float, c: float, expected: float) -> None:
    """Howell B-3: a parallel rectangle a × b at distance c, the normal through a corner."""
    assert factor([(0, 0, c), (a, 0, c), (a, b, c), (0, b, c)]) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("a", "b", "c", "expected"),
    [
        (1, 1, 1, 0.055734197),
        (2, 1, 1, 0.095067941),
        (1, 2, 1, 0.068697299),
        (0.5, 0.3, 1, 0.009068662),
        (1, 1, 0.5, 0.124268910),
    ],
)
def test_perpendicular_rectangle(a: float, b: float, c: float, expected: float) -> None:
    """Howell B-4 (number from memory): a rectangle of height a and width b that stands up at distance c; it
    reaches to the element's horizon.
    """
    assert factor([(c, 0, 0), (c, b, 0), (c, b, a), (c, 0, a)]) == pytest.approx(expected, abs=1e-9)


def test_rectangle_cut_by_the_horizon() -> None:
    """A standing rectangle that reaches below the horizon gives what its upper part gives (Howell B-4)."""
    assert factor([(1, 0, -3), (1, 1, -3), (1, 1, 1), (1, 0, 1)]) == pytest.approx(0.055734197, abs=1e-9)


@pytest.mark.parametrize(
    ("normal", "expected"),
    [((0, 0, 1), 0.071637054), ((0.6, 0, 0.8), 0.072028569), ((0, 0.6, 0.8), 0.067381246)],
)
def test_triangle(normal: Corner, expected: float) -> None:
    """Lambert's contour formula on a triangle (values computed by independent quadrature)."""
    triangle = [(0.2, -0.3, 1.0), (0.9, 0.1, 1.3), (0.1, 0.8, 0.7)]

    assert factor(triangle, normal) == pytest.approx(expected, abs=1e-9)
    assert factor(triangle[::-1], normal) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("height_m", "radius_m", "x_m", "expected"),
    [
        (1, 1, 0, 0.5),
        (1, 0.5, 0, 0.2),
        (1, 0.5, 0.5, 0.146446609),
        (1, 0.5, 1, 0.065878429),
        (2, 0.6, 1.5, 0.036963994),
    ],
)
def test_parallel_disc(height_m: float, radius_m: float, x_m: float, expected: float) -> None:
    """A parallel disc, on axis (Howell B-12) and off it (Siegel & Howell)."""
    lamp = face("ellipse", radius_m, radius_m, height_m)

    assert direct_exposure(lamp, element(x_m)) / math.pi == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("radius_m", "tilt_deg", "expected"),
    [
        (0.5, 30, 0.173205081),
        (0.5, 60, 0.1),
        (0.5, 75, 0.054608114),
        (0.5, 90, 0.020259663),
        (1, 90, 0.090845057),
        (1, 120, 0.007352055),
    ],
)
def test_tilted_element_below_disc(radius_m: float, tilt_deg: float, expected: float) -> None:
    """Howell B-13: an element on the axis of a disc at 1 m, tilted until the horizon cuts the disc."""
    lamp = face("ellipse", radius_m, radius_m, 1.0)

    assert direct_exposure(lamp, element(0, tilt_deg)) / math.pi == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(
    ("distance_radii", "tilt_deg", "expected"),
    [
        (2, 0, 0.25),
        (2, 30, 0.216506351),
        (2, 60, 0.125),
        (2, 75, 0.070410427),
        (2, 90, 0.028834443),
        (5, 45, 0.028284271),
        (1.25, 90, 0.142378490),
    ],
)
def test_sphere(distance_radii: float, tilt_deg: float, expected: float) -> None:
    """An element and a sphere (Siegel & Howell, Thermal Radiation Heat Transfer, appendix C), by directions
    spread over the sphere's outline.
    """
    sphere = Ellipsoid("head", "head", 0, distance_radii * UP, np.ones(3), np.eye(3), Matte(0.5))
    seen = views(Scene((), (sphere,), (), ()), np.zeros((1, 3)), 20000)
    point = element(0, tilt_deg)
    offset = seen.place_m / np.linalg.norm(seen.place_m, axis=1)[:, None]
    weight = receptor_weight(offset @ point.direction, np.zeros(len(offset), dtype=bool))

    # Even directions over the outline: so many of them are off by 1.02 thousandths where the horizon cuts it.
    assert float(weight @ seen.solid_angle_sr) / math.pi == pytest.approx(expected, rel=1.1e-3)


# Exact over inverse square on axis, uniform Lambertian face, parallel to the receptor. Disc: 1/(1 + D²/4d²).
# The IES definition of the inverse square law (9.1.1) says within 1 % from five times the largest dimension.
FALL_OFF = [
    (0.5, 0.500000, 0.435210, 0.604600, 0.566645),
    (1, 0.800000, 0.752275, 0.858001, 0.831675),
    (2, 0.941176, 0.923347, 0.960076, 0.950868),
    (5, 0.990099, 0.986851, 0.993380, 0.991746),
    (10, 0.997506, 0.996678, 0.998336, 0.997922),
]


@pytest.mark.parametrize(("distance_m", "disc", "square", "diagonal", "long"), FALL_OFF)
def test_five_times_rule(distance_m: float, disc: float, square: float, diagonal: float, long: float) -> None:
    """How far inverse square is off at d/D, D being diameter, side, diagonal or long side."""
    root = math.sqrt(2)
    cases: list[tuple[Emitter, float, float]] = [
        (face("ellipse", 0.5, 0.5, distance_m), math.pi / 4, disc),
        (face("rectangle", 0.5, 0.5, distance_m), 1.0, square),
        (face("rectangle", 0.5 / root, 0.5 / root, distance_m), 0.5, diagonal),
        (face("rectangle", 0.5, 0.25, distance_m), 0.5, long),
    ]
    for lamp, area_m2, expected in cases:
        assert direct_exposure(lamp, element()) * distance_m**2 / area_m2 == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("angle_deg", "dome", "flat"),
    [
        (0, 1, 1),
        (30, 0.933013, 0.866025),
        (45, 0.853553, 0.707107),
        (60, 0.75, 0.5),
        (90, 0.5, 0),
        (120, 0.25, 0),
        (150, 0.066987, 0),
    ],
)
def test_dome_is_a_cardioid(angle_deg: float, dome: float, flat: float) -> None:
    """A small far lamp reads (1 + cos θ)/2 on a dome and cos θ on a flat receptor (ISO 2720's hemispherical
    receptor as a cardioid is from memory; the projected area of a hemisphere is geometry).
    """
    lamp = face("ellipse", 0.005, 0.005, 10.0)
    normal = direct_exposure(lamp, element())

    assert direct_exposure(lamp, element(0, angle_deg, "dome")) / normal == pytest.approx(dome, abs=1e-5)
    assert direct_exposure(lamp, element(0, angle_deg)) / normal == pytest.approx(flat, abs=2e-4)


def test_dome_before_a_bright_half_space() -> None:
    """A uniform half-space in front gives a dome 1.5 times what it gives a flat receptor."""
    lamp = face("rectangle", 1000, 1000, 0.5)
    ratio = direct_exposure(lamp, element(receptor="dome")) / direct_exposure(lamp, element())

    assert ratio == pytest.approx(1.5, rel=1e-3)


def half_plane(edge_m: float) -> Panel:
    """An opaque panel at z = 1 that covers x > edge."""
    u, v = np.array([5.0, 0, 0]), np.array([0, 5.0, 0])
    return Panel("flag", "blocker", np.array([edge_m + 5, 0, 1]), u, v, Matte(0), Matte(0))


@pytest.mark.parametrize(("edge_m", "expected"), [(0.1, -0.500812), (0.0, -1.0)])
def test_flag(edge_m: float, expected: float) -> None:
    """A half-plane at half height hides x > 2·edge of a square (B-3 by parts); through the axis half."""
    lamp = face("rectangle", 0.5, 0.5, 2.0)
    left = direct_exposure(lamp, element(), [half_plane(edge_m)]) / direct_exposure(lamp, element())

    # By samples over the face: an edge through its middle is off by 0.0016 stop.
    assert math.log2(left) == pytest.approx(expected, abs=1.7e-3)


def quad(a: float, b: float, n: int) -> tuple[Array, Array]:
    """Gauss nodes and weights between a and b."""
    nodes, weights = np.polynomial.legendre.leggauss(n)
    return a + (b - a) * (nodes + 1) / 2, weights * (b - a) / 2


@pytest.mark.parametrize(
    ("a", "b", "c", "expected"),
    [(1, 1, 1, 0.199824896), (2, 1, 1, 0.285875385), (1, 1.5, 0.5, 0.475576437), (3, 4, 2.7, 0.268419339)],
)
def test_opposed_rectangles(a: float, b: float, c: float, expected: float) -> None:
    """Howell C-11: equal opposed rectangles, by exact factors at Gauss points of one of them."""
    (x, wx), (y, wy) = quad(0, a, 16), quad(0, b, 16)
    corners = np.array([(0, 0, c), (a, 0, c), (a, b, c), (0, b, c)])
    places = np.stack([*np.meshgrid(x, y, indexing="ij"), np.zeros((16, 16))], axis=-1)
    light = flat_illuminance(corners - places[:, :, None], np.broadcast_to(UP, (16, 16, 3)))

    assert float(wx @ light @ wy) / (math.pi * a * b) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("w", "h", "length", "expected"),
    [(1, 1, 1, 0.200043776), (2, 1, 1, 0.116426301), (1, 2, 1, 0.232852603), (3, 2.7, 4, 0.210123257)],
)
def test_adjoining_rectangles(w: float, h: float, length: float, expected: float) -> None:
    """Howell C-14: rectangles at a right angle with a common edge; the factor is singular at the edge, where
    Gauss points are crowded by squaring.
    """
    (t, wt), (y, wy) = quad(0, 1, 48), quad(0, length, 24)
    x, wx = w * t * t, 2 * w * t * wt
    corners = np.array([(0, 0, 0), (0, length, 0), (0, length, h), (0, 0, h)])
    places = np.stack([*np.meshgrid(x, y, indexing="ij"), np.zeros((48, 24))], axis=-1)
    light = flat_illuminance(corners - places[:, :, None], np.broadcast_to(UP, (48, 24, 3)))

    assert float(wx @ light @ wy) / (math.pi * w * length) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("side_m", "polygon", "factor_from_polygon"),
    [
        (1.0, [(0.8, 0.9, 1.3), (0.9, 0.1, 0.7), (0.1, 0.2, 1.0)], 0.191328069),
        (
            0.2,
            [
                (-0.144018, -0.315329, 1.274929),
                (0.558764, 0.246897, 1.274929),
                (1.144018, -0.484671, 0.525071),
                (0.441236, -1.046897, 0.525071),
            ],
            0.006438295,
        ),
    ],
    ids=["triangle", "leaning card"],
)
def test_oblique_polygons(side_m: float, polygon: list[Corner], factor_from_polygon: float) -> None:
    """From a polygon at an angle to a level square in a corner of the axes, against pyviewfactor 1.1.0 (an
    open-source library of exact view factors), whose numbers these are; by reciprocity A₁F₁₂ = A₂F₂₁.
    """
    corners = np.array(polygon)
    area_m2 = np.linalg.norm(
        sum(np.cross(a, b) for a, b in zip(corners, np.roll(corners, -1, 0), strict=True))
    )
    x, w = quad(0, side_m, 16)
    places = np.stack([*np.meshgrid(x, x, indexing="ij"), np.zeros((16, 16))], axis=-1)
    light = flat_illuminance(corners - places[:, :, None], np.broadcast_to(UP, (16, 16, 3)))

    assert float(w @ light @ w) / math.pi == pytest.approx(factor_from_polygon * area_m2 / 2, rel=1e-5)


@pytest.mark.parametrize("half_m", [(0.45, 0.3), (0.3, 0.6)])
def test_quadrature_over_a_face_is_the_polygon_formula(half_m: tuple[float, float]) -> None:
    """A rectangle's light by samples over its face, to tilted elements too, is what Lambert's contour formula
    says of its outline.
    """
    lamp = face("rectangle", *half_m, 1.1)
    for x_m, tilt_deg in ((0.0, 0.0), (0.4, 20.0), (0.9, -35.0), (-0.6, 50.0)):
        at = element(x_m, tilt_deg)
        exact = float(flat_illuminance(lamp.corners_m - at.place_m, at.direction))

        assert direct_exposure(lamp, at) == pytest.approx(exact, rel=1e-4)
