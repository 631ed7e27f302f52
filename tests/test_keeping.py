"""What is kept beside a book is found again only while everything it depends on is the same."""

import shutil
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from thirdstop import running
from thirdstop.keeping import FOLDER, Shelf, name_of
from thirdstop.pages.evaluated import Evaluated
from thirdstop.running import KEPT_CLASSES, StagedRecipe, evaluate_all, open_and_stage

DEMO = Path(__file__).parents[1] / "recipes"
ONE = "01-borrowed-window.yaml"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo's studio with one recipe."""
    (tmp_path / "recipes").mkdir()
    shutil.copy(DEMO / "studio.yaml", tmp_path)
    shutil.copy(DEMO / "recipes" / ONE, tmp_path / "recipes")
    return tmp_path


@pytest.fixture
def computed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The recipes that were computed anew, by slug."""
    slugs: list[str] = []
    evaluate = running.evaluate

    def noting(staged: StagedRecipe) -> Any:
        slugs.append(staged.loaded.slug)
        return evaluate(staged)

    monkeypatch.setattr(running, "evaluate", noting)
    return slugs


def _evaluated(root: Path) -> Evaluated:
    book, staged = open_and_stage(root)
    (evaluated,) = evaluate_all(book, staged)
    return evaluated


def _written(root: Path, old: str, new: str, file: str = f"recipes/{ONE}") -> None:
    text = (root / file).read_text(encoding="utf-8")
    assert old in text
    (root / file).write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_same_book_is_computed_once(book: Path, computed: list[str]) -> None:
    """A second look finds the very same numbers, a word of prose changes none, and the folder may go."""
    first = _evaluated(book)
    _written(book, "purpose:", "purpose: In other words.\n#")
    second = _evaluated(book)

    assert computed == ["01-borrowed-window"]
    assert second.recipe.purpose == "In other words."
    for field in fields(Evaluated):
        if field.name not in ("loaded", "staging"):
            assert getattr(first, field.name) == getattr(second, field.name), field.name
    shutil.rmtree(book / FOLDER)
    assert _evaluated(book).readings == first.readings


def test_a_changed_value_is_computed_anew_in_the_formers_place(book: Path, computed: list[str]) -> None:
    """Of the recipe or of the studio; nothing piles up."""
    _evaluated(book)
    _written(book, "iso: 100", "iso: 200")
    _evaluated(book)
    _written(book, "height: 2.4 m", "height: 2.45 m", "studio.yaml")
    _evaluated(book)

    assert len(computed) == 3
    assert len(list((book / FOLDER).glob("*.json"))) == 1


@pytest.mark.parametrize(
    "damage", [b"", b"{", b"[]", b'{"Popen": {}}', b'{"dict": [["readings", 1, 2]]}', b"\xff"]
)
def test_what_cannot_be_read_is_computed_anew(tmp_path: Path, damage: bytes) -> None:
    """Half a file, no file of ours, a class that was never named."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep("a.readings.json", {"array": np.array([1.0, float("inf")]), "pair": (None, True)})
    kept = shelf.find("a.readings.json")
    (tmp_path / FOLDER / "a.readings.json").write_bytes(damage)

    assert kept is not None
    assert kept["pair"] == (None, True)
    assert kept["array"].tolist() == [1.0, float("inf")]
    assert shelf.find("a.readings.json") is None


def test_a_book_that_cannot_be_written_into_is_computed_all_the_same(book: Path) -> None:
    """Where the folder's name is taken by a file, nothing is kept and nothing is said."""
    (book / FOLDER).write_text("mine", encoding="utf-8")
    _evaluated(book)

    assert (book / FOLDER).read_text(encoding="utf-8") == "mine"


def test_a_changed_figure_is_not_believed(tmp_path: Path) -> None:
    """A file whose text is not what its first line says is computed anew."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep("a.readings.json", (2.5,))
    assert shelf.find("a.readings.json") == (2.5,)
    file = tmp_path / FOLDER / "a.readings.json"
    file.write_bytes(file.read_bytes().replace(b"2.5", b"3.5"))

    assert shelf.find("a.readings.json") is None


def test_a_link_in_the_folders_place_is_left_alone(tmp_path: Path) -> None:
    """Nothing is written to where it leads, nor read from there."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "a.readings.json").write_text('{"tuple": [1]}', encoding="utf-8")
    (tmp_path / FOLDER).symlink_to(elsewhere)
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep(f"b.readings.{'0' * 64}.json", (2,))

    assert [path.name for path in elsewhere.iterdir()] == ["a.readings.json"]
    assert shelf.find("a.readings.json") is None


def test_a_name_says_of_what_it_is(book: Path) -> None:
    """Slug and kind can be read off it."""
    opened, staged = open_and_stage(book)

    assert name_of("pages", staged[0].loaded, opened.studio).startswith("01-borrowed-window.pages.")
