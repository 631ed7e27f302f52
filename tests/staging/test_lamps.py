import pytest

from staging.books import changed, demo, staged, words
from thirdstop.staging.lamps import display_of, fraction_of
from thirdstop.staging.staging import GuideNumberOutput, MeteredOutput


@pytest.mark.parametrize(
    ("under_full", "shown"), [(0, "1/1"), (1, "1/2 + 2/3"), (2, "1/2 + 1/3"), (3, "1/2"), (24, "1/256")]
)
def test_what_the_trigger_shows(under_full: int, shown: str) -> None:
    """Three clicks are a stop; between, thirds are added to the lower fraction."""
    assert fraction_of(under_full) == shown


def test_every_click_shows_something_else() -> None:
    """25 clicks from 1/256 to full, each with its own text."""
    shown = display_of(demo().studio.lamps[0])

    assert (shown[0], shown[-1], len(set(shown))) == ("1/256", "1/1", 25)


def test_the_best_known_output_wins() -> None:
    """A metered reading for that shaper goes before a guide number."""
    assert isinstance(staged("borrowed-window").lamps[0].output, MeteredOutput)
    assert isinstance(staged("light-off-the-wall").lamps[0].output, GuideNumberOutput)


def test_a_click_outside_the_lamp_is_refused() -> None:
    """The demo's smaller lamp ends at click 22."""
    staging, faults = changed(
        "clean-sheet", ("power: to be found", "power: click 23"), ("    level: +0.5 stops from key\n", "")
    )

    assert staging is None
    assert words(faults) == ["'battery 200' has the clicks 1 to 22"]


def test_a_second_lamp_needs_its_click_or_its_level() -> None:
    """Only the key's power follows from the aperture."""
    staging, faults = changed("clean-sheet", ("    power: to be found\n    level: +0.5 stops from key\n", ""))

    assert staging is None
    assert "its click or its level" in faults[0].wrong
