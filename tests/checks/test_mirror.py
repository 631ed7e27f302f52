"""Reflection in convex mirrors against closed forms and mirror equations."""

import math

import numpy as np
import pytest

from thirdstop.checks.mirror import angles_to_face_deg, mirrored, reflecting_normals
from thirdstop.staging.vectors import unit, vec
from thirdstop.typed import Vec

R_MM = 7.8


def _offset_mm(light_deg: float, light_m: float, camera_m: float) -> float:
    """Distance of the reflection from the line to the camera, in mm; distances from the cornea's front."""
    front, angle = vec(0, 0, R_MM / 1000), math.radians(light_deg)
    camera = front + vec(0, 0, camera_m)
    light: Vec = front + light_m * vec(math.sin(angle), 0, math.cos(angle))
    normal = reflecting_normals(vec(0, 0, 0), R_MM / 1000, camera, light[None, :])[0]
    return float(R_MM * normal[0])


# Derived: both far away, the normal halves the angle, so the offset is r·sin(θ/2).
@pytest.mark.parametrize(("theta", "offset_mm"), [(30, 2.018789), (45, 2.984931), (60, 3.9), (90, 5.515433)])
def test_offset_of_a_distant_light(theta: float, offset_mm: float) -> None:
    """Camera and light a kilometre away, cornea of 7.8 mm."""
    assert _offset_mm(theta, 1000.0, 1000.0) == pytest.approx(offset_mm, abs=1e-4)


def test_offset_at_real_distances() -> None:
    """Camera at 2 m, light at 1 m and 45°: the exact ray solution is 2.970494 mm."""
    assert _offset_mm(45, 1.0, 2.0) == pytest.approx(2.970494, abs=1e-6)


def test_law_of_reflection_holds() -> None:
    """At the place found, angles of incidence and reflection agree and lie in one plane with the normal."""
    camera, light = vec(0.1, -1.9, 0.2), vec(0.7, -0.8, 0.6)
    normal = reflecting_normals(vec(0, 0, 0), 0.0078, camera, light[None, :])[0]
    place = 0.0078 * normal
    assert mirrored(unit(place - camera), normal) == pytest.approx(unit(light - place), abs=1e-9)


# Convex mirror, paraxial (Schwartz, Geometrical and Visual Optics, for the form): m = r/(2u + r), u from the
# surface. The image of 0.6 m at 1, 1.5 and 2 m.
@pytest.mark.parametrize(("u_m", "image_mm"), [(1.0, 2.330909), (1.5, 1.555955), (2.0, 1.167723)])
def test_image_size_near_the_axis(u_m: float, image_mm: float) -> None:
    """A small source, 1/100 of 0.6 m, shows at 1/100 of the paraxial size, with the camera far behind it."""
    half = 0.003
    sources = np.array([(half, 0, u_m + 0.0078), (-half, 0, u_m + 0.0078)])
    camera = vec(0, 0, 5000.0)
    normals = reflecting_normals(vec(0, 0, 0), 0.0078, camera, sources)
    # rays to a far camera are parallel, so the virtual image is as large as the footprint
    size_mm = 7.8 * (normals[0, 0] - normals[1, 0])
    assert size_mm == pytest.approx(image_mm / 100, rel=1e-4)


SQUARE = np.array([(-1, -1, 2), (1, -1, 2), (1, 1, 2), (-1, 1, 2)], dtype=float)


@pytest.mark.parametrize(
    ("direction", "expected"),
    [
        ((0, 0, 1), 0.0),
        ((0.49, 0.49, 1), 0.0),
        ((1, 0, 1), 45 - math.degrees(math.atan(0.5))),
        ((0, -1, 0), 90 - math.degrees(math.atan(0.5))),
        ((0, 0, -1), None),
    ],
)
def test_angle_from_a_ray_to_a_square(direction: tuple[float, float, float], expected: float | None) -> None:
    """Inside 0; past an edge the angle to the edge; straight back the angle to the farthest-off corner."""
    ray = unit(vec(*direction))
    found = angles_to_face_deg(np.zeros((1, 3)), ray[None, :], SQUARE, vec(0, 0, 1))[0]
    corner = 180 - math.degrees(math.atan(math.sqrt(2) / 2))
    assert found == pytest.approx(corner if expected is None else expected, abs=1e-6)
