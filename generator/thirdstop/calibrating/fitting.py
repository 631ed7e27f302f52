"""Least squares with a prior: values, their covariance, and how each reading fits the others.

Minimises (y − f(x))ᵀ R⁻¹ (y − f(x)) + xᵀ C⁻¹ x, the most probable x for normal errors (Tarantola, Inverse
Problem Theory, 2005, ch. 3), by Levenberg–Marquardt steps (Marquardt 1963) in coordinates in which
R and C are unit matrices. Axes: n readings, k quantities.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from thirdstop.typed import Array

MOST_STEPS = 8
SMALL_STEP = 0.02
"""In prior standard deviations: a step that moves nothing by more ends the search."""
LONG_STEP = 0.5
"""In prior standard deviations: after a longer step the slopes are taken anew."""
FIRST_DAMPING = 1e-3
_HARDER, _EASIER = 10.0, 0.2


@dataclass(frozen=True, eq=False)
class Fit:
    """Where the search ended."""

    x: Array
    """Shape (k,)."""
    covariance: Array
    """Shape (k, k), of x, after the readings."""
    before: Array
    """Residuals y − f(0), shape (n,)."""
    after: Array
    """Residuals y − f(x), shape (n,)."""
    jacobian: Array
    """Shape (n, k), where the search ended."""
    misfit: float
    """The minimised sum; about n where everything is as sure as it was said to be."""


def fit(
    predict: Callable[[Array], Array],
    slopes: Callable[[Array], Array],
    shown: Array,
    noise: Array,
    prior: Array,
) -> Fit:
    """Values x for which `predict` (k,) → (n,) comes nearest to `shown`, (n,).

    `slopes` gives the matrix of derivatives (n, k); `noise` (n, n) and `prior` (k, k) are covariances.
    """
    root = np.asarray(np.linalg.cholesky(prior), dtype=float)
    whiten = np.linalg.inv(np.linalg.cholesky(noise))
    z: Array = np.zeros(len(prior))
    residual: Array = shown - predict(z)
    before = residual
    jacobian = slopes(root @ z)
    cost = _cost(whiten, residual, z)
    damping = FIRST_DAMPING
    for _ in range(MOST_STEPS):
        j = whiten @ jacobian @ root
        gradient = j.T @ (whiten @ residual) - z
        step = np.asarray(np.linalg.solve(j.T @ j + (1.0 + damping) * np.eye(len(z)), gradient), dtype=float)
        if np.abs(step).max(initial=0.0) < SMALL_STEP:
            break
        tried: Array = shown - predict(root @ (z + step))
        if _cost(whiten, tried, z + step) <= cost:
            z, residual, damping = z + step, tried, damping * _EASIER
            cost = _cost(whiten, residual, z)
            if np.abs(step).max() > LONG_STEP:
                jacobian = slopes(root @ z)
        else:
            damping *= _HARDER
    j = whiten @ jacobian @ root
    covariance = root @ np.linalg.inv(j.T @ j + np.eye(len(z))) @ root.T
    return Fit(root @ z, covariance, before, residual, jacobian, cost)


def _cost(whiten: Array, residual: Array, z: Array) -> float:
    white = whiten @ residual
    return float(white @ white + z @ z)


@dataclass(frozen=True, eq=False)
class LeftOut:
    """How each reading fits what all the others and the prior say, shape (n,) each."""

    off: Array
    """What was shown less what the others make one expect."""
    sd: Array
    """Standard deviation that `off` should have."""

    @property
    def normalised(self) -> Array:
        """Residual over its standard deviation: about ±2 where a reading fits."""
        return np.asarray(self.off / self.sd)


def left_out(found: Fit, noise: Array, prior: Array) -> LeftOut:
    """Leave-one-out residuals of the linearised problem, all from one matrix.

    With S = J C Jᵀ + R the covariance of what readings show about the prior, and d what they showed less the
    prior's expectation, the residual of reading i from all others is (S⁻¹d)ᵢ/(S⁻¹)ᵢᵢ, with variance
    1/(S⁻¹)ᵢᵢ (the formula for leave-one-out residuals of a normal process, e.g. Rasmussen and Williams,
    Gaussian Processes for Machine Learning, 2006, eq. 5.12).
    """
    j = found.jacobian
    inverse = np.linalg.inv(j @ prior @ j.T + noise)
    # of the linear model about x: what would have been shown less f(0)
    about = found.after + j @ found.x
    diagonal = np.diag(inverse)
    return LeftOut(inverse @ about / diagonal, 1.0 / np.sqrt(diagonal))


def told(found: Fit, prior: Array) -> Array:
    """By what share each quantity's standard deviation shrank, shape (k,): 0 where readings say nothing."""
    return np.asarray(1.0 - np.sqrt(np.diag(found.covariance) / np.diag(prior)))


def correlations(covariance: Array) -> Array:
    """Correlation matrix of a covariance."""
    sd = np.sqrt(np.diag(covariance))
    return np.asarray(covariance / np.outer(sd, sd))
