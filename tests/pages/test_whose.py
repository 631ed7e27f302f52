"""Whose nose and whose cheek."""

import pytest

from pages.samples import one
from thirdstop.pages.views.metering import first_of
from thirdstop.pages.views.whose import told


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


def test_the_one_at_the_mark_comes_first() -> None:
    """By name where there are two."""
    assert first_of(one("13-double-act").staging) == "near one"
    assert first_of(one("01-borrowed-window").staging) == "sitter"
