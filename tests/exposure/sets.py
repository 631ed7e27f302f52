"""Scenes for the engine's tests: a room, a lamp, a card, a plain sitter. Metres, the house axes."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from thirdstop.staging.materials import Material, Matte
from thirdstop.staging.points import MeasuringPoint, Receptor
from thirdstop.staging.shapes import Ellipsoid, Emission, Emitter, Lambertian, Outline, Panel, Role
from thirdstop.staging.staging import Scene
from thirdstop.typed import Vec

WHITE, GREY, BLACK = Matte(0.85), Matte(0.4), Matte(0.0)
UP = np.array([0.0, 0.0, 1.0])


def vec(x: float, y: float, z: float) -> Vec:
    """A place or direction."""
    return np.array([x, y, z], dtype=float)


def unit(v: Vec) -> Vec:
    """The direction of a vector."""
    return np.asarray(v / np.linalg.norm(v))


def half_edges(normal: Vec, width_m: float, height_m: float) -> tuple[Vec, Vec]:
    """Half-edges of a face that looks along `normal`, u level."""
    n = unit(normal)
    u = unit(np.cross(UP if abs(n[2]) < 0.99 else vec(0, 1, 0), n))
    return width_m / 2 * u, height_m / 2 * np.cross(n, u)


def panel(
    name: str,
    centre: Vec,
    normal: Vec,
    width_m: float,
    height_m: float,
    front: Material,
    back: Material | None = None,
    role: Role = "card",
    outline: Outline = "rectangle",
    straight: float = 0.0,
) -> Panel:
    """A panel whose front looks along `normal`; the back is like the front unless given."""
    u, v = half_edges(normal, width_m, height_m)
    return Panel(name, role, centre, u, v, front, back or front, outline, straight)


def room(
    walls: Material, ceiling: Material | None = None, floor: Material | None = None, size: Vec | None = None
) -> tuple[Panel, ...]:
    """Six panels that look inward, over the floor's middle at the origin; a studio's size unless given."""
    x, y, z = vec(3.0, 4.5, 2.4) if size is None else size
    return (
        panel("floor", vec(0, 0, 0), UP, x, y, floor or walls, role="floor"),
        panel("ceiling", vec(0, 0, z), -UP, x, y, ceiling or walls, role="ceiling"),
        panel("left wall", vec(-x / 2, 0, z / 2), vec(1, 0, 0), y, z, walls, role="wall"),
        panel("right wall", vec(x / 2, 0, z / 2), vec(-1, 0, 0), y, z, walls, role="wall"),
        panel("back wall", vec(0, y / 2, z / 2), vec(0, -1, 0), x, z, walls, role="wall"),
        panel("front wall", vec(0, -y / 2, z / 2), vec(0, 1, 0), x, z, walls, role="wall"),
    )


def far_room() -> tuple[Panel, ...]:
    """Black walls 5 m from the origin on all sides, as good as none."""
    shell = room(BLACK, size=vec(10, 10, 10))
    return tuple(replace(wall, centre_m=wall.centre_m - vec(0, 0, 5)) for wall in shell)


def lamp(
    name: str = "key",
    centre: Vec | None = None,
    normal: Vec | None = None,
    size_m: float = 0.9,
    outline: Outline = "ellipse",
    emission: Emission | None = None,
    luminance: float = 1000.0,
) -> Emitter:
    """A lamp's face; left alone, a round key at the sitter's left that looks at the nose."""
    centre = vec(0.8, -0.9, 1.7) if centre is None else centre
    u, v = half_edges(vec(0, 0, 1.2) - centre if normal is None else normal, size_m, size_m)
    return Emitter(name, centre, u, v, outline, emission or Lambertian(), luminance)


def solid(centre: Vec, semi_axes: Vec, reflectance: float = 0.4, sitter: int = 0) -> Ellipsoid:
    """An upright body solid."""
    return Ellipsoid("head", "head", sitter, centre, semi_axes, np.eye(3), Matte(reflectance))


def point(name: str, place: Vec, direction: Vec, receptor: Receptor = "flat") -> MeasuringPoint:
    """A measuring point of the first sitter."""
    return MeasuringPoint(name, place, unit(direction), receptor, 0)


def sitter() -> tuple[tuple[Ellipsoid, ...], tuple[MeasuringPoint, ...]]:
    """Head, neck and trunk with the nose over the origin, and the points of a portrait."""
    solids = (
        solid(vec(0, 0.10, 1.22), vec(0.077, 0.098, 0.115)),
        replace(solid(vec(0, 0.12, 1.08), vec(0.055, 0.058, 0.10)), name="neck", part="neck"),
        replace(solid(vec(0, 0.14, 0.80), vec(0.20, 0.12, 0.32), 0.1), name="torso", part="torso"),
    )
    cheek = vec(np.sin(np.pi / 3), -np.cos(np.pi / 3), 0.0)
    points = (
        point("left cheek", vec(0.10, 0.04, 1.2), cheek),
        point("right cheek", vec(-0.10, 0.04, 1.2), cheek * vec(-1, 1, 1)),
        point("chin dome", vec(0, -0.01, 1.07), vec(0, -1, 0), "dome"),
        point("under chin", vec(0, -0.02, 1.11), vec(0, -1, -1)),
        point("backdrop behind head", vec(0, 2.2, 1.2), vec(0, -1, 0)),
    )
    return solids, points


def scene(
    panels: Sequence[Panel] = (),
    lamps: Sequence[Emitter] | None = None,
    walls: Sequence[Panel] | None = None,
) -> Scene:
    """The sitter in a grey room with one key, and what else stands there."""
    solids, points = sitter()
    shell = room(GREY, Matte(0.7), Matte(0.2)) if walls is None else walls
    return Scene((*shell, *panels), solids, tuple(lamps or (lamp(),)), points)
