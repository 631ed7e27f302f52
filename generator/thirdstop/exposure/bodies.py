"""Body solids: patches and elements on ellipsoids, and the directions in which a place sees them."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.factors import cross
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.sight import Blockers, sight
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Mask


@dataclass(frozen=True, eq=False)
class BodyMesh:
    """Patches and elements of all solids, solid by solid. Axes: p patches, n elements (four to a patch)."""

    patch_place_m: Array
    patch_normal: Array
    patch_solid: Index
    place_m: Array
    normal: Array
    area_m2: Array
    patch: Index
    solid: Index
    shares: Array
    """Shape (n, 4): direct, indirect, through, stops."""


def body_mesh(scene: Scene, quality: Quality) -> BodyMesh:
    """Cut up every solid; a patch receives where it is not buried in another solid."""
    blockers = Blockers((), scene.solids)
    parts = [_solid_mesh(k, s, _divisions(scene, s, quality)) for k, s in enumerate(scene.solids)]
    if not parts:
        none3, none, nothing = np.zeros((0, 3)), np.zeros(0), np.zeros(0, dtype=int)
        return BodyMesh(none3, none3, nothing, none3, none3, none, nothing, nothing, np.zeros((0, 4)))
    place, normal, area, solid = (np.concatenate([p[i] for p in parts]) for i in range(4))
    free = ~_buried(blockers, place, solid)
    area = np.where(free, area, 0.0)
    best = _receiver(parts, place, normal, free)
    reflectance = np.array([s.material.reflectance for s in scene.solids])[solid]
    return BodyMesh(
        patch_place_m=place[best],
        patch_normal=normal[best],
        patch_solid=solid[best],
        place_m=place,
        normal=normal,
        area_m2=area,
        patch=np.arange(len(place)) // 4,
        solid=solid,
        shares=np.stack([reflectance, reflectance, np.zeros(len(place)), np.ones(len(place))], axis=1),
    )


def _divisions(scene: Scene, solid: Ellipsoid, quality: Quality) -> int:
    """Finer where a measuring point sees the solid large."""
    size = float(np.prod(solid.semi_axes_m)) ** (1 / 3)
    distance = min((float(np.linalg.norm(p.place_m - solid.centre_m)) for p in scene.points), default=np.inf)
    return quality.body_patches if distance < 3.0 * size else max(1, quality.body_patches // 2)


def _solid_mesh(index: int, solid: Ellipsoid, divisions: int) -> tuple[Array, Array, Array, Index]:
    """Place, normal, area and solid of the elements of one ellipsoid, four to a patch."""
    sphere, weight = cube_sphere(divisions)
    place = solid.centre_m + (sphere * solid.semi_axes_m) @ solid.axes.T
    outward = sphere / solid.semi_axes_m
    stretch = np.linalg.norm(outward, axis=1)
    area = weight * stretch * float(np.prod(solid.semi_axes_m))
    return place, (outward / stretch[:, None]) @ solid.axes.T, area, np.full(len(place), index)


@lru_cache(maxsize=8)
def cube_sphere(divisions: int) -> tuple[Array, Array]:
    """Unit vectors (24·d², 3) and solid angles of a cube's cells, four to each of 6·d² patches."""
    edges = np.tan(np.linspace(-np.pi / 4, np.pi / 4, 4 * divisions + 1))
    middle, angle = edges[1::2], _corner_angles(edges[::2])
    vectors, weights = [], []
    for axis in range(3):
        for sign in (1.0, -1.0):
            for i in range(divisions):
                for j in range(divisions):
                    for a, b in (
                        (2 * i, 2 * j),
                        (2 * i + 1, 2 * j),
                        (2 * i, 2 * j + 1),
                        (2 * i + 1, 2 * j + 1),
                    ):
                        vector = np.roll(np.array([sign, middle[a], middle[b]]), axis)
                        vectors.append(vector / np.linalg.norm(vector))
                        weights.append(angle[a, b])
    return np.array(vectors), np.array(weights)


def _corner_angles(edges: Array) -> Array:
    """Solid angles of the cells of one cube face between tangents `edges`, shape (n, n)."""
    x, y = np.meshgrid(edges, edges, indexing="ij")
    corner = np.arctan2(x * y, np.sqrt(1.0 + x * x + y * y))
    return np.asarray(np.diff(np.diff(corner, axis=0), axis=1))


def _buried(blockers: Blockers, place_m: Array, solid: Index) -> Mask:
    """Which places lie inside another solid than their own, shape (n,)."""
    seen = sight(blockers, place_m, on_solid=solid)
    return np.asarray((np.abs(seen.spheres).sum(axis=2) == 0.0).any(axis=0))


def _receiver(
    parts: list[tuple[Array, Array, Array, Index]], place: Array, normal: Array, free: Mask
) -> Array:
    """The element that receives for each patch: the free one that faces most as the whole patch does."""
    count = sum(len(p[0]) for p in parts) // 4
    mean = normal.reshape(count, 4, 3).mean(axis=1)
    facing = np.einsum("pki,pi->pk", normal.reshape(count, 4, 3), mean)
    score = np.where(free.reshape(count, 4), facing, -2.0)
    return np.asarray(4 * np.arange(count) + score.argmax(axis=1))


@dataclass(frozen=True, eq=False)
class Views:
    """Places on solids as measuring points see them. Axis m."""

    point: Index
    solid: Index
    place_m: Array
    normal: Array
    solid_angle_sr: Array


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
    count = np.maximum(8, np.ceil(samples * (1.0 - floor) / 2.0)).astype(int) * (distance > 1.0 + 1e-9)
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
