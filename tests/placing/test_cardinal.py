"""Drawn asks: each answer meets its target when it is put back, each 'can't' is true of every step."""

import pytest

from placing.asks import draw, judged
from staging.books import demo

pytestmark = pytest.mark.usefixtures("without_bands")

SEEDS = (1001, 1002, 1003, 1004, 1006)
"""Of the bench's asks some that take little time: few unknowns; the first is a refusal."""


@pytest.mark.parametrize("seed", SEEDS)
def test_an_answer_holds_and_a_refusal_is_true(seed: int) -> None:
    """200 of these are asked by tests/bench/placing.py."""
    outcome = judged(draw(seed, demo().studio))

    assert outcome.wrong == (), outcome.drawn.words
