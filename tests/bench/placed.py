"""Answers of `place` for the shipped book, put back into the engine and into the path tracer.

Of each recipe that wants a ratio, its first card's distance is asked for anew. The table says what was asked,
what was answered, the ratio by engine and path tracer at the answer's rounded places, and the processor time.
"""

import argparse
import json
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
sys.path = [place for place in sys.path if Path(place or ".").resolve() != HERE]

from reference.comparison import stored_trace  # noqa: E402 - the path comes first
from reference.path_tracer import Effort  # noqa: E402
from thirdstop.book.book import Book, LoadedRecipe, open_book  # noqa: E402
from thirdstop.exposure.charging import charge  # noqa: E402
from thirdstop.exposure.flash import power_of_click  # noqa: E402
from thirdstop.placing.answers import Placement  # noqa: E402
from thirdstop.placing.placing import place  # noqa: E402
from thirdstop.placing.values import with_changes  # noqa: E402
from thirdstop.staging.resolve import stage  # noqa: E402
from thirdstop.staging.scene import scene_json  # noqa: E402
from thirdstop.staging.staging import Scene  # noqa: E402


def main() -> int:
    """Exit status 1 where an answer misses its target by the path tracer."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--book", type=Path, default=HERE.parents[1] / "recipes", help="the book's folder")
    parser.add_argument("--recipes", type=int, default=10, help="how many (10)")
    parser.add_argument("--se", type=float, default=0.01, help="standard error to reach, stops")
    arguments = parser.parse_args()
    book = open_book(arguments.book)
    effort = Effort(se_stops=arguments.se, max_paths=1_000_000)
    missed = 0
    print(f"{'recipe':24} {'wanted':>8} {'answer':66} {'engine':>7} {'traced':>7} {'apart':>12} {'time':>6}")
    for loaded in list(_asked(book))[: arguments.recipes]:
        missed += _row(book, loaded, effort)
    return 1 if missed else 0


def _asked(book: Book) -> Iterator[LoadedRecipe]:
    for loaded in book.recipes:
        recipe = loaded.recipe
        if recipe.cards and recipe.target.ratio is not None and not recipe.meant_to_halt:
            yield loaded


def _row(book: Book, loaded: LoadedRecipe, effort: Effort) -> bool:
    recipe, begun = loaded.recipe, time.process_time()
    answer = place(recipe, book.studio, loaded.marks, loaded.slug, [recipe.cards[0].name], (), ())
    seconds = time.process_time() - begun
    wanted = recipe.target.ratio
    assert wanted is not None
    head = f"{recipe.title:24} {wanted!s:>8}"
    if answer.best is None:
        print(f"{head} {'no answer':66} {seconds:>31.1f} s")
        return False
    traced, noise = _traced(_scene(book, loaded, answer.best), answer.best, effort)
    apart = float(np.log2(answer.best.ratio.ratio / traced))
    missed = abs(np.log2(traced / wanted.value)) > answer.within_stops + 3 * noise
    print(
        f"{head} {answer.best.things[0].words:66} {answer.best.ratio.ratio:>6.2f}  {traced:>6.2f}  "
        f"{apart:>+6.3f} ± {noise:.3f} {seconds:>4.1f} s{'  misses' if missed else ''}"
    )
    return bool(missed)


def _scene(book: Book, loaded: LoadedRecipe, best: Placement) -> Scene:
    """The answer's own scene, lamps at its clicks, with the two points that the ratio compares."""
    staging, _ = stage(with_changes(loaded.recipe, best.changes), book.studio, loaded.marks, loaded.slug)
    assert staging is not None
    scene = charge(staging).scene
    power = {lamp.emitter: power_of_click(lamp.click, lamp.clicks) for lamp in best.lamps}
    return replace(
        scene,
        emitters=tuple(replace(one, power=power[one.name]) for one in scene.emitters),
        points=tuple(p for p in scene.points if p.name in (best.ratio.lit_point, best.ratio.shadow_point)),
    )


def _traced(scene: Scene, best: Placement, effort: Effort) -> tuple[float, float]:
    """The ratio by the path tracer, and its standard error in stops."""
    found = stored_trace(json.loads(json.dumps(scene_json(scene))), effort, HERE / ".cache")
    lit, shadow = (found.points.index(name) for name in (best.ratio.lit_point, best.ratio.shadow_point))
    total = found.total_lx_s[0]
    return float(total[lit] / total[shadow]), float(np.hypot(*found.se_stops[0][[lit, shadow]]))


if __name__ == "__main__":
    sys.exit(main())
