"""What the model leaves out or makes even, put into it: how far that moves the demo's recipes.

`python tests/bench/left_out.py` prints the table of `docs/agreement.md`. Every recipe is computed again with
one thing changed; a recipe that lacks the thing is left out of its row.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from thirdstop.exposure.meter import lamp_readings, levels, powers_at, ratio_points
from thirdstop.exposure.quality import ANSWER
from thirdstop.exposure.transport import solve
from thirdstop.running import open_and_stage
from thirdstop.staging.shapes import Emitter, Lambertian
from thirdstop.staging.staging import Scene, Staging
from thirdstop.staging.vectors import vec
from thirdstop.typed import Array

MIDDLE = 0.7
"""Of a soft box's width and height, the part that is taken to shine."""
BESIDE_M = vec(0.9, -2.2, 0.0)
"""From the sitter to a second person beside the camera."""


def middle_alone(scene: Scene) -> Scene:
    """Soft boxes that give the same light by their middles alone."""
    return replace(scene, emitters=tuple(map(_middle, scene.emitters)))


def _middle(face: Emitter) -> Emitter:
    if not isinstance(face.emission, Lambertian):
        return face
    return replace(
        face,
        half_u_m=MIDDLE * face.half_u_m,
        half_v_m=MIDDLE * face.half_v_m,
        luminance_cd_s_m2=face.luminance_cd_s_m2 / MIDDLE**2,
    )


def second_person(scene: Scene) -> Scene:
    """Somebody who looks like the first sitter stands beside the camera."""
    theirs = [s for s in scene.solids if s.sitter == 0]
    other = max((s.sitter for s in scene.solids), default=0) + 1
    moved = tuple(
        replace(s, name=f"second {s.name}", sitter=other, centre_m=s.centre_m + BESIDE_M) for s in theirs
    )
    return replace(scene, solids=(*scene.solids, *moved))


def without(*parts: str) -> Callable[[Scene], Scene]:
    """Bodies without these parts."""
    return lambda scene: replace(scene, solids=tuple(s for s in scene.solids if s.part not in parts))


CHANGES: dict[str, Callable[[Scene], Scene]] = {
    "A soft box that shines from the middle seven tenths of its width alone": middle_alone,
    "A second person 2.2 m before the sitter, 0.9 m beside the camera": second_person,
    "No arms and hands": without("upper arm", "forearm", "hand"),
    "No hair": without("hair"),
}


def stops_from_key(staging: Staging, scene: Scene) -> Array:
    """Of the ratio's lit and shadow point, from the key reading, lamps at the recipe's clicks, shape (2,)."""
    transport = solve(scene, ANSWER)
    clicks = [lamp.click for lamp in lamp_readings(staging, solve(staging.scene, ANSWER))]
    now = levels(transport, powers_at(staging, transport, clicks))
    key = transport.points.index(staging.meter.exposure_point)
    total = now.total_lx_s
    return np.asarray(np.log2(total[list(ratio_points(staging, transport, now))] / total[key]))


def main() -> None:
    """Prints the table: median and worst recipe."""
    staged = [one.staging for one in open_and_stage(Path(__file__).resolve().parents[2] / "recipes")[1]]
    print("| changed | recipes | a cheek from the key reading | one cheek against the other |")
    print("|---|---|---|---|")
    before = [stops_from_key(staging, staging.scene) for staging in staged]
    for what, change in CHANGES.items():
        rows = []
        for staging, was in zip(staged, before, strict=True):
            scene = change(staging.scene)
            if any(a is not b for a, b in zip(scene.emitters, staging.scene.emitters, strict=True)) or (
                len(scene.solids) != len(staging.scene.solids)
            ):
                moved = stops_from_key(staging, scene) - was
                rows.append((float(np.abs(moved).max()), abs(float(moved[0] - moved[1]))))
        cheeks, apart = np.array(rows).T
        print(
            f"| {what} | {len(rows)} | {np.median(cheeks):.2f}, {cheeks.max():.2f} "
            f"| {np.median(apart):.2f}, {apart.max():.2f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
