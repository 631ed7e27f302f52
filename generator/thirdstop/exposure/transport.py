"""Light from every lamp at every measuring point, direct and by its last bounce.

Direct light by quadrature over the lamps' faces; the matte exchange by radiosity to convergence; metallised
sides by their true lobe from lamps and toward points; then each point looks once more at everything.
Not modelled: colour, interreflection between two metallised lobes (their second bounce counts as matte),
light that a lamp's face returns.
"""

from dataclasses import replace

import numpy as np

from thirdstop.exposure import exchange, gather, lobes
from thirdstop.exposure.arranged import Arranged, read_points
from thirdstop.exposure.kept import Kept, order_of
from thirdstop.exposure.lit import Lamps
from thirdstop.exposure.quality import ANSWER, ROUGH, SCAN, Quality
from thirdstop.exposure.readings import Transport
from thirdstop.exposure.receivers import at_points
from thirdstop.exposure.returns import returns_of
from thirdstop.exposure.sides import sides_of
from thirdstop.exposure.sight import Blockers
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

__all__ = ["ANSWER", "ROUGH", "SCAN", "Kept", "Quality", "solve"]


def solve(
    scene: Scene,
    quality: Quality = ANSWER,
    kept: Kept | None = None,
    like: Scene | None = None,
    read_at: frozenset[str] | None = None,
) -> Transport:
    """Luminous exposure at every measuring point from every emitter at full power, in lx·s.

    `direct_lx_s` (e, p); `bounced_lx_s` (e, p, s) by the surface of the last bounce, panels then solids.
    The scene's first six panels are the closed room. Deterministic, whatever is `kept` of other scenes; with
    `like`, a scene from which it differs by a little, the difference between the two is what counts. With
    `read_at`, names of points, p are these alone, each as it reads beside all others; not with `like` too.
    """
    direct, bounced = _light(scene, quality, kept or Kept(), like, read_at)
    return Transport(
        emitters=tuple(e.name for e in scene.emitters),
        points=tuple(p.name for p in read_points(scene, read_at)),
        surfaces=tuple(p.name for p in scene.panels) + tuple(s.name for s in scene.solids),
        direct_lx_s=direct,
        bounced_lx_s=bounced,
    )


def _light(
    scene: Scene, quality: Quality, kept: Kept, like: Scene | None, read_at: frozenset[str] | None
) -> tuple[Array, Array]:
    """Direct light (e, p) and bounced light (e, p, s), surfaces in the scene's order."""
    read = read_points(scene, read_at)
    shape = len(scene.emitters), len(read), len(scene.panels) + len(scene.solids)
    if not scene.panels or not all(shape[:2]):
        blockers = Blockers(scene.emitters, scene.solids)
        points = at_points(read, blockers)
        return Lamps(scene, blockers, quality).at_points(points), np.zeros(shape)
    order = order_of(scene)
    arranged = kept.nearly(scene, like, quality) if like else kept.arranged(scene, quality, read_at)
    found = _Bounces(arranged, replace(scene, panels=tuple(scene.panels[k] for k in order))).light()
    bounced = np.empty(shape)
    bounced[:, :, [*order, *range(len(order), shape[2])]] = found
    luminance = np.array([emitter.luminance_cd_s_m2 for emitter in scene.emitters])
    return luminance[:, None] * arranged.lit.points, luminance[:, None, None] * bounced


class _Bounces:
    """What a scene's materials make of the lamps' light, as it is for lamps of 1 cd·s/m²."""

    def __init__(self, arranged: Arranged, scene: Scene) -> None:
        self.arranged = arranged
        self.scene = scene
        self.patches = arranged.mesh.patches
        still = len(arranged.blockers.walls)
        lamps = set(map(id, arranged.scene.emitters))
        panels = iter(scene.panels[still:])
        flats = tuple(f if id(f) in lamps else next(panels) for f in arranged.blockers.flats)
        self.sides = sides_of(scene.panels[:still], flats)
        self.returns = returns_of(self.patches, self.sides, scene.solids)

    def light(self) -> Array:
        """Everything that bounced, shape (e, k, s), panels in the engine's order."""
        direct = self._at_patches()
        thrown = self._thrown()
        other = exchange.solve(self.returns, self.arranged.between, direct, thrown)
        light = self._gathered(other, thrown)
        self._add_lobes(self.returns.exitance(direct, other), light)
        return light

    def _at_patches(self) -> Array:
        """The lamps' light on the patches, shape (e, p): means of cells, and bodies."""
        return self.arranged.lit.patches + self.arranged.mesh.patch_means(self.arranged.lit.cells)

    def _thrown(self) -> Array:
        """The lamps' light on the patches by way of metallised lobes, shape (e, p)."""
        arranged, quality = self.arranged, self.arranged.quality
        light = np.zeros_like(arranged.lit.patches)
        for mirror in lobes.mirrors(self.sides, arranged.blockers, quality.lobe_patch_cells):
            for e, emitter in enumerate(arranged.scene.emitters):
                light[e] += lobes.thrown_on_patches(
                    mirror,
                    arranged.blockers,
                    emitter,
                    quality.lobe_patch_samples,
                    self.patches,
                    arranged.seen,
                )
        return light

    def _gathered(self, other: Array, thrown: Array) -> Array:
        """Matte light at the points, shape (e, k, s), rows closed."""
        arranged, scene = self.arranged, self.scene
        bodies, surface = arranged.bodies, arranged.mesh.cell_surface
        weight, close = arranged.closed
        light = np.zeros((len(other), len(weight), len(scene.panels) + len(scene.solids)))
        luminance = self._cell_exitance(other, thrown) / np.pi
        for s in range(len(scene.panels)):
            of = np.flatnonzero(surface == s)
            light[:, :, s] = luminance[:, of] @ weight[:, of].T
        shade = np.array([s.material.reflectance for s in scene.solids])
        around = gather.blended(arranged.blends.views, other, len(bodies.weight))
        body = (arranged.lit.views + around) * shade[bodies.view.solid] / np.pi
        index = bodies.view.point * len(scene.solids) + bodies.view.solid
        size = len(weight) * len(scene.solids)
        for e in range(len(light)):
            sums = np.bincount(index, body[e] * bodies.weight, size)
            light[e, :, len(scene.panels) :] = sums.reshape(len(weight), -1)
        return np.asarray(light * close[None, :, None])

    def _cell_exitance(self, other: Array, thrown: Array) -> Array:
        """Exitance of the cells, shape (e, c); a lobe counts as matte only for other lobes' light."""
        mesh, returns, lit = self.arranged.mesh, self.returns, self.arranged.lit
        all_light = lit.cells + gather.cell_light(self.arranged.blends.cells, mesh, other)
        lobe = (returns.indirect - returns.direct) * thrown
        return np.asarray(
            returns.direct[mesh.cell_patch] * all_light
            + lobe[:, mesh.cell_patch]
            + returns.through[mesh.cell_patch] * all_light[:, mesh.cell_twin]
        )

    def _add_lobes(self, exitance: Array, light: Array) -> None:
        """Add what metallised sides throw at the points: the lamps' light and the room's."""
        arranged, quality, points = self.arranged, self.arranged.quality, self.arranged.points
        blockers, place = arranged.blockers, points.place_m
        every = np.array([point.place_m for point in arranged.scene.points])
        for mirror in lobes.mirrors(self.sides, blockers, quality.lobe_cells, every, 0.4):
            factor, used = gather.lobe_factors(mirror, points)
            for e, emitter in enumerate(arranged.scene.emitters if len(used) else ()):
                radiance = lobes.thrown(
                    mirror, blockers, emitter, quality.lobe_lamp_samples, place[used], points.seen[used]
                )
                light[e, used, mirror.side.surface] += (radiance * factor).sum(axis=0)
        for mirror in lobes.mirrors(self.sides, blockers, quality.lobe_room_cells, every, 0.8):
            factor, used = gather.lobe_weights(mirror, blockers, points)
            if len(used):
                radiance = lobes.room_thrown(
                    mirror, blockers, self.patches, arranged.seen, exitance, place[used]
                )
                light[:, used, mirror.side.surface] += (radiance * factor).sum(axis=1)
