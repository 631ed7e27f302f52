"""The tables of the page that is used on set: clicks, and what a card's distance gives."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from pages.samples import MOVES, one
from thirdstop.exposure.stops import ratio_text
from thirdstop.pages.views.turning import card_table, exact_av, meter_table
from thirdstop.staging.staging import MeterPlace

FULL = {0: "1", 1: "1.4", 2: "2", 3: "2.8", 4: "4", 5: "5.6", 6: "8", 7: "11"}
"""Full marks by Av."""

SLUG = "01-borrowed-window"


def meter(step: float = 0.1, aperture: float = 8.0) -> MeterPlace:
    """The demo's meter with another step, or for another aperture."""
    return replace(one(SLUG).staging.meter, step_stops=step, aperture=aperture)


@pytest.mark.parametrize(
    ("shows", "clicks"),
    [
        # a stop is three clicks (a click is a third of a stop): by hand
        ("f/8", 0),
        ("f/5.6", 3),
        ("f/11", -3),
        ("f/5.6 + 3/10", 2),
        ("f/5.6 + 7/10", 1),
        ("f/5.6 + 9/10", 0),
        ("f/8 + 1/10", 0),
        ("f/8 + 2/10", -1),
        ("f/8 + 5/10", -1),
        ("f/4", 6),
        ("f/16", -6),
    ],
)
def test_clicks_for_what_the_meter_shows(shows: str, clicks: int) -> None:
    """The nearest whole click, for f/8 wanted and a meter that shows tenths."""
    table = meter_table(meter())

    assert table.clicks[table.shows.index(shows)] == clicks


@pytest.mark.parametrize("step", [0.1, 1 / 3, 0.5, 1.0])
@pytest.mark.parametrize("aperture", [2.8, 5.6, 6.3, 8.0, 11.0, 13.0])
def test_turning_brings_the_meter_within_half_a_click(step: float, aperture: float) -> None:
    """Whatever is shown, the light after turning is within a sixth of a stop of the exact third-stop mark,
    2^(k/6) (ISO 2720's f-number scale), and half a stop more shown never asks for more light.
    """
    table = meter_table(meter(step, aperture))
    wanted_av = round(2 * math.log2(aperture) * 3) / 3
    after = np.array([k / table.per_stop + clicks / 3 for k, clicks in enumerate(table.clicks)])

    assert exact_av(aperture) == pytest.approx(wanted_av)
    assert np.abs(after - wanted_av).max() <= 1 / 6 + 1e-9
    assert (np.diff(table.clicks) <= 0).all()
    assert abs(table.wanted / table.per_stop - wanted_av) <= 0.5 / table.per_stop + 1e-9


def test_a_table_shows_what_the_meter_shows() -> None:
    """Tenths over the full mark below, each once, from f/1."""
    shows = meter_table(meter()).shows

    assert len(set(shows)) == len(shows)
    assert shows[0] == "f/1"
    assert all(shows[10 * av] == f"f/{mark}" for av, mark in FULL.items())
    assert all(re.fullmatch(r"f/\d+(\.\d)?( \+ [1-9]/10)?", text) for text in shows)


def test_a_computed_place_of_the_card_is_given_as_it_was_computed() -> None:
    """At each place of the curve the table has its ratio, and the clicks that undo the key's change."""
    table = card_table(MOVES, one(SLUG).readings.ratio)
    for place_m, ratio, key in zip(MOVES.distances_m, MOVES.ratios, MOVES.key_stops, strict=True):
        place = table.places[round(place_m * 100) - table.first_cm]
        assert place.metres == f"{place_m:.2f} m"
        assert place.ratio == ratio_text(ratio)
        assert place.clicks == round(-key * 3)


def test_between_neighbours_the_card_is_given_and_nowhere_else() -> None:
    """Half way the ratio is the geometric mean; in a gap and beyond the ends there is nothing."""
    table = card_table(MOVES, one(SLUG).readings.ratio)
    ratios = {table.first_cm + k: place.ratio for k, place in enumerate(table.places)}

    assert ratios[55] == ratio_text(math.sqrt(2.74 * 3.29))
    assert {cm for cm, ratio in ratios.items() if ratio} == {*range(50, 91), 120}
    assert min(ratios) == 40
    assert max(ratios) == 130


def test_a_card_in_the_picture_is_marked() -> None:
    """Nearer than the closest place out of the picture every place says so."""
    table = card_table(MOVES, one(SLUG).readings.ratio)
    marked = {table.first_cm + k for k, place in enumerate(table.places) if place.in_frame}

    assert marked == set(range(40, 55))
