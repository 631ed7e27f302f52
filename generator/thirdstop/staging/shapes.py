"""The shapes that a staging is made of: panels, ellipsoids, emitters. Metres, axes of the house:

x camera-right, y away from the camera, z up; origin at the mark M on the floor.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.staging.materials import Material, Matte
from thirdstop.staging.vectors import cross
from thirdstop.typed import Array, Vec

Outline: TypeAlias = Literal["rectangle", "ellipse", "octagon"]
"""Of a flat face with half-edges u and v. An octagon is regular, `across` = 2|u| = 2|v| flat to flat."""

Role: TypeAlias = Literal[
    "wall", "ceiling", "floor", "backdrop", "card", "blocker", "net", "brim", "seat", "fixed"
]

BodyPart: TypeAlias = Literal[
    "head",
    "hair",
    "neck",
    "shoulders",
    "torso",
    "upper arm",
    "forearm",
    "hand",
    "pelvis",
    "thigh",
    "lower leg",
    "crown",
    "object",
]


@dataclass(frozen=True, eq=False)
class Panel:
    """A flat two-sided surface without thickness. Its front looks along u × v."""

    name: str
    role: Role
    centre_m: Vec
    half_u_m: Vec
    """Half-edge vector, from the centre to the middle of an edge; perpendicular to half_v_m."""
    half_v_m: Vec
    front: Material
    back: Material
    outline: Outline = "rectangle"
    straight: float = 0.0
    """Share of light that passes straight through (a net); the materials act on what is left."""

    @cached_property
    def normal(self) -> Vec:
        """Unit vector out of the front."""
        n: Vec = cross(self.half_u_m, self.half_v_m)
        return n / np.linalg.norm(n)

    @property
    def corners_m(self) -> Array:
        """The outline as a polygon, shape (n, 3), counter-clockwise seen from the front."""
        return outline_points(self.outline, self.centre_m, self.half_u_m, self.half_v_m)


@dataclass(frozen=True, eq=False)
class Ellipsoid:
    """A matte solid of a sitter's body (or of what the hands hold)."""

    name: str
    part: BodyPart
    sitter: int
    centre_m: Vec
    semi_axes_m: Vec
    """Lengths along the three columns of `axes`."""
    axes: Array
    """Shape (3, 3), orthonormal, right-handed; column k is the direction of semi-axis k."""
    material: Matte

    @cached_property
    def extent_m(self) -> Array:
        """Lowest and highest corner of the box about it, sides along the room's axes, shape (2, 3)."""
        half = np.sqrt(((self.axes * self.semi_axes_m) ** 2).sum(axis=1))
        return np.stack([self.centre_m - half, self.centre_m + half])


@dataclass(frozen=True)
class Lambertian:
    """A face that looks equally bright from everywhere in front of it."""


@dataclass(frozen=True)
class Gridded:
    """A grid in front of a diffusing face: relative luminance falls linearly with the tangent of the angle
    from the face's normal and is 0 beyond `cutoff_deg`.
    """

    cutoff_deg: float


@dataclass(frozen=True)
class Beam:
    """A dish or bare head: luminous intensity falls as a power of the cosine and is half at `half_angle_deg`
    from the axis; so the luminance goes as cos^(n-1) with n = ln 0.5 / ln cos(half_angle).
    60° is Lambertian.
    """

    half_angle_deg: float


Emission: TypeAlias = Lambertian | Gridded | Beam


@dataclass(frozen=True, eq=False)
class Emitter:
    """The luminous face of a lamp with its shaper. It shines along u × v; both sides stop other light and
    return none of it.
    """

    name: str
    centre_m: Vec
    half_u_m: Vec
    half_v_m: Vec
    outline: Outline
    emission: Emission
    luminance_cd_s_m2: float
    """Luminance × time along the normal, in cd·s/m², at full power."""
    power: float = 1.0
    """Share of full power at the click that is set."""

    @cached_property
    def normal(self) -> Vec:
        """Unit vector along which the face shines."""
        n: Vec = cross(self.half_u_m, self.half_v_m)
        return n / np.linalg.norm(n)

    @property
    def corners_m(self) -> Array:
        """The outline as a polygon, shape (n, 3), counter-clockwise seen from in front."""
        return outline_points(self.outline, self.centre_m, self.half_u_m, self.half_v_m)


def outline_points(
    outline: Outline, centre_m: Vec, half_u_m: Vec, half_v_m: Vec, segments: int = 48
) -> Array:
    """The edge of a flat face, shape (n, 3), metres, counter-clockwise seen from where u × v points to.

    An ellipse is returned as `segments` points on its edge (for drawing; the engine has the exact shape).
    """
    if outline == "rectangle":
        uv = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)], dtype=float)
    elif outline == "octagon":
        t = np.sqrt(2.0) - 1.0
        uv = np.array([(1, t), (t, 1), (-t, 1), (-1, t), (-1, -t), (-t, -1), (t, -1), (1, -t)])
    else:
        angles = 2 * np.pi * np.arange(segments) / segments
        uv = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return centre_m + uv[:, :1] * half_u_m + uv[:, 1:] * half_v_m
