"""Light from every lamp at every measuring point, direct and by its last bounce.

Direct light by quadrature over the lamps' faces; the matte exchange by radiosity to convergence; metallised
sides by their true lobe from lamps and toward points; then each point looks once more at everything.
Not modelled: colour, interreflection between two metallised lobes (their second bounce counts as matte),
light that a lamp's face returns.
"""

import numpy as np

from thirdstop.exposure import exchange, gather, lobes
from thirdstop.exposure.direct import direct_light
from thirdstop.exposure.mesh import Mesh, build
from thirdstop.exposure.quality import ANSWER, ROUGH, SCAN, Quality
from thirdstop.exposure.readings import Transport
from thirdstop.exposure.receivers import at_points, on_surfaces
from thirdstop.exposure.sides import ROOM
from thirdstop.exposure.sight import Blockers, Sight, sight
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

__all__ = ["ANSWER", "ROUGH", "SCAN", "Quality", "solve"]


def blockers_of(scene: Scene) -> Blockers:
    """Everything in the scene that can stand in the way of light."""
    return Blockers((*scene.panels[ROOM:], *scene.emitters), scene.solids, scene.panels[:ROOM])


def solve(scene: Scene, quality: Quality = ANSWER) -> Transport:
    """Luminous exposure at every measuring point from every emitter at full power, in lx·s.

    `direct_lx_s` (e, p); `bounced_lx_s` (e, p, s) by the surface of the last bounce, panels then solids.
    The scene's first six panels are the closed room. Deterministic.
    """
    return _Solver(scene, quality).transport()


class _Solver:
    """The steps of one evaluation, each made once."""

    def __init__(self, scene: Scene, quality: Quality) -> None:
        self.scene = scene
        self.quality = quality
        self.blockers = blockers_of(scene)
        self.points = at_points(scene.points, self.blockers)

    def transport(self) -> Transport:
        scene = self.scene
        bounced = self.bounced() if scene.panels and all(self._shape) else np.zeros(self._shape)
        return Transport(
            emitters=tuple(e.name for e in scene.emitters),
            points=tuple(p.name for p in scene.points),
            surfaces=tuple(p.name for p in scene.panels) + tuple(s.name for s in scene.solids),
            direct_lx_s=self.direct(),
            bounced_lx_s=bounced,
        )

    @property
    def _shape(self) -> tuple[int, int, int]:
        scene = self.scene
        return len(scene.emitters), len(scene.points), len(scene.panels) + len(scene.solids)

    def direct(self) -> Array:
        """The lamps straight at the points, shape (e, k)."""
        samples = self.quality.lamp_samples_points
        rows = [direct_light(e, self.blockers, self.points, samples) for e in self.scene.emitters]
        return np.array(rows).reshape(self._shape[:2])

    def bounced(self) -> Array:
        """Everything that bounced, shape (e, k, s)."""
        mesh = build(self.scene, self.blockers, self.quality)
        patches = mesh.patches
        seen = sight(self.blockers, patches.place_m, patches.flat, patches.solid)
        cells = sight(self.blockers, mesh.elements.cells.place_m, mesh.sides.flat[mesh.elements.cells.side])
        at_cells = self._lamps_at_cells(mesh, cells)
        direct = self._lamps_at_patches(mesh, seen, at_cells)
        thrown = self._thrown(mesh, seen)
        between = exchange.exchange(patches, self.blockers, seen)
        other = exchange.solve(patches, between, direct, thrown)
        light = self._gathered(mesh, cells, at_cells, other, thrown)
        self._add_lobes(mesh, seen, exchange.exitance(patches, direct, other), light)
        return light

    def _lamps_at_cells(self, mesh: Mesh, cells: Sight) -> Array:
        """The lamps' light on the cells, shape (e, c)."""
        place, normal = mesh.elements.cells.place_m, mesh.cell_normal
        light = np.zeros((len(self.scene.emitters), len(place)))
        lit = np.flatnonzero(mesh.cell_surface >= 0)
        at = on_surfaces(place[lit], normal[lit], cells[lit])
        samples = max(8, self.quality.lamp_samples // 3)
        for e, emitter in enumerate(self.scene.emitters):
            light[e, lit] = direct_light(emitter, self.blockers, at, samples, self.quality.partly)
        return light

    def _lamps_at_patches(self, mesh: Mesh, seen: Sight, at_cells: Array) -> Array:
        """The lamps' light on the patches, shape (e, p): means of cells, and bodies."""
        patches, area = mesh.patches, mesh.elements.cells.area_m2
        light = np.zeros((len(at_cells), len(patches.place_m)))
        body = slice(mesh.flat_count, None)
        at = on_surfaces(patches.place_m[body], patches.normal[body], seen[body])
        samples = self.quality.lamp_samples // 2
        for e, emitter in enumerate(self.scene.emitters):
            flux = np.bincount(mesh.cell_patch, at_cells[e] * area, mesh.flat_count)
            light[e, : mesh.flat_count] = flux / patches.area_m2[: mesh.flat_count]
            light[e, body] = direct_light(emitter, self.blockers, at, samples, self.quality.partly)
        return light

    def _thrown(self, mesh: Mesh, seen: Sight) -> Array:
        """The lamps' light on the patches by way of metallised lobes, shape (e, p)."""
        light = np.zeros((len(self.scene.emitters), len(mesh.patches.place_m)))
        samples = self.quality.lobe_patch_samples
        for mirror in lobes.mirrors(mesh.sides, self.blockers, self.quality.lobe_patch_cells):
            for e, emitter in enumerate(self.scene.emitters):
                light[e] += lobes.thrown_on_patches(
                    mirror, self.blockers, emitter, samples, mesh.patches, seen
                )
        return light

    def _gathered(self, mesh: Mesh, cells: Sight, at_cells: Array, other: Array, thrown: Array) -> Array:
        """Matte light at the points, shape (e, k, s), rows closed."""
        scene = self.scene
        light = np.zeros(self._shape)
        weight = gather.cell_weights(self.points, self.blockers, mesh, cells)
        bodies = gather.body_view(self.points, self.blockers, scene, self.quality)
        close = gather.close_views(self.points, mesh, weight, bodies)
        luminance = self._cell_exitance(mesh, at_cells, other, thrown) / np.pi
        for s in range(len(scene.panels)):
            of = np.flatnonzero(mesh.cell_surface == s)
            light[:, :, s] = luminance[:, of] @ weight[:, of].T
        direct = gather.body_direct(bodies, self.blockers, scene.emitters, self.quality.hit_lamp_samples)
        shade = np.array([s.material.reflectance for s in scene.solids])
        body = (direct + gather.body_other(bodies, mesh.patches, other)) * shade[bodies.view.solid] / np.pi
        index = bodies.view.point * len(scene.solids) + bodies.view.solid
        size = len(scene.points) * len(scene.solids)
        for e in range(len(light)):
            sums = np.bincount(index, body[e] * bodies.weight, size)
            light[e, :, len(scene.panels) :] = sums.reshape(len(scene.points), -1)
        return np.asarray(light * close[None, :, None])

    def _cell_exitance(self, mesh: Mesh, at_cells: Array, other: Array, thrown: Array) -> Array:
        """Exitance of the cells, shape (e, c); a lobe counts as matte only for other lobes' light."""
        patches, patch = mesh.patches, mesh.cell_patch
        all_light = at_cells + gather.cell_other(mesh, other)
        lobe = (patches.indirect_share - patches.direct_share) * thrown
        return np.asarray(
            patches.direct_share[patch] * all_light
            + lobe[:, patch]
            + patches.through_share[patch] * all_light[:, mesh.cell_twin]
        )

    def _add_lobes(self, mesh: Mesh, seen: Sight, exitance: Array, light: Array) -> None:
        """Add what metallised sides throw at the points: the lamps' light and the room's."""
        place = self.points.place_m
        for mirror in lobes.mirrors(mesh.sides, self.blockers, self.quality.lobe_cells, place, 0.4):
            factor = gather.lobe_factors(mirror, self.points)
            for e, emitter in enumerate(self.scene.emitters):
                radiance, passed = lobes.thrown(
                    mirror,
                    self.blockers,
                    emitter,
                    self.quality.lobe_lamp_samples,
                    self.points.place_m,
                    self.points.seen,
                )
                light[e, :, mirror.side.surface] += (radiance * passed * factor).sum(axis=0)
        for mirror in lobes.mirrors(mesh.sides, self.blockers, self.quality.lobe_room_cells, place, 0.8):
            factor = gather.lobe_factors(mirror, self.points)
            radiance = lobes.room_thrown(
                mirror, self.blockers, mesh.patches, seen, exitance, self.points.place_m
            )
            passed = gather.lobe_passed(mirror, self.blockers, self.points)
            light[:, :, mirror.side.surface] += (radiance * passed * factor).sum(axis=1)
