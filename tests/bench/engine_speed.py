"""The engine's speed: against the path tracer at equal error, and against its own number of patches.

`python tests/bench/engine_speed.py --recipes recipes` takes some minutes. Processor time throughout, in one
run, so that all share whatever else the machine does; set OPENBLAS_NUM_THREADS=1. References are those of
`path_tracer.py`, made where they are missing.
"""

import argparse
import json
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
sys.path = [place for place in sys.path if Path(place or ".").resolve() != HERE]

from bench.path_tracer import recipe_scenes  # noqa: E402 - the path comes first
from reference.comparison import rows, stored_trace  # noqa: E402
from reference.mitsuba_scene import LLVM, SCALAR, Array, Json, find_llvm  # noqa: E402
from reference.path_tracer import Effort, Reference, key_index, trace  # noqa: E402
from thirdstop.exposure import perturbed  # noqa: E402
from thirdstop.exposure.quality import ANSWER, ROUGH, SCAN, Quality  # noqa: E402
from thirdstop.exposure.transport import Kept, solve  # noqa: E402
from thirdstop.staging.scene import scene_json  # noqa: E402
from thirdstop.staging.staging import Scene  # noqa: E402

SIZES = (3.0, 2.0, 1.5, 1.0, 0.75, 0.5)
"""Of patches, elements and limits on them, in units of the default."""

ROUND = {LLVM: 80_000, SCALAR: 7_500}
"""Paths at each point whose time and noise are measured."""


@dataclass(frozen=True)
class Case:
    """A staging, its JSON and its converged reference."""

    name: str
    scene: Scene
    data: Json
    reference: Reference


def main() -> None:
    """Measure, print."""
    parser = argparse.ArgumentParser(description="The exposure engine's speed.")
    parser.add_argument("--recipes", type=Path, required=True, metavar="FOLDER", help="a book")
    parser.add_argument("--cache", type=Path, default=HERE / ".cache", help="where references are kept")
    parser.add_argument("--se", type=float, default=0.004, help="standard error of references, stops")
    parser.add_argument("--max-paths", type=int, default=1_000_000, help="most paths at a point")
    parser.add_argument("--no-knee", action="store_true", help="leave the table of sizes out")
    parser.add_argument("--alone", action="store_true", help="the engine's times alone: nothing is traced")
    asked = parser.parse_args()
    print_moves([scene for _, scene in recipe_scenes(asked.recipes)])
    if asked.alone:
        return
    effort = Effort(se_stops=asked.se, max_paths=asked.max_paths)
    cases = []
    for name, scene in recipe_scenes(asked.recipes):
        data = json.loads(json.dumps(scene_json(scene)))
        cases.append(Case(name, scene, data, stored_trace(data, effort, asked.cache)))
    if not asked.no_knee:
        print_knee(cases)
    print_ratios(cases)


def print_knee(cases: list[Case]) -> None:
    """Time and error of the engine against the number of patches."""
    print(f"{'size':>5} {'patches':>8} {'elements':>9} {'median ms':>10} {'worst':>6} {'rms':>8} {'95 %':>6}")
    for size in SIZES:
        quality = scaled(size)
        meshes = [Kept().arranged(case.scene, quality).mesh for case in cases]
        times = [spent_ms(case.scene, quality) for case in cases]
        found = np.concatenate([errors(case, quality) for case in cases])
        print(
            f"{size:5.2f} {np.median([len(m.patches.place_m) for m in meshes]):8.0f} "
            f"{np.median([len(m.elements.side) for m in meshes]):9.0f} {np.median(times):10.0f} "
            f"{max(times):6.0f}  "
            f"{rms(found):12.4f} {np.quantile(np.abs(found), 0.95):.4f}"
            + ("  the default" if size == 1.0 else ""),
            flush=True,
        )


def print_moves(scenes: list[Scene]) -> None:
    """What an evaluation takes, and where one like it was made before."""
    print("ms, median and worst:")
    for name, quality in (("answer", ANSWER), ("scan", SCAN), ("rough", ROUGH)):
        whole = [spent_ms(scene, quality) for scene in scenes]
        cards = [moved_ms(scene, quality) for scene in scenes if _carried(scene)]
        paint = [painted_ms(scene, quality) for scene in scenes]
        words = [f"{np.median(t):.0f} {max(t):.0f}" for t in (whole, cards, paint)]
        print(f"{name:>7}: anew {words[0]}, a card moved {words[1]}, a wall painted {words[2]}", flush=True)


def _carried(scene: Scene) -> list[str]:
    return [p.name for p in scene.panels if p.role in ("card", "blocker", "net")]


def moved_ms(scene: Scene, quality: Quality) -> float:
    """Processor time, in ms, with the first card some centimetres away from where it was."""
    name = _carried(scene)[0]
    axis = next(p.normal for p in scene.panels if p.name == name)
    moves = [perturbed.moved(scene, name, step * axis) for step in (0.01, 0.02, 0.03, -0.01, -0.02)]
    return _again_ms(scene, moves, quality)


def painted_ms(scene: Scene, quality: Quality) -> float:
    """The same with its walls a little darker."""
    shades = (0.99, 0.98, 0.97)
    paints = [perturbed.reflectance_scaled(scene, lambda p: p.role == "wall", f) for f in shades]
    return _again_ms(scene, paints, quality)


def _again_ms(scene: Scene, others: list[Scene], quality: Quality) -> float:
    """Median processor time of others after the first."""
    kept = Kept()
    solve(scene, quality, kept)
    tries = []
    for other in others:
        start = time.process_time()
        solve(other, quality, kept)
        tries.append((time.process_time() - start) * 1e3)
    return float(np.median(tries))


def print_ratios(cases: list[Case]) -> None:
    """Processor time of both variants of the path tracer, over the engine's, at the engine's error."""
    times = np.array([spent_ms(case.scene, ANSWER) for case in cases])
    own = np.array([rms(errors(case, ANSWER)) for case in cases])
    over_all = error_over_all(cases)
    print(
        f"\nengine: root mean square error {over_all:.4f} stop over all recipes, noise of references aside;"
    )
    print(f"of one recipe, that noise included: median {np.median(own):.4f}, worst {own.max():.4f} stop")
    print("Mitsuba 3 for the same error, times the engine's processor time; median, least and most recipe:")
    print(f"{'variant':>17} {'rays start':>14} {'at the error over all':>24} {'each at its own':>20}")
    for variant in [SCALAR, *([LLVM] if find_llvm() else [])]:
        for lattices in (True, False):
            spent, noise = np.array([traced(case, variant, lattices) for case in cases]).T
            ratios = [spent * (noise / wanted) ** 2 / times for wanted in (over_all, own)]
            words = [f"{np.median(each):.0f} ({each.min():.0f} to {each.max():.0f})" for each in ratios]
            starts = "on lattices" if lattices else "at random"
            print(f"{variant:>17} {starts:>14} {words[0]:>24} {words[1]:>20}", flush=True)


def error_over_all(cases: list[Case]) -> float:
    """The engine's root mean square error in stops, what the references scatter taken off."""
    squares = [np.square(errors(case, ANSWER)) for case in cases]
    noise = [np.square(relevant_noise(case.reference)) for case in cases]
    return float(np.sqrt(np.concatenate(squares).mean() - np.concatenate(noise).mean()))


def relevant_noise(reference: Reference) -> Array:
    """Standard errors, in stops, at the points over 1/64 of the key."""
    total = reference.total_lx_s[0]
    return np.asarray(reference.se_stops[0][total > total[key_index(reference.points, total)] / 64])


def traced(case: Case, variant: str, lattices: bool) -> tuple[float, float]:
    """Processor time in ms of one round of the path tracer, warm, and its error by its own scatter."""
    paths = ROUND[variant]
    effort = Effort(se_stops=0.0, max_paths=paths, paths_a_round=paths, lattices=lattices)
    if variant == LLVM:  # its kernels are compiled once
        trace(case.data, effort, variant=variant)
    start = time.process_time()
    found = trace(case.data, effort, variant=variant)
    spent = (time.process_time() - start) * 1e3
    return spent, rms(relevant_noise(found))


def scaled(size: float) -> Quality:
    """The default with every size of patches and elements, and every limit on them, multiplied."""
    names = [
        "room_patch_m",
        "panel_patch_m",
        "patch_point_share",
        "patch_lamp_share",
        "smallest_patch_m",
        "room_element_m",
        "panel_element_m",
        "smallest_element_m",
        "point_share",
        "body_share",
        "lamp_share",
        "body_patch_m",
        "body_point_share",
        "smallest_body_patch_m",
    ]
    return replace(ANSWER, **{name: size * getattr(ANSWER, name) for name in names})


def errors(case: Case, quality: Quality) -> Array:
    """log2(engine / reference) at the points over 1/64 of the key."""
    found = rows(case.name, case.scene, solve(case.scene, quality), case.reference)
    return np.array([row.error_stops for row in found if row.relevant])


def rms(values: Array) -> float:
    """Root of the mean square."""
    return float(np.sqrt(np.mean(np.square(values))))


def spent_ms(scene: Scene, quality: Quality, times: int = 5) -> float:
    """Least processor time of some evaluations, in ms, the first not counted."""
    solve(scene, quality)
    tries = []
    for _ in range(times):
        start = time.process_time()
        solve(scene, quality)
        tries.append((time.process_time() - start) * 1e3)
    return min(tries)


if __name__ == "__main__":
    main()
