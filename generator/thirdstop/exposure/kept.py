"""What is arranged for one scene and serves for the next: all of it where only materials differ, most of it
where cards, blockers or nets have moved.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TypeAlias

from thirdstop.exposure.arranged import Arranged, read_anew, relit, standing, with_panels
from thirdstop.exposure.mesh import is_sheet
from thirdstop.exposure.quality import ROUGH, Quality
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Ellipsoid, Emitter, Panel
from thirdstop.staging.staging import Scene

Key: TypeAlias = tuple[object, ...]

_CARRIED = ("card", "blocker", "net")
"""Roles of panels that people carry about."""

_MOST_STANDING, _MOST_WHOLE = 4, 3
"""So many of each quality are kept, those that were asked for last: up to 40 MB each."""
_MOST_ROUGH = 12
"""The same of whole scenes that are computed roughly: causes and rows try the same places of a card over and
over, and each takes a third as much.
"""


def order_of(scene: Scene) -> list[int]:
    """Indices of the panels in the order in which they are put in: those last that are carried about."""
    return sorted(range(len(scene.panels)), key=lambda k: scene.panels[k].role in _CARRIED)


def alike(scene: Scene) -> Key:
    """Equal for scenes of which everything is equal but the lamps' output and power."""
    return (
        tuple((p.name, p.front, p.back, *_panel(p)) for p in scene.panels),
        tuple((s.name, s.part, s.sitter, s.material, *_solid(s)) for s in scene.solids),
        tuple((e.name, *_emitter(e)) for e in scene.emitters),
        tuple((p.name, p.sitter, *_point(p)) for p in scene.points),
    )


class Kept:
    """The scenes that were arranged last."""

    def __init__(self) -> None:
        self._standing: dict[Quality, dict[Key, Arranged]] = {}
        self._whole: dict[Quality, dict[Key, Arranged]] = {}

    def nearly(self, scene: Scene, like: Scene, quality: Quality) -> Arranged:
        """A scene that differs from another by a little, and is arranged like it where only lamps have moved,
        or only receptors.
        """
        mine, theirs = _unit(scene), _unit(like)
        moved = [shape(mine) != shape(theirs) for shape in (_things, _lamps, _receptors)]
        # asked for in any case, so that it stays kept while others come and go
        before = self.arranged(like, quality)
        if moved == [False, True, False]:
            return relit(before, mine)
        if moved == [False, False, True]:
            return read_anew(before, mine)
        return self.arranged(scene, quality)

    def arranged(self, scene: Scene, quality: Quality, read_at: frozenset[str] | None = None) -> Arranged:
        """A scene, its panels in the engine's order and its lamps of 1 cd·s/m²; the same whatever is kept.

        With `read_at` only the points of these names are read.
        """
        scene = _unit(scene)
        carried = tuple(p for p in scene.panels if p.role in _CARRIED)
        still = replace(scene, panels=scene.panels[: len(scene.panels) - len(carried)])
        key = (_things(still), _lamps(still), _receptors(still), _read(still, read_at))
        standings = self._standing.setdefault(quality, {})
        if key in standings:
            # a whole that is found is a use of what it stands in
            standings[key] = standings.pop(key)
        return _found(
            self._whole.setdefault(quality, {}),
            (key, *map(_panel, carried)),
            lambda: with_panels(
                _found(standings, key, lambda: standing(still, quality, read_at), _MOST_STANDING), carried
            ),
            _MOST_ROUGH if quality == ROUGH else _MOST_WHOLE,
        )


def _unit(scene: Scene) -> Scene:
    """The scene with its panels in the engine's order and lamps of 1 cd·s/m²."""
    lamps = tuple(replace(emitter, luminance_cd_s_m2=1.0) for emitter in scene.emitters)
    return replace(scene, panels=tuple(scene.panels[k] for k in order_of(scene)), emitters=lamps)


def _found(kept: dict[Key, Arranged], key: Key, make: Callable[[], Arranged], most: int) -> Arranged:
    """What is kept, or made; the last one asked for stands last."""
    found = kept.pop(key) if key in kept else make()
    kept[key] = found
    if len(kept) > most:
        del kept[next(iter(kept))]
    return found


def _things(scene: Scene) -> Key:
    """Everything that stands in the way but lamps; not what it is made of, nor what it is called."""
    return (*map(_panel, scene.panels), *map(_solid, scene.solids))


def _lamps(scene: Scene) -> Key:
    return tuple(map(_emitter, scene.emitters))


def _receptors(scene: Scene) -> Key:
    return tuple(map(_point, scene.points))


def _read(scene: Scene, read_at: frozenset[str] | None) -> Key:
    """Which of the scene's points are read."""
    return tuple(read_at is None or point.name in read_at for point in scene.points)


def _panel(panel: Panel) -> Key:
    place = panel.centre_m.tobytes(), panel.half_u_m.tobytes(), panel.half_v_m.tobytes()
    return (panel.role, *place, panel.outline, panel.straight, is_sheet(panel))


def _solid(solid: Ellipsoid) -> Key:
    return solid.centre_m.tobytes(), solid.semi_axes_m.tobytes(), solid.axes.tobytes()


def _emitter(emitter: Emitter) -> Key:
    place = emitter.centre_m.tobytes(), emitter.half_u_m.tobytes(), emitter.half_v_m.tobytes()
    return (*place, emitter.outline, emitter.emission)


def _point(point: MeasuringPoint) -> Key:
    return point.place_m.tobytes(), point.direction.tobytes(), point.receptor
