"""The command `place`: what it prints, what it writes, its exit status."""

import json
import math
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from thirdstop.cli import main
from thirdstop.exposure.quality import ROUGH
from thirdstop.placing import evaluating

ROOT = Path(__file__).resolve().parents[2]
RECIPE = "recipes/01-borrowed-window.yaml"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book of one recipe whose card and key are still to be placed and set."""
    return open_book_in(tmp_path)


def open_book_in(folder: Path) -> Path:
    """The same in any folder."""
    root = folder / "book"
    (root / "recipes").mkdir(parents=True)
    shutil.copy(ROOT / "recipes" / "studio.yaml", root)
    text = (ROOT / "recipes" / RECIPE).read_text(encoding="utf-8")
    text = text.replace("string: 75 cm", "string: to be found")
    text = text.replace("    group: A\n", "    group: A\n    power: to be found  # by the engine\n")
    (root / RECIPE).write_text(text, encoding="utf-8")
    return root


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, Result]:
    """That book after `place --write`, with the recipe's text as it was."""
    book = open_book_in(tmp_path_factory.mktemp("written"))
    before = (book / RECIPE).read_text(encoding="utf-8")
    return book, before, run(book, "borrowed-window", "--write")


def run(book: Path, *words: str) -> Result:
    """One run on that book."""
    return CliRunner().invoke(main, ["place", *words, "--book", str(book)], prog_name="thirdstop")


def test_it_prints_in_the_units_of_the_house(book: Path, written: tuple[Path, str, Result]) -> None:
    """In feet and inches where the house reads those, and so in its file; its JSON stays in metres."""
    studio = book / "studio.yaml"
    text = studio.read_text(encoding="utf-8")
    assert text.count("\n  units: metric") == 1
    studio.write_text(text.replace("\n  units: metric", "\n  units: imperial"), encoding="utf-8")

    as_json = run(book, "borrowed-window", "--json").output
    result = run(book, "borrowed-window", "--write")

    assert "string 75 cm" in as_json
    assert "string 2 ft 5½ in" in result.output
    assert not re.search(r"\d (?:m|cm)\b", result.output)
    assert "feet are rounded" in " ".join(result.output.split())
    recipe = (book / RECIPE).read_text(encoding="utf-8")
    metric = (written[0] / RECIPE).read_text(encoding="utf-8")
    assert metric.count("string: 80 cm") == 1
    assert recipe == metric.replace("string: 80 cm", "string: 2 ft 7 1/2 in")


def test_it_prints_the_answer(written: tuple[Path, str, Result]) -> None:
    """Card, click, ratio with its band, and what else would do."""
    _, _, result = written

    assert result.exit_code == 0
    assert "string 75 cm" in result.output
    assert "click 16 of 25" in result.output
    told = re.search(r"ratio +([\d.]+):1 lit : shadow, ([\d.]+) stops apart", result.output)
    assert told is not None
    assert abs(math.log2(float(told[1])) - 2.0) <= 1 / 3 + 0.02
    assert abs(math.log2(float(told[1])) - float(told[2])) <= 0.1
    assert "in nine cases of ten" in result.output
    assert result.output.count("\n- card white") == 2


def test_write_changes_the_two_values_and_leaves_the_rest(written: tuple[Path, str, Result]) -> None:
    """The comment beside the power stays; a proof of the book then finds nothing left to be found."""
    book, before, result = written
    after = (book / RECIPE).read_text(encoding="utf-8")

    assert result.exit_code == 0
    assert "cards.1.at.string, lights.1.power" in result.output
    wanted = before.replace("string: to be found", "string: 80 cm")
    assert after == wanted.replace("power: to be found", "power: click 16")
    proof = CliRunner().invoke(main, ["proof", "--book", str(book), "--json"])
    assert json.loads(proof.output)["faults"] == []


def test_before_it_is_placed_the_book_says_what_places_it(book: Path) -> None:
    """Nothing is published over a value that nobody found."""
    result = CliRunner().invoke(main, ["proof", "--book", str(book)])

    assert result.exit_code == 1
    assert "the card's distance is to be found" in result.output
    assert "run: thirdstop place 01-borrowed-window --write" in result.output


def test_json_is_documented_and_without_write_nothing_is_written(
    book: Path, written: tuple[Path, str, Result]
) -> None:
    """Every key of both forms stands in docs/json.md."""
    documented = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    before = (book / RECIPE).read_bytes()
    placed = json.loads(run(book, "borrowed-window", "--json").output)
    matched = json.loads(run(written[0], "borrowed-window", "--eye-height", "1.3 m", "--json").output)

    assert (book / RECIPE).read_bytes() == before

    assert placed["format"] == "thirdstop place 1"
    assert matched["format"] == "thirdstop match 1"
    best = placed["best"]
    keys = [
        *placed,
        *matched,
        *best,
        *best["things"][0],
        *best["lamps"][0],
        *best["goals"][0],
        *placed["wanted"],
    ]
    assert [key for key in keys if f"`{key}`" not in documented and key != "format"] == []


def test_what_cannot_be_met_exits_with_1_and_writes_nothing(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """12:1 with a white card, far enough out of reach to be told from a rough computation."""
    monkeypatch.setattr(evaluating, "SCAN", ROUGH)
    text = (book / RECIPE).read_text(encoding="utf-8").replace("ratio: 4:1", "ratio: 12:1")
    (book / RECIPE).write_text(text, encoding="utf-8")
    result = run(book, "borrowed-window", "--write")

    assert result.exit_code == 1
    assert "Can't be met by moving card: distance." in result.output
    assert "cheapest first" in result.output
    assert (book / RECIPE).read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["prompter"], "there is no recipe 'prompter'; the book has only '01-borrowed-window'"),
        (["borrowed-widow"], "did you mean '01-borrowed-window'?"),
        (["borrowed-window", "--move", "kard"], "did you mean 'card'?"),
        (["borrowed-window", "--move", "card", "--also", "hight"], "write: height"),
        (["borrowed-window", "--mirror", "--write"], "don't go with another sitter, room, gear or side"),
        (["borrowed-window", "--pose", "standing"], "needs its eye height"),
        (["borrowed-window", "--eye-height", "160"], "write: 160 cm"),
        (
            ["borrowed-window", "--eye-height", "9 m"],
            "--eye-height: an eye height is at most 2.2 m; write: 2.2 m",
        ),
        (["borrowed-window", "--eye-height", "2.2 m"], "write: another eye height or pose, or beside it"),
        (["borrowed-window", "--keep", "distance"], "write --move NAME beside them"),
        (["borrowed-window", "--also", "bearing"], "write --move NAME beside them"),
        (["borrowed-window", "--studio", "nowhere.yaml"], "there is no studio file nowhere.yaml"),
        (["borrowed-window", "--gear", "round box 90"], "write: --gear 'round box 90=square box 60'"),
        (["borrowed-window", "--gear", "round bix=square box 60"], "write one of: round box 90"),
        (["borrowed-window", "--gear", "round box 90=lap card 90 x 60"], "among its shapers"),
    ],
)
def test_wrong_usage_is_said_in_a_line(book: Path, words: list[str], said: str) -> None:
    """Exit status 2, the nearest right word, no traceback."""
    write_placed(book)
    result = run(book, *words)

    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output


def test_a_studio_file_that_is_none_is_told_with_its_lines(book: Path) -> None:
    """A recipe in place of a studio file: exit status 1, each fault with file, line and column."""
    write_placed(book)
    result = run(book, "borrowed-window", "--studio", str(book / RECIPE))

    assert result.exit_code == 1
    assert f"{book / RECIPE}:1:1: 'lamps' is missing here" in result.output


def test_a_studio_that_contradicts_itself_is_told_too(book: Path) -> None:
    """Names within the file are looked up, as in the book's own studio file."""
    write_placed(book)
    text = (book / "studio.yaml").read_text(encoding="utf-8")
    assert "ceiling: white paint" in text
    other = book / "other.yaml"
    other.write_text(text.replace("ceiling: white paint", "ceiling: white pant"), encoding="utf-8")
    result = run(book, "borrowed-window", "--studio", str(other))

    assert result.exit_code == 1
    assert "other.yaml:" in result.output
    assert "white paint" in result.output


def write_placed(book: Path) -> None:
    """The recipe with its card placed."""
    text = (book / RECIPE).read_text(encoding="utf-8")
    (book / RECIPE).write_text(text.replace("string: to be found", "string: 75 cm"), encoding="utf-8")
