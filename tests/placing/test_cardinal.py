"""Drawn asks: each answer meets its target when it is put back, each 'can't' is true of every step."""

import pytest

from placing.asks import draw, judged
from staging.books import demo

SEEDS = (1002, 1003, 1004, 1005, 1006, 1009, 1012, 1013, 1016, 1017, 1024, 1025)
"""Of the bench's asks those that take least time: few unknowns, a quarter of them refusals."""


@pytest.mark.parametrize("seed", SEEDS)
def test_an_answer_holds_and_a_refusal_is_true(seed: int) -> None:
    """200 of these are asked by tests/bench/placing.py."""
    outcome = judged(draw(seed, demo().studio))

    assert outcome.wrong == (), outcome.drawn.words
