"""Stagings at random, from a seed: widely differing, and physically possible.

Nothing pokes through a wall, another face or a body; a lamp stands on the side that it is meant to light.
"""

from collections.abc import Callable

import numpy as np

from reference.builder import Set, depth, half_edges, unit, vec
from reference.mitsuba_scene import Array
from thirdstop.staging.materials import Material, Matte, Metallised, Translucent
from thirdstop.staging.shapes import Beam, Emission, Emitter, Gridded, Lambertian, Outline, Panel
from thirdstop.staging.staging import Scene

MARGIN_M = 0.03
"""Between a face and the room's walls."""
TRIES = 60


def corners_m(face: Panel | Emitter) -> Array:
    """The four corners of the face's rectangle."""
    signs = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)])
    return np.asarray(face.centre_m + signs @ np.stack([face.half_u_m, face.half_v_m]))


def crosses(a: Panel | Emitter, b: Panel | Emitter) -> bool:
    """Whether an edge or diagonal of `a` passes through `b`, both taken as rectangles."""
    corners, normal = corners_m(a), b.normal
    for i, j in ((0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)):
        h, k = float((corners[i] - b.centre_m) @ normal), float((corners[j] - b.centre_m) @ normal)
        if h * k < 0 and min(abs(h), abs(k)) > 1e-6:
            at = corners[i] + h / (h - k) * (corners[j] - corners[i]) - b.centre_m
            if all(abs(at @ e) < e @ e for e in (b.half_u_m, b.half_v_m)):
                return True
    return False


def fits(on: Set, face: Panel | Emitter) -> bool:
    """Whether the face is inside the room, clear of every body, and crosses no other face."""
    corners = corners_m(face)
    if np.any(corners < on.low + MARGIN_M) or np.any(corners > on.high - MARGIN_M):
        return False
    others: list[Panel | Emitter] = [*on.panels[6:], *on.emitters]
    if any(crosses(face, other) or crosses(other, face) for other in others):
        return False
    steps = np.linspace(-1, 1, 21)
    spots = [face.centre_m + a * face.half_u_m + b * face.half_v_m for a in steps for b in steps]
    return not any(depth(solid, spot) < 1.1 for solid in on.solids for spot in spots)


class Dice:
    """One random staging."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.set = self._room()
        self.faces: list[Array] = []

    def between(self, low: float, high: float) -> float:
        """Evenly."""
        return float(self.random.uniform(low, high))

    def chance(self, share: float) -> bool:
        """True in that share of cases."""
        return bool(self.random.random() < share)

    def _room(self) -> Set:
        width, length, height = self.between(2.4, 5.0), self.between(3.6, 7.0), self.between(2.2, 3.2)
        one = self.between(0.04, 0.9)
        walls = tuple(one if self.chance(0.6) else self.between(0.04, 0.9) for _ in range(4))
        return Set(
            width,
            length,
            height,
            self.between(0.8, length - 2.4),
            self.between(0.6, width - 0.6),
            (walls[0], walls[1], walls[2], walls[3]),
            self.between(0.04, 0.8),
            self.between(0.04, 0.9),
        )

    def scene(self) -> Scene:
        """Sitters, backdrop, lamps, cards, blockers, net, diffuser, brim: each if it is drawn and fits."""
        self._sitters()
        if self.chance(0.6):
            self._backdrop()
        for _ in range(1 + self.chance(0.4) + self.chance(0.15)):
            self._place(self._lamp)
        for _ in range(int(self.random.integers(0, 4))):
            self._place(self._card)
        for share, thing in ((0.35, self._flag), (0.15, self._net), (0.2, self._diffuser)):
            if self.set.emitters and self.chance(share):
                self._place(thing)
        if self.chance(0.2):
            self._brim()
        return self.set.scene()

    def _sitters(self) -> None:
        two, standing = self.chance(0.3), self.chance(0.3)
        for x in (-self.between(0.28, 0.4), self.between(0.28, 0.4)) if two else (0.0,):
            low, high = (1.5, 1.75) if standing else (1.1, 1.3)
            eye, y = self.between(low, high), self.between(0, 0.25)
            self.set.sitter(
                x,
                y,
                eye,
                standing,
                self.between(-50, 50) if not two else self.between(-25, 25),
                self.between(-40, 40),
                self.between(0.1, 0.5),
                self.between(0.04, 0.7),
                self.between(0.04, 0.4),
            )
            self.faces.append(vec(x, y - 0.1, eye))

    def _backdrop(self) -> None:
        at, width = self.between(0.6, self.set.high[1] - 0.1), self.between(1.2, 2.7)
        half = min(width / 2, -self.set.low[0] - 0.04, self.set.high[0] - 0.04)
        height = min(self.set.high[2] - 0.05, self.between(1.9, 2.7))
        if at > 0.5 and half > 0.3:
            self.set.backdrop(at, self.between(0.03, 0.85), 2 * half, height)

    def _place(self, draw: Callable[[], Panel | Emitter]) -> None:
        """The first of some tries that fits."""
        for _ in range(TRIES):
            face = draw()
            if fits(self.set, face):
                if isinstance(face, Emitter):
                    self.set.emitters.append(face)
                else:
                    self.set.panels.append(face)
                return

    def _face(self) -> Array:
        return self.faces[int(self.random.integers(len(self.faces)))]

    def _around(self, near: float, far: float, low_deg: float, high_deg: float) -> Array:
        """A place about a face: any plan direction, three times in four on the camera's side."""
        side = self.between(-110, 110) if self.chance(0.75) else self.between(-180, 180)
        up = np.radians(self.between(low_deg, high_deg))
        turn = np.radians(side)
        way = vec(np.sin(turn) * np.cos(up), -np.cos(turn) * np.cos(up), np.sin(up))
        return np.asarray(self._face() + np.exp(self.between(np.log(near), np.log(far))) * way)

    def _emission(self) -> Emission:
        which = self.random.random()
        if which < 0.55:
            return Lambertian()
        return Gridded(self.between(20, 60)) if which < 0.75 else Beam(self.between(15, 60))

    def _aim(self, at: Array) -> Array:
        which = self.random.random()
        if which < 0.65:
            return np.asarray(self._face())
        if which < 0.85:
            return np.asarray(self._face() + self.random.normal(size=3) * 0.3)
        return np.asarray(at + self.random.normal(size=3))

    def _lamp(self) -> Emitter:
        at = self._around(0.45, 2.4, -15, 60)
        outline: Outline = ("rectangle", "ellipse", "octagon")[int(self.random.integers(3))]
        across = self.between(0.12, 1.2) if outline != "octagon" else self.between(0.5, 1.4)
        up = across if outline == "octagon" else across * self.between(0.5, 2.0)
        u, v = half_edges(self._aim(at) - at, across / 2, up / 2, self.between(-45, 45))
        luminance = 1000 * 0.5 / (across * up) * 2.0 ** self.between(-1, 1)
        name = f"lamp {len(self.set.emitters) + 1}"
        return Emitter(
            name, at, u, v, outline, self._emission(), luminance, 2.0 ** -self.random.integers(0, 3)
        )

    def _surface(self) -> Material:
        which = self.random.random()
        if which < 0.4:
            return Matte(self.between(0.7, 0.92))
        if which < 0.55:
            return Matte(self.between(0.03, 0.5))
        return Metallised(self.between(0.6, 0.9), self.between(0.25, 0.45), self.between(0.0, 0.5))

    def _card(self) -> Panel:
        at = self._around(0.25, 1.2, -70, 60)
        to_face = unit(self._face() - at)
        if self.set.emitters and self.chance(0.5):  # half-way between lamp and face: the mirror direction
            to_lamp = unit(self.set.emitters[0].centre_m - at)
            look = unit(to_face + to_lamp + self.random.normal(size=3) * 0.1)
        else:
            look = unit(to_face + self.random.normal(size=3) * (0.2 if self.chance(0.7) else 1.0))
        u, v = half_edges(look, self.between(0.15, 0.6), self.between(0.2, 0.9), self.between(-30, 30))
        name = f"card {len(self.set.panels) - 5}"
        return Panel(name, "card", at, u, v, self._surface(), Matte(0.05) if self.chance(0.5) else Matte(0.8))

    def _before_lamp(self, offset_m: float, half: tuple[float, float]) -> tuple[Array, Array, Array]:
        """Middle and half-edges of a face between a lamp and a face, square to the way, or nearly."""
        lamp = self.set.emitters[int(self.random.integers(len(self.set.emitters)))]
        way = lamp.centre_m - self._face()
        at = self._face() + self.between(0.15, 0.85) * way + self.random.normal(size=3) * offset_m
        u, v = half_edges(way + 0.2 * self.random.normal(size=3), *half, self.between(-45, 45))
        return at, u, v

    def _flag(self) -> Panel:
        at, u, v = self._before_lamp(0.25, (self.between(0.1, 0.4), self.between(0.1, 0.6)))
        return Panel("flag", "blocker", at, u, v, Matte(0.04), Matte(0.04))

    def _net(self) -> Panel:
        at, u, v = self._before_lamp(0.1, (self.between(0.2, 0.4), self.between(0.2, 0.4)))
        cloth = Matte(self.between(0.05, 0.3))
        return Panel("net", "net", at, u, v, cloth, cloth, straight=self.between(0.3, 0.8))

    def _diffuser(self) -> Panel:
        at, u, v = self._before_lamp(0.02, (self.between(0.25, 0.7), self.between(0.25, 0.7)))
        passed = self.between(0.3, 0.7)
        sheet = Translucent(passed, self.between(0.1, 0.9 - passed))
        return Panel("diffuser", "card", at, u, v, sheet, sheet)

    def _brim(self) -> None:
        head = self.set.solids[0]
        at, cloth = head.centre_m + vec(0, -0.01, self.between(0.055, 0.085)), Matte(self.between(0.04, 0.5))
        size = (self.between(0.13, 0.19), self.between(0.16, 0.22))
        u, v = head.axes[:, 0] * size[0], head.axes[:, 1] * size[1]
        brim = Panel("brim", "brim", at, u, v, cloth, cloth, "ellipse")
        lamps: list[Panel | Emitter] = [*self.set.panels[6:], *self.set.emitters]
        if not any(crosses(brim, other) or crosses(other, brim) for other in lamps):
            self.set.panels.append(brim)


def random_scene(seed: int) -> Scene:
    """The staging of that seed; the same on every machine with the same numpy."""
    for attempt in range(20):
        scene = Dice(1000 * seed + attempt).scene()
        if scene.emitters and scene.points:
            return scene
    raise AssertionError(f"seed {seed} gives no scene with a lamp")
