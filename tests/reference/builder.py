"""Plain ways to put a scene together for the comparison with the reference: room, sitter, lamps, cards.

Sitters are ellipsoids of plausible size, not those of the product; metres, the house axes, camera toward −y.
"""

from dataclasses import replace

import numpy as np

from reference.mitsuba_scene import Array
from thirdstop.staging.materials import Material, Matte, Metallised, Translucent
from thirdstop.staging.points import MeasuringPoint, Receptor
from thirdstop.staging.shapes import (
    BodyPart,
    Ellipsoid,
    Emission,
    Emitter,
    Lambertian,
    Outline,
    Panel,
    Role,
)
from thirdstop.staging.staging import Scene

CAMERA, UP = np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0])
BLACK, GREY, WHITE = Matte(0.04), Matte(0.5), Matte(0.85)
SILVER = Metallised(0.85, 0.3, 0.15)
GOLD = Metallised(0.75, 0.25, 0.2, 40.0)
SOFT_SILVER = Metallised(0.8, 0.4, 0.3)
DIFFUSER = Translucent(0.5, 0.35)
LAMBERT = Lambertian()

SKIN_TO_RECEPTOR_M = 0.03
NEAREST_PANEL_M = 0.03


def vec(x: float, y: float, z: float) -> Array:
    """A place or direction."""
    return np.array([x, y, z], dtype=float)


def unit(v: Array) -> Array:
    """`v` at length 1."""
    return np.asarray(v / np.linalg.norm(v))


def half_edges(normal: Array, half_across_m: float, half_up_m: float, roll_deg: float = 0.0) -> list[Array]:
    """Half-edge vectors u, v of a face that looks along `normal`: u level, then rolled about the normal."""
    n = unit(normal)
    helper = UP if abs(n[2]) < 0.999 else vec(0, 1, 0)
    u = unit(np.cross(helper, n))
    v = np.cross(n, u)
    c, s = np.cos(np.radians(roll_deg)), np.sin(np.radians(roll_deg))
    return [half_across_m * (c * u + s * v), half_up_m * (c * v - s * u)]


class Set:
    """A scene in the making. The room comes first; what is asked of a missing point is left out."""

    def __init__(
        self,
        width_m: float = 3.0,
        length_m: float = 4.5,
        height_m: float = 2.4,
        behind_m: float = 1.6,
        left_m: float | None = None,
        walls: float | tuple[float, float, float, float] = 0.6,
        floor: float = 0.25,
        ceiling: float = 0.75,
    ) -> None:
        """A closed room about the mark: `behind_m` from the mark to the back wall, `left_m` to the left one.

        `walls` is one reflectance, or those of the back, front, left and right wall.
        """
        left = width_m / 2 if left_m is None else left_m
        self.low = vec(-left, behind_m - length_m, 0)
        self.high = vec(width_m - left, behind_m, height_m)
        back, front, left_wall, right_wall = walls if isinstance(walls, tuple) else (walls,) * 4
        self.panels = [
            self._wall("back wall", "wall", 1, 1, back),
            self._wall("front wall", "wall", 1, -1, front),
            self._wall("left wall", "wall", 0, -1, left_wall),
            self._wall("right wall", "wall", 0, 1, right_wall),
            self._wall("floor", "floor", 2, -1, floor),
            self._wall("ceiling", "ceiling", 2, 1, ceiling),
        ]
        self.solids: list[Ellipsoid] = []
        self.emitters: list[Emitter] = []
        self.points: list[MeasuringPoint] = []

    def _wall(self, name: str, role: Role, axis: int, sign: int, reflectance: float) -> Panel:
        centre, half = (self.low + self.high) / 2, (self.high - self.low) / 2
        centre[axis] = (self.high if sign > 0 else self.low)[axis]
        one, two = np.eye(3)[(axis + 1) % 3], np.eye(3)[(axis + 2) % 3]
        u, v = (two, one) if sign > 0 else (one, two)
        return Panel(name, role, centre, half * u, half * v, Matte(reflectance), Matte(reflectance))

    def lamp(
        self,
        at: Array,
        aim: Array,
        across_m: float,
        up_m: float | None = None,
        outline: Outline = "rectangle",
        emission: Emission = LAMBERT,
        luminance: float = 1000.0,
        power: float = 1.0,
        roll_deg: float = 0.0,
    ) -> "Set":
        """A luminous face of full width `across_m` and height `up_m`, looking toward `aim`."""
        u, v = half_edges(aim - at, across_m / 2, (up_m or across_m) / 2, roll_deg)
        name = f"lamp {len(self.emitters) + 1}"
        self.emitters.append(Emitter(name, at, u, v, outline, emission, luminance, power))
        return self

    def panel(
        self,
        name: str,
        at: Array,
        aim: Array,
        across_m: float,
        up_m: float,
        front: Material,
        back: Material | None = None,
        role: Role = "card",
        outline: Outline = "rectangle",
        straight: float = 0.0,
        roll_deg: float = 0.0,
    ) -> "Set":
        """A card, blocker, net or sheet of full size `across_m` × `up_m` with its front toward `aim`."""
        u, v = half_edges(aim - at, across_m / 2, up_m / 2, roll_deg)
        self.panels.append(Panel(name, role, at, u, v, front, back or front, outline, straight))
        return self

    def backdrop(
        self, behind_m: float, reflectance: float, across_m: float = 2.0, up_m: float = 2.2
    ) -> "Set":
        """An upright sheet behind the mark, measured behind the head and near its edge."""
        at = vec(0, behind_m, up_m / 2)
        sheet = Matte(reflectance)
        self.panel("backdrop", at, at + CAMERA, across_m, up_m, sheet, role="backdrop")
        for name, x in (("backdrop behind head", 0.02), ("backdrop edge", -0.42 * across_m)):
            self.point(name, vec(x, behind_m - 0.04, 1.25), CAMERA)
        return self

    def point(self, name: str, place: Array, direction: Array, receptor: Receptor = "flat") -> "Set":
        """A measuring point."""
        self.points.append(MeasuringPoint(name, place, unit(direction), receptor))
        return self

    def sitter(
        self,
        x_m: float = 0.0,
        y_m: float = 0.1,
        eye_m: float = 1.2,
        standing: bool = False,
        body_deg: float = 0.0,
        head_deg: float = 0.0,
        skin: float = 0.35,
        clothes: float = 0.2,
        hair: float = 0.08,
    ) -> "Set":
        """Somebody whose head's middle is plumb over (x, y) and whose eyes are `eye_m` up, with points.

        Turns are positive toward camera-right.
        """
        Body(self, vec(x_m, y_m, eye_m), standing, body_deg, head_deg, (skin, clothes, hair)).add()
        return self

    def scene(self) -> Scene:
        """The scene, without points that are buried in a body or nearer than 3 cm to a face."""
        points = tuple(point for point in self.points if self._usable(point.place_m))
        names = [point.name for point in points]
        assert len(set(names)) == len(names), f"names of points are not unique: {names}"
        return Scene(tuple(self.panels), tuple(self.solids), tuple(self.emitters), points)

    def _usable(self, place: Array) -> bool:
        inside = bool(np.all(place > self.low) and np.all(place < self.high))
        buried = any(depth(solid, place) < 1.02 for solid in self.solids)
        faces: list[Panel | Emitter] = [*self.panels, *self.emitters]
        return inside and not buried and all(gap_m(face, place) >= NEAREST_PANEL_M for face in faces)


def depth(solid: Ellipsoid, place: Array) -> float:
    """Distance from the solid's middle in units of its own surface: under 1 inside."""
    return float(np.linalg.norm(((place - solid.centre_m) @ solid.axes) / solid.semi_axes_m))


def gap_m(face: Panel | Emitter, place: Array) -> float:
    """Distance of a place from a face, taken as its bounding rectangle."""
    offset = place - face.centre_m
    local = np.array([offset @ e / (e @ e) for e in (face.half_u_m, face.half_v_m)]).clip(-1, 1)
    return float(np.linalg.norm(offset - local[0] * face.half_u_m - local[1] * face.half_v_m))


class Body:
    """A sitter's ellipsoids and measuring points. Own axes: x camera-right, y away from the face, z up."""

    def __init__(
        self,
        on: Set,
        eyes: Array,
        standing: bool,
        body_deg: float,
        head_deg: float,
        tones: tuple[float, float, float],
    ) -> None:
        self.set, self.eyes, self.standing = on, eyes, standing
        self.number = 1 + max((solid.sitter for solid in on.solids), default=-1)
        self.trunk, self.head = _turn(body_deg), _turn(head_deg)
        self.skin, self.clothes, self.hair = (Matte(tone) for tone in tones)

    def add(self) -> None:
        """Put solids, then points, into the set."""
        before = len(self.set.solids)
        self._head()
        self._trunk()
        self.solids = self.set.solids[before:]
        self._points()

    def _solid(
        self,
        part: BodyPart,
        turn: Array,
        place: Array,
        semi_axes: Array,
        material: Matte,
        lean_deg: float = 0,
    ) -> None:
        c, s = np.cos(np.radians(lean_deg)), np.sin(np.radians(lean_deg))
        lean = np.array([(1, 0, 0), (0, c, -s), (0, s, c)])
        name = f"{part} {len(self.set.solids)}"
        self.set.solids.append(
            Ellipsoid(name, part, self.number, self.eyes + turn @ place, semi_axes, turn @ lean, material)
        )

    def _head(self) -> None:
        self._solid("head", self.head, vec(0, 0, 0), vec(0.075, 0.10, 0.115), self.skin)
        self._solid("hair", self.head, vec(0, 0.03, 0.03), vec(0.083, 0.09, 0.105), self.hair)
        self._solid("neck", self.trunk, vec(0, 0.02, -0.15), vec(0.055, 0.06, 0.10), self.skin)

    def _trunk(self) -> None:
        put, turn, dress = self._solid, self.trunk, self.clothes
        put("shoulders", turn, vec(0, 0.03, -0.28), vec(0.21, 0.10, 0.08), dress)
        put("torso", turn, vec(0, 0.03, -0.48), vec(0.165, 0.12, 0.27), dress)
        for side in (-1.0, 1.0):
            put("upper arm", turn, vec(0.215 * side, 0.02, -0.43), vec(0.05, 0.055, 0.17), dress)
            put(
                "forearm",
                turn,
                vec(0.18 * side, -0.14, -0.60),
                vec(0.042, 0.045, 0.15),
                dress,
                65.0,
            )
            if self.standing:
                leg = (self.eyes[2] - 0.72) / 2
                put("lower leg", turn, vec(0.1 * side, 0.03, leg - self.eyes[2]), vec(0.08, 0.09, leg), dress)
            else:
                put("thigh", turn, vec(0.1 * side, -0.2, -0.68), vec(0.085, 0.26, 0.08), dress)
        put("pelvis", turn, vec(0, 0.04, -0.70), vec(0.175, 0.13, 0.13), dress)

    def _points(self) -> None:
        word = "" if self.number == 0 else f"{self.number + 1}: "
        self._on_skin(f"{word}right cheek", _turn(-60) @ CAMERA, -0.035)
        self._on_skin(f"{word}left cheek", _turn(60) @ CAMERA, -0.035)
        self._on_skin(f"{word}forehead", vec(0, -np.cos(np.radians(20)), np.sin(np.radians(20))))
        self._on_skin(f"{word}under chin", vec(0, -1, -1))
        for name, x in (("right eye", -0.032), ("left eye", 0.032)):
            front = 0.10 * np.sqrt(1 - (x / 0.075) ** 2)
            self.set.point(word + name, self.eyes + self.head @ vec(x, -front - 0.01, 0), self.head @ CAMERA)
        place = self.eyes + self.head @ vec(0, -0.10, -0.155)
        self.set.point(f"{word}chin dome", place, CAMERA, "dome")
        chest = self.eyes + self.trunk @ vec(0, -0.125, -0.40)
        self.set.point(f"{word}chest", chest, self.trunk @ CAMERA)

    def _on_skin(self, name: str, direction: Array, up_m: float | None = None) -> None:
        """3 cm off the head where its normal is `direction` (own axes); at height `up_m` if that is given."""
        axes, d = vec(0.075, 0.10, 0.115), unit(direction)
        skin = axes**2 * d / np.linalg.norm(axes * d)
        if up_m is not None:
            skin = skin * np.sqrt(1 - (up_m / axes[2]) ** 2)
            skin[2] = up_m
        self.set.point(name, self.eyes + self.head @ (skin + SKIN_TO_RECEPTOR_M * d), self.head @ d)


def _turn(angle_deg: float) -> Array:
    """About the vertical: positive turns a look toward the camera to camera-right."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    return np.array([(c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)])


def at_power(scene: Scene, shares: list[float]) -> Scene:
    """The scene with its lamps set to those shares of full power."""
    lamps = [replace(lamp, power=share) for lamp, share in zip(scene.emitters, shares, strict=True)]
    return replace(scene, emitters=tuple(lamps))
