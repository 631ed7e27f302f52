"""The lamps' light wherever it is asked for, and anew where a further panel may take some.

Axes: e emitters, k points, p patches, c cells, m places on bodies.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.direct import direct_light
from thirdstop.exposure.gather import BodyView
from thirdstop.exposure.mesh import Mesh
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.receivers import Receivers, on_surfaces
from thirdstop.exposure.shading import may_be_shaded
from thirdstop.exposure.sight import Blockers, Sight
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array


@dataclass(frozen=True, eq=False)
class Lit:
    """The lamps' light, lx·s."""

    points: Array
    """Shape (e, k)."""
    cells: Array
    """Shape (e, c)."""
    patches: Array
    """Shape (e, p): of bodies; 0 on flat patches, which have cells."""
    views: Array
    """Shape (e, m)."""


class Effort(NamedTuple):
    """Places on a lamp's face, and how many times as many where something hides part of it."""

    samples: int
    partly: int


@dataclass(frozen=True, eq=False)
class Lamps:
    """Every emitter's light where it is asked for, each with the samples that its use is worth."""

    scene: Scene
    blockers: Blockers
    quality: Quality

    def at_points(self, points: Receivers) -> Array:
        """Shape (e, k)."""
        return self._rows(points, self.for_points)

    def at_cells(self, mesh: Mesh, seen: Sight) -> Array:
        """Shape (e, c); 0 on the faces of lamps."""
        light = np.zeros((len(self.scene.emitters), len(mesh.cell_surface)))
        rows = np.flatnonzero(mesh.cell_surface >= 0)
        light[:, rows] = self._rows(cells_of(mesh, seen, rows), self.for_cells)
        return light

    def at_bodies(self, mesh: Mesh, seen: Sight) -> Array:
        """Shape (e, p); 0 on flat patches."""
        light = np.zeros((len(self.scene.emitters), len(mesh.patches.solid)))
        rows = np.flatnonzero(mesh.patches.solid >= 0)
        light[:, rows] = self._rows(patches_of(mesh, seen, rows), self.for_bodies)
        return light

    def at_views(self, bodies: BodyView) -> Array:
        """Shape (e, m)."""
        return self._rows(views_of(bodies), self.for_views)

    @property
    def for_points(self) -> Effort:
        """What a measuring point is worth."""
        return Effort(self.quality.lamp_samples_points, 1)

    @property
    def for_cells(self) -> Effort:
        """What a cell is worth."""
        return Effort(max(8, self.quality.lamp_samples // 3), self.quality.partly)

    @property
    def for_bodies(self) -> Effort:
        """What a patch of a body is worth."""
        return Effort(self.quality.lamp_samples // 2, self.quality.partly)

    @property
    def for_views(self) -> Effort:
        """What a place where points look at bodies is worth."""
        return Effort(self.quality.hit_lamp_samples, self.quality.partly // 2)

    def _rows(self, at: Receivers, effort: Effort) -> Array:
        rows = [direct_light(e, self.blockers, at, *effort) for e in self.scene.emitters]
        return np.array(rows).reshape(len(self.scene.emitters), len(at.place_m))

    def mend(self, light_lx_s: Array, at: Receivers, first: int, effort: Effort) -> Array:
        """The light (e, n) anew where flat faces, from the `first` on, may take some."""
        light = light_lx_s.copy()
        for e, emitter in enumerate(self.scene.emitters):
            shaded = may_be_shaded(self.blockers, first, emitter, at.seen)
            rows = np.flatnonzero(shaded & (light[e] > 0))
            beside = float(light[e].max(initial=0.0))
            light[e, rows] = direct_light(emitter, self.blockers, at[rows], *effort, beside)
        return light


def cells_of(mesh: Mesh, seen: Sight, rows: Index | slice) -> Receivers:
    """Some cells as receivers."""
    return on_surfaces(mesh.elements.cells.place_m[rows], mesh.cell_normal[rows], seen[rows])


def patches_of(mesh: Mesh, seen: Sight, rows: Index) -> Receivers:
    """Some patches as receivers."""
    return on_surfaces(mesh.patches.place_m[rows], mesh.patches.normal[rows], seen[rows])


def views_of(bodies: BodyView) -> Receivers:
    """Where points look at bodies, as receivers."""
    return on_surfaces(bodies.view.place_m, bodies.view.normal, bodies.seen)
