"""Work shared out over processes."""

import math
import multiprocessing
import os
import signal
import time
from pathlib import Path

import pytest

from thirdstop.errors import ThirdstopError
from thirdstop.sharing import WORTH_SHARING, Helpers, each_done


@pytest.mark.parametrize("count", [0, 1, WORTH_SHARING + 3])
def test_what_comes_back_is_in_order(count: int) -> None:
    """Few pieces are done here, more by other processes; the answer is the same."""
    squares = [float(k * k) for k in range(count)]

    assert list(each_done(math.sqrt, squares)) == [float(k) for k in range(count)]


def test_helpers_stay_for_what_follows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once there are any, a little work is shared out too, to the same processes."""
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    with Helpers() as helpers:
        alone = set(helpers.each_done(_process, [0, 1]))
        many = set(helpers.each_done(_process, range(WORTH_SHARING)))
        few = set(helpers.each_done(_process, [0, 1]))

    assert alone == {os.getpid()}
    assert os.getpid() not in many | few
    assert len(many | few) <= 2


def _process(_: int) -> int:
    return os.getpid()


def test_nobody_waits_for_helpers_when_it_is_stopped(tmp_path: Path) -> None:
    """What they were at is given up, also what is theirs already and not begun."""
    before = multiprocessing.active_children()
    told = [tmp_path / str(k) for k in range(WORTH_SHARING)]
    with pytest.raises(KeyboardInterrupt), Helpers() as helpers:
        next(helpers.each_done(_slow, told))
        raise KeyboardInterrupt

    assert told[0].exists()
    assert not told[-1].exists()
    assert multiprocessing.active_children() == before


def _slow(told: Path) -> None:
    time.sleep(0.5)
    told.touch()


def test_a_process_that_dies_is_told_in_words() -> None:
    """A process that ends by itself is an error meant for the person, and Ctrl-C works as before."""
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(ThirdstopError, match="ended by itself"):
        list(each_done(os._exit, [1] * WORTH_SHARING))

    assert signal.getsignal(signal.SIGINT) == before
