"""What the meter shows while card or key moves: rows along what was computed, for a table and its slider."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thirdstop.drawings.charts import FillCurve, can_be_drawn, fill_spots
from thirdstop.exposure.readings import LampReading, RatioReading, Readings
from thirdstop.exposure.stops import meter_mark, ratio_text
from thirdstop.pages import figures
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import drawn_along
from thirdstop.pages.figures import Figure
from thirdstop.pages.views.turning import card_table, clicks_up, key_stops_at
from thirdstop.placing.curve import KeyCurve, RatioCurve
from thirdstop.staging.staging import MeterPlace

_STEP_CM = 5


@dataclass(frozen=True)
class Moved:
    """The thing at one distance, lamps as they are set."""

    string: Figure
    ratio: str
    band: str
    key: str
    """What the meter shows for the key."""
    clicks: int
    """By how many the key is turned up, to read as before."""
    turn: str
    """The same in words: '1 click up'."""
    in_frame: bool
    chosen: bool
    spot: tuple[str, str] | None
    """On the chart, mm; None where there is none."""


@dataclass(frozen=True)
class Moving:
    """The card or the key, its distances, and which of them is the recipe's own."""

    kind: str
    """'card' or 'key'."""
    name: str
    """As the recipe calls it."""
    computed: str
    """Between which places values are taken as straight, and what keeps its place."""
    chart: Drawn | None
    rows: tuple[Moved, ...]
    chosen: int


@dataclass(frozen=True)
class _Place:
    """One distance, whatever moves."""

    cm: int
    ratio: str
    band: str
    over_stops: float
    """The key reading over that of the recipe's own place."""
    in_frame: bool


def card_moving(
    curve: RatioCurve, drawn: FillCurve, chart: Drawn | None, readings: Readings, meter: MeterPlace
) -> Moving:
    """Every 5 cm of what was computed, and the recipe's own place."""
    table = card_table(curve, readings.ratio)
    places = [
        _Place(cm, place.ratio, place.band, key_stops_at(curve, cm / 100), place.in_frame)
        for cm, place in enumerate(table.places, table.first_cm)
        if place.ratio and (cm % _STEP_CM == 0 or cm == table.chosen_cm)
    ]
    rows = _rows(places, table.chosen_cm, drawn, readings, meter)
    says = "Lamps as they are set. Between computed places, 10 cm apart, values are taken as straight."
    return Moving("card", curve.card, says, chart, rows, _chosen(rows))


def key_moving(
    curve: KeyCurve, drawn: FillCurve, chart: Drawn | None, readings: Readings, meter: MeterPlace
) -> Moving:
    """The same of the key, from whose distance its own reading and all bounced light follow."""
    chosen_cm = round(curve.chosen_m * 100)
    low_cm, high_cm = round(float(curve.distances_m[0]) * 100), round(float(curve.distances_m[-1]) * 100)
    steps = range(math.ceil(low_cm / _STEP_CM) * _STEP_CM, high_cm + 1, _STEP_CM)
    found = [_key_place(curve, readings.ratio, cm) for cm in sorted({*steps, chosen_cm})]
    rows = _rows([place for place in found if place], chosen_cm, drawn, readings, meter)
    says = (
        "Lamps as they are set; same bearing, height and aim, and what is aimed at the key follows it. "
        f"Computed at {figures.counted(len(curve.distances_m), 'place', 'places')}; between neighbours "
        "values are taken as straight."
    )
    return Moving("key", curve.lamp, says, chart, rows, _chosen(rows))


def _key_place(curve: KeyCurve, ratio: RatioReading, cm: int) -> _Place | None:
    """None where a neighbour could not be staged. It counts as in the picture where either neighbour is."""
    place_m = float(np.clip(cm / 100, curve.distances_m[0], curve.distances_m[-1]))
    if cm == round(curve.chosen_m * 100):
        place_m = curve.chosen_m
    after = int(np.searchsorted(curve.distances_m, place_m - 1e-9))
    before = after if abs(curve.distances_m[after] - place_m) < 1e-6 else after - 1
    if before < after and not curve.joined[before]:
        return None
    value = 2.0 ** float(np.interp(place_m, curve.distances_m, np.log2(curve.ratios)))
    factor = 2.0**ratio.band_stops
    band = figures.ratio_band(value / factor, value * factor)
    shows = bool(curve.shows[before] or curve.shows[after])
    return _Place(cm, ratio_text(value), band, key_stops_at(curve, place_m), shows)


def key_drawn(curve: KeyCurve, ratio: RatioReading) -> FillCurve:
    """As it is drawn, with where the key is in the picture."""
    return drawn_along(curve, ratio, tuple((low, high, "in frame") for low, high in _in_frame(curve)))


def _in_frame(curve: KeyCurve) -> list[tuple[float, float]]:
    """Ranges between computed places of which one is in the picture, metres; neighbouring ones as one."""
    found: list[tuple[float, float]] = []
    for (low, high), (one, other) in zip(
        pairwise(curve.distances_m.tolist()), pairwise(curve.shows.tolist()), strict=True
    ):
        if one or other:
            start = found.pop()[0] if found and found[-1][1] == low else low
            found.append((start, high))
    return found


def _rows(
    places: list[_Place], chosen_cm: int, drawn: FillCurve, readings: Readings, meter: MeterPlace
) -> tuple[Moved, ...]:
    return tuple(_moved(place, place.cm == chosen_cm, drawn, readings, meter) for place in places)


def _moved(place: _Place, chosen: bool, drawn: FillCurve, readings: Readings, meter: MeterPlace) -> Moved:
    f_number = readings[readings.key_point].f_number * 2.0 ** (place.over_stops / 2.0)
    clicks = clicks_up(-place.over_stops)
    return Moved(
        string=figures.length(place.cm / 100),
        ratio=place.ratio,
        band=place.band,
        key=meter_mark(f_number, meter.step_stops),
        clicks=clicks,
        turn=_turn(clicks, readings.lamps[0]),
        in_frame=place.in_frame,
        chosen=chosen,
        spot=_spot(drawn, place.cm / 100),
    )


def _spot(drawn: FillCurve, place_m: float) -> tuple[str, str] | None:
    if not can_be_drawn(drawn):
        return None
    x, y = fill_spots(drawn, place_m)
    return f"{x:.2f}", f"{y:.2f}"


def _chosen(rows: tuple[Moved, ...]) -> int:
    return next(index for index, row in enumerate(rows) if row.chosen)


def _turn(clicks: int, lamp: LampReading) -> str:
    if clicks == 0:
        return "as it is"
    told = f"{abs(clicks)} {'click' if abs(clicks) == 1 else 'clicks'} {'up' if clicks > 0 else 'down'}"
    return told if 1 <= lamp.click + clicks <= lamp.clicks else f"{told}, which it has not"
