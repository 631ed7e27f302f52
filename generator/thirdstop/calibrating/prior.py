"""What is known before readings: as assumed, or as an earlier calibration left it, correlations included."""

from collections.abc import Sequence

import numpy as np

from thirdstop.book.held import holding
from thirdstop.book.studio import Studio
from thirdstop.calibrating.quantities import NINE_IN_TEN, Quantity, prior_covariance
from thirdstop.staging.learned import correlation_of
from thirdstop.typed import Array


def prior_of(quantities: Sequence[Quantity], studio: Studio) -> Array:
    """Covariance of x before any reading, shape (k, k).

    What an earlier calibration found and nobody changed since has the spreads and correlations that it was
    found with, and is independent of everything else.
    """
    covariance = prior_covariance(quantities)
    places = {one.of: place for place, one in holding(studio)}
    known = [k for k, quantity in enumerate(quantities) if quantity.name in places]
    if not known or studio.calibration is None:
        return covariance
    found = studio.calibration.found
    rows = [places[quantities[k].name] for k in known]
    sd = np.array([_sd(quantities[k], found[row].spread.value) for k, row in zip(known, rows, strict=True)])
    correlation = correlation_of([one.with_ for one in found])[np.ix_(rows, rows)]
    covariance[known, :] = 0.0
    covariance[:, known] = 0.0
    covariance[np.ix_(known, known)] = _sound(correlation) * np.outer(sd, sd)
    return covariance


def _sd(quantity: Quantity, spread_stops: float) -> float:
    """Standard deviation of x for a 90 % half-width of the value in stops."""
    slope = quantity.spread_stops(0.0, 1.0) / NINE_IN_TEN
    return spread_stops / NINE_IN_TEN / slope


def _sound(correlation: Array) -> Array:
    """The nearest that is a correlation matrix in fact: two decimals may have made it none."""
    values, axes = np.linalg.eigh(correlation)
    sound = (axes * np.maximum(values, 1e-3)) @ axes.T
    scale = np.sqrt(np.diag(sound))
    return np.asarray(sound / np.outer(scale, scale))
