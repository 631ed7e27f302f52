"""Which readings to take: the sums against brute force, and a plan for one recipe of the demo."""

from itertools import pairwise

import numpy as np
import pytest

from staging.books import demo, loaded
from thirdstop.book.loading import load_model
from thirdstop.book.metering import Metering
from thirdstop.calibrating.candidates import candidates, used_by
from thirdstop.calibrating.plan_told import plan_words, to_fill_in, told
from thirdstop.calibrating.planning import Plan, Problem, cost, plan, problem
from thirdstop.calibrating.setups import stage_setups
from thirdstop.exposure.charging import charge
from thirdstop.staging.resolve import stage

RNG = np.random.default_rng(3)
SUM = Problem(
    quantities=(),
    slopes=RNG.standard_normal((5, 3)),
    noise=0.1 * np.eye(5) + 0.05,
    prior=np.diag([1.0, 0.5, 2.0]),
    targets=RNG.standard_normal((4, 3)),
    setup_of=(0, 0, 1, 1, 2),
)


@pytest.fixture(scope="module")
def plans() -> tuple[Problem, list[Plan]]:
    """For one recipe, ten and thirty minutes."""
    one, studio = loaded("01-"), demo().studio
    staging, faults = stage(one.recipe, studio, one.marks, one.slug)
    assert staging is not None, faults
    metering, setups = candidates(studio, used_by([one.recipe]))
    given = problem([(one.recipe, charge(staging))], setups, studio)
    return given, [plan(given, metering, minutes) for minutes in (10.0, 30.0)]


def test_variances_are_those_of_the_information_form() -> None:
    """After readings the covariance is (C⁻¹ + Jᵀ R⁻¹ J)⁻¹, here by the other form of the same sum."""
    taken = [0, 2, 3]
    j, r = SUM.slopes[taken], SUM.noise[np.ix_(taken, taken)]
    covariance = np.linalg.inv(np.linalg.inv(SUM.prior) + j.T @ np.linalg.solve(r, j))

    assert SUM.variances(taken) == pytest.approx(np.diag(SUM.targets @ covariance @ SUM.targets.T))
    assert SUM.variances([]) == pytest.approx(np.diag(SUM.targets @ SUM.prior @ SUM.targets.T))


def test_the_first_choice_is_the_best_for_its_minutes(plans: tuple[Problem, list[Plan]]) -> None:
    """No candidate takes more off the sum for a minute than the one chosen first; a set-up that stands
    already costs less.
    """
    given, (ten, _) = plans
    now = given.variances([]).sum()
    count = range(len(given.slopes))
    gains = [(now - given.variances([n]).sum()) / cost(given, [], n) for n in count]
    names = [(setup.name, reading.name) for setup in ten.metering.setups for reading in setup.readings]

    assert (ten.chosen[0].setup, ten.chosen[0].name) == names[int(np.argmax(gains))]
    assert cost(SUM, [0], 1) < cost(SUM, [0], 2)


def test_bands_shrink_with_every_reading(plans: tuple[Problem, list[Plan]]) -> None:
    """Each chosen reading narrows the key's or the ratio's band, never widens one, within the minutes."""
    for chosen in plans[1]:
        key = [chosen.key_band_stops, *(one.key_band_stops for one in chosen.chosen)]
        ratio = [chosen.ratio_band_stops, *(one.ratio_band_stops for one in chosen.chosen)]
        assert all(b <= a + 1e-12 for band in (key, ratio) for a, b in pairwise(band))
        assert key[-1] < 0.8 * key[0]
        assert chosen.chosen[-1].minutes <= chosen.minutes
    assert len(plans[1][1].chosen) > len(plans[1][0].chosen)


def test_a_book_with_a_white_card_reads_the_white_card(plans: tuple[Problem, list[Plan]]) -> None:
    """What a recipe doesn't use is not read; what makes its ratio is."""
    setups = [setup.name for setup in plans[1][1].setups]

    assert any("white" in name for name in setups)
    assert not any("silver" in name or "strip" in name for name in setups)


def test_plan_can_be_filled_in(plans: tuple[Problem, list[Plan]]) -> None:
    """The file of a plan is a file of readings as soon as the readings are put in, and not before."""
    text = to_fill_in(plans[1][1], "Readings", "2026-11-21")
    empty, _, faults = load_model(Metering, text, "a.yaml")
    assert empty is None
    assert len(faults) == len(plans[1][1].chosen)

    filled, marks, faults = load_model(Metering, text.replace("f/}", "f/8}"), "a.yaml")
    assert filled is not None, faults
    setups, faults = stage_setups(filled, demo().studio, marks)
    assert not faults
    assert sum(len(setup.taken) for setup in setups) == len(plans[1][1].chosen)


def test_page_in_words(plans: tuple[Problem, list[Plan]]) -> None:
    """The page names M from two walls, each thing's place, each reading, the gain, and the cautions."""
    text, words = told(plans[1]), plan_words(plans[1][0])

    assert "M: 1.5 m from the left wall, 1.5 m from the back wall. Nose height 1.2 m." in text
    assert "string 1.2 m, bearing 40° camera-right, height 1.6 m, aimed at the nose" in text
    assert "maker’s ratings" in text
    assert words.title.startswith("10 minutes: ")
    assert sum(len(setup.readings) for setup in words.setups) == len(plans[1][0].chosen)
