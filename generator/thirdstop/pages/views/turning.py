"""Tables for the page that is used on set, all looked up there and computed here: what the meter shows → how
many clicks; where the card stands → ratio and clicks.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thirdstop.book.feet import feet
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.readings import LampReading, RatioReading
from thirdstop.exposure.stops import aperture_value, f_number_of, meter_mark, snap
from thirdstop.pages import figures
from thirdstop.placing.curve import KeyCurve, RatioCurve
from thirdstop.placing.mirror_set import ACROSS_M
from thirdstop.staging.staging import LampPlace, MeterPlace

LOWEST_AV, HIGHEST_AV = 0, 11
"""f/1 to f/45: what a meter in a small room may show."""


@dataclass(frozen=True)
class MeterTable:
    """Everything that the meter may show, in its own steps."""

    per_stop: int
    """Steps of the meter in a stop: 10, 3, 2 or 1."""
    shows: tuple[str, ...]
    """From f/1 upward, a step each."""
    clicks: tuple[int, ...]
    """By how many clicks the key is turned up (down where negative) when the meter shows that."""
    wanted: int
    """The index of what it should show."""


def meter_table(meter: MeterPlace) -> MeterTable:
    """The table of a staging's meter; the aperture is taken as the exact third that its mark stands for."""
    per_stop = round(1 / meter.step_stops)
    wanted_av = exact_av(meter.aperture)
    count = (HIGHEST_AV - LOWEST_AV) * per_stop + 1
    values = [LOWEST_AV + index / per_stop for index in range(count)]
    return MeterTable(
        per_stop=per_stop,
        shows=tuple(meter_mark(f_number_of(av), meter.step_stops) for av in values),
        clicks=tuple(clicks_up(wanted_av - av) for av in values),
        wanted=min(max(snap((wanted_av - LOWEST_AV) * per_stop), 0), count - 1),
    )


def exact_av(f_number: float) -> float:
    """Av of the third-stop mark that a nominal f-number stands for: f/5.6 is 5, f/6.3 is 5 1/3."""
    return snap(aperture_value(f_number), 1 / CLICKS_PER_STOP) / CLICKS_PER_STOP


def clicks_up(under_stops: float) -> int:
    """Whole clicks that bring up a reading which is so far under what is wanted; negative: down."""
    return snap(under_stops * CLICKS_PER_STOP)


@dataclass(frozen=True)
class CardPlace:
    """One distance of the card."""

    metres: str
    feet: str
    ratio: str
    """Empty where it lies outside what was computed."""
    stops: str
    band: str
    clicks: int
    """By how many the key is turned up then, from the click it is set to."""
    in_frame: bool


@dataclass(frozen=True)
class CardTable:
    """Distances of one card, a centimetre apart."""

    card: str
    first_cm: int
    chosen_cm: int
    places: tuple[CardPlace, ...]


_MARGIN_CM = 10
"""So far beyond what was computed the table still says that it was not."""


def card_table(curve: RatioCurve, ratio: RatioReading) -> CardTable:
    """The curve's table. Between neighbouring computed places ratio (in stops) and key reading are taken as
    straight; where two of them stand farther apart, and beyond the ends, there is nothing.
    """
    low_cm, high_cm = (round(float(end) * 100) for end in (curve.distances_m[0], curve.distances_m[-1]))
    first_cm, last_cm = max(low_cm - _MARGIN_CM, 1), high_cm + _MARGIN_CM
    places = tuple(_place(curve, ratio.band_stops, cm) for cm in range(first_cm, last_cm + 1))
    return CardTable(curve.card, first_cm, round(curve.chosen_m * 100), places)


def _place(curve: RatioCurve, band_stops: float, cm: int) -> CardPlace:
    metres, feet_text = f"{cm / 100:.2f} m", feet(cm / 100)
    in_frame = cm / 100 < curve.in_frame_to_m - 1e-9
    if not _computed(curve, cm / 100):
        return CardPlace(metres, feet_text, "", "", "", 0, in_frame)
    stops = float(np.interp(cm / 100, curve.distances_m, np.log2(curve.ratios)))
    over = key_stops_at(curve, cm / 100)
    ratio, factor = 2.0**stops, 2.0**band_stops
    band = figures.ratio_band(ratio / factor, ratio * factor)
    return CardPlace(
        metres, feet_text, figures.ratio(ratio), str(figures.apart(stops)), band, clicks_up(-over), in_frame
    )


def key_stops_at(curve: RatioCurve | KeyCurve, place_m: float) -> float:
    """How far the key reading is over that of the recipe's own place, straight between computed places."""
    return float(np.interp(place_m, curve.distances_m, curve.key_stops))


def _computed(curve: RatioCurve, place_m: float) -> bool:
    """Whether it is a computed place or lies between two neighbouring ones."""
    places = [float(place) for place in curve.distances_m]
    if any(math.isclose(place, place_m, abs_tol=1e-6) for place in places):
        return True
    return any(low < place_m < high and high - low <= ACROSS_M for low, high in pairwise(places))


@dataclass(frozen=True)
class LampTable:
    """A lamp's clicks with what the trigger shows for each."""

    name: str
    click: int
    shows: tuple[str, ...]


def lamp_table(reading: LampReading, place: LampPlace) -> LampTable:
    """Of one lamp."""
    return LampTable(reading.emitter, reading.click, place.display)
