"""Loads over heads: gaps on the floor plan by hand."""

import pytest

from checks import samples
from thirdstop.checks import overhead
from thirdstop.checks.findings import Finding
from thirdstop.staging.staging import SitterPlace, Support
from thirdstop.staging.vectors import vec


def _key(gap_m: float, boom: bool = True, height_m: float = 1.9, side_m: float = 0.6) -> samples.Thing:
    """An upright lamp, 0.6 m square, whose plane is `gap_m` in front of the head's circle."""
    y_m = 0.12 - overhead.HEAD_RADIUS_M / 0.99144486 - gap_m
    load = vec(0.0, y_m, height_m)
    base = vec(1.2, y_m, 0.0) if boom else vec(0.0, y_m, 0.0)
    support = Support(
        "stand", base, base + vec(0, 0, height_m), 0.5, 5.0, load, 3.0, "boom" if boom else None, 1.5, 1.2
    )
    return samples.lamp(
        centre_m=load,
        normal=vec(0, 1, 0),
        width_m=side_m,
        height_m=side_m,
        outline="rectangle",
        support=support,
    )


def _findings(key: samples.Thing, who: SitterPlace | None = None) -> list[Finding]:
    people = [who or samples.sitter()]
    return overhead.run(samples.staging(key, sitters=people), samples.readings())


@pytest.mark.parametrize(("gap_m", "verdict"), [(0.29, "look"), (0.32, "pass")])
def test_thirty_centimetres_on_the_plan(gap_m: float, verdict: str) -> None:
    """A boom and its load come as near as 30 cm to the circle of the head."""
    assert _findings(_key(gap_m))[0].verdict == verdict


def test_over_a_head_asks_for_a_safety_line() -> None:
    """Straight over the head a rated safety line is demanded."""
    (found,) = _findings(_key(-0.12))
    assert found.verdict == "look"
    assert found.safety
    assert "over the head" in found.text
    assert "safety line" in found.remedy


def test_a_gap_that_rounds_to_nothing_is_over_the_head() -> None:
    """1 cm would be told as '0 in' in feet; 10 cm has its number, and both name whose head it is."""
    assert "hangs over the head of 'sitter';" in _findings(_key(0.01))[0].text
    told = _findings(_key(0.105))[0].text.replace("\u00a0", " ")
    assert "hangs within 10 cm of the head of 'sitter' on the floor plan;" in told


@pytest.mark.parametrize(("eye_height_m", "verdict"), [(1.34, "halt"), (1.35, "look")])
def test_a_standing_child_counts_too(eye_height_m: float, verdict: str) -> None:
    """Eyes at 1.34 m standing are a child's, at 1.35 m a short adult's."""
    who = samples.sitter(nose_m=vec(0, 0, eye_height_m - 0.02), eye_height_m=eye_height_m, pose="standing")
    assert _findings(_key(0.1), who)[0].verdict == verdict


def test_boom_over_a_child_is_a_halt() -> None:
    """Eyes at 0.99 m seated are a child's, at 1.00 m not."""
    child = samples.sitter(nose_m=vec(0, 0, 0.97), eye_height_m=0.99)
    assert _findings(_key(0.1), child)[0].verdict == "halt"
    assert _findings(_key(0.1, boom=False), child)[0].verdict == "look"
    assert _findings(_key(0.1), samples.sitter(eye_height_m=1.0))[0].verdict == "look"


def test_what_stays_under_the_crown_does_not_count() -> None:
    """A lamp whose upper edge is below the crown (1.33 m) can't fall on the head."""
    assert _findings(_key(0.1, boom=False, height_m=0.9))[0].verdict == "pass"


def test_the_arm_counts_as_well_as_the_load() -> None:
    """A boom that crosses over the head with its load beyond it is over the head."""
    load = vec(-0.9, 0.12, 2.0)
    base = vec(1.2, 0.12, 0.0)
    support = Support("stand", base, base + vec(0, 0, 2.0), 0.5, 5.0, load, 3.0, "boom", 1.5, 2.1)
    key = samples.lamp(centre_m=load, normal=vec(1, 0, -0.5), width_m=0.3, height_m=0.3, support=support)
    assert "over the head" in _findings(key)[0].text


@pytest.mark.parametrize(("over", "verdict"), [(False, "pass"), (True, "look")])
def test_card_beside_a_face_is_no_load_over_it(over: bool, verdict: str) -> None:
    """A card on its own stand 15 cm from the head is where cards stand; over the head it counts."""
    place = vec(0.0, 0.12, 1.6) if over else vec(-0.27, 0.12, 1.3)
    support = Support("stand", vec(-1, 0.12, 0), vec(-1, 0.12, 1.3), 0.45, 2.0, place, 0.9)
    card = samples.panel(
        centre_m=place,
        normal=vec(0, 0, -1) if over else vec(1, 0, 0),
        width_m=0.6,
        height_m=0.9,
        support=support,
    )
    assert overhead.run(samples.staging(samples.lamp(), card), samples.readings())[0].verdict == verdict


def test_a_pass_says_how_near_it_came() -> None:
    """A lamp whose outline is 35 cm from the circle about the head keeps 5 cm more than is wanted."""
    found = _findings(_key(0.35))[0]
    assert found.verdict == "pass"
    assert found.margin == pytest.approx(0.05)
    assert "keeps 35 cm" in found.text
