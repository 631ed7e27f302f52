"""From a file of readings to what they say: values, spreads, what can't be told apart, what doesn't fit."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from thirdstop.book.metering import GreyFrame, Metering
from thirdstop.book.quantities import Illuminance
from thirdstop.book.studio import Studio
from thirdstop.calibrating import fitting
from thirdstop.calibrating.predicting import Predictor, noise
from thirdstop.calibrating.prior import prior_of
from thirdstop.calibrating.quantities import NINE_IN_TEN, Quantity, paint_groups, quantities_of
from thirdstop.calibrating.setups import StagedSetup, Taken, meter_of, shown_array
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.quality import ANSWER, Quality
from thirdstop.exposure.stops import f_number
from thirdstop.typed import Array

DOES_NOT_FIT = 3.3
"""Normalised residual from which a reading is left out: one good reading in a thousand is so far off."""
MOST_LEFT_OUT = 1 / 3
"""Share of the readings that may be left out before the whole file is doubted."""
ONE_THING = 0.95
"""Cosine between what two quantities do to the readings from which these can't tell them apart."""
SAYS_NOTHING = 0.1
"""Share by which a spread must have shrunk for the readings to have said anything."""
BEARS = 0.1
"""A quantity bears on a reading where its prior moves it by so many of the reading's own deviations."""
GREY_FRAME_STOPS = 0.15
"""90 % half-width of what one grey frame says: judged on a screen; common practice, no source."""
AMBIENT_STOPS = 0.15


@dataclass(frozen=True, eq=False)
class Found:
    """What is now known of one quantity."""

    quantity: Quantity
    x: float
    sd: float
    value: float
    """In the quantity's own unit."""
    spread_stops: float
    """Half-width of the 90 % band as a factor of the value."""
    was_spread_stops: float
    told: float
    """Share by which the readings narrowed it: 0 they say nothing, 1 they settle it."""
    bears: bool
    """Whether it bears on any reading at all."""


@dataclass(frozen=True)
class Row:
    """One reading beside what was expected."""

    taken: Taken
    before_stops: float
    """Shown less expected of the assumed studio."""
    after_stops: float
    """Shown less expected of the studio as it is now known."""
    normalised: float
    """Shown less what all other readings make one expect, in standard deviations of that."""
    would_fit: float
    """The f-number that the others make one expect."""
    fitting_click: int | None
    """The click of the first lamp at which it would fit, where that is another one."""
    used: bool


@dataclass(frozen=True, eq=False)
class Mean:
    """A mean of repeated readings of one plain thing."""

    value: float
    spread_stops: float
    """Half-width of its 90 % band."""
    count: int


@dataclass(frozen=True, eq=False)
class Calibration:
    """What a file of readings says of a studio."""

    metering: Metering
    setups: tuple[StagedSetup, ...]
    found: tuple[Found, ...]
    covariance: Array
    """Of x after the readings, shape (k, k), in the order of `found`."""
    prior: Array
    rows: tuple[Row, ...]
    one_thing: tuple[tuple[str, str, float], ...]
    """Pairs that these readings can't tell apart, with the cosine between what they do, most alike first.

    Positive: their sum is known, not their parts; negative: only their difference.
    """
    misfit: float
    """The minimised sum; about the number of readings used."""
    contradict: bool
    """Whether the readings that were kept still disagree by more than their own errors allow."""
    scatter: float
    """By how much the readings' own errors were widened for that: their Birge ratio; 1 where they agree."""
    camera_offset: Mean | None
    """In stops, to be added to the meter's readings."""
    ambient_lux: Mean | None

    @property
    def used(self) -> tuple[Row, ...]:
        """The readings that it rests on."""
        return tuple(row for row in self.rows if row.used)

    @property
    def unfitting(self) -> tuple[Row, ...]:
        """Readings that do not fit and count all the same: nothing may rest on these."""
        return tuple(row for row in self.used if abs(row.normalised) >= DOES_NOT_FIT)

    def error_stops(self, which: str) -> float:
        """Root mean square of shown less expected, 'before' or 'after', over the readings used."""
        values = [row.before_stops if which == "before" else row.after_stops for row in self.used]
        return float(np.sqrt(np.mean(np.square(values)))) if values else 0.0

    def of(self, name: str) -> Found:
        """What was found of one quantity; KeyError where there is none of that name."""
        for found in self.found:
            if found.quantity.name == name:
                return found
        raise KeyError(name)


def calibrate(
    metering: Metering, studio: Studio, setups: Sequence[StagedSetup], quality: Quality = ANSWER
) -> Calibration:
    """What the readings say. `setups` are the file's own, staged in that studio."""
    quantities = quantities_of(setups, paint_groups(studio))
    predictor = Predictor(setups, quantities, quality)
    prior = prior_of(quantities, studio)
    shown = shown_array(setups)
    errors = noise(setups, meter_of(studio).step_stops) if setups else np.zeros((0, 0))
    best, used, apart = _robust(predictor, shown, errors, prior)
    misfit, count = best.misfit, int(used.sum())
    scatter = birge(misfit, count)
    if scatter > 1.0:
        errors = errors * scatter**2
        best = fitting.fit(*_of(predictor, used), shown[used], errors[np.ix_(used, used)], prior)
    before, after = shown - predictor.shown(np.zeros(len(quantities))), shown - predictor.shown(best.x)
    taken = [one for setup in setups for one in setup.taken]
    rows = tuple(
        _row(one, before[n], after[n], apart[n], bool(used[n]), studio) for n, one in enumerate(taken)
    )
    return Calibration(
        metering=metering,
        setups=tuple(setups),
        found=_found(quantities, best, prior, errors[np.ix_(used, used)]),
        covariance=best.covariance,
        prior=prior,
        rows=rows,
        one_thing=_one_thing(quantities, best, prior, errors[np.ix_(used, used)]),
        misfit=misfit,
        contradict=scatter > 1.0,
        scatter=scatter,
        camera_offset=_camera_offset(metering.grey_frames),
        ambient_lux=_ambient(metering.ambient),
    )


def _robust(
    predictor: Predictor, shown: Array, errors: Array, prior: Array
) -> tuple[fitting.Fit, Array, list[tuple[float, float]]]:
    """The fit without readings that don't fit the others, which are used, and off and sd of each.

    The worst is left out first, then all is fitted again: one wrong reading makes others look wrong.
    """
    used = np.ones(len(shown), dtype=bool)
    apart: list[tuple[float, float]] = [(0.0, 1.0)] * len(shown)
    while True:
        best = fitting.fit(*_of(predictor, used), shown[used], errors[np.ix_(used, used)], prior)
        out = fitting.left_out(best, errors[np.ix_(used, used)], prior)
        for n, off, sd in zip(np.flatnonzero(used), out.off, out.sd, strict=True):
            apart[n] = (float(off), float(sd))
        worst = int(np.argmax(np.abs(out.normalised))) if len(out.off) else 0
        left = len(shown) - used.sum()
        if not len(out.off) or abs(out.normalised[worst]) < DOES_NOT_FIT:
            return best, used, apart
        if left + 1 > MOST_LEFT_OUT * len(shown):
            return best, used, apart
        used[np.flatnonzero(used)[worst]] = False


def _of(predictor: Predictor, used: Array) -> tuple[Callable[[Array], Array], Callable[[Array], Array]]:
    return lambda x: predictor.shown(x)[used], lambda x: predictor.slopes(x)[used]


def birge(misfit: float, count: int) -> float:
    """By how much readings scatter more than their own errors allow; 1 where chance can explain the scatter.

    The Birge ratio √(χ²/ν) (Birge, Physical Review 40, 1932, p. 207), by which errors that were taken too
    small are widened. The prior counts as readings do, so ν is the number of readings.
    """
    return math.sqrt(misfit / count) if misfit > _most_misfit(count) else 1.0


def _most_misfit(count: int) -> float:
    """What a chi-square of so many degrees of freedom stays under in 99.9 of 100 cases (Wilson and Hilferty,
    1931: its cube root is nearly normal).
    """
    if count == 0:
        return math.inf
    share = 2.0 / (9.0 * count)
    return float(count * (1.0 - share + 3.09 * math.sqrt(share)) ** 3)


def _row(
    taken: Taken, before: float, after: float, apart: tuple[float, float], used: bool, studio: Studio
) -> Row:
    off, sd = apart
    meter = studio.meter
    constant = meter.flat_constant if taken.receptor == "flat" else meter.dome_constant
    clicks = round(off * CLICKS_PER_STOP)
    click = taken.clicks[0] + clicks if taken.clicks else 0
    return Row(
        taken=taken,
        before_stops=float(before),
        after_stops=float(after),
        normalised=off / sd,
        would_fit=f_number(2.0 ** (taken.shown_stops - off), taken.iso, constant),
        fitting_click=click if not used and clicks and click >= 1 else None,
        used=used,
    )


def _found(
    quantities: Sequence[Quantity], best: fitting.Fit, prior: Array, errors: Array
) -> tuple[Found, ...]:
    told = fitting.told(best, prior)
    bears = _bears(best, prior, errors)
    sd = np.sqrt(np.diag(best.covariance))
    return tuple(
        Found(
            quantity=q,
            x=float(best.x[k]),
            sd=float(sd[k]),
            value=q.value(float(best.x[k])),
            spread_stops=q.spread_stops(float(best.x[k]), float(sd[k])),
            was_spread_stops=q.spread_stops(0.0, q.sd),
            told=float(told[k]),
            bears=bool(bears[k]),
        )
        for k, q in enumerate(quantities)
    )


def _bears(best: fitting.Fit, prior: Array, errors: Array) -> Array:
    """Whether each quantity's prior spread moves any reading by BEARS of that reading's own, shape (k,)."""
    if not len(errors):
        return np.zeros(len(prior), dtype=bool)
    moved = np.abs(best.jacobian) * np.sqrt(np.diag(prior)) / np.sqrt(np.diag(errors))[:, None]
    return np.asarray(moved.max(axis=0) >= BEARS)


def _one_thing(
    quantities: Sequence[Quantity], best: fitting.Fit, prior: Array, errors: Array
) -> tuple[tuple[str, str, float], ...]:
    """Pairs of quantities that move all readings alike, measured by the readings' own errors."""
    bears = np.flatnonzero(_bears(best, prior, errors))
    if not len(bears):
        return ()
    moved = np.linalg.solve(np.linalg.cholesky(errors), best.jacobian[:, bears])
    moved /= np.linalg.norm(moved, axis=0)
    alike = moved.T @ moved
    pairs = [
        (quantities[bears[i]].name, quantities[bears[j]].name, float(alike[i, j]))
        for j in range(len(bears))
        for i in range(j)
        if abs(alike[i, j]) >= ONE_THING
    ]
    return tuple(sorted(pairs, key=lambda pair: (-round(abs(pair[2]), 6), pair)))


def _camera_offset(frames: Sequence[GreyFrame]) -> Mean | None:
    stops = [2.0 * math.log2(frame.right_at.exact / frame.metered.exact) for frame in frames]
    return _mean(stops, GREY_FRAME_STOPS)


def _ambient(readings: Sequence[Illuminance]) -> Mean | None:
    mean = _mean([math.log2(max(reading.lux, 1e-3)) for reading in readings], AMBIENT_STOPS)
    return None if mean is None else Mean(2.0**mean.value, mean.spread_stops, mean.count)


def _mean(stops: Sequence[float], single: float) -> Mean | None:
    """Mean and its band: by the readings' own scatter, but no surer than each one's stated error allows."""
    if not stops:
        return None
    count = len(stops)
    scatter = float(np.std(stops, ddof=1)) if count > 1 else 0.0
    return Mean(float(np.mean(stops)), max(single, NINE_IN_TEN * scatter) / math.sqrt(count), count)
