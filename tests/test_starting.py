"""A new book: what its comments offer is right when it is uncommented, and names all that there is."""

import re
from pathlib import Path

import pytest

from thirdstop.book.paints import PAINTS
from thirdstop.first_answers import QUESTIONS, checked, defaults
from thirdstop.running import evaluate_quickly, open_and_stage
from thirdstop.starting import FIRST_BOOK, start_book

STUDIO, RECIPE = "studio.yaml", "recipes/first.yaml"


def _uncommented(text: str, first: str) -> str:
    """The text with the commented lines from one on made lines of the file, up to the first other line."""
    head, found, rest = text.partition(f"# {first}")
    assert found, first
    indent = head[head.rindex("\n") + 1 :]
    lines = [f"{first}{rest}".split("\n")[0]]
    more = rest.split("\n")[1:]
    while more and re.match(rf"{indent}# ( |-)", more[0]):
        lines.append(indent + more.pop(0)[len(indent) + 2 :])
    return head + "\n".join([*lines, *more])


def _change(file: Path, *firsts: str, without: str = "") -> None:
    text = file.read_text(encoding="utf-8").replace(without, "", 1)
    for first in firsts:
        text = _uncommented(text, first)
    file.write_text(text, encoding="utf-8")


@pytest.mark.parametrize("room", [("3.2 m", "4.8 m", "2.5 m"), ("2.6 m", "3.9 m", "2.3 m")])
def test_all_that_is_commented_may_be_uncommented(tmp_path: Path, room: tuple[str, str, str]) -> None:
    """Paint, boom, panel, hat, glasses, flag and the key on the boom: no fault, no halt, each is there."""
    book = tmp_path / "book"
    start_book(book, defaults() | dict(zip(("width", "length", "height"), room, strict=True)))
    _change(
        book / STUDIO,
        "paints:",
        "booms:",
        "- {name: black panel",
        "recycle: ",
        "pops: ",
        "readings:",
        "both_units: ",
    )
    _change(
        book / RECIPE,
        "wears:",
        "stand: {with: boom",
        "blockers:",
        without="    stand: {with: light stand, bag: bag 10}\n",
    )

    found, (staged,) = open_and_stage(book)
    evaluated = evaluate_quickly(staged)

    assert [paint.name for paint in found.studio.paints] == ["our green"]
    assert found.studio.lamps[0].readings
    assert found.studio.habits.units_alone == "metric"
    recipe = found.recipes[0].recipe
    assert recipe.sitters[0].wears.hat is not None
    assert recipe.sitters[0].wears.glasses is not None
    key, flag = (item for item in staged.staging.items if item.name in ("key", "flag"))
    assert key.support is not None
    assert key.support.boom == "boom"
    assert flag.held_by == "an assistant"
    assert [finding for finding in evaluated.findings if finding.verdict == "halt"] == []
    of_rig = [one for one in evaluated.findings if one.check in ("statics", "held")]
    assert {finding.verdict for finding in of_rig} == {"pass"}


def test_the_studio_file_names_every_paint() -> None:
    """Its comment lists those that may stand there, and no others."""
    text = (FIRST_BOOK / STUDIO).read_text(encoding="utf-8")
    listed = text.partition("# The paints: ")[2].partition(";")[0]

    assert [name.strip() for name in re.sub(r"\n *#", "", listed).split(",")] == list(PAINTS)


def test_one_wall_may_have_its_own_paint(tmp_path: Path) -> None:
    """As the comment over the walls says."""
    start_book(tmp_path / "book", defaults())
    file = tmp_path / "book" / STUDIO
    text = file.read_text(encoding="utf-8")
    line = text.partition("change its line, say to\n  #   ")[2].partition("\n")[0]
    key = line.partition(":")[0]
    file.write_text(re.sub(rf"(?m)^    {key}: .*$", f"    {line}", text), encoding="utf-8")

    found, _ = open_and_stage(tmp_path / "book")

    walls = found.studio.room.surfaces
    assert (walls.left_wall, walls.right_wall) == ("dark grey paint", "white paint")


def test_the_paints_are_shown_to_who_asks() -> None:
    """The question says how, and the answer has them all with their shares."""
    (walls,) = (question for question in QUESTIONS if question.key == "walls")
    assert "'?' lists them" in walls.asks

    with pytest.raises(ValueError, match="the paints and their shares") as refused:
        checked(walls, " ? ")

    assert all(f"{name} {share:g}" in str(refused.value) for name, (share, _) in PAINTS.items())
