"""What has no stand: on a lap, on the floor, in somebody's hands, or held by nothing."""

from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks import held
from thirdstop.checks.findings import Finding
from thirdstop.staging.staging import Kind, Staging, Support
from thirdstop.staging.vectors import vec

SEAT_M = 0.48
"""So that a lap is 0.65 m high."""


def _staged(
    height_m: float, toward_m: float = 0.5, tall_m: float = 0.4, pose: str = "seated", kind: Kind = "card"
) -> Staging:
    centre, normal = vec(0.0, -toward_m, height_m), vec(0, 1, 0)
    thing = samples.panel(name="it", kind=kind, centre_m=centre, normal=normal, width_m=0.6, height_m=tall_m)
    who = replace(samples.sitter(), seat_height_m=SEAT_M if pose == "seated" else None)
    return samples.staging(samples.lamp(), thing, sitters=[who])


def _of(staging: Staging, name: str = "it") -> Finding:
    (found,) = (one for one in held.run(staging, samples.readings()) if one.about == name)
    return found


@pytest.mark.parametrize(("height_m", "verdict"), [(0.995, "pass"), (1.005, "look")])
def test_a_lap_holds_what_begins_just_over_it(height_m: float, verdict: str) -> None:
    """A panel 0.4 m tall whose lower edge is 15 cm over the lap, 0.80 m, has its middle at 1.00 m."""
    found = _of(_staged(height_m))
    assert found.verdict == verdict
    assert found.limit == pytest.approx(0.80)


def test_a_flag_at_the_height_of_the_face_is_held_by_nothing() -> None:
    """At 1.30 m and 58 cm before the nose, as tall as it may be: a lap doesn't hold it there."""
    for tall_m in (0.3, 0.9, 1.3):
        found = _of(_staged(1.3, toward_m=0.58, tall_m=tall_m, kind="blocker"))
        assert found.verdict == "look"
        assert found.text.startswith("Nothing holds the blocker 'it', 1.30 m high")
        assert "held_by" in found.remedy


@pytest.mark.parametrize(("toward_m", "verdict"), [(0.74, "pass"), (0.76, "look")])
def test_out_of_reach_nobody_holds_it(toward_m: float, verdict: str) -> None:
    """An arm's length on the plan."""
    assert _of(_staged(0.8, toward_m)).verdict == verdict


def test_who_stands_has_no_lap() -> None:
    """The same panel before somebody who stands."""
    assert _of(_staged(0.8, pose="standing")).verdict == "look"


@pytest.mark.parametrize(("height_m", "verdict"), [(0.05, "pass"), (0.13, "look")])
def test_what_lies_on_the_floor_needs_nobody(height_m: float, verdict: str) -> None:
    """No part of it over 10 cm, far from everybody."""
    assert _of(_staged(height_m, toward_m=1.5, tall_m=0.08)).verdict == verdict


def test_the_recipe_says_who_holds_it() -> None:
    """Then it is no matter how high it is; of a lamp as of a panel."""
    staging = _staged(1.8, toward_m=1.5)
    assert _of(staging, "key").verdict == "look"
    items = tuple(replace(item, held_by="an assistant") for item in staging.items)

    staging = replace(staging, items=items)

    assert {_of(staging, name).verdict for name in ("it", "key")} == {"pass"}
    assert "an assistant" in _of(staging).text


def test_what_stands_is_no_matter_of_this_check() -> None:
    """A thing with a stand is told of elsewhere."""
    support = Support("stand", vec(0, -0.5, 0), vec(0, -0.5, 1.3), 0.5, 5.0, vec(0, -0.5, 1.3), 1.0)
    staging = _staged(1.3)
    assert _of(staging).verdict == "look"

    items = tuple(replace(item, support=support) for item in staging.items)

    assert held.run(replace(staging, items=items), samples.readings()) == []
