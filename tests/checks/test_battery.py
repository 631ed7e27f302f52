"""Recycle time and pops by the power of a click: thirds of a stop by hand, both sides of each limit."""

from dataclasses import replace

import pytest

from checks import samples
from thirdstop.checks import battery
from thirdstop.checks.findings import Finding
from thirdstop.exposure.readings import LampReading, Readings
from thirdstop.staging.staging import LampPlace, Staging


def _staging(recycle_s: float | None = 2.0, pops: int | None = 400, **more: object) -> Staging:
    staging = samples.staging()
    lamp = replace(staging.lamps[0], recycle_s=recycle_s, pops=pops)
    return replace(staging, lamps=(replace(lamp, **more),))  # type: ignore[arg-type]


def _readings(click: int) -> Readings:
    return samples.readings(lamps=[LampReading("key", click, 25, "", True, float(click))])


def _findings(staging: Staging, click: int = 25) -> list[Finding]:
    return battery.run(staging, _readings(click))


def _lamp(staging: Staging) -> LampPlace:
    return staging.lamps[0]


# A third of a stop is 2^(-1/3) = 0.793701 of the energy, two 0.629961 (arithmetic of the third-stop series);
# full power gives what the studio file states.
@pytest.mark.parametrize(
    ("click", "ready_s", "flashes"),
    [(25, 2.0, 400), (24, 1.587401, 500), (23, 1.259921, 630), (22, 1.0, 800), (19, 0.5, 1600)],
)
def test_both_go_with_the_power_of_the_click(click: int, ready_s: float, flashes: int) -> None:
    """2 s and 400 pops at full power: 400/0.793701 = 503, 400/0.629961 = 634, in whole tens."""
    staging, reading = _staging(), _readings(click).lamps[0]
    assert battery.ready_again_s(_lamp(staging), reading) == pytest.approx(ready_s, abs=1e-6)
    assert battery.flashes_left(_lamp(staging), reading) == flashes


def test_no_flash_takes_less_than_a_quarter() -> None:
    """Eight stops down a charge does not give 256 times as many flashes."""
    staging = _staging()
    lowest = _readings(1).lamps[0]
    assert battery.flashes_left(_lamp(staging), lowest) == 1600
    assert battery.ready_again_s(_lamp(staging), lowest) == pytest.approx(0.5)


@pytest.mark.parametrize(("recycle_s", "verdict"), [(1.0, "pass"), (1.01, "look")])
def test_ready_within_the_houses_second(recycle_s: float, verdict: str) -> None:
    """At full power a lamp that needs 1.01 s is not ready for one frame a second."""
    found = _findings(_staging(recycle_s=recycle_s))[0]
    assert found.verdict == verdict
    assert found.margin == pytest.approx(1.0 - recycle_s, abs=0.01)


@pytest.mark.parametrize(("pops", "verdict"), [(300, "pass"), (299, "look"), (80, "look")])
def test_a_charge_covers_the_session(pops: int, verdict: str) -> None:
    """300 frames are reckoned; 299 pops are 290 in whole tens."""
    found = _findings(_staging(pops=pops))[1]
    assert found.verdict == verdict
    if pops == 80:  # 300/80 = 3.75 charges: three spares beside the first
        assert "3 charged spare" in found.remedy


def test_what_is_not_stated_is_said() -> None:
    """Without 'recycle' and 'pops' nothing is made up."""
    found = _findings(_staging(recycle_s=None, pops=None))
    assert [one.verdict for one in found] == ["look", "look"]
    assert all("not stated" in one.text and one.margin is None for one in found)


def test_what_is_not_stated_of_a_kind_is_said_once_for_two_of_it() -> None:
    """Two lamps of one kind without 'recycle' and 'pops': two sentences, not four, each naming both."""
    staging = _staging(recycle_s=None, pops=None)
    key = staging.lamps[0]
    both = replace(staging, lamps=(key, replace(key, emitter="fill")))
    readings = samples.readings(lamps=[LampReading(name, 12, 25, "", True, 12.0) for name in ("key", "fill")])
    found = battery.run(both, readings)

    assert [one.about for one in found] == ["key and fill: recycle", "key and fill: charge"]
    assert all("('key' and 'fill')" in one.text for one in found)
    assert len(battery.run(replace(both, lamps=(key, replace(both.lamps[1], lamp="other"))), readings)) == 4


def test_a_mains_lamp_has_no_charge() -> None:
    """It recycles, and does not run down."""
    assert [one.about for one in _findings(_staging(mains=True))] == ["key: recycle"]


@pytest.mark.parametrize(
    ("recycle_s", "click", "house_s", "rhythm_s"),
    [(1.4, 25, 1.0, 1.4), (1.4, 16, 1.0, 1.0), (1.4, 16, 2.0, 2.0), (1.41, 25, 1.0, 1.5)],
)
def test_rhythm_is_the_slowest_of_lamp_and_house(
    recycle_s: float, click: int, house_s: float, rhythm_s: float
) -> None:
    """Never faster than the house, never before the lamp is ready, and rounded up."""
    staging = replace(_staging(recycle_s=recycle_s), fastest_s=house_s)
    assert battery.fastest_rhythm_s(staging, _readings(click)) == pytest.approx(rhythm_s)


def test_no_rhythm_is_ever_under_a_second() -> None:
    """Even where a staging asks for it."""
    staging = replace(_staging(recycle_s=0.1), fastest_s=0.05)
    assert battery.fastest_rhythm_s(staging, _readings(1)) == 1.0


def test_a_modelling_lamp_on_the_same_charge_is_said() -> None:
    """It takes from the battery, by how much is not known."""
    assert "not counted" in _findings(_staging(modelling=True))[1].text
