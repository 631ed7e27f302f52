"""The widest way for a person from the door to the sitter, past everything that stands lower than 2 m.

A way is a line on the floor plan; its width is twice the distance from its narrowest place to the nearest
obstacle. The line is sought on a 5 cm lattice as the one whose narrowest place is widest; then the width at
each of its narrow places is measured exactly, as the gap between the two obstacles that make it.
"""

import heapq
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from thirdstop.checks.parts import parts_of, placed
from thirdstop.checks.places import sheets
from thirdstop.checks.polygons import HalfSpace, circle_on_floor, clip, plan_gap_m, to_edges_m
from thirdstop.staging.staging import Door, Room, Staging
from thirdstop.staging.vectors import vec
from thirdstop.typed import Array, Mask, Vec

HEAD_ROOM_M = 2.0
"""What hangs wholly above this is walked under."""
ARM_M = 0.60
"""The way ends this near to the mark: what stands round the sitter is put there once they sit."""
CAMERA_RADIUS_M = 0.25
"""Of the circle that camera and tripod take on the floor."""
_STEP_M = 0.05
_OFF_LINE_M = 0.05
"""How much farther than the gap's own width both sides may be for a cell to lie in the gap."""
_SLACK_M = 0.075
"""How much the lattice may miss of a width: twice half a cell's diagonal, rounded up."""


@dataclass(frozen=True, eq=False)
class Obstacle:
    """Something that is walked around: a convex outline on the plan."""

    name: str
    plan_m: Array
    """Shape (n, 2)."""


@dataclass(frozen=True)
class Way:
    """The widest way from one door."""

    width_m: float
    between: tuple[str, str]
    """The two obstacles at its narrowest place."""


def widest_way(staging: Staging, door: Door) -> Way:
    """The widest way from a door to the sitter; width 0 where there is none."""
    obstacles = obstacles_of(staging)
    lattice = _Lattice(staging.room, obstacles)
    start, goal = lattice.cell(door_middle_m(staging.room, door)), lattice.near(staging.sitters[0].mark_m)
    cells = lattice.widest(start, goal)
    if not cells:
        return Way(0.0, ("", ""))
    narrow = min(lattice.clearance_m[cell] for cell in cells)
    spots = [cell for cell in cells if lattice.clearance_m[cell] <= narrow + _SLACK_M / 2]
    ways = [way for cell in spots if (way := lattice.gap(cell)) is not None]
    return min(ways, key=lambda way: way.width_m) if ways else Way(2 * narrow, ("", ""))


def door_middle_m(room: Room, door: Door) -> Vec:
    """Middle of a door on the floor."""
    middle = (door.from_m + door.to_m) / 2
    places = {
        "left wall": (room.left_m, middle),
        "right wall": (room.right_m, middle),
        "front wall": (middle, room.front_m),
        "back wall": (middle, room.back_m),
    }
    x, y = places[door.wall]
    return vec(x, y, 0.0)


def obstacles_of(staging: Staging) -> list[Obstacle]:
    """Walls without their doors, fixed things, the backdrop, the camera, and what is placed."""
    found = _walls(staging.room)
    found += [
        Obstacle(f"'{thing.name}'", np.asarray(thing.footprint_m)[:, :2])
        for thing in staging.room.fixed
        if thing.bottom_m < HEAD_ROOM_M and thing.top_m > 0.05
    ]
    for panel in sheets(staging):
        if float(np.ptp(panel.corners_m[:, 2])) > 0.05:
            found.append(Obstacle("the backdrop", _hull(panel.corners_m[:, :2])))
    found.append(
        Obstacle("the camera", circle_on_floor(staging.camera.focal_plane_m, CAMERA_RADIUS_M)[:, :2])
    )
    return found + _placed(staging)


def _walls(room: Room) -> list[Obstacle]:
    """Each wall as the lines that its doors leave of it."""
    left, right, front, back = room.left_m, room.right_m, room.front_m, room.back_m
    corners = {
        "left wall": ((left, front), (left, back)),
        "right wall": ((right, front), (right, back)),
        "front wall": ((left, front), (right, front)),
        "back wall": ((left, back), (right, back)),
    }
    found = []
    for name, (start, end) in corners.items():
        along = 1 if name in ("left wall", "right wall") else 0
        doors = sorted((door.from_m, door.to_m) for door in room.doors if door.wall == name)
        ends = [start[along], *(edge for door in doors for edge in door), end[along]]
        for k in range(0, len(ends), 2):
            line = np.array([start, end])
            line[:, along] = ends[k : k + 2]
            if ends[k + 1] - ends[k] > 1e-9:
                found.append(Obstacle(f"the {name}", line))
    return found


def _placed(staging: Staging) -> list[Obstacle]:
    low = HalfSpace(vec(0, 0, 1), HEAD_ROOM_M)
    found = []
    for item in placed(staging):
        parts = parts_of(item)
        solid = [clip(part.polygon, low) for part in parts if part.name in ("face", "body")]
        corners = np.concatenate(solid)
        if len(corners):
            found.append(Obstacle(f"'{item.name}'", _hull(corners[:, :2])))
        for part in parts:
            piece = clip(part.polygon, low)
            if part.name not in ("face", "body") and len(piece):
                found.append(Obstacle(f"the {part.name} of '{item.name}'", _hull(piece[:, :2])))
    return found


def _hull(places: Array) -> Array:
    """Convex hull on the plan, shape (n, 2); Andrew's monotone chain."""
    ordered = sorted({(round(float(x), 9), round(float(y), 9)) for x, y in places})
    if len(ordered) < 3:
        return np.array(ordered)

    def half(run: list[tuple[float, float]]) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for x, y in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], (x, y)) <= 0:
                chain.pop()
            chain.append((x, y))
        return chain[:-1]

    return np.array(half(ordered) + half(ordered[::-1]))


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


@lru_cache(maxsize=16)
def _cells_m(left_m: float, front_m: float, shape: tuple[int, int]) -> Array:
    """Middles of the lattice's cells, row by row, shape (cells, 2)."""
    i, j = np.meshgrid(np.arange(shape[0]), np.arange(shape[1]), indexing="ij")
    places_m: Array = np.array([left_m, front_m]) + _STEP_M * np.stack([i, j], axis=-1).reshape(-1, 2)
    places_m = np.asfortranarray(places_m)  # distances go along x and along y
    places_m.flags.writeable = False  # shared by everyone who asks
    return places_m


@lru_cache(maxsize=16)
def _beside(shape: tuple[int, int]) -> list[list[int]]:
    """The cells beside each cell, in a fixed order."""
    cells = np.arange(shape[0] * shape[1]).reshape(shape)
    padded = np.pad(cells, 1, constant_values=-1)
    four = [padded[:-2, 1:-1], padded[2:, 1:-1], padded[1:-1, :-2], padded[1:-1, 2:]]
    rows = np.stack([each.ravel() for each in four], axis=1).tolist()
    return [[cell for cell in row if cell >= 0] for row in rows]


@lru_cache(maxsize=128)
def _to_edges_m(left_m: float, front_m: float, shape: tuple[int, int], plan: bytes) -> Array:
    """Distances of the cells to an obstacle, shape (cells,): most of them stand where they stood before."""
    return to_edges_m(_cells_m(left_m, front_m, shape), np.frombuffer(plan).reshape(-1, 2))


class _Lattice:
    """The floor in cells of 5 cm, each with its distance to every obstacle."""

    def __init__(self, room: Room, obstacles: list[Obstacle]) -> None:
        self.obstacles = obstacles
        self.shape = (int(room.width_m / _STEP_M) + 1, int(room.length_m / _STEP_M) + 1)
        floor = room.left_m, room.front_m, self.shape
        self.places_m = _cells_m(*floor)
        self.to_each_m = np.stack([_to_edges_m(*floor, one.plan_m.tobytes()) for one in obstacles])
        """Shape (obstacles, cells); 0 inside one."""
        self.clearance_m = self.to_each_m.min(axis=0)
        self._gaps_m: dict[tuple[int, int], float] = {}

    def cell(self, place_m: Vec) -> int:
        """The cell nearest to a place."""
        return int(np.argmin(np.linalg.norm(self.places_m - place_m[:2], axis=1)))

    def near(self, place_m: Vec) -> Mask:
        """Cells within an arm's length of a place."""
        return np.asarray(np.linalg.norm(self.places_m - place_m[:2], axis=1) <= ARM_M)

    def widest(self, start: int, goal: Mask) -> list[int]:
        """Cells of the way whose narrowest one is widest (Dijkstra's method on the least clearance)."""
        came: dict[int, int] = {}
        clearance_m: list[float] = self.clearance_m.tolist()
        beside = _beside(self.shape)
        best = {start: clearance_m[start]}
        queue = [(-best[start], start)]
        while queue:
            least, cell = heapq.heappop(queue)
            width = -least
            if width < best[cell]:
                continue
            if width > 0 and goal[cell]:
                return self._back(came, cell)
            for other in beside[cell]:
                reach = clearance_m[other]
                if reach > width:
                    reach = width
                if reach > best.get(other, 0.0):
                    best[other], came[other] = reach, cell
                    heapq.heappush(queue, (-reach, other))
        return []

    @staticmethod
    def _back(came: dict[int, int], cell: int) -> list[int]:
        cells = [cell]
        while cells[-1] in came:
            cells.append(came[cells[-1]])
        return cells

    def gap(self, cell: int) -> Way | None:
        """The gap that a cell lies in: between its nearest obstacle and one on its other side.

        A cell in the gap has both as near as the gap is wide; obstacles that meet round a corner don't count.
        """
        distances = self.to_each_m[:, cell]
        first, *others = np.argsort(distances, kind="stable").tolist()
        away = self._away(cell)
        beyond = away @ away[first] < 0
        for k in others:
            if beyond[k]:
                gap_m = self._between_m(first, k)
                if float(distances[first] + distances[k]) - gap_m <= _OFF_LINE_M:
                    return Way(gap_m, (self.obstacles[first].name, self.obstacles[k].name))
        return None

    def _between_m(self, first: int, other: int) -> float:
        """Exact gap between two obstacles on the plan."""
        if (first, other) not in self._gaps_m:
            a, b = self.obstacles[first].plan_m, self.obstacles[other].plan_m
            self._gaps_m[first, other] = plan_gap_m(a, b)
        return self._gaps_m[first, other]

    def _away(self, cell: int) -> Array:
        """Directions in which the distance to each obstacle grows, from the cells beside, (obstacles, 2)."""
        i, j = divmod(cell, self.shape[1])
        fields = self.to_each_m.reshape(-1, *self.shape)
        last_i, last_j = self.shape[0] - 1, self.shape[1] - 1
        across = fields[:, min(i + 1, last_i), j] - fields[:, max(i - 1, 0), j]
        along = fields[:, i, min(j + 1, last_j)] - fields[:, i, max(j - 1, 0)]
        return np.stack([across, along], axis=1)
