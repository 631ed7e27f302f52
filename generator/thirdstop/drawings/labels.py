"""Where labels go: a small deterministic search over candidate places.

Each wish (a number with its leader, a dimension's value, a name) brings candidates. A candidate costs what
it covers or crosses; the best is kept, and a few rounds of improvement let each wish answer to the others.
Overlapping texts, leaders across a text and leaving the sheet cost so much that they are chosen only when
nothing else is left; the tests prove that this does not happen.
"""

from dataclasses import dataclass, field

import numpy as np

from thirdstop.typed import Array, Indices, Mask

FORBIDDEN = 1e5
"""Cost of a text over a text, a leader through a text, a text off the sheet."""
LEADERS_CROSS = 300.0
LEADER_OVER_LINE = 1.5
"""Per crossing and unit of the line's weight."""
LEADER_MINDS = 2.0
"""Lines under this weight (hatching, the field) may be crossed by a leader for nothing."""
DISTANCE_COST = 0.6
"""Per mm between anchor and label."""
CLEARANCE_MM = 0.5
"""Kept free around every text."""
ROUNDS = 12


@dataclass(frozen=True)
class Box:
    """An upright rectangle on the sheet, mm, y down."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def centre(self) -> tuple[float, float]:
        """Middle of the box, mm."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def grown(self, by_mm: float) -> "Box":
        """The box with a margin all around."""
        return Box(self.x0 - by_mm, self.y0 - by_mm, self.x1 + by_mm, self.y1 + by_mm)

    def moved(self, x_mm: float, y_mm: float) -> "Box":
        """The box elsewhere."""
        return Box(self.x0 + x_mm, self.y0 + y_mm, self.x1 + x_mm, self.y1 + y_mm)

    def overlaps(self, other: "Box") -> bool:
        """Whether the two share ground; touching is not overlapping."""
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1

    def holds(self, other: "Box") -> bool:
        """Whether the other box lies wholly inside."""
        return self.x0 <= other.x0 and self.y0 <= other.y0 and other.x1 <= self.x1 and other.y1 <= self.y1

    def row(self) -> tuple[float, float, float, float]:
        """As four numbers."""
        return self.x0, self.y0, self.x1, self.y1


@dataclass(frozen=True, eq=False)
class Wish:
    """A label that wants a place: its candidates, best first.

    `boxes` (n, 4) mm; `leaders` (n, 4) mm from anchor to label, or None; `costs` (n,) of the place itself.
    """

    boxes: Array
    costs: Array
    leaders: Array | None = None
    optional: bool = False
    """Left out where every place is forbidden: a name that only helps."""
    own: str = ""
    """Lines of this tag cost the label nothing: a value stands on its own dimension line."""


@dataclass(eq=False)
class Ground:
    """What is there before labels are placed."""

    sheet: Box
    boxes: list[Box] = field(default_factory=list)
    """Texts already placed: never to be covered or crossed."""
    lines: list[tuple[Array, float, str]] = field(default_factory=list)
    """Polylines (n, 2) with the cost for each mm of them that a text covers, and a tag."""


def place(wishes: list[Wish], ground: Ground) -> list[int | None]:
    """The index of the candidate chosen for each wish; None where an optional one finds no place."""
    lines = _segments(ground.lines)
    search = _Search(wishes, {i: _own_costs(wish, ground, lines) for i, wish in enumerate(wishes)})
    while True:
        chosen = _best(search)
        lost = [i for i in search.own if wishes[i].optional and search.cost(chosen, i) >= FORBIDDEN]
        if not lost:
            return [chosen.get(i) for i in range(len(wishes))]
        del search.own[lost[-1]]


@dataclass(eq=False)
class _Search:
    """Wishes, and what their candidates cost."""

    wishes: list[Wish]
    own: dict[int, Array]
    """By wish still in it: what each candidate costs by itself, (n,)."""
    met: dict[tuple[int, tuple[tuple[int, int], ...]], Array] = field(default_factory=dict)
    """By wish and what the others had chosen: `costs`, as the same is asked for again and again."""

    def costs(self, chosen: dict[int, int], i: int) -> Array:
        """What each candidate of a wish costs beside those chosen for the others, (n,)."""
        others = tuple((j, index) for j, index in sorted(chosen.items()) if j != i)
        if (i, others) not in self.met:
            beside = [(self.wishes[j], index) for j, index in others]
            self.met[i, others] = self.own[i] + _against(self.wishes[i], beside)
        return self.met[i, others]

    def cost(self, chosen: dict[int, int], i: int) -> float:
        """What the candidate chosen for a wish costs."""
        return float(self.costs(chosen, i)[chosen[i]])


def _best(search: _Search) -> dict[int, int]:
    """Tried in a few orders, the neediest first, until nothing forbidden is left; else the cheapest."""
    needy = sorted(search.own, key=lambda i: (_free(search.own[i]), i))
    best: tuple[float, dict[int, int]] = (np.inf, {})
    for order in (needy, needy[::-1], *(needy[n:] + needy[:n] for n in range(1, len(needy)))):
        chosen = _settled(search, order)
        cost = sum(search.cost(chosen, i) for i in order)
        if cost < best[0]:
            best = cost, chosen
        if cost < FORBIDDEN:
            break
    return best[1]


def _settled(search: _Search, order: list[int]) -> dict[int, int]:
    """Each wish in turn takes its cheapest place against the others, until nobody moves."""
    chosen: dict[int, int] = {}
    for _ in range(ROUNDS):
        before = dict(chosen)
        for i in order:
            chosen[i] = int(np.argmin(search.costs(chosen, i)))
        if chosen == before:
            break
    return chosen


def _free(costs: Array) -> int:
    """How many places a wish has without anything forbidden: the neediest go first."""
    return int((costs < FORBIDDEN).sum())


def _own_costs(wish: Wish, ground: Ground, drawn: tuple[Array, Array, list[str]]) -> Array:
    """What each candidate costs by itself, (n,): the lines count only where nothing forbids the place."""
    costs = _forbidden(wish, ground)
    free: Mask = costs < FORBIDDEN
    if free.any():
        costs[free] += _line_costs(wish, free, drawn)
    return costs


def _forbidden(wish: Wish, ground: Ground) -> Array:
    sheet = np.array(ground.sheet.row())
    off = (wish.boxes[:, :2] < sheet[:2]).any(axis=1) | (wish.boxes[:, 2:] > sheet[2:]).any(axis=1)
    costs = wish.costs + FORBIDDEN * 10 * off
    if ground.boxes:
        fixed = np.array([box.row() for box in ground.boxes])
        costs = costs + FORBIDDEN * _overlaps(_grown(wish.boxes), fixed).sum(axis=1)
        if wish.leaders is not None:
            _, through = _struck(_grown(fixed), wish.leaders)
            costs = costs + FORBIDDEN * _counted(through, len(costs))
    return costs


def _line_costs(wish: Wish, free: Mask, drawn: tuple[Array, Array, list[str]]) -> Array:
    grown = _grown(wish.boxes[free])
    lines, weights, tags = drawn
    near = _within(lines, _bounds(grown))
    if wish.own:
        near = near & (np.array(tags) != wish.own)
    lines, weights = lines[near], weights[near]
    costs: Array = _covered_mm(grown, lines) @ weights
    if wish.leaders is not None:
        strong = weights >= LEADER_MINDS
        leader, line = _crossings(wish.leaders[free], lines[strong])
        crossed = np.bincount(leader, weights[strong][line], len(costs))
        costs = costs + LEADER_OVER_LINE * crossed
    return costs


def _against(wish: Wish, others: list[tuple[Wish, int]]) -> Array:
    costs: Array = np.zeros(len(wish.boxes))
    if not others:
        return costs
    grown = _grown(wish.boxes)
    boxes = np.array([other.boxes[index] for other, index in others])
    costs = costs + FORBIDDEN * _overlaps(grown, boxes).sum(axis=1)
    leaders = [other.leaders[index] for other, index in others if other.leaders is not None]
    if leaders:
        struck, _ = _struck(grown, np.array(leaders))
        costs = costs + FORBIDDEN * _counted(struck, len(costs))
    if wish.leaders is not None:
        _, through = _struck(_grown(boxes), wish.leaders)
        costs = costs + FORBIDDEN * _counted(through, len(costs))
        if leaders:
            crossing, _ = _crossings(wish.leaders, np.array(leaders))
            costs = costs + LEADERS_CROSS * _counted(crossing, len(costs))
    return costs


def _counted(indices: Indices, length: int) -> Indices:
    """How often each index stands there, (length,)."""
    return np.bincount(indices, minlength=length)


def _grown(boxes: Array) -> Array:
    grown: Array = boxes + CLEARANCE_MM * np.array([-1.0, -1.0, 1.0, 1.0])
    return grown


def _segments(lines: list[tuple[Array, float, str]]) -> tuple[Array, Array, list[str]]:
    """All segments of the polylines, (m, 4), the weight of each, (m,), and the tag of each."""
    parts = [np.concatenate([line[:-1], line[1:]], axis=1) for line, _, _ in lines]
    counts = [len(part) for part in parts]
    weights = np.repeat(np.array([weight for _, weight, _ in lines], dtype=float), counts)
    tags = [tag for count, (_, _, tag) in zip(counts, lines, strict=True) for tag in (tag,) * count]
    return np.concatenate([np.zeros((0, 4)), *parts]), weights, tags


def _bounds(boxes: Array) -> Array:
    """The box around all boxes, (4,)."""
    return np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])


def _within(lines: Array, box: Array) -> Mask:
    """Which segments (m, 4) may touch a box (4,), by their own bounds; (m,)."""
    low, high = _ends(lines)
    within: Mask = np.all((low <= box[2:]) & (high >= box[:2]), axis=1)
    return within


def _ends(lines: Array) -> tuple[Array, Array]:
    """The lower and the upper corner of each segment's own bounds, (m, 2) each."""
    return np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])


def _near(boxes: Array, lines: Array) -> tuple[Indices, Indices]:
    """Which of the boxes (n, 4) the bounds of which segments (m, 4) touch: (k,) indices of each.

    Few of them do, and only these pairs need a closer look.
    """
    low, high = (np.ascontiguousarray(ends.T) for ends in _ends(lines))
    near = (low[0] <= boxes[:, 2, None]) & (high[0] >= boxes[:, 0, None])
    near &= low[1] <= boxes[:, 3, None]
    near &= high[1] >= boxes[:, 1, None]
    n, m = np.divmod(np.flatnonzero(near), len(lines))
    return n, m


def _overlaps(boxes: Array, others: Array) -> Mask:
    """Which boxes (n, 4) overlap which others (m, 4); shape (n, m)."""
    over = (boxes[:, 0, None] < others[:, 2]) & (others[:, 0] < boxes[:, 2, None])
    over &= boxes[:, 1, None] < others[:, 3]
    over &= others[:, 1] < boxes[:, 3, None]
    return over


def _covered_mm(boxes: Array, lines: Array) -> Array:
    """Length of each segment (m, 4) inside each box (n, 4), shape (n, m), mm."""
    covered: Array = np.zeros((len(boxes), len(lines)))
    n, m = _near(boxes, lines)
    covered[n, m] = _inside_mm(boxes[n], lines[m])
    return covered


def _struck(boxes: Array, lines: Array) -> tuple[Indices, Indices]:
    """Which of the boxes (n, 4) which segments (m, 4) run through: (k,) indices of each."""
    n, m = _near(boxes, lines)
    inside = _inside_mm(boxes[n], lines[m]) > 0
    return n[inside], m[inside]


def _inside_mm(boxes: Array, lines: Array) -> Array:
    """Length of each segment (k, 4) inside the box (k, 4) that goes with it, (k,), mm (Liang and Barsky)."""
    low, high = np.zeros(len(lines)), np.ones(len(lines))
    for axis in (0, 1):
        start, along = lines[:, axis], lines[:, axis + 2] - lines[:, axis]
        slope = 1.0 / np.where(np.abs(along) < 1e-9, 1e-9, along)
        first, last = (boxes[:, axis] - start) * slope, (boxes[:, axis + 2] - start) * slope
        low, high = np.maximum(low, np.minimum(first, last)), np.minimum(high, np.maximum(first, last))
    inside: Array = np.maximum(high - low, 0) * np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
    return inside


def _crossings(lines: Array, others: Array) -> tuple[Indices, Indices]:
    """Which segments (n, 4) cross which others (m, 4): (k,) indices of each. Shared ends don't cross."""
    n, m = _near(np.concatenate(_ends(lines), axis=1), others)
    parted = _parted(lines[n], others[m])
    n, m = n[parted], m[parted]
    crossed = _parted(others[m], lines[n])
    return n[crossed], m[crossed]


def _parted(lines: Array, others: Array) -> Mask:
    """Whether the ends of the other segment (k, 4) lie on both sides of the line through a segment (k, 4)."""
    x, y = lines[:, 0], lines[:, 1]
    across, down = lines[:, 2] - x, lines[:, 3] - y
    first = across * (others[:, 1] - y) - down * (others[:, 0] - x)
    last = across * (others[:, 3] - y) - down * (others[:, 2] - x)
    parted: Mask = first * last < -1e-9
    return parted


def around(
    anchor: tuple[float, float],
    size: tuple[float, float],
    distances_mm: tuple[float, ...],
    directions: int = 24,
    leader: bool = True,
    round_label: bool = False,
    optional: bool = False,
) -> Wish:
    """Candidates all around an anchor: a label of a size (width, height) at several distances, mm.

    Distances are measured from the anchor to the near edge of the label. A leader runs from the anchor to
    the label's edge (to its circle, where the label is round).
    """
    half, middle = np.array(size) / 2, np.array(anchor)
    angles = 2 * np.pi * (np.arange(directions) + 0.5) / directions
    ways = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    reaches = np.full(directions, half[0])
    if not round_label:
        reaches = np.min(half / np.maximum(np.abs(ways), 1e-9), axis=1)
    distances = np.repeat(np.array(distances_mm), directions)
    ways, reaches = np.tile(ways, (len(distances_mm), 1)), np.tile(reaches, len(distances_mm))
    centres = middle + ways * (distances + reaches)[:, None]
    ends = middle + ways * distances[:, None]
    leaders = np.concatenate([np.broadcast_to(middle, ends.shape), ends], axis=1)
    boxes = np.concatenate([centres - half, centres + half], axis=1)
    return Wish(boxes, distances * DISTANCE_COST, leaders if leader else None, optional)
