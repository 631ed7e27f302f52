"""Flat faces in space: where they look, how their edges lie, what people measure of them."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from thirdstop.staging.vectors import CAMERA_RIGHT, UP, bearing_of, cross, elevation_of, unit
from thirdstop.typed import Vec


@dataclass(frozen=True, eq=False)
class Face:
    """A flat face: centre, and half-edge vectors with u level unless rolled; it looks along u × v."""

    centre_m: Vec
    half_u_m: Vec
    half_v_m: Vec

    @property
    def normal(self) -> Vec:
        """Unit vector along which it looks."""
        return unit(cross(self.half_u_m, self.half_v_m))


def make_face(
    centre_m: Vec, normal: Vec, half_level_m: float, half_other_m: float, roll_deg: float = 0.0
) -> Face:
    """A face with one pair of edges level, then rolled clockwise as seen from in front of it.

    A face that looks straight up or down has its level edges across the room.
    """
    n = unit(normal)
    level = cross(UP, n)
    u = unit(level) if float(np.linalg.norm(level)) > 1e-6 else CAMERA_RIGHT * (1.0 if n[2] > 0 else -1.0)
    v = cross(n, u)
    # seen from in front, clockwise is a negative turn about the normal
    c, s = np.cos(np.radians(-roll_deg)), np.sin(np.radians(-roll_deg))
    return Face(centre_m, half_level_m * (c * u + s * v), half_other_m * (c * v - s * u))


def lean_of(normal: Vec) -> tuple[float, Literal["up", "down", "upright"]]:
    """Degrees from upright, and the way: a face that looks level is upright."""
    elevation_deg = elevation_of(normal)
    if abs(elevation_deg) < 0.05:
        return 0.0, "upright"
    return abs(elevation_deg), "up" if elevation_deg > 0 else "down"


def swing_of(normal: Vec) -> float:
    """Plan direction of a face in degrees: 0 toward the camera, positive camera-right."""
    return bearing_of(normal)


def roll_of(face: Face) -> float:
    """Degrees by which the u edge is turned from level, clockwise as seen from in front."""
    straight = make_face(face.centre_m, face.normal, 1.0, 1.0)
    u = unit(face.half_u_m)
    angle = np.degrees(np.arctan2(float(u @ straight.half_v_m), float(u @ straight.half_u_m)))
    return float(-angle)
