"""The engine against converged references of the path tracer, kept beside the stagings.

`python tests/bench/path_tracer.py --hand --random 60 --keep tests/reference/converged.json` makes them anew.
"""

import json
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


def scene_of(name: str) -> Scene:
    """The staging by hand, or the one of 'random SEED'."""
    return random_scene(int(name.split()[1])) if name.startswith("random ") else hand_scenes()[name]


def test_every_hand_made_staging_has_a_reference() -> None:
    """None is left out because it would miss."""
    assert set(hand_scenes()) <= set(KEPT)


@pytest.mark.parametrize("name", KEPT)
def test_engine_is_within_a_twentieth_stop_of_the_converged_reference(name: str) -> None:
    """At every point that gets more than 1/64 of the key reading, within 0.05 stop and three standard errors
    of the reference, which is of this very scene.
    """
    scene, kept = scene_of(name), KEPT[name]
    assert digest(json.loads(json.dumps(scene_json(scene)))) == kept["digest"], "the staging has changed"
    wanted, noise = np.array(kept["total_lx_s"]), np.array(kept["se_stops"])
    direct, bounced = as_set(solve(scene), np.array([lamp.power for lamp in scene.emitters]))
    names = [point.name for point in scene.points]
    relevant = wanted > RELEVANT_FROM * wanted[key_index(names, wanted)]
    errors = np.abs(np.log2((direct + bounced.sum(axis=1))[relevant] / wanted[relevant]))
    over = errors - 3 * noise[relevant] > LIMIT_STOPS
    assert not over.any(), [
        f"{point}: {error:.3f}" for point, error in zip(np.array(names)[relevant], errors, strict=True)
    ]
