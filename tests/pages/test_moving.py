"""The tables that a recipe page's sliders go along."""

from dataclasses import replace

import numpy as np
import pytest

from pages.samples import KEY_MOVES, MOVES, one
from thirdstop.drawings.charts import FILL_MM, FillCurve
from thirdstop.exposure.stops import ratio_text
from thirdstop.pages.drawn import key_moves
from thirdstop.pages.views.moving import Moving, card_moving, key_drawn, key_moving

SLUG = "01-borrowed-window"


def drawn() -> FillCurve:
    """The curve as it is drawn."""
    return FillCurve(
        MOVES.distances_m, MOVES.ratios, MOVES.ratios / 1.2, MOVES.ratios * 1.2, MOVES.chosen_m, 4.0, "4:1"
    )


def table() -> Moving:
    """Of the demo's first recipe with the samples' curve."""
    recipe = one(SLUG)
    return card_moving(MOVES, drawn(), None, recipe.readings, recipe.staging.meter)


def key_table() -> Moving:
    """Likewise of its key."""
    recipe = one(SLUG)
    chart = key_drawn(KEY_MOVES, recipe.readings.ratio)
    return key_moving(KEY_MOVES, chart, None, recipe.readings, recipe.staging.meter)


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
    x, y = np.array([[float(part) for part in row.spot or ()] for row in found.rows]).T
    rising = np.diff([float(row.ratio.removesuffix(":1")) for row in found.rows])

    assert (np.diff(x) > 0).all()
    assert 0 < x[0] < x[-1] < FILL_MM[0]
    assert (np.diff(y)[rising > 0] < 0).all()


def test_the_keys_rows_leave_out_what_lies_beside_a_place_that_cant_be_staged() -> None:
    """From 1.35 m to 1.70 m nothing is known but the two ends."""
    found = key_table()

    assert [row.string.value for row in found.rows] == [
        *("0.85", "0.90", "0.95", "1.00", "1.05", "1.10", "1.15", "1.20", "1.25", "1.30", "1.35", "1.70")
    ]
    assert (
        [row.string.value for row in found.rows if row.chosen]
        == ["1.20"]
        == [found.rows[found.chosen].string.value]
    )


def test_a_row_says_the_keys_own_ratio_and_clicks() -> None:
    """At computed places, by hand from the curve; nearer the key is turned down."""
    found = {row.string.value: row for row in key_table().rows}
    for m, ratio, over in zip(KEY_MOVES.distances_m, KEY_MOVES.ratios, KEY_MOVES.key_stops, strict=True):
        if (row := found.get(f"{m:.2f}")) is not None:
            assert row.ratio == ratio_text(float(ratio))
            assert row.clicks == pytest.approx(-over * 3, abs=0.5 + 1e-9)

    assert found["0.85"].turn == "3 clicks down"


def test_the_key_counts_as_in_the_picture_up_to_the_next_place_that_is_clear() -> None:
    """Between a place that shows and one that does not nothing is known: both say that it shows."""
    found = key_table()
    (ground,) = key_drawn(KEY_MOVES, one(SLUG).readings.ratio).forbidden

    assert [row.string.value for row in found.rows if row.in_frame] == ["0.85", "0.90"]
    assert ground == (0.85, 0.95, "in frame")


def test_a_turn_beyond_the_lamps_clicks_is_told() -> None:
    """At click 2 of 31 there is one click down, not three."""
    recipe = one(SLUG)
    low = replace(recipe.readings.lamps[0], click=2)
    readings = replace(recipe.readings, lamps=(low, *recipe.readings.lamps[1:]))
    chart = key_drawn(KEY_MOVES, readings.ratio)
    rows = key_moving(KEY_MOVES, chart, None, readings, recipe.staging.meter).rows

    assert rows[0].turn == "3 clicks down, which it has not"
    assert next(row.turn for row in rows if row.clicks == -1) == "1 click down"


def test_a_curve_beyond_every_ruled_ratio_is_not_drawn() -> None:
    """A beam past black walls: its table stands without a chart, and no row has a spot on one."""
    steep, recipe = replace(KEY_MOVES, ratios=KEY_MOVES.ratios * 30), one(SLUG)
    chart = key_drawn(steep, recipe.readings.ratio)
    rows = key_moving(steep, chart, None, recipe.readings, recipe.staging.meter).rows

    assert key_moves(SLUG, chart) is None
    assert {(row.ratio, row.spot) for row in rows} == {("above 8:1", None)}
    assert key_moves(SLUG, key_drawn(KEY_MOVES, one(SLUG).readings.ratio)) is not None
