"""The control chart: every value in its words, inside its sheet, days that don't overlap."""

import itertools
import re
from datetime import date, timedelta

import pytest

from thirdstop.drawings.control import SIZE_MM, control_chart

DAY = date(2026, 1, 1)


@pytest.mark.parametrize("count", [1, 2, 12, 60])
def test_words_hold_every_value_and_days_keep_apart(count: int) -> None:
    """Each day and value is said; the days that are written don't touch."""
    values = [(DAY + timedelta(9 * k), (-1) ** k * 0.13 * k) for k in range(count)]
    drawing = control_chart(values, "a", "As shot")

    assert all(f"{day.isoformat()}: {value:+.1f}." in drawing.svg for day, value in values)
    days = re.findall(r'<text[^>]* x="([0-9.]+)"[^>]*>(?:<[^>]*>)?(2026-[0-9-]+)<', drawing.svg)
    places = sorted(float(x) for x, _ in days)
    assert places, "no day is written"
    assert all(b - a > 12 for a, b in itertools.pairwise(places))
    assert (drawing.width_mm, drawing.height_mm) == SIZE_MM


def test_far_values_stay_on_the_sheet() -> None:
    """A value beyond the reach is drawn at the edge and said as it is."""
    drawing = control_chart([(DAY, 40.0), (DAY + timedelta(1), -40.0)], "a", "As shot")
    ys = [float(y) for y in re.findall(r'cy="([-0-9.]+)"', drawing.svg)]

    assert all(0 <= y <= SIZE_MM[1] for y in ys)
    assert "+40.0" in drawing.svg


def test_nothing_to_draw() -> None:
    """Without values there is no chart."""
    with pytest.raises(ValueError, match="needs a value"):
        control_chart([], "a", "As shot")
