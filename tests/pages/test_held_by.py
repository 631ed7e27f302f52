"""Who holds a thing that has no stand, as the table of things says it."""

import shutil
from pathlib import Path

import pytest

from thirdstop.pages.views import things
from thirdstop.running import open_and_stage

CASES = Path(__file__).parents[1] / "cases" / "stocked"


@pytest.mark.parametrize(
    ("written", "said"),
    [("", "by hand or on the lap"), ("    held_by: a hook in the beam\n", "held by a hook in the beam")],
)
def test_the_table_says_who_holds_it(tmp_path: Path, written: str, said: str) -> None:
    """In the recipe's words; where it has none, a hand or a lap."""
    book = tmp_path / "book"
    shutil.copytree(CASES, book)
    file = book / "recipes" / "base.yaml"
    text = file.read_text(encoding="utf-8")
    assert text.count("    aim: left wall\n") == 1
    file.write_text(text.replace("    aim: left wall\n", f"    aim: left wall\n{written}"), encoding="utf-8")
    found, (staged,) = open_and_stage(book)

    rows = things.rows(staged.staging, found.recipes[0].recipe)

    (flag,) = (row for row in rows if row.name == "flag")
    assert flag.details[-1] == said
