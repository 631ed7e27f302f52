"""Whose nose and whose cheek."""

from dataclasses import replace
from pathlib import Path

import pytest

from pages.samples import evaluated, one
from thirdstop.pages.views.building import screens
from thirdstop.pages.views.metering import first_of
from thirdstop.pages.views.steps import steps
from thirdstop.pages.views.verdicts import verdicts
from thirdstop.pages.views.whose import told
from thirdstop.running import open_and_stage

CROWDED = Path(__file__).resolve().parents[1] / "cases" / "crowded"


@pytest.mark.parametrize(
    ("aim", "said"),
    [
        ("nose", "near one’s nose"),
        ("far one nose", "far one’s nose"),
        ("between key and face", "between key and near one’s face"),
        ("between key and far one left cheek", "between key and far one’s left cheek"),
        ("25 cm below the chest", "25 cm below near one’s chest"),
        ("by lean and swing", "by lean and swing"),
    ],
)
def test_every_part_has_an_owner_where_there_are_two(aim: str, said: str) -> None:
    """What a recipe leaves without a name is of the one at M; of one sitter nothing needs saying."""
    assert told(one("13-double-act").staging, aim) == said
    assert told(one("01-borrowed-window").staging, aim) == aim


def test_a_hair_light_is_nobodys_hair() -> None:
    """Names of things stay as they are, in quotes and without."""
    staging = one("13-double-act").staging
    key = staging.items[0]
    named = replace(staging, items=(replace(key, name="hair light"), *staging.items[1:]))

    assert told(named, "turn hair light down, then the nose") == "turn hair light down, then near one’s nose"
    assert told(named, "raise 'hair light' over the hair") == "raise 'hair light' over near one’s hair"
    assert told(named, "between hair light and far one nose") == "between hair light and far one’s nose"


def test_the_one_at_the_mark_comes_first() -> None:
    """By name where there are two."""
    assert first_of(one("13-double-act").staging) == "near one"
    assert first_of(one("01-borrowed-window").staging) == "sitter"


def test_on_set_and_in_the_steps_it_is_said_whose_nose() -> None:
    """As on the card and the tags: 'aim nose' of two people is no aim."""
    pair = one("13-double-act")
    screen = next(screen for screen in screens(pair) if screen.title == "Key (1): aim")

    assert screen.says[0] == "Aim far one’s nose."
    assert screen.says[1].startswith("String: near one’s nose to the middle of the face.")
    key = next(step for step in steps(pair) if step.startswith("Key (1)"))
    assert "aim far one’s nose; string from near one’s nose over M 1.90" in key.replace("\u00a0", " ")


def test_a_finding_says_whose_cheek() -> None:
    """Of two sitters; the ratio is that of the one at M."""
    shown = verdicts(one("13-double-act"))
    texts = {each.check: each.text for each in (*shown.passes, *shown.looks)}

    assert "At near one’s right cheek the room gives" in texts["spill"]
    assert "near one’s left cheek to near one’s right cheek" in texts["ratio"]
    alone = verdicts(one("01-borrowed-window"))
    assert any("(left cheek to right cheek" in each.text for each in (*alone.passes, *alone.looks))


def test_no_string_is_left_out_for_want_of_room() -> None:
    """A screen has three large figures; what is beyond them is said."""
    _, staged = open_and_stage(CROWDED)
    four = next(evaluated(each) for each in staged if each.loaded.slug == "two-hats-four-lights")
    held = [item.name for item in four.staging.items if item.kind in ("lamp", "card")]
    strings = next(screen for screen in screens(four) if screen.title == "Check the strings")

    assert len(held) == 5
    assert [name for name, _ in strings.figures] == held[:3]
    assert any(text.startswith(f"And {held[3]} ") and f" and {held[4]} " in text for text in strings.says)
