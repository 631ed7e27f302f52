"""What a recipe leaves to `place` is a fault until it is found."""

import pytest

from staging.books import changed


@pytest.mark.parametrize(
    ("old", "new", "aspect"),
    [
        ("string: 75 cm", "string: to be found", "distance"),
        ("bearing: 70 deg camera-left", "bearing: to be found", "bearing"),
        ("height: 1.15 m}\n    aim: between", "height: to be found}\n    aim: between", "height"),
        ("surface: white", "surface: to be found", "surface"),
    ],
)
def test_what_is_to_be_found_is_said_once_with_the_command_that_finds_it(
    old: str, new: str, aspect: str
) -> None:
    """The fault points at the words themselves, and no other fault follows from them."""
    staging, faults = changed("borrowed-window", (old, new))

    assert staging is None
    assert [fault.wrong for fault in faults] == [f"the card's {aspect} is to be found"]
    assert faults[0].given == "to be found"
    assert faults[0].write == "run: thirdstop place 01-borrowed-window --write"
    assert faults[0].line == (24 if aspect == "surface" else 25)


def test_a_lights_place_may_be_to_be_found_too() -> None:
    """The key's distance."""
    _, faults = changed("borrowed-window", ("string: 1.2 m", "string: to be found"))

    assert [fault.wrong for fault in faults] == ["the light's distance is to be found"]


def test_place_finds_a_blockers_place_but_not_its_surface() -> None:
    """A blocker is black, or whatever it is meant to be."""
    _, height = changed("half-a-mask", ("height: 1.1 m", "height: to be found"))
    _, surface = changed("half-a-mask", ("surface: black", "surface: to be found"))

    assert height[0].wrong == "the blocker's height is to be found"
    assert height[0].write == "run: thirdstop place 05-half-a-mask --write"
    assert surface[0].write == "black; 'place' finds a blocker's place"
