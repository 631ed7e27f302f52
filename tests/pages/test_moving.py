"""The table that a recipe page's slider goes along."""

import numpy as np
import pytest

from pages.samples import MOVES, one
from thirdstop.drawings.charts import FILL_MM, FillCurve
from thirdstop.exposure.stops import ratio_text
from thirdstop.pages.views.moving import Moving, moving

SLUG = "01-borrowed-window"


def drawn() -> FillCurve:
    """The curve as it is drawn."""
    return FillCurve(
        MOVES.distances_m, MOVES.ratios, MOVES.ratios / 1.2, MOVES.ratios * 1.2, MOVES.chosen_m, 4.0, "4:1"
    )


def table() -> Moving:
    """Of the demo's first recipe with the samples' curve."""
    recipe = one(SLUG)
    return moving(MOVES, drawn(), recipe.readings, recipe.staging.meter)


def test_rows_stand_5_cm_apart_within_what_was_computed_and_one_is_the_recipes_own() -> None:
    """Nothing is told beyond the ends of the curve."""
    found = table()
    places_m = [float(row.string.value) for row in found.rows]

    assert min(places_m) >= MOVES.distances_m[0] - 1e-9
    assert max(places_m) <= MOVES.distances_m[-1] + 1e-9
    assert all(round(m * 100) % 5 == 0 or row.chosen for m, row in zip(places_m, found.rows, strict=True))
    assert [row.chosen for row in found.rows].count(True) == 1
    assert float(found.rows[found.chosen].string.value) == MOVES.chosen_m


def test_a_row_says_the_curves_own_ratio_and_key() -> None:
    """At computed places, by hand from the curve: no line between points comes in."""
    found = {row.string.value: row for row in table().rows}
    for m, ratio, over in zip(MOVES.distances_m, MOVES.ratios, MOVES.key_stops, strict=True):
        if (row := found.get(f"{m:.2f}")) is not None:
            assert row.ratio == ratio_text(float(ratio))
            assert row.clicks == pytest.approx(-over * 3, abs=0.5 + 1e-9)


def test_spots_run_from_edge_to_edge_of_the_chart_and_rise_with_the_ratio() -> None:
    """On the sheet y goes down."""
    found = table()
    x, y = np.array([[float(part) for part in row.spot] for row in found.rows]).T
    rising = np.diff([float(row.ratio.removesuffix(":1")) for row in found.rows])

    assert (np.diff(x) > 0).all()
    assert 0 < x[0] < x[-1] < FILL_MM[0]
    assert (np.diff(y)[rising > 0] < 0).all()
