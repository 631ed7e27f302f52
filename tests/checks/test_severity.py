"""Findings from the most severe to what merely isn't known."""

from thirdstop.checks.findings import Finding
from thirdstop.checks.severity import by_severity, unstated


def test_the_most_severe_comes_first_and_what_is_not_stated_last() -> None:
    """Halts, looks on safety, faults, what isn't stated, passes; each kind in its order."""
    unknown = Finding(
        "battery", "look", "key: charge", "How many pops it gives is not stated; 60 are wanted."
    )
    door = Finding(
        "room-fit", "look", "walkway", "The room states no door, so nothing can be told.", safety=True
    )
    halt = Finding("room-fit", "halt", "key", "It goes 4 cm into the ceiling.", "", -0.04)
    safety = Finding("statics", "look", "key: stand", "It is light.", "", -1.0, safety=True)
    frame = Finding("in-frame", "look", "card", "It stands in the picture.", "", -0.1)
    spill = Finding("spill", "look", "key", "Nothing of it comes straight to any measuring point.")
    passed = Finding("power", "pass", "key", "It has a click for it.")

    given = (passed, unknown, frame, door, spill, safety, halt)
    assert by_severity(given) == (halt, safety, frame, spill, door, unknown, passed)


def test_a_look_with_a_number_is_no_unstated_one() -> None:
    """What says 'not stated' beside a margin, or passes, is told in its own place."""
    text = "It is not stated, and 4 cm are missing."
    assert unstated(Finding("room-fit", "look", "key", text))
    assert not unstated(Finding("room-fit", "look", "key", text, "", -0.04))
    assert not unstated(Finding("room-fit", "pass", "key", text))
