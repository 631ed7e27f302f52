"""From light to readings, on light that is made up."""

import math
from dataclasses import replace

import pytest

from exposure.sets import WHITE, panel, scene, vec
from exposure.stagings import CLICKS, lamp_place, staging, transport, two_lamps
from thirdstop.exposure.flash import power_of_click
from thirdstop.exposure.meter import read
from thirdstop.staging.staging import GuideNumberOutput, LampPlace, MeteredOutput, Staging, TargetPlace

# Points of the scene: left cheek, right cheek, chin dome, under chin, backdrop behind head.
KEY = [300.0, 40.0, 217.6, 60.0, 50.0]
BEHIND = [1.0, 2.0, 4.0, 1.0, 400.0]
FULL = power_of_click(CLICKS, CLICKS)


def test_f_numbers_at_a_stated_click() -> None:
    """At full power the readings are the light's own: 217.6 lx·s on a dome is f/8, 300 on a flat f/10.95."""
    here = staging(lamps=[lamp_place("key", CLICKS)])
    found = read(here, transport(here.scene, [KEY]))

    assert found["chin dome"].f_number == pytest.approx(8.0)
    assert found["chin dome"].stops_from_key == 0
    assert found["left cheek"].f_number == pytest.approx(math.sqrt(300 * 100 / 250))
    assert found["left cheek"].stops_from_key == pytest.approx(2 * math.log2(math.sqrt(120) / 8))
    assert found.key_point == "chin dome"
    assert found.lamps[0].shown == "shown 25"
    assert not found.lamps[0].predicted


@pytest.mark.parametrize(("aperture", "click"), [(8.0, 25), (5.6569, 22), (4.0, 19), (8.3, 25), (7.1, 24)])
def test_click_for_the_aperture(aperture: float, click: int) -> None:
    """The open key's click is the one whose key reading is nearest the aperture."""
    here = staging(aperture=aperture)
    found = read(here, transport(here.scene, [KEY]))

    assert found.lamps[0].click == click
    assert found.lamps[0].predicted
    assert abs(2 * math.log2(found["chin dome"].f_number / aperture)) <= 1 / 6 + 1e-6


def test_click_out_of_range() -> None:
    """A lamp that is too weak gets the click that it would need, and nothing is shown for it."""
    here = staging(aperture=16.0)
    lamp = read(here, transport(here.scene, [KEY])).lamps[0]

    assert lamp.click == 31
    assert lamp.shown == ""
    assert lamp.exact_click == pytest.approx(31)


def test_two_open_lamps() -> None:
    """Key for the aperture and second lamp for its level behind the head hold together, to half a click."""
    here = staging(two_lamps(), [lamp_place("key", None), lamp_place("behind", None, 0.5)], aperture=5.6)
    found = read(here, transport(here.scene, [KEY, BEHIND]))

    assert abs(2 * math.log2(found["chin dome"].f_number / 5.6)) <= 1 / 6 + 1e-6
    assert found["backdrop behind head"].stops_from_key == pytest.approx(0.5, abs=1 / 3)
    exact = [lamp.exact_click for lamp in found.lamps]
    powers = [power_of_click(click, CLICKS) for click in exact]
    chin = powers[0] * KEY[2] + powers[1] * BEHIND[2]
    behind = powers[0] * KEY[4] + powers[1] * BEHIND[4]
    assert chin * 100 / 340 == pytest.approx(5.6**2)
    assert behind / 250 == pytest.approx(chin / 340 * 2**0.5)


def test_level_that_is_passed_already() -> None:
    """Where the key alone brings more than is wanted behind the head, the second lamp is below its range."""
    here = staging(two_lamps(), [lamp_place("key", None), lamp_place("behind", None, -4.0)])
    lamp = read(here, transport(here.scene, [KEY, BEHIND])).lamps[1]

    assert lamp.click < 1
    assert lamp.shown == ""


def test_stated_second_lamp_counts_for_the_key() -> None:
    """What a lamp at a stated click brings is left out of what the key has to bring."""
    here = staging(two_lamps(), [lamp_place("key", None), lamp_place("behind", CLICKS)], aperture=8.0)
    bright = [0.0, 0.0, 217.6 / 2, 0.0, 400.0]
    found = read(here, transport(here.scene, [KEY, bright]))

    assert found.lamps[0].click == CLICKS - 3
    assert found["chin dome"].f_number == pytest.approx(8.0)


def test_budget_adds_up() -> None:
    """Shares add up to 1, largest first, under the words of the book."""
    card = panel("fill card", vec(-0.6, 0, 1.2), vec(1, 0, 0), 1, 1, WHITE)
    flag = panel("flag", vec(0.6, 0, 1.2), vec(1, 0, 0), 1, 1, WHITE, role="blocker")
    seat = panel("stool", vec(0, 0, 0.5), vec(0, 0, 1), 0.3, 0.3, WHITE, role="seat")
    here = staging(scene([card, flag, seat]), [lamp_place("key", CLICKS)])
    budget = read(here, transport(here.scene, [KEY], bounced=1.0))["left cheek"].budget

    assert sum(budget.values()) == pytest.approx(1)
    assert list(budget) == ["key", "walls", "body", "floor", "ceiling", "fill card", "blockers", "other"]
    assert budget["walls"] == pytest.approx(4 / 312)
    assert budget["body"] == pytest.approx(3 / 312)


def test_lit_to_shadow() -> None:
    """Totals at the two cheeks, lit over shadow, whichever is which."""
    here = staging(lamps=[lamp_place("key", CLICKS)])
    ratio = read(here, transport(here.scene, [KEY], bounced=1.0)).ratio
    other = read(here, transport(here.scene, [[KEY[1], KEY[0], *KEY[2:]]], bounced=1.0)).ratio

    assert ratio.convention == "lit to shadow"
    assert ratio.ratio == pytest.approx(309 / 49)
    assert ratio.stops == pytest.approx(math.log2(309 / 49))
    assert (ratio.lit_point, ratio.shadow_point) == ("left cheek", "right cheek")
    assert (other.lit_point, other.shadow_point) == ("right cheek", "left cheek")
    assert other.ratio == pytest.approx(ratio.ratio)


def test_key_to_fill() -> None:
    """The key's direct light at the lit point over all else at the shadow point."""
    target = TargetPlace(3.0, "key to fill", 1 / 3, None)
    here = staging(two_lamps(), [lamp_place("key", CLICKS), lamp_place("behind", CLICKS)], target)
    ratio = read(here, transport(here.scene, [KEY, BEHIND], bounced=1.0)).ratio

    # 9 surfaces return 1 lx·s of each of the two lamps
    assert ratio.ratio == pytest.approx(300 / (2 + 18))


def test_between_other_points() -> None:
    """A recipe may name the two points of its ratio, in either order."""
    target = TargetPlace(3.0, "lit to shadow", 1 / 3, ("under chin", "left cheek"))
    here = staging(lamps=[lamp_place("key", CLICKS)], target=target)
    ratio = read(here, transport(here.scene, [KEY])).ratio

    assert ratio.ratio == pytest.approx(300 / 60)
    assert ratio.lit_point == "left cheek"


def test_no_light_anywhere() -> None:
    """In the dark nothing is infinite or missing."""
    here = staging()
    found = read(here, transport(here.scene, [[0.0] * 5]))

    assert all(math.isfinite(r.stops_from_key) for r in found.readings.values())
    assert found["left cheek"].budget == {}
    assert math.isfinite(found.ratio.ratio)


def test_ambient() -> None:
    """E·t against the key reading: 108.8 lux for 1/160 s is 0.68 lx·s, 8.32 stops under 217.6."""
    here = staging(lamps=[lamp_place("key", CLICKS)], ambient_lux=108.8)

    assert read(here, transport(here.scene, [KEY])).ambient_stops_under == pytest.approx(math.log2(320))
    assert read(staging(), transport(here.scene, [KEY])).ambient_stops_under is None


def test_missing_point() -> None:
    """A staging that names a point which the scene lacks is refused."""
    here = staging()
    nowhere = replace(here, meter=replace(here.meter, exposure_point="elbow"))
    with pytest.raises(ValueError, match="not in tuple"):
        read(nowhere, transport(here.scene, [KEY]))


def test_a_lamps_output_cancels_in_the_ratio() -> None:
    """With one lamp its output widens every reading's band, not the ratio's; with two both."""
    one = staging(lamps=[lamp_place("key", CLICKS)])
    found = read(one, transport(one.scene, [KEY]))

    assert found["left cheek"].band_stops > 0.5
    assert found["left cheek"].band_from_key_stops < 0.2
    assert found.ratio.band_stops < 0.1
    assert found.key_causes[0][0] == "output of key, by guide number"
    assert found.key_causes[0][1] == pytest.approx(0.5)

    two = staging(two_lamps(), [lamp_place("key", CLICKS), lamp_place("behind", CLICKS)])
    assert read(two, transport(two.scene, [KEY, [1.0, 80.0, 4, 1, 1]])).ratio.band_stops > 0.3


def test_calibration_of_the_receptors() -> None:
    """Between flat and dome both calibrations of 0.1 stop count; between two flat readings none does; and a
    reading with the receptor that metered the lamp is free of it.
    """
    metered = MeteredOutput(8.0, 100.0, "dome", 1.0, CLICKS)
    lamp = replace(
        lamp_place("key", CLICKS), output=metered, output_known_by="metered", output_spread_stops=0.0
    )
    claimed = replace(lamp, output=GuideNumberOutput(60.0, 100.0))
    by_meter, by_number = (
        read(here, transport(here.scene, [KEY])) for here in map(one_lamp, (lamp, claimed))
    )
    rest = by_meter["chin dome"].band_stops

    # the step of a tenth and the computation are all that is left of the dome
    assert rest == pytest.approx(math.hypot(1.6448536 * 0.1 / math.sqrt(12), 0.03))
    assert by_number["chin dome"].band_stops == pytest.approx(math.hypot(0.1, rest))
    assert by_meter["left cheek"].band_stops == pytest.approx(math.hypot(0.1 * math.sqrt(2), rest))
    assert by_number["left cheek"].band_from_key_stops == pytest.approx(math.sqrt(2) * math.hypot(0.1, rest))
    assert by_number.ratio.band_stops == by_meter.ratio.band_stops == pytest.approx(math.sqrt(2) * rest)


def one_lamp(lamp: LampPlace) -> Staging:
    """The usual staging lit by this lamp."""
    return staging(lamps=[lamp])


@pytest.mark.parametrize(
    ("known_by", "spread", "words"),
    [
        ("metered", 0.15, "output of key, as metered"),
        ("guide number", 0.5, "output of key, by guide number"),
        ("400 J at 40 lm·s/J, assumed", 1.0, "output of key, by 400 J at 40 lm·s/J, assumed"),
    ],
)
def test_uncalibrated_gear_says_why(known_by: str, spread: float, words: str) -> None:
    """The less is known of a lamp, the wider the key reading's band, and its first cause says why."""
    lamp = replace(lamp_place("key", CLICKS), output_known_by=known_by, output_spread_stops=spread)
    found = read(one_lamp(lamp), transport(scene(), [KEY]))

    assert found["chin dome"].band_stops == pytest.approx(spread, abs=0.06)
    assert found.key_causes[0][0] == words
    assert found.key_causes[0][1] == pytest.approx(spread)


def test_full_power_is_one() -> None:
    """The last click is full power."""
    assert FULL == 1.0
