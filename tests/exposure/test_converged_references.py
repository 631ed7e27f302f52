"""The engine against converged references of the path tracer, kept beside the stagings.

`python tests/bench/path_tracer.py --hand --random 20 --keep tests/reference/converged.json` makes them anew.
"""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from reference.comparison import RELEVANT_FROM, as_set, digest
from reference.path_tracer import key_index
from reference.random_scenes import random_scene
from reference.scenes import hand_scenes
from thirdstop.exposure.transport import solve
from thirdstop.staging.scene import scene_json
from thirdstop.staging.staging import Scene

KEPT: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "reference" / "converged.json").read_text(encoding="utf-8")
)
LIMIT_STOPS = 0.05
MOST_NOISE_STOPS = 0.015
"""Standard error from which on a reference tells nothing of a twentieth of a stop: the point is left out."""
LEFT_OUT = {("narrow beam on diffuser", "right cheek")}


def scene_of(name: str) -> Scene:
    """The staging by hand, or the one of 'random SEED'."""
    return random_scene(int(name.split()[1])) if name.startswith("random ") else hand_scenes()[name]


def points_of(name: str, kept: dict[str, Any]) -> list[tuple[str, float, float]]:
    """Name, light in lx·s and standard error in stops of each point that counts."""
    names = [point.name for point in scene_of(name).points]
    wanted = np.array(kept["total_lx_s"])
    least = RELEVANT_FROM * wanted[key_index(names, wanted)]
    rows = zip(names, kept["total_lx_s"], kept["se_stops"], strict=True)
    return [row for row in rows if row[1] > least]


def test_every_hand_made_staging_has_a_reference() -> None:
    """None is left out because it would miss."""
    assert set(hand_scenes()) <= set(KEPT)


def test_no_point_but_one_is_left_out_as_too_noisy() -> None:
    """Of all points that get more than 1/64 of the key reading."""
    noisy = {
        (name, point)
        for name, kept in KEPT.items()
        for point, wanted, noise in points_of(name, kept)
        if noise >= MOST_NOISE_STOPS
    }
    assert noisy == LEFT_OUT


@pytest.mark.parametrize("name", KEPT)
def test_engine_is_within_a_twentieth_stop_of_the_converged_reference(name: str) -> None:
    """At every point that gets more than 1/64 of the key reading, within 0.05 stop and three standard errors
    of the reference, which is of this very scene; those stay under 0.015 stop.
    """
    scene, kept = scene_of(name), KEPT[name]
    assert digest(json.loads(json.dumps(scene_json(scene)))) == kept["digest"], "the staging has changed"
    direct, bounced = as_set(solve(scene), np.array([lamp.power for lamp in scene.emitters]))
    names = [point.name for point in scene.points]
    found = dict(zip(names, direct + bounced.sum(axis=1), strict=True))
    for point, wanted, noise in points_of(name, kept):
        if (name, point) not in LEFT_OUT:
            assert abs(math.log2(found[point] / wanted)) - 3 * noise <= LIMIT_STOPS, point
