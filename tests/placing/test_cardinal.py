"""Drawn asks: each answer meets its target when it is put back, each 'can't' is true of every step."""

import pytest

from placing.asks import draw, judged
from staging.books import demo

SEEDS = range(12)


@pytest.mark.parametrize("seed", SEEDS)
def test_an_answer_holds_and_a_refusal_is_true(seed: int) -> None:
    """200 more of these are asked by tests/bench/placing.py."""
    outcome = judged(draw(seed, demo().studio))

    assert outcome.wrong == (), outcome.drawn.words
