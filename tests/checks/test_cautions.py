"""Cautions follow the rig."""

from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks.cautions import DEFER, cautions
from thirdstop.staging.materials import Metallised
from thirdstop.staging.shapes import Beam
from thirdstop.staging.staging import Staging, Support
from thirdstop.staging.vectors import vec


def _support(boom: bool = True) -> Support:
    base = vec(1.2, -0.8, 0)
    return Support(
        "stand",
        base,
        vec(1.2, -0.8, 2),
        0.5,
        5.0,
        vec(0.7, -0.8, 1.8),
        3.0,
        "boom" if boom else None,
        1.5,
        0.6,
    )


def _all(staging: Staging) -> str:
    return " ".join(cautions(staging))


def test_always_there() -> None:
    """Sensitivity to flashing light, the rhythm, leads, the walkway, the stop word; deferring comes last."""
    lines = cautions(samples.staging())
    text = " ".join(lines)
    for words in ("flashing light", "one flash a second", "leads", "walkway", "stop word", "dark"):
        assert words in text
    assert lines[-1] == DEFER


def test_boom_and_bag() -> None:
    """A boom brings its own cautions and the mass of its bag; a bare stand only the legs' and the bag's."""
    rigged = _all(samples.staging(samples.lamp(support=_support())))
    plain = _all(samples.staging(samples.lamp(support=_support(boom=False))))
    assert "Balance the boom" in rigged
    assert "kg on the column" in rigged
    assert "Balance the boom" not in plain
    assert "Spread the legs" in plain
    assert "Spread the legs" not in _all(samples.staging())


def test_safety_line_when_a_boom_comes_near_a_head() -> None:
    """The line is demanded where the boom is within 30 cm of the head on the plan."""
    near = replace(_support(), load_m=vec(0.0, 0.12, 2.0))
    rig = samples.lamp(centre_m=vec(0, 0.12, 2.0), normal=vec(0, 0, -1), support=near)
    assert "This boom comes over or near a head: look for another way first" in _all(samples.staging(rig))


def test_child() -> None:
    """Seated eyes under 1 m are a child's: carer, reach, no boom."""
    child = samples.sitter(nose_m=vec(0, 0, 0.85), eye_height_m=0.87)
    assert "carer" in _all(samples.staging(sitters=[child]))
    assert "carer" not in _all(samples.staging())


@pytest.mark.parametrize(
    ("named", "mains", "lines"),
    [
        ("mains 500", None, {"mains"}),
        ("battery 400", None, {"battery"}),
        ("studio 500", None, {"mains", "battery"}),
        ("studio 500", True, {"mains"}),
        ("studio 500", False, {"battery"}),
    ],
)
def test_mains_and_battery(named: str, mains: bool | None, lines: set[str]) -> None:
    """What the studio states wins, then the lamp's name; where neither tells, both cautions stand."""
    staging = samples.staging(samples.lamp(group=named))
    staging = replace(staging, lamps=(replace(staging.lamps[0], mains=mains),))
    text = _all(staging)
    assert {"mains"} & lines == ({"mains"} if "residual-current" in text else set())
    assert {"battery"} & lines == ({"battery"} if "charger" in text else set())


def test_modelling_lamp() -> None:
    """A modelling lamp that is on is hot."""
    assert "modelling lamp is hot" in _all(samples.staging(samples.lamp(modelling=True)))
    assert "modelling lamp is hot" not in _all(samples.staging())


def test_card_near_a_face() -> None:
    """A card whose edge is 50 cm from an eye is near, one at 90 cm is not."""
    near = samples.panel(centre_m=vec(-0.53, 0.02, 1.22), normal=vec(1, 0, 0))
    far = samples.panel(centre_m=vec(-0.93, 0.02, 1.22), normal=vec(1, 0, 0))
    assert "edge of a card" in _all(samples.staging(near))
    assert "edge of a card" not in _all(samples.staging(far))


@pytest.mark.parametrize(("bag_kg", "lifts"), [(7.9, False), (8.0, True)])
def test_lifting(bag_kg: float, lifts: bool) -> None:
    """A rig whose heaviest bag is under 8 kg has no caution on lifting; a light load needs no more."""
    top = vec(1.2, -0.8, 0.8)
    support = Support("stand", vec(1.2, -0.8, 0), top, 0.5, 5.0, top, 1.0, bag_mass_kg=bag_kg)
    assert ("Lift bags" in _all(samples.staging(samples.lamp(support=support)))) == lifts


@pytest.mark.parametrize(("height_m", "steps"), [(1.99, False), (2.01, True)])
def test_steps_only_above_two_metres(height_m: float, steps: bool) -> None:
    """A lamp at 1.99 m is reached from the floor."""
    key = samples.lamp(centre_m=vec(0.7, -0.8, height_m))
    assert ("from steps" in _all(samples.staging(key))) == steps


def test_shiny_things_and_the_sun() -> None:
    """A silver card, or a dish, brings the caution; white cards and boxes don't."""
    silver = samples.panel(material=Metallised(0.8, 0.4, 0.2))
    dish = samples.lamp(emission=Beam(50.0))
    assert "sunlight" in _all(samples.staging(silver))
    assert "sunlight" in _all(samples.staging(dish))
    assert "sunlight" not in _all(samples.staging(samples.panel()))


def test_sources_are_named() -> None:
    """What has a source says so, in brackets."""
    text = _all(samples.staging(samples.lamp(group="mains 500")))
    for source in ("(Epilepsy Society)", "(IEC 62471, ICNIRP)", "(ISO 13732-1)", "(HSE GS50)"):
        assert source in text
