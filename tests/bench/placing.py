"""Asks drawn from seeds, each answer put back and each refusal scanned: `python tests/bench/placing.py`."""

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
sys.path = [place for place in sys.path if Path(place or ".").resolve() != HERE]  # or we'd import ourselves

from placing.asks import Outcome, draw, judged  # noqa: E402 - the path comes first
from staging.books import demo  # noqa: E402


def main() -> int:
    """Prints a line for each ask and a summary; 1 where any answer is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--asks", type=int, default=200, help="how many (200)")
    parser.add_argument("--first", type=int, default=1000, help="the first seed (1000)")
    parser.add_argument("--jobs", type=int, default=2, help="at once (2)")
    arguments = parser.parse_args()
    seeds = range(arguments.first, arguments.first + arguments.asks)
    wrong, met, spent = 0, 0, []
    # spawned, not forked: a fork would copy whatever threads hold at that moment
    with ProcessPoolExecutor(arguments.jobs, get_context("spawn")) as pool:
        for outcome, seconds in pool.map(_asked, seeds):
            spent.append(seconds)
            met += outcome.answer.best is not None
            wrong += bool(outcome.wrong)
            print(_line(outcome, seconds), flush=True)
    print(
        f"{len(spent)} asks: {met} met, {len(spent) - met} refused, {wrong} wrong; "
        f"{sorted(spent)[len(spent) // 2]:.1f} s of CPU each (median), checks and scans included"
    )
    return 1 if wrong else 0


def _asked(seed: int) -> tuple[Outcome, float]:
    begun = time.process_time()
    outcome = judged(draw(seed, demo().studio))
    return outcome, time.process_time() - begun


def _line(outcome: Outcome, seconds: float) -> str:
    best = outcome.answer.best
    said = "can't" if best is None else f"{best.ratio.ratio:.2f}:1 {best.things[0].words}"
    judgement = "; ".join(outcome.wrong) or "holds"
    solved = outcome.answer.solved
    return (
        f"{outcome.drawn.seed:5} {outcome.drawn.words:75} {said:75} {solved:4} {seconds:6.1f} s  {judgement}"
    )


if __name__ == "__main__":
    sys.exit(main())
