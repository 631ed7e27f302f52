"""What is kept beside a book is found again only while everything it depends on is the same."""

import hashlib
import shutil
import zlib
from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from thirdstop import running
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.keeping import FOLDER, SHORT_BYTES, Name, Shelf, digest_of, name_of
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


@pytest.fixture(autouse=True)
def quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """One scan in place of the bands: what is kept here is what was computed, however it was."""
    monkeypatch.setattr(running, "predict", lambda staging, **_: read(staging, solve(staging.scene, SCAN)))


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


def test_prose_is_nothing_to_the_engine(book: Path, computed: list[str]) -> None:
    """What is left out of a name changes no number: computed anew under another title, it is the same."""
    first = _evaluated(book)
    _written(book, "title: ", "title: Another ")
    _written(book, "revised: 2026-11-20", "revised: 2026-11-25")
    _written(book, "notes: |", "meant_to_halt: true\nnotes: |")
    assert _evaluated(book).title.startswith("Another ")
    shutil.rmtree(book / FOLDER)
    second = _evaluated(book)

    assert computed == ["01-borrowed-window"] * 2
    assert (first.readings, first.findings) == (second.readings, second.findings)


def test_a_changed_value_is_computed_anew_in_the_formers_place(book: Path, computed: list[str]) -> None:
    """Of the recipe or of the studio; nothing piles up."""
    _evaluated(book)
    _written(book, "iso: 100", "iso: 200")
    _evaluated(book)
    _written(book, "height: 2.4 m", "height: 2.45 m", "studio.yaml")
    _evaluated(book)

    assert len(computed) == 3
    assert [path.name for path in (book / FOLDER).glob("[!.]*")] == ["01-borrowed-window.readings"]


A = Name("a.readings", "0" * 64)


def _file(data: bytes, name: Name = A) -> bytes:
    """A kept file that holds these bytes, its digests in order."""
    return f"{name.key} {hashlib.sha256(data).hexdigest()}\n".encode() + data


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"{",
        b"[{}]",
        b'{"Popen": []}',
        b'{"Finding": [1]}',
        b'{"Finding": {"dict": []}}',
        b'{"dict": [["readings", 1, 2]]}',
    ],
)
def test_what_cannot_be_read_is_computed_anew(tmp_path: Path, damage: bytes) -> None:
    """Half a file, no file of ours, a class that was never named, whatever the digests say."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep(A, {"array": np.array([1.0, float("inf")]), "pair": (None, True), "day": date(2026, 3, 1)})
    kept = shelf.find(A)
    for data in (damage, _file(damage), _file(zlib.compress(damage))):
        (tmp_path / FOLDER / A.file).write_bytes(data)
        assert shelf.find(A) is None

    assert kept is not None
    assert kept["pair"] == (None, True)
    assert kept["array"].tolist() == [1.0, float("inf")]
    assert kept["day"] == date(2026, 3, 1)


@pytest.mark.parametrize("length", [10, 10 * SHORT_BYTES])
def test_a_long_result_comes_back_as_a_short_one_does(tmp_path: Path, length: int) -> None:
    """Long ones are kept in less room; cut or with a byte changed, neither is believed."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep(A, ("x" * length,))
    file = tmp_path / FOLDER / A.file
    data = file.read_bytes()
    assert len(data) < length / 2 or length < SHORT_BYTES

    assert shelf.find(A) == ("x" * length,)
    for torn in (data[:-1], data[:-2] + b"y" + data[-1:]):
        file.write_bytes(torn)
        assert shelf.find(A) is None


def test_what_was_made_of_something_else_is_not_found(tmp_path: Path) -> None:
    """The same slug and kind under another digest; what is kept next takes the former's place."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep(A, (1,))
    other = A._replace(key="1" * 64)
    assert shelf.find(other) is None
    shelf.keep(other, (2,))

    assert (shelf.find(A), shelf.find(other)) == (None, (2,))
    assert digest_of("a", "bc") != digest_of("ab", "c")


def test_what_is_kept_of_a_recipe_that_is_gone_is_taken_away(tmp_path: Path) -> None:
    """The book's own results and other recipes' stay."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    for file in ("a.readings", "b.readings", "_book.plan"):
        shelf.keep(Name(file, "0" * 64), (1,))
    shelf.clear(["b"])

    assert sorted(path.name for path in (tmp_path / FOLDER).iterdir()) == [
        ".gitignore",
        "_book.plan",
        "b.readings",
    ]


def test_a_book_that_cannot_be_written_into_is_computed_all_the_same(book: Path) -> None:
    """Where the folder's name is taken by a file, nothing is kept and nothing is said."""
    (book / FOLDER).write_text("mine", encoding="utf-8")
    _evaluated(book)

    assert (book / FOLDER).read_text(encoding="utf-8") == "mine"


def test_a_changed_figure_is_not_believed(tmp_path: Path) -> None:
    """A file whose bytes are not what its first line says is computed anew."""
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep(A, (2.5,))
    assert shelf.find(A) == (2.5,)
    file = tmp_path / FOLDER / A.file
    head, _, _ = file.read_bytes().partition(b"\n")
    file.write_bytes(head + b"\n" + zlib.compress(b"[3.5]", 1))

    assert shelf.find(A) is None


def test_a_link_in_the_folders_place_is_left_alone(tmp_path: Path) -> None:
    """Nothing is written to where it leads, nor read from there."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / A.file).write_bytes(_file(zlib.compress(b"[1]")))
    (tmp_path / FOLDER).symlink_to(elsewhere)
    shelf = Shelf(tmp_path, KEPT_CLASSES)
    shelf.keep(Name("b.readings", "0" * 64), (2,))
    shelf.clear([])

    assert [path.name for path in elsewhere.iterdir()] == [A.file]
    assert shelf.find(A) is None


def test_a_name_says_of_what_it_is(book: Path) -> None:
    """Slug and kind can be read off it."""
    opened, staged = open_and_stage(book)

    assert name_of("pages", staged[0].loaded, opened.studio).file == "01-borrowed-window.pages"
