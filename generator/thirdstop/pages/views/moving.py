"""What the meter shows while the card moves: rows along what was computed, for a table and its slider."""

from dataclasses import dataclass

from thirdstop.drawings.charts import FillCurve, fill_spots
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import meter_mark
from thirdstop.pages import figures
from thirdstop.pages.figures import Figure
from thirdstop.pages.views.turning import CardPlace, card_table, key_stops_at
from thirdstop.placing.curve import RatioCurve
from thirdstop.staging.staging import MeterPlace

_STEP_CM = 5


@dataclass(frozen=True)
class Moved:
    """The card at one distance, lamps as they are set."""

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
    spot: tuple[str, str]
    """On the chart, mm."""


@dataclass(frozen=True)
class Moving:
    """The card, its distances, and which of them is the recipe's own."""

    card: str
    rows: tuple[Moved, ...]
    chosen: int


def moving(curve: RatioCurve, drawn: FillCurve, readings: Readings, meter: MeterPlace) -> Moving:
    """Every 5 cm of what was computed, and the recipe's own place."""
    table = card_table(curve, readings.ratio)
    rows = []
    for cm, place in enumerate(table.places, table.first_cm):
        if place.ratio and (cm % _STEP_CM == 0 or cm == table.chosen_cm):
            rows.append(_moved(curve, drawn, readings, meter, place, cm))
    chosen = next(index for index, row in enumerate(rows) if row.chosen)
    return Moving(curve.card, tuple(rows), chosen)


def _moved(
    curve: RatioCurve, drawn: FillCurve, readings: Readings, meter: MeterPlace, place: CardPlace, cm: int
) -> Moved:
    over = key_stops_at(curve, cm / 100)
    f_number = readings[readings.key_point].f_number * 2.0 ** (over / 2.0)
    x, y = fill_spots(drawn, cm / 100)
    return Moved(
        string=figures.length(cm / 100),
        ratio=place.ratio,
        band=place.band,
        key=meter_mark(f_number, meter.step_stops),
        clicks=place.clicks,
        turn=_turn(place.clicks),
        in_frame=place.in_frame,
        chosen=cm == round(curve.chosen_m * 100),
        spot=(f"{x:.2f}", f"{y:.2f}"),
    )


def _turn(clicks: int) -> str:
    if clicks == 0:
        return "as it is"
    return f"{abs(clicks)} {'click' if abs(clicks) == 1 else 'clicks'} {'up' if clicks > 0 else 'down'}"
