"""Charts: parts of a hundred, ratios spaced by stops, texts that never meet."""

import re
from itertools import combinations, pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thirdstop.constants import Units
from thirdstop.drawings import sheet
from thirdstop.drawings.charts import FillCurve, budget_chart, fill_chart, parts_of
from thirdstop.drawings.labels import Box
from thirdstop.drawings.lengths import SYSTEMS
from thirdstop.drawings.sheet import Drawing

SOURCES = ["key", "lap card", "walls", "ceiling", "floor", "backdrop", "body", "other"]
BUDGETS = st.lists(st.floats(0.001, 1.0), min_size=1, max_size=8).map(
    lambda values: {source: value / sum(values) for source, value in zip(SOURCES, values, strict=False)}
)


def assert_tidy(drawing: Drawing) -> None:
    paper = Box(0, 0, drawing.width_mm, drawing.height_mm)

    assert [(a.text, b.text) for a, b in combinations(drawing.labels, 2) if a.box.overlaps(b.box)] == []
    assert [label.text for label in drawing.labels if not paper.holds(label.box)] == []
    assert crossed(drawing) == set()


def crossed(drawing: Drawing) -> set[tuple[str, str]]:
    """Pen and text of each line, of the grid, a hatching or the curve, that runs through a text."""
    low = np.array([(label.box.x0, label.box.y0) for label in drawing.labels]) + 0.05
    high = np.array([(label.box.x1, label.box.y1) for label in drawing.labels]) - 0.05
    found = set()
    for group in ElementTree.fromstring(drawing.svg):
        pen = group.attrib.get("class", "")
        lines = [] if "d-fill" in pen else [path.attrib["d"] for path in group if "d" in path.attrib]
        for line in (piece for path in lines for piece in path.split("M")[1:]):
            corners = np.array([float(number) for number in re.findall(r"-?[\d.]+", line)]).reshape(-1, 2)
            shares = np.linspace(0.0, 1.0, 101)[:, None, None]
            places = (corners[:-1] + shares * np.diff(corners, axis=0)).reshape(-1, 1, 2)
            inside = ((places > low) & (places < high)).all(axis=2).any(axis=0)
            found |= {(pen, drawing.labels[k].text) for k in np.flatnonzero(inside)}
    return found


def test_a_line_behind_a_text_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Grid lines give way to the chosen point's text and to what is forbidden; were they not interrupted,
    this test would tell.
    """
    charts = [curve(chosen_m, 1.1, 25.0) for chosen_m in (0.25, 0.4, 0.55, 0.8, 1.0)]
    assert all(crossed(fill_chart(one, "made", "If the card moves")) == set() for one in charts)
    monkeypatch.setattr(sheet, "_CUT", set())
    through = set().union(*(crossed(fill_chart(one, "made", "If the card moves")) for one in charts))

    assert ("d-hair", "in frame") in through
    assert any(pen == "d-hair" and text.endswith("about") for pen, text in through)


@given(BUDGETS)
def test_parts_sum_to_a_hundred_and_are_off_by_less_than_one(shares: dict[str, float]) -> None:
    """Whole parts always sum to 100, and none differs from its share by a whole part or more."""
    parts = dict(parts_of(shares))

    assert sum(parts.values()) == 100
    assert all(abs(part - 100 * shares[source]) < 1 for source, part in parts.items() if source != "rest")


@given(st.lists(BUDGETS, min_size=1, max_size=5))
def test_a_budget_chart_is_tidy(budgets: list[dict[str, float]]) -> None:
    """No two texts of a budget chart meet and none leaves it, whatever the shares."""
    rows = [(f"point {index}", shares) for index, shares in enumerate(budgets)]

    assert_tidy(budget_chart(rows, "made", "What lights each side"))


def curve(chosen_m: float = 0.4, low: float = 1.3, rise: float = 3.0) -> FillCurve:
    distances = np.linspace(0.2, 1.2, 21)
    ratios = low + rise * (1 - np.exp(-2 * (distances - 0.2)))
    return FillCurve(
        distances, ratios, ratios * 0.8, ratios * 1.25, chosen_m,
        float(np.interp(chosen_m, distances, ratios)), "about",
        ((0.0, 0.3, "in frame"), (1.1, 2.0, "past the wall")),
    )  # fmt: skip


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("chosen_m", [0.2, 0.25, 0.4, 0.8, 1.15, 1.2])
@pytest.mark.parametrize(("low", "rise"), [(1.1, 0.5), (1.3, 3.0), (2.0, 20.0)])
def test_a_fill_chart_is_tidy(chosen_m: float, low: float, rise: float, units: Units) -> None:
    """No two texts of a fill chart meet and none leaves it, wherever the chosen point lies."""
    assert_tidy(fill_chart(curve(chosen_m, low, rise), "made", "If the card moves", units=units))


@given(st.floats(0.05, 2.0), st.floats(0.1, 6.0), st.sampled_from(sorted(SYSTEMS)))
def test_an_axis_is_ruled_at_round_distances(start_m: float, reach_m: float, units: Units) -> None:
    """However far a card goes, the numbers under the chart stand apart, and each under its distance."""
    distances = np.linspace(start_m, start_m + reach_m, 9)
    ratios = np.linspace(1.5, 3.0, 9)
    made = FillCurve(distances, ratios, ratios * 0.8, ratios * 1.25, start_m, 1.5, "1.5:1")
    drawing = fill_chart(made, "made", "If the card moves", units=units)
    row = [label for label in drawing.labels if re.fullmatch(r"[\d.]+|(\d+ ft)? ?(\d+ in)?", label.text)]
    middles = [label.box.centre[0] for label in row]
    metres = [axis_metres(label.text) for label in row]

    assert_tidy(drawing)
    for (x0, m0), (x1, m1) in pairwise(zip(middles[:-1], metres[:-1], strict=True)):
        assert (x1 - x0) / (m1 - m0) == pytest.approx(axis_mm(drawing) / reach_m, rel=0.01)


def axis_metres(text: str) -> float:
    """The distance that a number under a chart says, in metres."""
    if " " not in text:
        return float(text)
    words = text.split()
    return sum(
        int(number) * {"ft": 0.3048, "in": 0.0254}[unit]
        for number, unit in zip(words[::2], words[1::2], strict=True)
    )


def axis_mm(drawing: Drawing) -> float:
    """The length of the axis: that of the longest thin line from left to right, mm."""
    root = ElementTree.fromstring(drawing.svg)
    groups = [group for group in root if group.attrib.get("class") == "d-thin"]
    lines = [re.findall(r"[\d.]+", path.attrib["d"]) for group in groups for path in group]
    return max(float(line[2]) - float(line[0]) for line in lines)


def test_a_chart_in_feet_names_no_metres() -> None:
    """Axis, chosen point and words are in feet and inches."""
    drawing = fill_chart(curve(), "made", "If the card moves", units="imperial")
    words = ElementTree.fromstring(drawing.svg).findtext("{http://www.w3.org/2000/svg}desc") or ""

    assert {label.text for label in drawing.labels} >= {"1 ft", "2 ft 6 in", "1 ft 3½ in, about"}
    assert words.startswith("At 1 ft 3½ in, about. 8 in: 1.3 to 1.")
    assert not re.search(r"\d m\b|metre", drawing.svg)


def test_a_stop_is_the_same_height_everywhere() -> None:
    """The rules of 2:1, 4:1 and 8:1 stand evenly apart: each is one stop from the next."""
    drawing = fill_chart(curve(rise=6.0), "made", "If the card moves")
    height = {label.text: label.box.centre[1] for label in drawing.labels if ":1" in label.text}

    assert height["2:1"] - height["4:1"] == pytest.approx(height["4:1"] - height["8:1"], abs=1e-9)
