"""Work shared out over the machine's processors, in order, and what happens when somebody stops it."""

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

from thirdstop.errors import ThirdstopError

WORTH_SHARING = 4
"""From so many pieces on, further processes are worth their start."""
MOST_WORKERS = 8

Piece = TypeVar("Piece")
Done = TypeVar("Done")


def each_done(
    work: Callable[[Piece], Done], pieces: Sequence[Piece], worth: int = WORTH_SHARING
) -> Iterator[Done]:
    """What `work` makes of each piece, in order; the same whether other processes help, from `worth` pieces
    on, or not.

    Raises ThirdstopError where such a process ends by itself, most likely for want of memory.
    """
    workers = min(os.cpu_count() or 1, MOST_WORKERS, len(pieces))
    if workers < 2 or len(pieces) < worth:
        yield from map(work, pieces)
        return
    # only now: most runs start no process, and this takes long to load
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    # spawned, not forked: a fork would copy whatever threads hold at that moment
    with ProcessPoolExecutor(workers, get_context("spawn")) as pool:
        with _interrupts_ignored():
            results = pool.map(work, pieces)
        try:
            yield from results
        except BrokenProcessPool as error:
            raise ThirdstopError(
                "a process that computed ended by itself, perhaps for want of memory; nothing was written"
            ) from error


@contextmanager
def _interrupts_ignored() -> Iterator[None]:
    """While processes start: they keep ignoring Ctrl-C, which is then this process's alone to answer."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
