"""The bag and the counterweight that are needed, against moments worked out by hand."""

from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks import statics
from thirdstop.checks.cautions import cautions
from thirdstop.checks.weights import needed_bag_kg, needed_counterweight_kg
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec


def _boom(bag_kg: float = 0.0, counterweight_kg: float = 0.0, rear_m: float = 0.4) -> Support:
    """3 kg 1 m out on a boom of 1.5 kg with its middle 0.30 m out, on a stand of 5 kg, legs of 0.5 m."""
    return Support(
        stand="stand",
        base_m=vec(0.5, 0, 0),
        column_top_m=vec(0.5, 0, 2.0),
        leg_reach_m=0.5,
        stand_mass_kg=5.0,
        load_m=vec(-0.5, 0, 2.0),
        load_mass_kg=3.0,
        boom="boom",
        boom_mass_kg=1.5,
        boom_reach_m=1.0,
        boom_rear_m=rear_m,
        counterweight_kg=counterweight_kg,
        bag_mass_kg=bag_kg,
    )


@pytest.mark.parametrize(("hung_kg", "needed_kg"), [(0.0, 9.0), (8.0, 8.0), (8.625, 8.625), (11.0, 9.0)])
def test_a_boom_out_of_balance_needs_a_counterweight(hung_kg: float, needed_kg: float) -> None:
    """(3·1.0 + 1.5·0.3)/0.4 = 8.625 kg balance it, 9 kg to the half; 8 kg leave 2.5 N·m, within the limit.

    11 kg pull down at the rear end with 9.3 N·m: what balances it hangs there instead, as the finding says.
    """
    assert needed_counterweight_kg(_boom(counterweight_kg=hung_kg)) == needed_kg


def test_a_boom_without_a_rear_end_has_no_counterweight() -> None:
    """Nothing can hang there."""
    assert needed_counterweight_kg(replace(_boom(), boom_rear_m=0.0)) == 0.0


@pytest.mark.parametrize(("recipe_kg", "needed_kg"), [(0.0, 17.0), (10.0, 17.0), (17.0, 17.0), (20.0, 20.0)])
def test_a_bag_is_what_holds_it_as_written(recipe_kg: float, needed_kg: float) -> None:
    """The push of 15 N at 2 m asks for 16.54 kg, so 17 kg; a heavier one stays."""
    assert needed_bag_kg(_boom(bag_kg=recipe_kg)) == needed_kg


def test_a_bag_holds_it_while_the_counterweight_is_still_off() -> None:
    """Balanced, the stand needs less than with its load alone: (22.80 − 12.26)/2.4517 = 4.3 kg, so 4.5 kg."""
    light = _boom(counterweight_kg=8.625)
    assert statics.required_bag_kg(light) < 4.5
    assert needed_bag_kg(light) == 4.5


def test_with_the_needed_weights_nothing_is_left_to_say() -> None:
    """What the checks say of the example passes once both hang."""
    support = _boom(bag_kg=10.0)
    hung = replace(
        support, bag_mass_kg=needed_bag_kg(support), counterweight_kg=needed_counterweight_kg(support)
    )
    key = samples.lamp(centre_m=hung.load_m, normal=vec(0, 1, 0), support=hung)
    found = statics.run(samples.staging(key), samples.readings())
    assert [one.verdict for one in found] == ["pass"] * 3


def test_cautions_name_both_weights() -> None:
    """The same numbers as in the table."""
    support = _boom(bag_kg=10.0)
    key = samples.lamp(centre_m=support.load_m, normal=vec(0, 1, 0), support=support)
    said = " ".join(cautions(samples.staging(key)))
    assert "'key': at least 17.0 kg on the column" in said
    assert "'key': 9.0 kg at the boom's rear end." in said
