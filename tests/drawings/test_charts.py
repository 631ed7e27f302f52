"""Charts: parts of a hundred, ratios spaced by stops, texts that never meet."""

from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thirdstop.drawings.charts import FillCurve, budget_chart, fill_chart, parts_of
from thirdstop.drawings.labels import Box
from thirdstop.drawings.sheet import Drawing

SOURCES = ["key", "lap card", "walls", "ceiling", "floor", "backdrop", "body", "other"]
BUDGETS = st.lists(st.floats(0.001, 1.0), min_size=1, max_size=8).map(
    lambda values: {source: value / sum(values) for source, value in zip(SOURCES, values, strict=False)}
)


def assert_tidy(drawing: Drawing) -> None:
    sheet = Box(0, 0, drawing.width_mm, drawing.height_mm)

    assert [(a.text, b.text) for a, b in combinations(drawing.labels, 2) if a.box.overlaps(b.box)] == []
    assert [label.text for label in drawing.labels if not sheet.holds(label.box)] == []
    ElementTree.fromstring(drawing.svg)


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
        float(np.interp(chosen_m, distances, ratios)), f"{chosen_m:.2f} m, about",
        ((0.0, 0.3, "in frame"), (1.1, 2.0, "past the wall")),
    )  # fmt: skip


@pytest.mark.parametrize("chosen_m", [0.2, 0.25, 0.4, 0.8, 1.15, 1.2])
@pytest.mark.parametrize(("low", "rise"), [(1.1, 0.5), (1.3, 3.0), (2.0, 20.0)])
def test_a_fill_chart_is_tidy(chosen_m: float, low: float, rise: float) -> None:
    """No two texts of a fill chart meet and none leaves it, wherever the chosen point lies."""
    assert_tidy(fill_chart(curve(chosen_m, low, rise), "made", "If the card moves"))


def test_a_stop_is_the_same_height_everywhere() -> None:
    """The rules of 2:1, 4:1 and 8:1 stand evenly apart: each is one stop from the next."""
    drawing = fill_chart(curve(rise=6.0), "made", "If the card moves")
    height = {label.text: label.box.centre[1] for label in drawing.labels if ":1" in label.text}

    assert height["2:1"] - height["4:1"] == pytest.approx(height["4:1"] - height["8:1"], abs=1e-9)
