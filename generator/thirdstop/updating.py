"""Publishing: the folder held, what stands in it looked through, and only what has changed made again."""

import gc
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from thirdstop.keeping import FOLDER, OF_BOOK
from thirdstop.publishing.places import standing
from thirdstop.publishing.switching import holding
from thirdstop.terminal import Bar

if TYPE_CHECKING:
    from thirdstop.remaking import Remade

_SELDOM = 100_000
"""Objects, after so many new ones Python looks for those that hold each other and are held by nobody else."""


def publish(root: Path, out: Path, bar: Bar) -> "Remade":
    """Bring the site in `out` up to what the book in `root` says; see `remaking`.

    Raises BookFaults with every fault of the first stage that has any, UsageError where `root` is no book,
    PublishingError where `out` can't be written or isn't ours to write; the former site is then untouched.
    """
    spare = root / FOLDER / f"{OF_BOOK}.folders"
    with _seldom_collecting(), holding(out, root, spare=spare) as place, ThreadPoolExecutor(1) as pool:
        # a long site takes its time to be read, and so do these modules: both at once
        former = pool.submit(standing, place.out)
        from thirdstop.remaking import remake

        return remake(root, place, former.result, bar)


@contextmanager
def _seldom_collecting() -> Iterator[None]:
    """While it lasts, what is held is seldom looked through for what could go: nearly all of it stays to the
    end, and to look through it each time that it has grown takes a tenth of the whole.
    """
    before = gc.get_threshold()
    gc.set_threshold(_SELDOM, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
