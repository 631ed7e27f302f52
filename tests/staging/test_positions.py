import numpy as np
import pytest

from staging.books import changed, staged, words

STRING = "at: {string: 1.2 m, bearing: 40 deg camera-right, height: 1.75 m}"


def test_the_string_is_the_straight_distance_from_the_nose() -> None:
    """A lamp given by string, bearing and height has that string, bearing and height."""
    staging = staged("borrowed-window")
    key = staging.item("key")

    assert np.linalg.norm(key.centre_m - staging.sitters[0].nose_m) == pytest.approx(1.2)
    assert key.bearing_deg == pytest.approx(40.0)
    assert key.height_m == pytest.approx(1.75)


def test_three_forms_name_the_same_place() -> None:
    """String and bearing, floor point, and two walls lead to one place to within a millimetre."""
    by_string = staged("borrowed-window").item("key").centre_m
    along, across = -by_string[1], by_string[0]
    floor = f"along: {along:.4f} m toward camera, across: {across:.4f} m camera-right"
    by_floor = staged("borrowed-window", (STRING, f"at: {{{floor}, height: 1.75 m}}"))
    # M is 1.6 m from the left wall and 1.5 m from the back wall
    walls = f"left_wall: {1.6 + across:.4f} m, back_wall: {1.5 + along:.4f} m"
    by_walls = staged("borrowed-window", (STRING, f"at: {{{walls}, height: 1.75 m}}"))

    np.testing.assert_allclose(by_string, by_floor.item("key").centre_m, atol=1e-3)
    np.testing.assert_allclose(by_string, by_walls.item("key").centre_m, atol=1e-3)


def test_mixed_forms_are_refused() -> None:
    """A string with a wall is no form."""
    staging, faults = changed("borrowed-window", ("bearing: 40 deg camera-right", "left_wall: 1 m"))

    assert staging is None
    assert words(faults) == ["a place is given in one of three forms"]


def test_a_string_shorter_than_the_rise_is_refused() -> None:
    """A lamp 57 cm over the nose can't hang on a string of 40 cm; the offending numbers are named."""
    staging, faults = changed("borrowed-window", ("string: 1.2 m", "string: 40 cm"))

    assert staging is None
    assert faults[0].given == "40 cm"
    assert faults[0].write == "at least 0.58 m, or another height"


def test_a_lamp_on_the_backdrop_is_measured_from_it() -> None:
    """from_backdrop puts the face that far in front of the sheet, and the string is that distance."""
    staging = staged("clean-sheet")
    lamp, sheet = staging.item("paper lamp"), staging.item("backdrop")

    assert sheet.centre_m[1] - lamp.centre_m[1] == pytest.approx(0.8)
    assert (round(lamp.string_m, 9), lamp.string_from) == (0.8, "backdrop")
