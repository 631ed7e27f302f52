"""Stand and boom against moments worked out by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import statics, tipping
from thirdstop.checks.findings import Finding
from thirdstop.constants import GRAVITY_M_S2
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec

# A stand of 5 kg, leg reach 0.5 m, boom 1.5 kg with its middle 0.30 m out, head 3 kg 1.00 m out, g = 9.80665:
# about the edge at 0.25 m between two legs 1.5·0.05·g + 3·0.75·g overturn, 5·0.25·g restores.
EXAMPLE = tipping.Masses(np.array([5.0, 1.5, 3.0]), np.array([(0, 0), (0.3, 0), (1.0, 0)]), 0.5)


def test_boom_between_two_legs() -> None:
    """Overturning 22.800461 N·m, restoring 12.258313 N·m, ratio 0.537634: it tips."""
    moments = tipping.weakest(EXAMPLE)
    assert moments.overturning == pytest.approx(22.800461, abs=1e-6)
    assert moments.restoring == pytest.approx(12.258313, abs=1e-6)
    assert moments.ratio == pytest.approx(0.537634, abs=1e-6)


def test_boom_over_a_leg() -> None:
    """The edges beside a leg under the load lie 60° off: 7.354988 against 13.729310 N·m, ratio 1.866667."""
    moments = tipping.with_leg_under_load(EXAMPLE)
    assert moments.overturning == pytest.approx(7.354988, abs=1e-6)
    assert moments.restoring == pytest.approx(13.729310, abs=1e-6)
    assert moments.ratio == pytest.approx(1.866667, abs=1e-6)


@pytest.mark.parametrize(("ratio", "bag_kg"), [(1.0, 4.3), (1.5, 8.95)])
def test_bag_at_the_column(ratio: float, bag_kg: float) -> None:
    """4.3 kg at the column balances the example, 8.95 kg gives a ratio of 1.5."""
    assert tipping.bag_for_kg(EXAMPLE, 2.0, ratio, 0.0) == pytest.approx(bag_kg)


@pytest.mark.parametrize(("bag_kg", "push_n"), [(0, 8.172208), (5, 13.279839), (10, 18.387469)])
def test_push_on_a_centred_stand(bag_kg: float, push_n: float) -> None:
    """8 kg on a leg reach of 0.5 m pushed at 2.4 m: m·g·0.25/2.4 in the weak direction."""
    masses = tipping.Masses(np.array([8.0 + bag_kg]), np.zeros((1, 2)), 0.5)
    assert tipping.push_n(tipping.weakest(masses), 2.4) == pytest.approx(push_n, abs=1e-6)


@pytest.mark.parametrize(("bag_kg", "push_n"), [(0, 4.5), (10, 17.4)])
def test_push_of_a_light_stand(bag_kg: float, push_n: float) -> None:
    """3.5 kg at 1.9 m, leg reach 0.5 m: 4.5 N without a bag, 17 N with 10 kg."""
    masses = tipping.Masses(np.array([3.5 + bag_kg]), np.zeros((1, 2)), 0.5)
    assert tipping.push_n(tipping.weakest(masses), 1.9) == pytest.approx(push_n, abs=0.05)


def _support(
    load_kg: float = 3.0,
    reach_m: float = 1.0,
    bag_kg: float = 0.0,
    rear_m: float = 0.4,
    height_m: float = 2.0,
) -> Support:
    """A boom of 1.5 kg on a stand of 5 kg; with reach 1.0 and rear 0.4 its middle is 0.30 m out."""
    return Support(
        stand="stand",
        base_m=vec(0.5, 0, 0),
        column_top_m=vec(0.5, 0, height_m),
        leg_reach_m=0.5,
        stand_mass_kg=5.0,
        load_m=vec(0.5 - reach_m, 0, height_m),
        load_mass_kg=load_kg,
        boom="boom" if reach_m else None,
        boom_mass_kg=1.5 if reach_m else 0.0,
        boom_reach_m=reach_m,
        boom_rear_m=rear_m,
        bag_mass_kg=bag_kg,
    )


def _findings(support: Support) -> list[Finding]:
    key = samples.lamp(centre_m=support.load_m, normal=vec(0, 1, 0), support=support)
    return statics.run(samples.staging(key), samples.readings())


def test_a_staged_boom_is_the_example() -> None:
    """The masses read off a staging give the example's moments."""
    moments = tipping.weakest(tipping.masses_of(_support()))
    assert moments.overturning == pytest.approx(22.800461, abs=1e-6)
    assert moments.restoring == pytest.approx(12.258313, abs=1e-6)


@pytest.mark.parametrize(("bag_kg", "verdict"), [(4.2, "halt"), (4.4, "look"), (8.9, "look"), (20.0, "pass")])
def test_halt_below_one_look_below_one_and_a_half(bag_kg: float, verdict: str) -> None:
    """The example tips by itself under 4.3 kg and has a ratio under 1.5 below 8.95 kg."""
    found = _findings(_support(bag_kg=bag_kg))[0]
    assert found.verdict == verdict
    assert found.safety


def test_halt_names_the_bag_that_meets_both_limits() -> None:
    """15 N at 2.0 m needs (30 + 22.80 − 12.26)/2.4517 = 16.54 kg, so 17 kg, more than 8.95 kg."""
    found = _findings(_support())[0]
    assert "at least 17.0 kg" in found.remedy
    assert _findings(_support(bag_kg=17.0))[0].verdict == "pass"
    assert _findings(_support(bag_kg=16.5))[0].verdict == "look"


def test_straight_stand_is_judged_by_its_push() -> None:
    """8 kg at 1.9 m on a straight stand: 10.3 N, a look; 4 kg more give 15.5 N, a pass."""
    assert _findings(_support(3.0, 0.0, 0.0, 0.0, 1.9))[0].verdict == "look"
    assert _findings(_support(3.0, 0.0, 4.0, 0.0, 1.9))[0].verdict == "pass"


def test_every_sentence_defers() -> None:
    """Every finding on statics calls itself an estimate and puts the maker's rating first."""
    for bag_kg in (0.0, 5.0, 20.0):
        for found in _findings(_support(bag_kg=bag_kg)):
            assert (
                "Static estimate; the maker's rating, local codes and licensed practice come first."
                in found.text
            )


def test_counterweight_on_the_boom() -> None:
    """With 8.625 kg at 0.4 m the boom is balanced and the pull lies over the column; 9 kg leave 0.15 kg·m."""
    balanced = replace(_support(), counterweight_kg=8.625)
    assert tipping.boom_moment_kg_m(balanced) == pytest.approx(0.0, abs=1e-9)
    pull = tipping.masses_of(balanced)
    assert pull.mass_kg @ pull.place_m == pytest.approx([0.0, 0.0], abs=1e-9)
    boom = _findings(replace(_support(), counterweight_kg=9.0))[1]
    assert boom.verdict == "pass"
    assert f"{0.15 * GRAVITY_M_S2:.1f} N·m" in boom.text


def test_needed_counterweight_does_not_depend_on_what_hangs() -> None:
    """The named mass is the whole counterweight, whatever part of it is stated."""
    for hung_kg in (0.0, 3.0, 8.625):
        support = replace(_support(), counterweight_kg=hung_kg)
        assert tipping.counterweight_kg(support) == pytest.approx(8.625)
        masses = tipping.balanced_masses(support)
        assert masses is not None
        assert masses.mass_kg.sum() == pytest.approx(5.0 + 1.5 + 3.0 + 8.625)


@pytest.mark.parametrize(("bag_kg", "verdict"), [(4.2, "look"), (4.4, "pass")])
def test_half_rigged_boom(bag_kg: float, verdict: str) -> None:
    """Before its counterweight is on, the balanced example is the example: it needs 4.3 kg not to tip.

    With only 8.625 kg at 0.4 m behind, 8.625·0.15 kg·m tips it and 5·0.25 + 1.5·0.55 holds it.
    """
    support = replace(_support(bag_kg=bag_kg), counterweight_kg=8.625)
    rigging = _findings(support)[2]
    assert rigging.verdict == verdict
    assert rigging.safety
    states = tipping.while_rigging(replace(support, bag_mass_kg=0.0))
    rear = tipping.weakest(states["the counterweight is on and the load is off"])
    assert rear.overturning == pytest.approx(8.625 * 0.15 * GRAVITY_M_S2)
    assert rear.restoring == pytest.approx((5 * 0.25 + 1.5 * 0.55) * GRAVITY_M_S2)


def test_boom_balance_by_the_lever() -> None:
    """2.5 kg at 1.2 m is balanced by 5 kg at 0.6 m, the weightless arm's lever law."""
    light = Support("s", vec(0, 0, 0), vec(0, 0, 2), 0.5, 5.0, vec(1.2, 0, 2), 2.5, "boom", 0.0, 1.2, 0.6)
    assert tipping.counterweight_kg(light) == pytest.approx(5.0)


def test_counterweight_counts_the_arm_itself() -> None:
    """3 kg at 1.0 m and 1.5 kg at 0.3 m want (3 + 0.45)/0.4 = 8.625 kg, so 9 kg."""
    boom = _findings(_support())[1]
    assert boom.verdict == "look"
    assert "9.0 kg at its rear end, 40 cm" in boom.remedy
    assert f"{3.45 * GRAVITY_M_S2:.1f} N·m" in boom.text


def test_weakest_direction_is_the_worst_of_all() -> None:
    """No direction of the edge leaves less than the weakest one, for a load off to a corner."""
    masses = tipping.Masses(np.array([4.0, 2.0]), np.array([(0, 0), (0.33, 0.52)]), 0.6)
    found = tipping.weakest(masses).net
    assert all(tipping.about_edge(masses, angle).net >= found - 1e-9 for angle in np.linspace(0, 360, 1441))
    assert found == pytest.approx(GRAVITY_M_S2 * (6 * 0.3 - 2 * math.hypot(0.33, 0.52)))


def test_balanced_boom_still_has_its_load_far_out() -> None:
    """Balanced, nothing pulls to any side, yet along the boom the load is over the edge.

    3·0.75 + 1.5·0.05 kg·m tip it; 5·0.25 + 8.625·0.65 hold it: ratio 2.949. The push needs all 18.125 kg.
    """
    masses = tipping.masses_of(replace(_support(), counterweight_kg=8.625))
    along = tipping.least_ratio(masses)
    assert along.overturning == pytest.approx((3 * 0.75 + 1.5 * 0.05) * GRAVITY_M_S2)
    assert along.ratio == pytest.approx((5 * 0.25 + 8.625 * 0.65) / (3 * 0.75 + 1.5 * 0.05))
    assert tipping.push_n(tipping.weakest(masses), 2.0) == pytest.approx(18.125 * GRAVITY_M_S2 * 0.25 / 2.0)


def test_leg_under_the_load_of_a_balanced_boom() -> None:
    """The leg goes under the load though nothing pulls there; the edge behind is then the worst."""
    masses = tipping.masses_of(replace(_support(), counterweight_kg=8.625))
    beside = tipping.with_leg_under_load(masses)
    # behind, straight away from the load, the counterweight at 0.4 m is 0.15 m over the edge
    assert beside.overturning == pytest.approx(8.625 * 0.15 * GRAVITY_M_S2)
    assert beside.restoring == pytest.approx((5 * 0.25 + 1.5 * 0.55 + 3 * 1.25) * GRAVITY_M_S2)


def test_least_ratio_is_the_least_of_all() -> None:
    """No direction of the edge has a smaller ratio, but for the quarter degree by which they are tried."""
    masses = tipping.Masses(np.array([4.0, 2.0, 1.5]), np.array([(0, 0), (0.33, 0.52), (-0.7, 0.1)]), 0.6)
    found = tipping.least_ratio(masses).ratio
    assert all(
        tipping.about_edge(masses, angle).ratio >= found * (1 - 1e-4) for angle in np.linspace(0, 360, 1441)
    )


def test_a_bag_on_the_leg_holds_nothing_over_the_edge_across_it() -> None:
    """Half-way out on the leg under the load the bag hangs over the line through R/2 across that leg.

    So 10 kg there leave the example at its ratio without a bag, 0.537634; on the column they give more.
    """
    on_leg = replace(_support(bag_kg=10.0), bag_on="leg")
    assert tipping.weakest(tipping.masses_of(on_leg)).ratio == pytest.approx(0.537634, abs=1e-6)
    on_column = tipping.weakest(tipping.masses_of(_support(bag_kg=10.0)))
    assert on_column.restoring - 12.258313 == pytest.approx(10 * GRAVITY_M_S2 * 0.25, abs=1e-6)
    assert _findings(on_leg)[0].verdict == "halt"


def test_a_bag_on_the_leg_beside_a_leg_under_the_load() -> None:
    """Over the edges 60° beside that leg it has half the column's arm: R/2 − R/2 · cos 60° = R/4."""
    bare = tipping.masses_of(_support())
    on_leg = tipping.masses_of(replace(_support(bag_kg=10.0), bag_on="leg"))
    gained = tipping.about_edge(on_leg, 120.0).restoring - tipping.about_edge(bare, 120.0).restoring
    assert gained == pytest.approx(10 * GRAVITY_M_S2 * 0.125)


def test_a_bag_on_the_leg_of_a_straight_stand() -> None:
    """8 kg with the load over the column, pushed at 2.4 m: 10 kg on a leg leave the push at 8.172208 N."""
    plain = replace(_support(3.0, 0.0, 10.0, 0.0, 2.4), bag_on="leg")
    push = tipping.push_n(tipping.weakest(tipping.masses_of(plain)), 2.4)
    assert push == pytest.approx(8.172208, abs=1e-6)
    assert "half-way out on a leg" in _findings(plain)[0].text


def test_sentence_names_where_the_leg_points() -> None:
    """The example's boom reaches to camera-left, so its leg does too: 90° from the line to the camera."""
    assert "One leg goes under the load: it points 90° camera-left" in _findings(_support())[0].text
    assert "One leg" not in _findings(_support(3.0, 0.0, 10.0, 0.0, 1.9))[0].text


def test_the_bag_beside_a_counterweight_holds_until_both_are_on() -> None:
    """The example needs 4.3 kg, so 4.5 kg, while its load is on alone, whatever is enough at rest."""
    balanced = statics.bag_with_balance_kg(_support())
    alone = replace(_support(), counterweight_kg=8.625, bag_mass_kg=4.5)

    assert balanced is not None
    assert balanced >= 4.5
    assert all(tipping.least_ratio(masses).ratio >= 1.0 for masses in tipping.while_rigging(alone).values())
    assert f"({balanced:.1f} kg are enough once the boom is balanced" in _findings(_support())[0].remedy


def test_a_load_near_the_knuckle_wants_nothing_at_the_rear_end() -> None:
    """2 kg at 0.1 m against 1.5 kg with its middle 0.15 m behind: 0.025 kg·m to the rear, bare."""
    support = replace(_support(load_kg=2.0, reach_m=0.1), counterweight_kg=3.0)
    assert tipping.boom_moment_kg_m(support) == pytest.approx(0.2 - 0.225 - 3.0 * 0.4)
    found = next(one for one in _findings(support) if one.about == "key: boom")

    assert found.verdict == "look"
    assert found.remedy == (
        "Hang nothing at its rear end: so near its knuckle the load needs no counterweight; or let its load "
        "hang farther out, or use a straight stand."
    )


def test_a_rear_end_that_is_too_heavy_by_itself() -> None:
    """1.5 kg with its middle 0.45 m behind the knuckle against 0.5 kg at 0.1 m: 6.1 N·m to the rear."""
    support = _support(load_kg=0.5, reach_m=0.1, rear_m=1.0)
    assert tipping.boom_moment_kg_m(support) * GRAVITY_M_S2 == pytest.approx(-0.625 * GRAVITY_M_S2)
    found = next(one for one in _findings(support) if one.about == "key: boom")

    assert found.remedy == (
        "Its rear end is too heavy with nothing on it: let its load hang farther out, or use a straight "
        "stand."
    )
