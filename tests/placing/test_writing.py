"""The answer in the recipe's file: only the values change, never half."""

import os
from pathlib import Path

import pytest

from placing.books import changed
from thirdstop.book.loading import load_model
from thirdstop.book.quantities import Click, Length, Side, Toward, Turn
from thirdstop.book.recipe import Recipe
from thirdstop.errors import PublishingError, UsageError
from thirdstop.placing import writing
from thirdstop.placing.values import Changes, with_changes

STRING = ("cards", 0, "at", "string")


def test_only_the_values_text_changes() -> None:
    """Comments, order, quotes elsewhere and blank lines stay as they are."""
    swaps = (("string: 75 cm,", "string: to be found,"), ("surface: white", "surface: 'white'  # ours"))
    one = changed("borrowed-window", *swaps)
    changes: Changes = (
        (STRING, Length(0.85)),
        (("cards", 0, "surface"), "silver"),
        (("cards", 0, "at", "bearing"), Turn(-65.0)),
    )

    text = writing.written(one.text, one.marks, one.recipe, changes)

    wanted = one.text.replace("to be found", "85 cm").replace("'white'", "silver").replace("70 deg", "65 deg")
    assert text == wanted


@pytest.mark.parametrize(
    ("cm", "said"),
    [
        (65, "2 ft 1 1/2 in"),
        (29, "11 1/2 in"),
        (61, "2 ft"),
        (1.3, "1/2 in"),
        (122, "4 ft"),
        (85, "2 ft 9 1/2 in"),
    ],
)
def test_a_house_in_feet_gets_feet(cm: float, said: str) -> None:
    """To the half inch, which reads again as that: nearer than 6.4 mm to what was tried."""
    one = changed("borrowed-window")
    text = writing.written(one.text, one.marks, one.recipe, ((STRING, Length(cm / 100)),), "imperial")
    recipe, _, faults = load_model(Recipe, text, one.file)

    assert f"string: {said}," in text
    assert recipe is not None, faults
    string = recipe.cards[0].at.string
    assert isinstance(string, Length)
    assert string.m == pytest.approx(cm / 100, abs=0.00636)


def test_a_side_keeps_its_word_in_feet() -> None:
    """And what is no length stays as it is."""
    changes: Changes = (
        (STRING, Side(-0.4)),
        (("cards", 0, "at", "bearing"), Turn(-65.0)),
        (STRING, Toward(0.5)),
    )

    assert [str(value) for _, value in writing.in_feet(changes)] == [
        str(Side(-15.5 * 0.0254)),
        "65 deg camera-left",
        str(Toward(19.5 * 0.0254)),
    ]


def test_a_value_that_the_file_does_not_hold_is_refused() -> None:
    """A power that was left out has no text to replace."""
    one = changed("borrowed-window")

    with pytest.raises(UsageError, match=r"'lights\.1\.power' is not in the file"):
        writing.written(one.text, one.marks, one.recipe, ((("lights", 0, "power"), Click(14)),))


@pytest.mark.parametrize(
    "style", ["'to be found'", '"to be found"', "to be found  # later", ">-\n      to be found"]
)
def test_every_way_of_writing_a_scalar_is_replaced_whole(style: str) -> None:
    """Single and double quotes, plain with a comment; a folded block too."""
    one = changed("borrowed-window", ("    group: A\n", f"    group: A\n    power: {style}\n"))
    text = writing.written(one.text, one.marks, one.recipe, ((("lights", 0, "power"), Click(14)),))
    recipe, _, faults = load_model(Recipe, text, one.file)

    assert recipe == with_changes(one.recipe, ((("lights", 0, "power"), Click(14)),)), faults
    assert ("# later" in text) == ("# later" in style)


def test_the_file_keeps_its_line_ends_and_its_mark(tmp_path: Path) -> None:
    """Windows line ends and a byte order mark are the person's own business."""
    file = tmp_path / "one.yaml"
    file.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")

    writing.write_recipe(file, "a: 1\nb: 2\n", "a: 3\nb: 2\n")

    assert file.read_bytes() == b"\xef\xbb\xbfa: 3\r\nb: 2\r\n"
    assert [path.name for path in tmp_path.iterdir()] == ["one.yaml"]


def test_a_file_that_was_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    """What an editor saved in between is not overwritten."""
    file = tmp_path / "one.yaml"
    file.write_text("a: 5\n", encoding="utf-8")

    with pytest.raises(PublishingError, match="changed meanwhile"):
        writing.write_recipe(file, "a: 1\n", "a: 3\n")
    assert file.read_text(encoding="utf-8") == "a: 5\n"


def test_a_fault_on_the_way_leaves_the_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fills up in the middle."""
    file = tmp_path / "one.yaml"
    file.write_text("a: 1\n", encoding="utf-8")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PublishingError, match="no space left"):
        writing.write_recipe(file, "a: 1\n", "a: 3\n")
    assert file.read_text(encoding="utf-8") == "a: 1\n"
    assert [path.name for path in tmp_path.iterdir()] == ["one.yaml"]
