"""Body solids: patches and elements on ellipsoids, and the directions in which a place sees them."""

from dataclasses import dataclass, fields

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.factors import cross
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.receivers import Eyes
from thirdstop.exposure.sides import quarters
from thirdstop.exposure.sight import Blockers, sight
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Mask

_FEWEST_VIEWS = 32
"""Directions from a point to a solid, be it ever so small."""

_MOST_QUARTERINGS = 6


@dataclass(frozen=True, eq=False)
class BodyMesh:
    """Patches of all solids, solid by solid, without those that are buried whole. Axis p."""

    place_m: Array
    """Its middle, or that of the free quarter that faces most as the whole does, where one is buried."""
    normal: Array
    solid: Index
    size_m: Array
    """Root of a patch's area, what is buried of it included."""
    quarter_m: Array
    quarter_normal: Array
    quarter_area_m2: Array
    """Shape (p, 4); 0 where buried in another solid."""


NO_BODIES = BodyMesh(
    *(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0, dtype=int), np.zeros(0)),
    *(np.zeros((0, 4, 3)), np.zeros((0, 4, 3)), np.zeros((0, 4))),
)


@dataclass(frozen=True, eq=False)
class Squares:
    """Cells of the cubes about solids, by equal angles. Axis p."""

    solid: Index
    face: Index
    """0 to 5: +x, −x, +y, −y, +z, −z of the solid's own axes."""
    bounds: Array
    """Shape (p, 4): angles a from, a to, b from, b to, in −π/4 to π/4."""

    def quarters(self) -> "Squares":
        """Each cell in four, in order."""
        return Squares(np.repeat(self.solid, 4), np.repeat(self.face, 4), quarters(self.bounds))

    def __getitem__(self, index: Index | Mask) -> "Squares":
        return Squares(self.solid[index], self.face[index], self.bounds[index])


@dataclass(frozen=True, eq=False)
class Surface:
    """Cells of cubes as pieces of their ellipsoids. Axis n."""

    place_m: Array
    normal: Array
    area_m2: Array


def body_mesh(scene: Scene, quality: Quality) -> BodyMesh:
    """Cut up every solid; a patch receives and sends where it is not buried in another solid."""
    if not scene.solids:
        return NO_BODIES
    patches = _patches(scene, quality)
    cells = patches.quarters()
    pieces = surface(scene.solids, cells)
    free = ~_buried(Blockers((), scene.solids), pieces.place_m, cells.solid)
    middle, best = surface(scene.solids, patches), _facing(pieces.normal, free)
    whole = np.all(free.reshape(-1, 4), axis=1, keepdims=True)
    kept = np.flatnonzero(free.reshape(-1, 4).any(axis=1))
    area = pieces.area_m2.reshape(-1, 4)
    solid = patches.solid[kept]
    return BodyMesh(
        place_m=np.where(whole, middle.place_m, pieces.place_m[best])[kept],
        normal=np.where(whole, middle.normal, pieces.normal[best])[kept],
        solid=solid,
        size_m=np.sqrt(area.sum(axis=1))[kept],
        quarter_m=pieces.place_m.reshape(-1, 4, 3)[kept],
        quarter_normal=pieces.normal.reshape(-1, 4, 3)[kept],
        quarter_area_m2=np.where(free.reshape(-1, 4), area, 0.0)[kept],
    )


def _patches(scene: Scene, quality: Quality) -> Squares:
    """Six cells a solid or 24, quartered while large for it or for the nearest point that sees them."""
    squares = whole_cubes(len(scene.solids))
    if quality.round_bodies:
        squares = squares.quarters()
    eyes = Eyes.of(scene.points)
    for _ in range(_MOST_QUARTERINGS):
        pieces = surface(scene.solids, squares)
        size_m = np.sqrt(pieces.area_m2)
        near_m = eyes.distance_m(pieces.place_m, pieces.normal, size_m)
        limit_m = np.maximum(quality.body_point_share * near_m, quality.smallest_body_patch_m)
        split = size_m > np.minimum(limit_m, quality.body_patch_m)
        if not split.any():
            break
        squares = _joined(squares[~split], squares[split].quarters())
    order = np.argsort(squares.solid, kind="stable")
    return squares[order]


def whole_cubes(solids: int) -> Squares:
    """The six faces of every solid's cube."""
    turn = np.pi / 4
    bounds = np.tile([-turn, turn, -turn, turn], (6 * solids, 1))
    return Squares(np.repeat(np.arange(solids), 6), np.tile(np.arange(6), solids), bounds)


def _joined(first: Squares, second: Squares) -> Squares:
    return Squares(
        np.concatenate([first.solid, second.solid]),
        np.concatenate([first.face, second.face]),
        np.concatenate([first.bounds, second.bounds]),
    )


def surface(solids: tuple[Ellipsoid, ...], squares: Squares) -> Surface:
    """Middle, normal and area of each cell's piece of its ellipsoid."""
    axes = np.array([s.axes for s in solids])[squares.solid]
    semi = np.array([s.semi_axes_m for s in solids])[squares.solid]
    centre = np.array([s.centre_m for s in solids])[squares.solid]
    sphere = _directions(squares)
    outward = sphere / semi
    stretch = np.sqrt(np.einsum("pi,pi->p", outward, outward))
    return Surface(
        centre + np.einsum("pi,pji->pj", sphere * semi, axes),
        np.einsum("pi,pji->pj", outward / stretch[:, None], axes),
        solid_angles_sr(squares) * stretch * semi.prod(axis=1),
    )


def _directions(squares: Squares) -> Array:
    """Unit vectors through the middles of cells, shape (p, 3)."""
    across = np.tan(squares.bounds[:, :2].mean(axis=1))
    along = np.tan(squares.bounds[:, 2:].mean(axis=1))
    axis, sign = squares.face // 2, 1.0 - 2.0 * (squares.face % 2)
    rows = np.arange(len(axis))
    vector = np.empty((len(axis), 3))
    vector[rows, axis] = sign
    vector[rows, (axis + 1) % 3] = across
    vector[rows, (axis + 2) % 3] = along
    return np.asarray(vector / np.sqrt(1.0 + across**2 + along**2)[:, None])


def solid_angles_sr(squares: Squares) -> Array:
    """Solid angle of each cell from its cube's middle, shape (p,)."""
    a0, a1, b0, b1 = np.tan(squares.bounds).T
    total = np.zeros(len(a0))
    for x, y, sign in ((a1, b1, 1.0), (a0, b1, -1.0), (a1, b0, -1.0), (a0, b0, 1.0)):
        total += sign * np.arctan2(x * y, np.sqrt(1.0 + x * x + y * y))
    return total


def _buried(blockers: Blockers, place_m: Array, solid: Index) -> Mask:
    """Which places lie inside another solid than their own, shape (n,)."""
    seen = sight(blockers, place_m, on_solid=solid)
    return np.asarray((np.abs(seen.spheres).sum(axis=1) == 0.0).any(axis=0))


def _facing(normal: Array, free: Mask) -> Index:
    """The quarter that stands for each patch: the free one that faces most as the whole patch does."""
    fours = normal.reshape(-1, 4, 3)
    facing = np.einsum("pki,pi->pk", fours, fours.mean(axis=1))
    score = np.where(free.reshape(-1, 4), facing, -2.0)
    return np.asarray(4 * np.arange(len(fours)) + score.argmax(axis=1))


@dataclass(frozen=True, eq=False)
class Views:
    """Places on solids as measuring points see them. Axis m."""

    point: Index
    solid: Index
    place_m: Array
    normal: Array
    solid_angle_sr: Array

    def __getitem__(self, index: Index) -> "Views":
        return Views(*(getattr(self, f.name)[index] for f in fields(Views)))


def views(scene: Scene, points_m: Array, samples: int) -> Views:
    """Directions from each point (k, 3) to each solid, spread over the solid's outline by solid angle.

    In the solid's own axes it is a unit sphere that fills a cone; an even lattice over the cone goes back to
    directions d = A·d′ with solid angle |det A|/|A·d′|³ dω′. `samples` is for a whole sphere of view.
    """
    if not scene.solids:
        none3, none, nothing = np.zeros((0, 3)), np.zeros(0), np.zeros(0, dtype=int)
        return Views(nothing, nothing, none3, none3, none)
    axes = np.array([s.axes for s in scene.solids])
    semi = np.array([s.semi_axes_m for s in scene.solids])
    centre = np.array([s.centre_m for s in scene.solids])
    eye = np.einsum("ksi,sij->ksj", points_m[:, None] - centre, axes / semi[:, None])
    distance = np.linalg.norm(eye, axis=2)
    floor = np.sqrt(np.maximum(1.0 - 1.0 / np.maximum(distance, 1.0) ** 2, 0.0))
    count = np.maximum(_FEWEST_VIEWS, np.ceil(samples * (1.0 - floor) / 2.0)).astype(int) * (
        distance > 1.0 + 1e-9
    )
    point, solid = (np.repeat(index.ravel(), count.ravel()) for index in np.indices(count.shape))
    ray, length = _cone(eye[point, solid], distance[point, solid], floor[point, solid], count)
    sphere = eye[point, solid] + length[:, None] * ray
    size = semi[solid]
    cap = 2 * np.pi * (1.0 - floor) / np.maximum(count, 1)
    stretched = np.einsum("mi,mi->m", ray * size, ray * size) ** 1.5
    outward = sphere / size
    outward /= np.sqrt(np.einsum("mi,mi->m", outward, outward))[:, None]
    return Views(
        point,
        solid,
        centre[solid] + np.einsum("mi,mji->mj", sphere * size, axes[solid]),
        np.einsum("mi,mji->mj", outward, axes[solid]),
        cap[point, solid] * size.prod(axis=1) / stretched,
    )


def _cone(eye: Array, distance: Array, floor: Array, count: Index) -> tuple[Array, Array]:
    """Rays (m, 3) spread over the cones in which unit spheres are seen, and their lengths to them (m,)."""
    total = np.repeat(count.ravel(), count.ravel())
    starts = np.cumsum(count.ravel()) - count.ravel()
    step = np.arange(len(total)) - np.repeat(starts, count.ravel())
    cosine = 1.0 - (1.0 - floor) * (step + 0.5) / total
    turn = 2 * np.pi * np.mod(step * 0.6180339887498949, 1.0)
    toward = -eye / distance[:, None]
    side = np.zeros_like(toward)
    x, y = toward[:, 0], toward[:, 1]
    flat = np.abs(toward[:, 2]) > 0.9
    # Any direction across: z × toward, or x × toward where that is short.
    side[:, 0] = np.where(flat, 0.0, -y)
    side[:, 1] = np.where(flat, -toward[:, 2], x)
    side[:, 2] = np.where(flat, y, 0.0)
    side /= np.sqrt(np.einsum("mi,mi->m", side, side))[:, None]
    sine = np.sqrt(np.maximum(1.0 - cosine**2, 0.0))
    ray = cosine[:, None] * toward + (sine * np.cos(turn))[:, None] * side
    ray += (sine * np.sin(turn))[:, None] * cross(toward, side)
    return ray, distance * cosine - np.sqrt(np.maximum(1.0 - distance**2 * sine**2, 0.0))
