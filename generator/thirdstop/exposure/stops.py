"""Stops, f-numbers and ratios, and how they are shown.

Everything is computed with exact values; marks snap only for display. A value within a billionth of a tie
rounds up, so that no mark hangs on the last bit of a sum.
"""

import math
from collections.abc import Callable

_TIE_MARGIN = 1e-9
"""In units of the step: what counts as a tie, and so rounds up."""

# Nominal marks of common cameras and meters, from Av = -2 upward (ISO 517 leaves rounding to the maker).
_FULL_MARKS = tuple(str.split("0.5 0.7 1 1.4 2 2.8 4 5.6 8 11 16 22 32 45 64 90 128"))
_HALF_MARKS = tuple(str.split("0.6 0.8 1.2 1.7 2.4 3.3 4.8 6.7 9.5 13 19 27 38 54 76 107 152"))
_FIRST_THIRDS = tuple(str.split("0.56 0.8 1.1 1.6 2.2 3.2 4.5 6.3 9 13 18 25 36 51 72 102 144"))
_SECOND_THIRDS = tuple(str.split("0.63 0.9 1.2 1.8 2.5 3.5 5 7.1 10 14 20 29 40 57 81 114 161"))
_LOWEST_AV = -2


def snap(value: float, step: float = 1.0) -> int:
    """How many whole steps `value` is nearest to; ties, and what lies a billionth below, go up."""
    return math.floor(value / step + 0.5 + _TIE_MARGIN)


def factor(stops: float) -> float:
    """The factor of light for a difference in stops."""
    return float(2.0**stops)


def stops(ratio: float) -> float:
    """The difference in stops for a ratio of light; minus infinity for no light.

    Raises ValueError for a negative ratio.
    """
    if ratio < 0:
        raise ValueError(f"a ratio of light can't be negative; given: {ratio}")
    return math.log2(ratio) if ratio > 0 else -math.inf


def f_number(lux_seconds: float, iso: float, constant: float) -> float:
    """The exact f-number N for a luminous exposure H: N² = H·S/C (ISO 2720; C in lx·s)."""
    return math.sqrt(lux_seconds * iso / constant)


def luminous_exposure(f_number: float, iso: float, constant: float) -> float:
    """The luminous exposure in lx·s that gives this f-number: H = C·N²/S (ISO 2720; C in lx·s)."""
    return constant * f_number**2 / iso


def aperture_value(f_number: float) -> float:
    """APEX Av = 2·log2 N, in stops from f/1; minus infinity for an f-number of 0."""
    return 2.0 * stops(f_number)


def f_number_of(aperture_value: float) -> float:
    """The exact f-number N = 2^(Av/2)."""
    return float(2.0 ** (aperture_value / 2.0))


def third_mark(f_number: float) -> str:
    """The nearest mark of a camera's third-stop scale: 'f/6.3'. 'under' and 'over' outside the scale."""
    whole, thirds = divmod(snap(aperture_value(f_number), 1 / 3), 3) if f_number > 0 else (_LOWEST_AV - 1, 0)
    return _mark(whole, lambda k: (_FULL_MARKS, _FIRST_THIRDS, _SECOND_THIRDS)[thirds][k])


def half_mark(f_number: float) -> str:
    """The nearest mark of a half-stop scale: 'f/6.7'. 'under' and 'over' outside the scale."""
    whole, half = divmod(snap(aperture_value(f_number), 1 / 2), 2) if f_number > 0 else (_LOWEST_AV - 1, 0)
    return _mark(whole, lambda k: _HALF_MARKS[k] if half else _FULL_MARKS[k])


def tenths_mark(f_number: float) -> str:
    """As a meter shows it in tenths over the full mark below: 'f/5.6 + 7/10', 'f/8'."""
    whole, tenths = (
        divmod(snap(aperture_value(f_number), 1 / 10), 10) if f_number > 0 else (_LOWEST_AV - 1, 0)
    )
    mark = _mark(whole, lambda k: _FULL_MARKS[k])
    return f"{mark} + {tenths}/10" if tenths and mark.startswith("f/") else mark


def meter_mark(f_number: float, step_stops: float) -> str:
    """What a meter that reads in steps of `step_stops` (1/10, 1/3, 1/2 or 1 stop) shows.

    Raises ValueError for another step.
    """
    shown = {10: tenths_mark, 3: third_mark, 2: half_mark}
    parts = round(1 / step_stops) if step_stops > 0 else 0
    if parts == 1:
        return _mark(snap(aperture_value(f_number)), lambda k: _FULL_MARKS[k])
    if parts not in shown or abs(parts * step_stops - 1) > 0.02:
        raise ValueError(f"a meter's step is 1/10, 1/3, 1/2 or 1 stop; given: {step_stops}")
    return shown[parts](f_number)


def _mark(whole: int, name: Callable[[int], str]) -> str:
    index = whole - _LOWEST_AV
    if index < 0:
        return "under"
    if index >= len(_FULL_MARKS):
        return "over"
    return f"f/{name(index)}"


def stops_to_ratio(difference_stops: float) -> float:
    """The lighting ratio of a difference in stops."""
    return factor(difference_stops)


def ratio_text(ratio: float) -> str:
    """As printed: one decimal up to 8, then 'above 8:1'. A ratio under 1 is printed as it is.

    A tenth of a stop moves 8:1 by half, 4:1 by a quarter: a decimal tells readings apart as the meter does.
    """
    if ratio > 8 + _TIE_MARGIN:
        return "above 8:1"
    whole, tenth = divmod(snap(ratio, 0.1), 10)
    return f"{whole}.{tenth}:1" if tenth else f"{whole}:1"
