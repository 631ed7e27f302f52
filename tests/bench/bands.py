"""How often the bands hold sets drawn from the stated tolerances: `python tests/bench/bands.py`."""

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from multiprocessing import get_context
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
sys.path = [place for place in sys.path if Path(place or ".").resolve() != HERE]

from exposure.draws import Coverage, coverage  # noqa: E402 - the path comes first
from exposure.stagings import lamp_place, staging  # noqa: E402
from reference.scenes import hand_scenes  # noqa: E402
from thirdstop.exposure.charging import charge  # noqa: E402
from thirdstop.exposure.quality import ROUGH  # noqa: E402
from thirdstop.running import open_and_stage  # noqa: E402
from thirdstop.staging.staging import Staging  # noqa: E402

BY_HAND = (
    "white card",
    "card very near",
    "flag penumbra",
    "silver in mirror direction",
    "silver out of it",
    "smooth silver",
    "gridded strip",
    "net before face",
)
"""Where an effect may bend: edges of shadows, sheen, narrow beams."""


def stagings() -> dict[str, Staging]:
    """The demo's recipes and some stagings by hand, lamps charged."""
    root = Path(__file__).parents[2] / "recipes"
    found = {one.staging.slug: one.staging for one in open_and_stage(root)[1]}
    for name in BY_HAND:
        scene = hand_scenes()[name]
        own = [p if p.name.startswith("backdrop") else replace(p, sitter=0) for p in scene.points]
        scene = replace(scene, points=tuple(own))
        lamps = [lamp_place(emitter.name, 20) for emitter in scene.emitters]
        found[name] = charge(staging(scene, lamps))
    return found


def main() -> int:
    """Prints a line for each staging: bands and how many of the draws they held."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=200, help="for each staging (200)")
    parser.add_argument("--seed", type=int, default=1, help="of the draws (1)")
    parser.add_argument("--jobs", type=int, default=1, help="at once (1)")
    parser.add_argument("--only", nargs="*", default=[], help="beginnings of names; all unless given")
    arguments = parser.parse_args()
    chosen = {
        name: one
        for name, one in stagings().items()
        if not arguments.only or name.startswith(tuple(arguments.only))
    }
    run = partial(coverage, quality=ROUGH, draws=arguments.draws, seed=arguments.seed)
    print(f"{'staging':28} {'key':>11} {'ratio':>11}   readings, least to most   from key, least to most")
    with ProcessPoolExecutor(arguments.jobs, get_context("spawn")) as pool:
        for name, found in zip(chosen, pool.map(run, chosen.values()), strict=True):
            print(_line(name, found), flush=True)
    return 0


def _line(name: str, found: Coverage) -> str:
    stated = found.stated
    key = stated[stated.key_point].band_stops
    apart = [share for share in found.from_key.tolist() if share < 1.0] or [1.0]
    return (
        f"{name:28} {found.key:5.2f} ±{key:4.2f} {found.ratio:5.2f} ±{stated.ratio.band_stops:4.2f}"
        f"   {found.reading.min():.2f} {found.reading.mean():.2f} {found.reading.max():.2f}"
        f"            {min(apart):.2f} {sum(apart) / len(apart):.2f} {max(apart):.2f}"
    )


if __name__ == "__main__":
    sys.exit(main())
