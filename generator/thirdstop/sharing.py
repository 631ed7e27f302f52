"""Work shared out over the machine's processors, in order, and what happens when somebody stops it."""

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

from thirdstop.errors import ThirdstopError

if TYPE_CHECKING:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing.process import BaseProcess

WORTH_SHARING = 4
"""From so many pieces on, further processes are worth their start."""
MOST_WORKERS = 8

Piece = TypeVar("Piece")
Done = TypeVar("Done")


class Helpers:
    """Further processes: none until there is work worth their start, then there for all that follows."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._before: list[BaseProcess] = []
        """Processes of others."""

    def __enter__(self) -> "Helpers":
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if self._pool is None:
            return
        if kind is not None:
            # a recipe takes seconds, for which nobody waits; what is kept is switched in whole
            for process in self._started():
                process.terminate()
        self._pool.shutdown(cancel_futures=True)

    def _started(self) -> list["BaseProcess"]:
        from multiprocessing import active_children

        return [process for process in active_children() if process not in self._before]

    def each_done(
        self, work: Callable[[Piece], Done], pieces: Sequence[Piece], worth: int = WORTH_SHARING
    ) -> Iterator[Done]:
        """What `work` makes of each piece, in order; the same whether they help or not, for which they are
        started from `worth` pieces on.

        Raises ThirdstopError where such a process ends by itself, most likely for want of memory.
        """
        workers = min(os.cpu_count() or 1, MOST_WORKERS, len(pieces))
        if workers < 2 or (self._pool is None and len(pieces) < worth):
            yield from map(work, pieces)
            return
        if self._pool is None:
            self._before = self._started()
            self._pool = _pool(workers)
        # only now: most runs start no process, and this takes long to load
        from concurrent.futures.process import BrokenProcessPool

        with _interrupts_ignored():
            results = self._pool.map(work, pieces)
        try:
            yield from results
        except BrokenProcessPool as error:
            raise ThirdstopError(
                "a process that computed ended by itself, perhaps for want of memory; nothing was written"
            ) from error


def each_done(
    work: Callable[[Piece], Done], pieces: Sequence[Piece], worth: int = WORTH_SHARING
) -> Iterator[Done]:
    """The same by helpers of its own, gone when all is done."""
    with Helpers() as helpers:
        yield from helpers.each_done(work, pieces, worth)


def _pool(workers: int) -> "ProcessPoolExecutor":
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # spawned, not forked: a fork would copy whatever threads hold at that moment
    return ProcessPoolExecutor(workers, get_context("spawn"))


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
