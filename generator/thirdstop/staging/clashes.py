"""Two things in one place: faces that cut each other, a lamp in a head, a sitter in the backdrop."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np

from thirdstop.staging.crossing import (
    TOUCHING_M,
    crossing_m,
    cuts_solid,
    side_by_side,
    solids_overlap,
)
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.shapes import Ellipsoid, Panel
from thirdstop.staging.sitter import Sitter
from thirdstop.staging.staging import CameraView, Room
from thirdstop.staging.vectors import cross
from thirdstop.typed import Array, Vec

_HARD = ("head", "hair", "crown")
"""What a card can't press into; clothes and limbs give way."""
_BODY = (*_HARD, "shoulders", "torso", "pelvis")
_LAP = ("shoulders", "torso", "pelvis", "thigh")
"""What a soft thing may lie on and press into; arms and hands make way for it."""
_GIVES_M = 0.04
"""How far clothes and limbs give way to a soft thing; house value."""
CAMERA_HALF_M = (0.07, 0.05)
"""Half the width and height of a camera's body held level, assumed."""
CAMERA_BACK_M = 0.04
"""How far a camera's body reaches behind the focal-plane mark, with its screen and eyepiece, assumed."""
LENS_FRONT_M = 0.03
"""How far a lens reaches before its middle, at least."""


@dataclass(frozen=True, eq=False)
class Thing:
    """Something that stands somewhere, as flat convex polygons."""

    name: str
    """As in a sentence: 'the camera', ''card''."""
    path: Path
    polygons: tuple[Array, ...]
    soft: bool = False
    """A card or blocker: it may press into clothes a little."""
    hollow: tuple[Vec, Vec, Vec, float] | None = None
    """A shaper's box: centre and half-edges of its face, and its depth behind it."""
    box: tuple[Vec, Vec] | None = None
    """Lowest and highest corner of a box with sides along the axes."""

    @cached_property
    def extent_m(self) -> Array:
        """The lowest and the highest corner of the box about it, sides along the axes, shape (2, 3)."""
        corners_m = np.concatenate(self.polygons)
        return np.stack([corners_m.min(axis=0), corners_m.max(axis=0)])

    def apart(self, other: "Thing") -> bool:
        """Whether boxes about the two, with sides along the axes, are apart."""
        return _apart(self.extent_m, other.extent_m)

    def holds(self, place_m: Vec) -> bool:
        """Whether a place is inside a box, of a shaper taken a little narrower than its face."""
        if self.box is not None:
            return bool(((place_m > self.box[0]) & (place_m < self.box[1])).all())
        if self.hollow is None:
            return False
        centre, u, v, depth_m = self.hollow
        off = place_m - centre
        behind = -off @ cross(u, v) / (np.linalg.norm(u) * np.linalg.norm(v))
        across = max(abs(off @ u) / (u @ u), abs(off @ v) / (v @ v))
        return bool(0 < behind < depth_m and across < 0.7)


def camera_thing(camera: CameraView) -> Thing:
    """A box of assumed size: the body from behind the focal plane, the lens to a little before its middle."""
    across_m, up_m = CAMERA_HALF_M
    if camera.sensor_upright_m > camera.sensor_across_m:
        across_m, up_m = up_m, across_m
    u, v = camera.right * across_m, camera.up * up_m
    ring = np.array([u + v, v - u, -u - v, u - v])
    back = camera.focal_plane_m - CAMERA_BACK_M * camera.forward
    front = camera.lens_m + LENS_FRONT_M * camera.forward
    return Thing("the camera", ("camera", "distance"), _sleeve(back + ring, front + ring))


def fixed_things(room: Room) -> list[Thing]:
    """The room's fixed things as boxes."""
    found = []
    for thing in room.fixed:
        low, high = (
            np.column_stack([thing.footprint_m, np.full(4, height_m)])
            for height_m in (thing.bottom_m, thing.top_m)
        )
        box = (low[0], high[2])
        found.append(Thing(f"'{thing.name}'", (), _sleeve(low, high), box=box))
    return found


def sheet_things(panels: Sequence[Panel]) -> list[Thing]:
    """The backdrop's sheet; its sweep lies on the floor, under everything."""
    sheets = [panel.corners_m for panel in panels if panel.name == "backdrop"]
    return [Thing("the backdrop", ("backdrop",), (corners,)) for corners in sheets]


def _sleeve(near: Array, far: Array) -> tuple[Array, ...]:
    """A box between two rectangles."""
    return (near, far, *(np.stack([near[k - 1], near[k], far[k], far[k - 1]]) for k in range(4)))


@dataclass(frozen=True, eq=False)
class Placed:
    """Everything that has its place in one set-up."""

    things: tuple[Thing, ...]
    """Lamps, cards, blockers."""
    camera: Thing
    sheets: tuple[Thing, ...]
    fixed: tuple[Thing, ...]
    sitters: tuple[tuple[Sitter, Path], ...]

    def refuse(self, problems: Problems) -> None:
        """Notes each pair that is in one place, at the later one of the file.

        Lamps, cards and blockers that reach into fixed things are the room check's.
        """
        carried = [*self.things, self.camera]
        for first, second in combinations(carried, 2):
            _note(second, first, problems)
        for thing in carried:
            for sheet in self.sheets:
                _note(thing, sheet, problems)
            for sitter, _ in self.sitters:
                _note_in_body(thing, sitter, problems)
        for fixed in self.fixed:
            _note(self.camera, fixed, problems)
        self._sitters(problems)

    def _sitters(self, problems: Problems) -> None:
        for sitter, path in self.sitters:
            for thing in (*self.sheets, *self.fixed):
                if _cuts(thing, sitter, _BODY) or thing.holds(sitter.place.head_centre_m):
                    wrong = f"'{sitter.place.name}' would be inside {thing.name}"
                    problems.add(path, wrong, "", "another place for one of them")
        for (first, _), (second, path) in combinations(self.sitters, 2):
            if _one_place(first, second):
                wrong = f"'{second.place.name}' would be inside '{first.place.name}'"
                problems.add(path, wrong, "", "another place from M")


def _note(thing: Thing, other: Thing, problems: Problems) -> None:
    if thing.apart(other):
        return
    pairs = [(a, b) for a in thing.polygons for b in other.polygons]
    length_m = max((crossing_m(a, b) for a, b in pairs), default=0.0)
    if length_m > 0:
        given = f"they cut each other over {length_m * 100:.0f} cm"
    elif any(side_by_side(a, b) for a, b in pairs):
        given = "they lie in each other"
    elif any(other.holds(polygon.mean(axis=0)) for polygon in thing.polygons):
        given = "one is in the other"
    else:
        return
    wrong = f"{thing.name} and {other.name} would be in one place"
    problems.add(thing.path, wrong, given, "another place for one of them")


def _note_in_body(thing: Thing, sitter: Sitter, problems: Problems) -> None:
    name = sitter.place.name
    if _cuts(thing, sitter, _HARD) or thing.holds(sitter.place.head_centre_m):
        problems.add(
            thing.path, f"{thing.name} would be inside the head of '{name}'", "", "a place further out"
        )
    elif _cuts(thing, sitter, _LAP, _GIVES_M) if thing.soft else _cuts(thing, sitter, _BODY):
        problems.add(thing.path, f"{thing.name} would be inside '{name}'", "", "a place further out")


def _cuts(thing: Thing, sitter: Sitter, parts: Sequence[str], by_m: float = TOUCHING_M) -> bool:
    """Whether it reaches into such parts of a sitter by more than that."""
    # most solids are far away: boxes tell that quickly
    solids = [
        solid for solid in sitter.solids if solid.part in parts and not _apart(thing.extent_m, solid.extent_m)
    ]
    return any(cuts_solid(polygon, solid, by_m) for polygon in thing.polygons for solid in solids)


def _apart(a: Array, b: Array) -> bool:
    """Whether two boxes, each by its lowest and highest corner, are apart."""
    return bool(((a[0] > b[1]) | (b[0] > a[1])).any())


def _one_place(first: Sitter, second: Sitter) -> bool:
    """Heads in each other, or the middle of one trunk in the other: shoulders may touch."""
    a, b = (_parts(sitter, "head")[0] for sitter in (first, second))
    if solids_overlap(a, b):
        return True
    a, b = (_parts(sitter, "torso")[0] for sitter in (first, second))
    return _holds_middle(a, b) or _holds_middle(b, a)


def _parts(sitter: Sitter, part: str) -> list[Ellipsoid]:
    return [solid for solid in sitter.solids if solid.part == part]


def _holds_middle(outer: Ellipsoid, inner: Ellipsoid) -> bool:
    own = outer.axes.T @ (inner.centre_m - outer.centre_m) / outer.semi_axes_m
    return bool(own @ own < 1.0)
