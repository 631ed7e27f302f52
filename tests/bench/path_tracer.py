"""The engine against the path tracer, as a table: `python tests/bench/path_tracer.py --help`.

Rows are measuring points, worst first. References are kept on disk, so that a second run takes seconds.
"""

import argparse
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
sys.path = [place for place in sys.path if Path(place or ".").resolve() != HERE]  # or we'd import ourselves

from reference.closed_forms import closed_forms  # noqa: E402 - the path comes first
from reference.comparison import Row, digest, rows, scene_from_json, stored_trace  # noqa: E402
from reference.mitsuba_scene import Json  # noqa: E402
from reference.path_tracer import Effort, Reference, best_variant, trace  # noqa: E402
from reference.random_scenes import random_scene  # noqa: E402
from reference.scenes import hand_scenes  # noqa: E402
from thirdstop.book.book import open_book  # noqa: E402
from thirdstop.exposure.charging import charge  # noqa: E402
from thirdstop.exposure.transport import solve  # noqa: E402
from thirdstop.staging.resolve import stage  # noqa: E402
from thirdstop.staging.scene import scene_json  # noqa: E402
from thirdstop.staging.staging import Scene  # noqa: E402

BINS = (0.002, 0.005, 0.01, 0.02, 0.05)
"""Stops, for the chart of the book's page on how it is computed."""


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description="The exposure engine against a path tracer.")
    parser.add_argument("files", nargs="*", type=Path, help="scenes as `thirdstop meter --scene` prints them")
    parser.add_argument("--hand", action="store_true", help="the hand-made stagings")
    parser.add_argument("--only", default="", help="of those, the ones whose name holds this")
    parser.add_argument("--random", type=int, default=0, metavar="N", help="N random stagings")
    parser.add_argument("--seed", type=int, default=0, help="seed of the first random staging")
    parser.add_argument("--recipes", type=Path, metavar="FOLDER", help="every recipe of a book")
    parser.add_argument("--se", type=float, default=0.004, help="standard error to reach, stops")
    parser.add_argument("--max-paths", type=int, default=6_000_000, help="most paths at a point")
    parser.add_argument("--variant", default=best_variant(), help="of the renderer")
    parser.add_argument("--cache", type=Path, default=HERE / ".cache", help="where references are kept")
    parser.add_argument("--misses", type=Path, help="write scenes that miss, with their references, here")
    parser.add_argument("--keep", type=Path, metavar="FILE", help="write the references for the tests here")
    parser.add_argument("--limit", type=float, default=0.05, help="stops over which a point misses")
    parser.add_argument("--rows", type=int, default=30, help="rows to print")
    parser.add_argument("--closed-forms", action="store_true", help="the path tracer against closed forms")
    return parser.parse_args()


def scenes(asked: argparse.Namespace) -> Iterator[tuple[str, Scene]]:
    """Every scene asked for, by name."""
    if asked.hand:
        yield from ((name, scene) for name, scene in hand_scenes().items() if asked.only in name)
    for seed in range(asked.seed, asked.seed + asked.random):
        yield f"random {seed}", random_scene(seed)
    for file in asked.files:
        yield file.stem, scene_from_json(json.loads(file.read_text()))
    if asked.recipes:
        yield from recipe_scenes(asked.recipes)


def recipe_scenes(folder: Path) -> Iterator[tuple[str, Scene]]:
    """The scene of every recipe in a book."""
    book = open_book(folder)
    for loaded in book.recipes:
        staging, faults = stage(loaded.recipe, book.studio, loaded.marks, loaded.slug)
        if staging is None:
            print(f"  {loaded.slug}: {len(faults)} faults, left out", file=sys.stderr)
        else:
            yield loaded.slug, charge(staging).scene


def compare(asked: argparse.Namespace, name: str, scene: Scene) -> tuple[list[Row], float]:
    """The rows of one scene and the engine's processor time, warm, in ms."""
    data = json.loads(json.dumps(scene_json(scene)))
    effort = Effort(se_stops=asked.se, max_paths=asked.max_paths)
    reference = stored_trace(data, effort, asked.cache, asked.variant)
    solve(scene)
    start = time.process_time()
    transport = solve(scene)
    spent = (time.process_time() - start) * 1e3
    found = rows(name, scene, transport, reference)
    missed = [row for row in found if row.relevant and abs(row.error_stops) > asked.limit]
    if missed and asked.misses:
        write_miss(asked.misses, name, data, missed, reference.to_json())
    if asked.keep:
        keep(asked.keep, name, data, reference)
    return found, spent


def write_miss(folder: Path, name: str, data: Json, missed: list[Row], reference: Json) -> None:
    """One JSON file: the scene, its reference, and which points miss by how much."""
    folder.mkdir(parents=True, exist_ok=True)
    points = {row.point: row.__dict__ for row in missed}
    content = {"scene": data, "reference": reference, "misses": points}
    (folder / f"{name.replace(' ', '-')}.json").write_text(json.dumps(content, indent=1))


def keep(file: Path, name: str, data: Json, reference: Reference) -> None:
    """Add or replace one scene's converged totals in `file`; the digest tells when the scene has changed."""
    kept = json.loads(file.read_text()) if file.exists() else {}
    kept[name] = {
        "digest": digest(data),
        "total_lx_s": [float(f"{value:.6g}") for value in reference.total_lx_s[0]],
        "se_stops": [float(f"{value:.2g}") for value in reference.se_stops[0]],
    }
    lines = [f"{json.dumps(key)}: {json.dumps(kept[key])}" for key in sorted(kept)]
    file.write_text("{\n" + ",\n".join(lines) + "\n}\n")


def print_closed_forms(variant: str) -> None:
    """The reference against what is known without a renderer."""
    print(f"{'case':50} {'wanted':>11} {'got':>11} {'off, stops':>11} {'s.e., stops':>11}")
    for case in closed_forms():
        found = trace(case.scene, Effort(se_stops=0.001, max_paths=4_000_000), variant=variant)
        for wanted, got, se in zip(
            case.wanted_lx_s, found.total_lx_s[0], found.se_total_lx_s[0], strict=True
        ):
            off, noise = np.log2(got / wanted), se / wanted / np.log(2)
            print(f"{case.name:50} {wanted:11.6g} {got:11.6g} {off:+11.5f} {noise:11.5f}")


def print_rows(found: list[Row], count: int) -> None:
    """The worst rows that matter."""
    print(
        f"{'error':>7} {'s.e.':>7}  {'engine':>9} {'reference':>9}  scene: point (class off most, % of total)"
    )
    for row in found[:count]:
        print(
            f"{row.error_stops:+7.3f} {row.se_stops:7.4f}  {row.engine_lx_s:9.4g} {row.reference_lx_s:9.4g}  "
            f"{row.scene}: {row.point} ({row.culprit} {100 * row.culprit_share:+.2f} "
            f"± {100 * row.culprit_se:.2f})"
        )


def print_summary(found: list[Row], limit: float, times: list[float]) -> None:
    """Worst, 95 % and median error, noise and time, over the points that matter."""
    errors = np.abs([row.error_stops for row in found])
    noise = np.array([row.se_stops for row in found])
    print(
        f"{len(found)} points over 1/64 of the key: worst {errors.max():.3f}, "
        f"95 % {np.quantile(errors, 0.95):.3f}, median {np.median(errors):.4f} stop; "
        f"over {limit}: {np.sum(errors > limit)}, surely (by 3 s.e.): {np.sum(errors - 3 * noise > limit)}"
    )
    edges = np.array([0.0, *BINS, np.inf])
    shares = np.histogram(errors, edges)[0] / len(errors)
    print("of 100 points, under", *BINS, "and over:", *np.round(100 * shares, 1))
    print(f"noise of the reference: median {np.median(noise):.4f}, worst {noise.max():.4f} stop")
    print(f"engine: {np.median(times):.0f} ms, {max(times):.0f} worst, processor time ({len(times)} scenes)")


def main() -> None:
    """Trace, compare, print."""
    asked = arguments()
    if asked.closed_forms:
        print_closed_forms(asked.variant)
    every, times = [], []
    for name, scene in scenes(asked):
        found, spent = compare(asked, name, scene)
        every += found
        times.append(spent)
        worst = max((abs(row.error_stops) for row in found if row.relevant), default=0.0)
        print(f"  {name}: worst {worst:.3f}, {spent:.0f} ms", file=sys.stderr, flush=True)
    relevant = sorted((row for row in every if row.relevant), key=lambda row: -abs(row.error_stops))
    if relevant:
        print_rows(relevant, asked.rows)
        print_summary(relevant, asked.limit, times)


if __name__ == "__main__":
    main()
