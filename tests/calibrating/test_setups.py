"""Readings that cannot be: each a line with its place, what was given and what to write."""

import pytest

from calibrating.samples import TEXT
from staging.books import demo
from thirdstop.book.loading import load_model
from thirdstop.book.metering import Metering
from thirdstop.calibrating.setups import stage_setups


def _said(text: str) -> list[str]:
    metering, marks, faults = load_model(Metering, text, "a.yaml")
    if metering is not None:
        _, faults = stage_setups(metering, demo().studio, marks)
    return [str(fault) for fault in faults]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("toward: ceiling, reads: f/8", "toward: ceiling, reads: f/0",
         "a.yaml:22:62: an aperture is at least f/0.5; given: f/0; write: f/8"),
        ("power: click 18", "power: click 40",
         "a.yaml:18:61: 'battery 400' has the clicks 1 to 25; given: click 40; write: click 25"),
        ("{name: near, at: nose", "{name: near, at: {along: 9 m toward camera, across: 0 cm, height: 1 m}",
         "the meter would go through the front wall"),
        ("{name: near, at: nose", "{name: near, at: left cheek",
         "there is no measuring point of this name; nobody sits in this set-up; given: left cheek"),
        ("{name: near, at: nose, toward: key", "{name: near, at: nose, toward: kee",
         "there is nothing of this name to aim at; given: kee; write: key"),
        ("{name: near, at: nose, toward: key", "{name: near, at: nose",
         "the reading needs to say where the receptor looks; write: toward: key"),
        ("shaper: round box 90\n        power: click 16", "shaper: round box 90",
         "what 'key' stood at is not said; write: power: click 14"),
        ("lamp: battery 400", "lamp: batery 400", "the studio has no lamp of this name; given: batery 400"),
        ("name: dome", "name: near", "this name is already taken; given: near"),
        ("name: silver card\n", "name: On the axis\n", "this name is already taken; given: On the axis"),
        ("mark: {left_wall: 1.5 m", "mark: {left_wall: 3.5 m", "the mark must lie inside the room"),
        ("by: k.m.", "by: Katherine", "who it was is said by initials, one to four letters"),
        ("at: {along: 1 m toward camera, across: 0 cm", "at: {along: 1 cm toward camera, across: 0 cm",
         "the receptor would be 1 cm from 'key'"),
        ("toward: back wall", "towards: back wall", "unknown key; given: towards; write: toward"),
    ],
)  # fmt: skip
def test_one_line(old: str, new: str, said: str) -> None:
    """Each slip is told in its words."""
    assert old in TEXT

    lines = _said(TEXT.replace(old, new, 1))

    assert any(said in line for line in lines), lines


def test_a_sitter_has_measuring_points() -> None:
    """With a sitter a reading may name a cheek, and looks where the cheek does."""
    text = TEXT.replace(
        "    readings:\n      - {name: near",
        "    subject: {pose: seated, eye_height: 1.22 m}\n    readings:\n      - {name: near",
        1,
    ).replace("at: nose, toward: key, reads", "at: left cheek, reads", 1)
    text = text.replace("at: nose, toward: key", "at: chin dome").replace("at: nose", "at: forehead")
    text = text[: text.index("  - name: silver card")]

    assert _said(text) == []
