"""The path tracer itself against what is known without a renderer."""

import numpy as np
import pytest

from reference.closed_forms import ClosedForm, closed_forms, discs, furnace, metallised
from reference.mitsuba_scene import SCALAR, lobe_albedo
from reference.path_tracer import Effort, Reference, trace

QUICK = Effort(se_stops=0.003, max_paths=40_000, paths_a_round=20_000)
ROUGH = Effort(se_stops=1.0, paths_a_round=3_000)


@pytest.mark.parametrize("case", closed_forms(), ids=lambda case: case.name)
def test_path_tracer_meets_the_closed_form(case: ClosedForm) -> None:
    """Every estimate lies within 3.5 of its own standard errors of the known value, and those are small.

    A ten-thousandth is allowed for lamps that the closed form takes as points, and for single precision.
    """
    found = trace(case.scene, QUICK, variant=SCALAR)
    wanted = np.array(case.wanted_lx_s)
    assert np.all(found.se_total_lx_s[0] < 0.015 * wanted)
    assert np.all(np.abs(found.total_lx_s[0] - wanted) <= 3.5 * found.se_total_lx_s[0] + 1e-4 * wanted)


@pytest.mark.parametrize("alpha", [0.1, 0.25, 0.4, 0.6])
def test_lobe_albedo_is_the_sum_over_directions(alpha: float) -> None:
    """The one-dimensional integral that scales the lobe equals the sum of the lobe over all directions."""
    up = np.array([[0.0, 0.0, 1.0]])
    scaled = metallised(1.0, alpha, 0.0)(up, up)[0]
    unscaled = 1 / (4 * np.pi * alpha**2)  # D/4 along the normal, Walter et al. (2007)
    assert lobe_albedo(alpha) == pytest.approx(unscaled / scaled, rel=1e-3)


def test_lamps_one_by_one_add_up_to_all_as_set() -> None:
    """Light adds: each lamp at full power, times its share, gives the sum as set; dark lamps still stand."""
    case = furnace()
    lamps = [lamp | {"power": 1 / (2 + k)} for k, lamp in enumerate(case.scene["emitters"])]
    scene = {**case.scene, "emitters": lamps}
    each = trace(scene, ROUGH, each_lamp=True, variant=SCALAR)
    together = trace(scene, ROUGH, variant=SCALAR)
    shares = np.array([lamp["power"] for lamp in lamps])
    error = np.hypot(together.se_total_lx_s[0], np.hypot.reduce(shares[:, None] * each.se_total_lx_s))
    assert np.all(np.abs(shares @ each.total_lx_s - together.total_lx_s[0]) <= 3.5 * error)


def test_split_by_last_surface_adds_up() -> None:
    """The direct share and the shares of all surfaces together are the total."""
    found = trace(furnace().scene, ROUGH, variant=SCALAR)
    np.testing.assert_allclose(found.direct_lx_s + found.bounced_lx_s.sum(axis=2), found.total_lx_s)


def test_same_seed_gives_the_same_numbers() -> None:
    """A reference can be repeated, and kept as JSON without loss."""
    first, second = (trace(discs().scene, ROUGH, variant=SCALAR, seed=7) for _ in range(2))
    np.testing.assert_array_equal(first.total_lx_s, second.total_lx_s)
    kept = Reference.from_json(first.to_json())
    np.testing.assert_array_equal(kept.se_bounced_lx_s, first.se_bounced_lx_s)
    assert kept.points == first.points


def test_standard_error_is_honest() -> None:
    """Over many seeds the distance from the truth is as often within one standard error as it should be."""
    case = discs()
    z = np.concatenate(
        [
            (found.total_lx_s[0] - case.wanted_lx_s) / found.se_total_lx_s[0]
            for found in (trace(case.scene, ROUGH, variant=SCALAR, seed=seed) for seed in range(12))
        ]
    )
    assert 0.7 < np.sqrt(np.mean(z**2)) < 1.35


def test_net_of_metal_is_refused() -> None:
    """What the reference can't do exactly it refuses: a net is matte."""
    case = furnace()
    silver = {"kind": "metallised", "reflectance": 0.8, "ggx_alpha": 0.3, "matte_share": 0.1}
    panels = [panel | {"front": silver, "back": silver} for panel in case.scene["panels"]]
    with pytest.raises(NotImplementedError, match="not matte"):
        trace({**case.scene, "panels": panels}, QUICK, variant=SCALAR)
