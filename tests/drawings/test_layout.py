"""Text never meets text, none leaves the sheet, no leader crosses a text, a label is the length drawn."""

import os
import re
from collections.abc import Callable
from functools import lru_cache, partial
from itertools import combinations, pairwise
from math import hypot
from xml.etree import ElementTree

import numpy as np
import pytest

from drawings.samples import by_hand, differing, shipped_book
from thirdstop.constants import Units
from thirdstop.drawings.detail import detail
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.geometry import cut_polygon, inside_window, rectangle
from thirdstop.drawings.labels import Box
from thirdstop.drawings.plan import plan, thumbnail
from thirdstop.drawings.sheet import Drawing
from thirdstop.staging.staging import Staging
from thirdstop.typed import Array

GENERATED = int(os.environ.get("THIRDSTOP_STAGINGS", "60"))
"""How many set-ups are generated; `tests/bench/layout.py` asks for more."""
STAGINGS = [*by_hand(), *shipped_book(), *differing(GENERATED)]
FEW = 40
"""Of the less used drawings, so many stagings are tried."""
KINDS: dict[str, Callable[[Staging, Units], Drawing]] = {
    "plan 1:50": lambda staging, units: plan(staging, units=units),
    "plan 1:100": lambda staging, units: plan(staging, 100, units=units),
    "plan 1:100 without rulers": lambda staging, units: plan(staging, 100, rulers=False, units=units),
    "detail": lambda staging, units: detail(staging, units=units),
    "elevation": lambda staging, units: elevation(staging, units=units),
    "elevation along the camera": lambda staging, units: elevation(staging, "camera", units=units),
    "small detail": lambda staging, units: detail(staging, (58.0, 52.0), units=units),
}
UNITS: tuple[Units, ...] = ("metric", "imperial")
MANY = ("plan 1:50", "detail", "elevation")
DRAWN: dict[str, list[Callable[[], Drawing]]] = {
    f"{name}, {units}": [partial(draw, one, units) for one in STAGINGS[: None if name in MANY else FEW]]
    for name, draw in KINDS.items()
    for units in UNITS
}
DRAWN["thumbnail"] = [partial(thumbnail, staging) for staging in STAGINGS[:FEW]]


@pytest.fixture(scope="module", params=sorted(DRAWN))
def drawn(request: pytest.FixtureRequest) -> list[Drawing]:
    return [draw() for draw in DRAWN[request.param]]


def test_no_two_texts_overlap(drawn: list[Drawing]) -> None:
    """On no drawing do the measured boxes of two texts share ground."""
    clashes = [
        (index, a.text, b.text)
        for index, drawing in enumerate(drawn)
        for a, b in combinations(drawing.labels, 2)
        if a.box.overlaps(b.box)
    ]

    assert clashes == []


def test_no_text_leaves_the_sheet(drawn: list[Drawing]) -> None:
    """Every text lies wholly on its sheet."""
    lost = [
        (index, label.text)
        for index, drawing in enumerate(drawn)
        for label in drawing.labels
        if not Box(0, 0, drawing.width_mm, drawing.height_mm).holds(label.box)
    ]

    assert lost == []


def test_no_leader_crosses_a_text(drawn: list[Drawing]) -> None:
    """A leader touches no text but ends at its own number's circle."""
    crossed = [
        (index, label.text)
        for index, drawing in enumerate(drawn)
        for leader in drawing.leaders
        for label in drawing.labels
        if _comes_near(leader, label.box)
        and inside_window(leader, rectangle(*label.box.grown(-0.05).row()))
        and not _ends_at(leader[-1].tolist(), label.box)
    ]

    assert crossed == []


def _comes_near(leader: Array, box: Box) -> bool:
    """Whether the upright rectangle around a leader meets the box; where it doesn't, nothing is cut."""
    (x0, y0), (x1, y1) = leader.min(axis=0).tolist(), leader.max(axis=0).tolist()
    return bool(x0 <= box.x1 and x1 >= box.x0 and y0 <= box.y1 and y1 >= box.y0)


def _ends_at(end: list[float], box: Box) -> bool:
    """Whether a leader's end lies on the circle that a number's box holds."""
    x, y = box.centre
    radius = (box.x1 - box.x0) / 2
    return bool(abs(((end[0] - x) ** 2 + (end[1] - y) ** 2) ** 0.5 - radius) < 0.01)


FEET = re.compile(r"(?:(\d+) ft)? ?(?:(\d*)(½?) in)?")


def metres_read(text: str) -> tuple[float, float]:
    """What a dimension's text says, and half of what it is rounded to, in metres."""
    if re.fullmatch(r"\d+(\.\d\d)?( m)?", text):
        return float(text.removesuffix(" m")), 0.005
    words = FEET.fullmatch(text)
    assert words, text
    whole, inches, half = words.groups()
    return int(whole or 0) * 0.3048 + (int(inches or 0) + (0.5 if half else 0.0)) * 0.0254, 0.00635


def test_a_label_is_the_length_that_is_drawn(drawn: list[Drawing]) -> None:
    """The printed length over the scale is the one that is drawn, within the label's rounding."""
    wrong = [
        (index, label.text, label.drawn)
        for index, drawing in enumerate(drawn)
        for label in drawing.labels
        if label.kind == "dimension" and not label.broken
        for metres, rounding in [metres_read(label.text)]
        if label.drawn is None or abs(label.drawn * drawing.scale / 1000 - metres) > rounding + 1e-5
    ]

    assert wrong == []


def test_a_label_states_what_it_says(drawn: list[Drawing]) -> None:
    """Each dimension's value is the one that its text says, broken lines' too."""
    dimensions = [label for drawing in drawn for label in drawing.labels if label.kind == "dimension"]
    wrong = [
        (label.text, label.stated)
        for label in dimensions
        if label.stated is None or abs(label.stated - metres_read(label.text)[0]) > 1e-9
    ]

    assert wrong == []


def test_a_bearing_is_the_angle_that_is_drawn(drawn: list[Drawing]) -> None:
    """The printed degrees are those of the arc, within the label's rounding."""
    wrong = [
        (index, label.text, label.drawn)
        for index, drawing in enumerate(drawn)
        for label in drawing.labels
        if label.kind in ("bearing", "lean") and label.stated is not None
        if label.drawn is None or abs(label.drawn - label.stated) > 0.501
    ]

    assert wrong == []


def test_every_drawing_is_xml_without_style(drawn: list[Drawing]) -> None:
    """A drawing parses as XML and has neither a style attribute nor a style element."""
    for drawing in drawn:
        elements = list(parsed(drawing.svg).iter())

        assert not [element for element in elements if "style" in element.attrib]
        assert not [element for element in elements if element.tag.endswith("}style")]


NAME = "{http://www.w3.org/2000/svg}"
ZIGZAG_MM = pytest.approx([1.476, 2.953, 1.476], abs=0.03)
STEP = re.compile(r"(-?[\d.]+) (-?[\d.]+)")


@lru_cache(maxsize=128)
def parsed(svg: str) -> ElementTree.Element:
    """A drawing's root element; several tests in turn look at the same drawings."""
    return ElementTree.fromstring(svg)


def paths(drawing: Drawing, css_class: str) -> list[list[tuple[float, float]]]:
    """The points of every path of one class, read from the SVG's own text."""
    groups = [g for g in parsed(drawing.svg).iter(f"{NAME}g") if g.attrib.get("class") == css_class]
    data = [path.attrib["d"] for group in groups for path in group.iter(f"{NAME}path")]
    return [[(float(x), float(y)) for x, y in STEP.findall(text)] for text in data]


def area_mm2(polygon: list[tuple[float, float]]) -> float:
    """Of a simple polygon, by the shoelace formula."""
    x, y = np.array(polygon).T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def covered_mm2(drawing: Drawing) -> list[tuple[str, float]]:
    """Texts over solid black, and how much of it lies under their boxes."""
    black = [path for path in paths(drawing, "d-fill-black") if len(path) > 2]
    found = []
    for label in drawing.labels:
        for polygon in black:
            shared = cut_polygon(np.array(polygon), rectangle(*label.box.row()))
            if len(shared) > 2 and area_mm2([(float(x), float(y)) for x, y in shared]) > 0.02:
                found.append((label.text, area_mm2(shared.tolist())))
    return found


def test_no_text_stands_on_black(drawn: list[Drawing]) -> None:
    """No text's box lies over anything that is filled black."""
    wrong = [(index, covered) for index, drawing in enumerate(drawn) if (covered := covered_mm2(drawing))]

    assert wrong == []


CROWDED = (246, 923, 999)
"""Of a thousand generated set-ups, those whose elevations leave the least room: a low lamp, a low ceiling."""


@pytest.mark.parametrize("units", UNITS)
def test_where_there_is_little_room_the_rules_hold(units: Units) -> None:
    """Texts keep apart, on the sheet, and free of leaders in the most crowded elevations too."""
    made = differing(max(CROWDED) + 1)
    drawings = [elevation(made[index], units=units) for index in CROWDED]

    test_no_two_texts_overlap(drawings)
    test_no_text_leaves_the_sheet(drawings)
    test_no_leader_crosses_a_text(drawings)


def test_the_break_of_a_broken_line_is_seen(drawn: list[Drawing]) -> None:
    """In the SVG itself there is a whole zigzag for each length that is not drawn to its end."""
    hidden = []
    for index, drawing in enumerate(drawn):
        broken = [label.text for label in drawing.labels if label.broken]
        if broken and zigzags(drawing) != len(broken):
            hidden.append((index, broken))

    assert hidden == []


def zigzags(drawing: Drawing) -> int:
    """How many dimension lines have three steps of a zigzag, 1.5, 3 and 1.5 mm long."""
    count = 0
    for line in paths(drawing, "d-measure"):
        steps = [hypot(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise(line)]
        count += any(steps[k : k + 3] == ZIGZAG_MM for k in range(len(steps) - 2))
    return count


@pytest.mark.parametrize("staging", by_hand(), ids=lambda staging: staging.slug)
def test_a_tick_stands_where_each_thing_stands(staging: Staging) -> None:
    """In the SVG itself, the plan's left ruler has a tick 20 mm a metre from M for every floor point."""
    drawing = plan(staging)
    ends = {point for line in paths(drawing, "d-measure") for point in line}
    letter = next(x for x in drawing.labels if x.text == "toward camera")
    ruler = {y for x, y in ends if abs(x - (letter.box.x0 - 0.9)) < 0.02}
    top = next(line for line in paths(drawing, "d-thick") if len({y for _, y in line}) == 1)[0][1]
    zero = top + 20 * staging.room.back_m

    for item in staging.items:
        assert any(abs(y - zero - 20 * item.toward_m) < 0.011 for y in ruler), item.name


@pytest.mark.parametrize("staging", by_hand(), ids=lambda staging: staging.slug)
def test_an_arrow_ends_at_each_floor_run(staging: Staging) -> None:
    """In the SVG itself, each unbroken run of the detail has an arrowhead that far from M."""
    drawing = detail(staging)
    mark = paths(drawing, "d-axis")[0][0]
    tips = [line[0] for line in paths(drawing, "d-fill-arrow")]
    runs = [label.stated for label in drawing.labels if label.kind == "dimension" and not label.broken]
    drawn = [((x - mark[0]) ** 2 + (y - mark[1]) ** 2) ** 0.5 / 50 for x, y in tips]

    assert runs
    assert all(any(abs(length - (run or 0)) <= 0.0055 for length in drawn) for run in runs)
