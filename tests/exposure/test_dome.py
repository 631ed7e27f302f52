"""The dome as the head hides it, against a dome made of flat elements in the path tracer."""

import json
import math
from dataclasses import replace

import numpy as np

from exposure.sets import WHITE, room, scene
from reference.mitsuba_scene import SCALAR
from reference.path_tracer import Effort, trace
from thirdstop.exposure.transport import solve
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.scene import scene_json
from thirdstop.typed import Array

RADIUS_M = 0.008
RINGS, AROUND = 3, 6
FEW = Effort(se_stops=1.0, max_paths=800, paths_a_round=25)
"""Each facet is noisy; their sum is not."""


def facets(dome: MeasuringPoint) -> tuple[tuple[MeasuringPoint, ...], Array]:
    """Pieces of a small hemisphere about a dome's place, each a flat receptor that looks outward, and their
    shares of its area: rings at Gauss's heights, which divide a sphere's area evenly (Archimedes).
    """
    nodes, weights = np.polynomial.legendre.leggauss(RINGS)
    height = np.repeat((nodes + 1) / 2, AROUND)
    steps = np.tile(np.arange(AROUND), RINGS) + 0.5 * np.repeat(np.arange(RINGS) % 2, AROUND)
    turn, flat = 2 * np.pi * steps / AROUND, np.sqrt(1 - height**2)
    local = np.stack([flat * np.cos(turn), flat * np.sin(turn), height], axis=1)
    across = np.linalg.svd(dome.direction[None])[2][1:]
    outward: Array = local @ np.vstack([across, dome.direction])
    points = tuple(
        MeasuringPoint(f"facet {k}", dome.place_m + RADIUS_M * n, n, "flat") for k, n in enumerate(outward)
    )
    return points, np.repeat(weights / 2, AROUND) / AROUND


def test_a_dome_under_the_chin_is_a_dome_of_flat_pieces() -> None:
    """A hemisphere of flat elements collects ∫E dA/πR², twice their mean; head and chest hide what they hide
    of it. The path tracer knows nothing of cardioids. So few pieces are worth 0.01 stop.
    """
    whole = scene(walls=room(WHITE))
    (dome,) = (p for p in whole.points if p.receptor == "dome")
    here = replace(whole, points=(dome,))
    points, shares = facets(dome)
    found = trace(json.loads(json.dumps(scene_json(replace(here, points=points)))), FEW, variant=SCALAR)
    collected = 2 * float(shares @ found.total_lx_s[0])
    noise = 2 * float(np.linalg.norm(shares * found.se_total_lx_s[0]))
    engine = float(solve(here).total_lx_s[0, 0])

    assert noise < 0.01 * collected
    assert abs(math.log2(engine / collected)) < 0.03 + 3 * math.log2(1 + noise / collected)
