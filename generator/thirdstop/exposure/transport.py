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
        spots = sight(self.blockers, mesh.spots.place_m, mesh.spots.flat, mesh.spots.solid)
        elements = sight(self.blockers, mesh.place_m, mesh.on_flat, mesh.on_solid)
        cells = self._cells(mesh)
        at_cells = self._lamps_at(mesh, cells)
        at_elements = self._lamps_at_elements(mesh, elements, at_cells)
        thrown = self._thrown(mesh, spots)
        between = exchange.exchange(mesh, self.blockers, spots, elements)
        sent = exchange.exitance(mesh, at_elements, exchange.solve(mesh, between, at_elements, thrown))
        other = thrown + between.arriving(mesh, sent)
        light = self._gathered(mesh, cells, at_cells, other, mesh.over_patches(thrown))
        self._add_lobes(mesh, elements, sent, light)
        return light

    def _cells(self, mesh: Mesh) -> Sight:
        return sight(self.blockers, mesh.cells.place_m, np.repeat(mesh.on_flat[: mesh.flat_count], 4))

    def _lamps_at(self, mesh: Mesh, cells: Sight) -> Array:
        """The lamps' light on the flat cells, shape (e, c)."""
        normal = np.repeat(mesh.normal[: mesh.flat_count], 4, axis=0)
        lit = np.repeat(mesh.surface[: mesh.flat_count] >= 0, 4)
        light = np.zeros((len(self.scene.emitters), len(lit)))
        index = np.flatnonzero(lit)
        at = on_surfaces(mesh.cells.place_m[index], normal[index], cells[index])
        samples = max(8, self.quality.lamp_samples // 3)
        for e, emitter in enumerate(self.scene.emitters):
            light[e, index] = direct_light(emitter, self.blockers, at, samples, self.quality.partly)
        return light

    def _lamps_at_elements(self, mesh: Mesh, elements: Sight, at_cells: Array) -> Array:
        """The lamps' light on all elements, shape (e, n): cells averaged, and the bodies."""
        count = len(self.scene.emitters)
        area = mesh.cells.area_m2.reshape(-1, 4)
        means = (at_cells.reshape(count, -1, 4) * area).sum(axis=2) / area.sum(axis=1)
        body = slice(mesh.flat_count, None)
        at = on_surfaces(mesh.place_m[body], mesh.normal[body], elements[body])
        samples = self.quality.lamp_samples // 2
        rows = [direct_light(e, self.blockers, at, samples, self.quality.partly) for e in self.scene.emitters]
        return np.concatenate([means, np.array(rows).reshape(count, len(at.place_m))], axis=1)

    def _thrown(self, mesh: Mesh, spots: Sight) -> Array:
        """The lamps' light where patches receive, by way of metallised lobes, shape (e, r)."""
        light = np.zeros((len(self.scene.emitters), len(mesh.spots.patch)))
        for mirror in lobes.mirrors(mesh, self.blockers, self.quality.lobe_patch_cells):
            for e, emitter in enumerate(self.scene.emitters):
                light[e] += lobes.thrown_on_spots(
                    mirror, self.blockers, emitter, self.quality.lobe_patch_samples, mesh, spots
                )
        return light

    def _gathered(self, mesh: Mesh, cells: Sight, at_cells: Array, other: Array, thrown: Array) -> Array:
        """Matte light at the points, shape (e, k, s), rows closed."""
        scene = self.scene
        light = np.zeros(self._shape)
        weight = gather.cell_weights(self.points, self.blockers, mesh, cells)
        bodies = gather.body_view(self.points, self.blockers, scene, self.quality)
        stops = weight @ np.repeat(mesh.stops_share[: mesh.flat_count], 4)
        stops += np.bincount(bodies.view.point, bodies.weight, len(scene.points))
        whole = np.where(self.points.dome, 2.0 * np.pi, np.pi)
        close = whole / np.where(stops > 0.5 * whole, stops, whole)
        luminance = self._cell_exitance(mesh, at_cells, other, thrown) / np.pi
        surface = np.repeat(mesh.surface[: mesh.flat_count], 4)
        for s in range(len(scene.panels)):
            of = np.flatnonzero(surface == s)
            light[:, :, s] = luminance[:, of] @ weight[:, of].T
        direct = gather.body_direct(bodies, self.blockers, scene.emitters, self.quality.hit_lamp_samples)
        shade = np.array([s.material.reflectance for s in scene.solids])
        body = (direct + gather.body_other(bodies, mesh, other)) * shade[bodies.view.solid] / np.pi
        index = bodies.view.point * len(scene.solids) + bodies.view.solid
        size = len(scene.points) * len(scene.solids)
        for e in range(len(light)):
            sums = np.bincount(index, body[e] * bodies.weight, size)
            light[e, :, len(scene.panels) :] = sums.reshape(len(scene.points), -1)
        return np.asarray(light * close[None, :, None])

    def _cell_exitance(self, mesh: Mesh, at_cells: Array, other: Array, thrown: Array) -> Array:
        """Exitance of the flat cells, shape (e, c); a lobe counts as matte only for other lobes' light."""
        flat = slice(0, mesh.flat_count)
        patch, lobe = mesh.patch[flat], (mesh.indirect_share - mesh.direct_share)[flat]
        twin = (4 * mesh.twin[flat][:, None] + np.arange(4)).ravel()
        all_light = at_cells + gather.cell_other(mesh, other)
        return np.asarray(
            np.repeat(mesh.direct_share[flat], 4) * all_light
            + np.repeat(lobe * thrown[:, patch], 4, axis=1)
            + np.repeat(mesh.through_share[flat], 4) * all_light[:, twin]
        )

    def _add_lobes(self, mesh: Mesh, elements: Sight, exitance: Array, light: Array) -> None:
        """Add what metallised sides throw at the points: the lamps' light and the room's."""
        place = self.points.place_m
        for mirror in lobes.mirrors(mesh, self.blockers, self.quality.lobe_cells, place, 0.4):
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
        for mirror in lobes.mirrors(mesh, self.blockers, self.quality.lobe_room_cells, place, 0.8):
            factor = gather.lobe_factors(mirror, self.points)
            radiance = lobes.room_thrown(mirror, self.blockers, mesh, elements, exitance, self.points.place_m)
            passed = gather.lobe_passed(mirror, self.blockers, self.points)
            light[:, :, mirror.side.surface] += (radiance * passed * factor).sum(axis=1)
