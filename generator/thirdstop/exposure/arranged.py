"""A scene as light finds it, before any material: pieces, who sees whom, and where the lamps' light falls.

First what stays where it is, then the panels that people carry about are put into it; a panel that has moved
costs what it touches. Axes: e emitters, k points, p patches, c cells, m places on bodies.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from thirdstop.exposure import gather
from thirdstop.exposure.arrays import Single
from thirdstop.exposure.bodies import NO_BODIES, body_mesh
from thirdstop.exposure.exchange import Exchange, exchange, extended, kernel_between
from thirdstop.exposure.lit import Lamps, Lit, cells_of, patches_of, views_of
from thirdstop.exposure.mesh import Mesh, build
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.receivers import Receivers, at_points
from thirdstop.exposure.sides import ROOM, sides_of
from thirdstop.exposure.sight import Blockers, Sight, pairs_past_flats, sight
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array


@dataclass(frozen=True, eq=False)
class Blends:
    """How light goes over from patches into the places that points look at."""

    cells: list[gather.Blend]
    views: list[gather.Blend]


@dataclass(frozen=True, eq=False)
class Arranged:
    """Everything that the materials don't decide."""

    scene: Scene
    """Its panels in the order in which they were put in."""
    quality: Quality
    blockers: Blockers
    mesh: Mesh
    points: Receivers
    seen: Sight
    """The patches."""
    cells: Sight
    kernel: Single
    lit: Lit
    views: tuple[gather.CellView, ...]
    """What points see of cells: of what stands still, of each panel put in."""
    bodies: gather.BodyView
    blends: Blends

    @cached_property
    def between(self) -> Exchange:
        """Who lights whom."""
        return exchange(self.mesh.patches, self.kernel)

    @cached_property
    def closed(self) -> tuple[Array, Array]:
        """Weights (k, c) with the room's share taken to what things before it leave of each view, and the
        factor (k,) on all weights for what is open yet.
        """
        weight = np.concatenate([view.weight for view in self.views], axis=1)
        return weight, gather.close_views(self.points, self.mesh, weight, self.bodies)


def standing(scene: Scene, quality: Quality, read_at: frozenset[str] | None = None) -> Arranged:
    """A closed room with everything in `scene`; with `read_at` only the points of these names look at it,
    while it is cut up as for all of them.
    """
    blockers = Blockers((*scene.panels[ROOM:], *scene.emitters), scene.solids, scene.panels[:ROOM])
    mesh = build(scene, sides_of(blockers.walls, blockers.flats), body_mesh(scene, quality), quality)
    patches = mesh.patches
    points = at_points(read_points(scene, read_at), blockers)
    seen = sight(blockers, patches.place_m, patches.flat, patches.solid)
    cells = _cells_seen(mesh, blockers)
    bodies = gather.body_view(points, blockers, scene, quality)
    return Arranged(
        scene=scene,
        quality=quality,
        blockers=blockers,
        mesh=mesh,
        points=points,
        seen=seen,
        cells=cells,
        kernel=kernel_between(patches, blockers, seen),
        lit=_lit(Lamps(scene, blockers, quality), mesh, points, seen, cells, bodies),
        views=(gather.cell_view(points, blockers, mesh),),
        bodies=bodies,
        blends=Blends(gather.cell_blends(mesh), gather.body_blends(bodies.view, patches)),
    )


def read_points(scene: Scene, read_at: frozenset[str] | None) -> tuple[MeasuringPoint, ...]:
    """The points of these names, in the scene's order; all of them where none are named."""
    return scene.points if read_at is None else tuple(p for p in scene.points if p.name in read_at)


def relit(before: Arranged, scene: Scene) -> Arranged:
    """What was arranged, with lamps a little otherwise: it stays cut up as it was, and they stand in the way
    of bounced light as they did. For differences between scenes that are nearly alike.
    """
    lamps = iter(scene.emitters)
    flats = tuple(f if isinstance(f, Panel) else next(lamps) for f in before.blockers.flats)
    blockers = Blockers(flats, scene.solids, before.blockers.walls)
    mesh, points = before.mesh, at_points(scene.points, blockers)
    seen = sight(blockers, mesh.patches.place_m, mesh.patches.flat, mesh.patches.solid)
    cells = _cells_seen(mesh, blockers)
    view = before.bodies.view
    bodies = replace(before.bodies, seen=sight(blockers, view.place_m, on_solid=view.solid))
    lit = _lit(Lamps(scene, blockers, before.quality), mesh, points, seen, cells, bodies)
    return replace(
        before,
        scene=scene,
        blockers=blockers,
        points=points,
        seen=seen,
        cells=cells,
        lit=lit,
        bodies=bodies,
    )


def read_anew(before: Arranged, scene: Scene) -> Arranged:
    """What was arranged, with receptors a little otherwise: it stays cut up as it was."""
    blockers, quality = before.blockers, before.quality
    points = at_points(scene.points, blockers)
    bodies = gather.body_view(points, blockers, scene, quality)
    lamps = Lamps(before.scene, blockers, quality)
    return replace(
        before,
        scene=replace(before.scene, points=scene.points),
        points=points,
        lit=replace(before.lit, points=lamps.at_points(points), views=lamps.at_views(bodies)),
        views=(gather.cell_view(points, blockers, before.mesh),),
        bodies=bodies,
        blends=Blends(before.blends.cells, gather.body_blends(bodies.view, before.mesh.patches)),
    )


def _lit(
    lamps: Lamps, mesh: Mesh, points: Receivers, seen: Sight, cells: Sight, bodies: gather.BodyView
) -> Lit:
    return Lit(
        points=lamps.at_points(points),
        cells=lamps.at_cells(mesh, cells),
        patches=lamps.at_bodies(mesh, seen),
        views=lamps.at_views(bodies),
    )


def with_panels(before: Arranged, panels: tuple[Panel, ...]) -> Arranged:
    """The same with further panels in it."""
    return _Addition(before, panels).arranged() if panels else before


def _cells_seen(mesh: Mesh, blockers: Blockers) -> Sight:
    cut = mesh.elements.cells
    return sight(blockers, cut.place_m, mesh.sides.flat[cut.side])


class _Addition:
    """Panels put into what is arranged already; each step made once."""

    def __init__(self, before: Arranged, panels: tuple[Panel, ...]) -> None:
        self.before = before
        self.first = len(before.blockers.flats)
        self.blockers = before.blockers.with_panels(panels)
        self.scene = replace(before.scene, panels=(*before.scene.panels, *panels))
        self.lamps = Lamps(self.scene, self.blockers, before.quality)
        sides = sides_of(self.blockers.walls, self.blockers.flats)[len(before.mesh.sides) :]
        self.more = build(self.scene, sides, NO_BODIES, before.quality)
        self.mesh = before.mesh.joined(self.more)
        self.old_cells = before.cells.with_flats(self.blockers, before.mesh.elements.cells.place_m)
        self.new_cells = _cells_seen(self.more, self.blockers)
        place_m = before.points.place_m
        self.points = replace(before.points, seen=before.points.seen.with_flats(self.blockers, place_m))

    def arranged(self) -> Arranged:
        before, patches = self.before, self.mesh.patches
        old_patches = before.seen.with_flats(self.blockers, before.mesh.patches.place_m)
        bodies = self._bodies()
        more = self.more.patches
        seen = old_patches.joined(sight(self.blockers, more.place_m, more.flat))
        return Arranged(
            scene=self.scene,
            quality=before.quality,
            blockers=self.blockers,
            mesh=self.mesh,
            points=self.points,
            seen=seen,
            cells=self.old_cells.joined(self.new_cells),
            kernel=extended(before.kernel, patches, self.blockers, seen, self.first),
            lit=self._lit(old_patches, bodies),
            views=self._views(),
            bodies=bodies,
            blends=replace(
                before.blends,
                cells=before.blends.cells + gather.cell_blends(self.mesh, len(before.mesh.sides)),
            ),
        )

    def _bodies(self) -> gather.BodyView:
        """What points see of bodies past the panels."""
        bodies = self.before.bodies
        seen = bodies.seen.with_flats(self.blockers, bodies.view.place_m)
        passed = pairs_past_flats(self.blockers, self.points.seen[bodies.view.point], seen, self.first)
        return gather.BodyView(bodies.view, bodies.weight * passed, seen)

    def _lit(self, patches: Sight, bodies: gather.BodyView) -> Lit:
        mesh, lit, lamps = self.before.mesh, self.before.lit, self.lamps
        cells = cells_of(mesh, self.old_cells, slice(None))
        old = lamps.mend(lit.cells, cells, self.first, lamps.for_cells)
        body = np.flatnonzero(mesh.patches.solid >= 0)
        at_patches = np.zeros((len(lit.points), len(self.mesh.patches.solid)))
        at_patches[:, body] = lamps.mend(
            lit.patches[:, body], patches_of(mesh, patches, body), self.first, lamps.for_bodies
        )
        return Lit(
            points=lamps.mend(lit.points, self.points, self.first, lamps.for_points),
            cells=np.concatenate([old, lamps.at_cells(self.more, self.new_cells)], axis=1),
            patches=at_patches,
            views=lamps.mend(lit.views, views_of(bodies), self.first, lamps.for_views),
        )

    def _views(self) -> tuple[gather.CellView, ...]:
        """What points see of cells past the panels, and of the panels' own."""
        old = (view.past(self.blockers, self.points, self.first) for view in self.before.views)
        return *old, gather.cell_view(self.points, self.blockers, self.more)
