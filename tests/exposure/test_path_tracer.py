"""The engine against a general path tracer that shares none of its code."""

import json
from dataclasses import replace

import pytest

from reference.comparison import Row, rows
from reference.mitsuba_scene import SCALAR
from reference.path_tracer import Effort, trace
from reference.scenes import hand_scenes
from thirdstop.exposure.transport import solve
from thirdstop.staging.scene import scene_json

LIMIT_STOPS = 0.05
QUICK = Effort(se_stops=0.008, max_paths=240_000, paths_a_round=12_000)
"""Some seconds a case in the scalar variant; the noise that is left is allowed for, three times over."""

CASES = {
    "white card": {"right cheek", "left cheek", "under chin", "chin dome"},
    "silver in mirror direction": {"right cheek", "left cheek", "chin dome", "backdrop behind head"},
    "translucent panel": {"left cheek", "right eye", "chin dome", "chest"},
    "flag penumbra": {"left cheek", "forehead", "left eye", "backdrop edge"},
    "net before face": {"left cheek", "right cheek", "under chin", "chin dome"},
    "gridded strip": {"right cheek", "left cheek", "chin dome", "backdrop behind head"},
}
"""Staging and points: bounce, mirror light, transmitted light, half shadow, net, directional lamps."""


def compared(name: str) -> list[Row]:
    """The rows of one staging at its chosen points."""
    scene = hand_scenes()[name]
    scene = replace(scene, points=tuple(p for p in scene.points if p.name in CASES[name]))
    assert len(scene.points) == len(CASES[name])
    reference = trace(json.loads(json.dumps(scene_json(scene))), QUICK, variant=SCALAR)
    return rows(name, scene, solve(scene), reference)


@pytest.mark.parametrize("name", CASES)
def test_engine_is_within_a_twentieth_stop_of_the_path_tracer(name: str) -> None:
    """At every point the engine's total differs by at most 0.05 stop and three standard errors of the
    reference, which themselves stay under 0.015 stop.
    """
    for row in compared(name):
        assert row.se_stops < 0.015, row
        assert abs(row.error_stops) <= LIMIT_STOPS + 3 * row.se_stops, row
