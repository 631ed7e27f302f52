"""The least squares by themselves, against closed forms and against leaving readings out one by one."""

from collections.abc import Sequence

import numpy as np
import pytest

from thirdstop.calibrating import fitting
from thirdstop.typed import Array

RNG = np.random.default_rng(7)
SLOPES = RNG.standard_normal((6, 3))
PRIOR = np.array([[0.5, 0.2, 0.0], [0.2, 0.4, 0.0], [0.0, 0.0, 2.0]])
NOISE = 0.05 * np.eye(6) + 0.02
SHOWN = RNG.standard_normal(6)


def _fit(shown: Array = SHOWN, rows: Sequence[int] = range(6)) -> fitting.Fit:
    rows = list(rows)
    slopes = SLOPES[rows].reshape(len(rows), 3)
    return fitting.fit(lambda x: slopes @ x, lambda x: slopes, shown[rows], NOISE[np.ix_(rows, rows)], PRIOR)


def test_linear_problem_has_the_closed_form() -> None:
    """For f(x) = Jx the estimate is C Jᵀ (J C Jᵀ + R)⁻¹ y, its covariance C − C Jᵀ (…)⁻¹ J C (the Kalman
    update, Kalman 1960).
    """
    found = _fit()
    gain = PRIOR @ SLOPES.T @ np.linalg.inv(SLOPES @ PRIOR @ SLOPES.T + NOISE)

    assert found.x == pytest.approx(gain @ SHOWN, abs=0.03)  # the last step is not taken
    assert found.covariance == pytest.approx(PRIOR - gain @ SLOPES @ PRIOR, abs=1e-12)


def test_curved_problem_reaches_the_least_sum() -> None:
    """For curved f the sum at the end is no larger than at any neighbour."""
    slopes = SLOPES
    found = fitting.fit(
        lambda x: np.sinh(slopes @ x),
        lambda x: np.cosh(slopes @ x)[:, None] * slopes,
        SHOWN,
        NOISE,
        PRIOR,
    )

    def cost(x: Array) -> float:
        off = SHOWN - np.sinh(slopes @ x)
        return float(off @ np.linalg.solve(NOISE, off) + x @ np.linalg.solve(PRIOR, x))

    assert found.misfit == pytest.approx(cost(found.x))
    for step in np.concatenate([np.eye(3), -np.eye(3)]):
        assert cost(found.x) < cost(found.x + 0.05 * step)


def test_left_out_is_what_leaving_out_gives() -> None:
    """The residual of each reading from all others, and its deviation, are those of a fit without it."""
    out = fitting.left_out(_fit(), NOISE, PRIOR)

    for n in range(6):
        rest = np.delete(np.arange(6), n)
        inverse = np.linalg.inv((SLOPES @ PRIOR @ SLOPES.T + NOISE)[np.ix_(rest, rest)])
        cross = (SLOPES @ PRIOR @ SLOPES.T + NOISE)[n, rest]
        assert out.off[n] == pytest.approx(SHOWN[n] - cross @ inverse @ SHOWN[rest])
        whole = (SLOPES @ PRIOR @ SLOPES.T + NOISE)[n, n]
        assert out.sd[n] ** 2 == pytest.approx(whole - cross @ inverse @ cross)


def test_nothing_read_leaves_the_prior() -> None:
    """Without readings nothing moves and nothing narrows."""
    found = _fit(rows=[])

    assert found.x == pytest.approx(np.zeros(3))
    assert fitting.told(found, PRIOR) == pytest.approx(np.zeros(3))


def test_a_sum_alone_is_known_as_a_sum() -> None:
    """Two quantities that only ever come as a sum end up with a correlation near -1."""
    slopes = np.ones((4, 2))
    found = fitting.fit(lambda x: slopes @ x, lambda x: slopes, np.full(4, 0.6), 1e-4 * np.eye(4), np.eye(2))

    assert found.x == pytest.approx([0.3, 0.3], abs=0.03)
    assert fitting.correlations(found.covariance)[0, 1] < -0.99
