"""What is shown: marks, tenths, ratios; and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thirdstop.exposure import stops


@pytest.mark.parametrize(
    ("f_number", "shown"),
    [
        (8.0, "f/8"),
        (stops.f_number_of(5.7), "f/5.6 + 7/10"),
        (stops.f_number_of(5.949), "f/5.6 + 9/10"),
        (stops.f_number_of(5.951), "f/8"),
        (stops.f_number_of(-0.5), "f/0.7 + 5/10"),
        (0.0, "under"),
        (1e4, "over"),
    ],
)
def test_tenths(f_number: float, shown: str) -> None:
    """A meter in tenths shows the full mark below and the tenths over it."""
    assert stops.tenths_mark(f_number) == shown


@pytest.mark.parametrize(
    ("step", "shown"),
    [(0.1, "f/5.6 + 4/10"), (1 / 3, "f/6.3"), (0.333, "f/6.3"), (0.5, "f/6.7"), (1, "f/5.6")],
)
def test_meter_steps(step: float, shown: str) -> None:
    """f/6.5 on meters that read in tenths, thirds, halves and whole stops."""
    assert stops.meter_mark(6.5, step) == shown


def test_other_steps_are_refused() -> None:
    """No meter reads in quarters."""
    with pytest.raises(ValueError, match=r"a meter's step is 1/10, 1/3, 1/2 or 1 stop; given: 0\.25"):
        stops.meter_mark(8.0, 0.25)


@pytest.mark.parametrize(
    ("ratio", "shown"),
    [
        (1.0, "1:1"),
        (0.94, "0.9:1"),
        (2.96, "3:1"),
        (3.14, "3.1:1"),
        (3.94, "3.9:1"),
        (3.96, "4:1"),
        (4.3, "4.3:1"),
        (2**2.1, "4.3:1"),
        (5.34, "5.3:1"),
        (7.9, "7.9:1"),
        (7.96, "8:1"),
        (8.0, "8:1"),
        (8.01, "above 8:1"),
    ],
)
def test_ratio_text(ratio: float, shown: str) -> None:
    """One decimal up to 8, then 'above 8:1'."""
    assert stops.ratio_text(ratio) == shown


def test_a_tie_goes_up() -> None:
    """A value on a tie, or a bit of rounding below one, snaps up."""
    assert [stops.snap(x) for x in (0.5, 0.5 - 1e-12, 1.5, -0.5, 0.49)] == [1, 1, 2, 0, 0]


@given(st.floats(0.05, 5000))
def test_marks_are_monotone(f_number: float) -> None:
    """A third more is one mark on, and a mark read back is within a sixth of a stop."""
    here = stops.snap(stops.aperture_value(f_number), 1 / 3)
    there = stops.snap(stops.aperture_value(f_number) + 1 / 3, 1 / 3)

    assert there == here + 1
    assert abs(here / 3 - stops.aperture_value(f_number)) <= 1 / 6 + 1e-6


def test_no_light() -> None:
    """No light is minus infinitely many stops; less than none is refused."""
    assert stops.stops(0.0) == -math.inf
    with pytest.raises(ValueError, match=r"a ratio of light can't be negative; given: -1"):
        stops.stops(-1)
