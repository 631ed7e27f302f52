"""Opening a book: the demo book opens, and whatever happens to a file, only faults come of it."""

import os
import pickle
import random
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thirdstop.book.book import Book, open_book, open_studio
from thirdstop.errors import BookFaults, UsageError

DEMO = Path(__file__).parents[2] / "recipes"
BASE = Path(__file__).parents[1] / "cases" / "base"
DEMO_FILES = sorted(
    path.relative_to(DEMO).as_posix() for path in [DEMO / "studio.yaml", *DEMO.glob("recipes/*")]
)


def test_demo_opens() -> None:
    """The demo book has no fault; recipes come in the order of their files, each with text and positions."""
    book = open_book(DEMO)

    assert len(book.recipes) >= 12
    assert [loaded.file for loaded in book.recipes] == sorted(loaded.file for loaded in book.recipes)
    for loaded in book.recipes:
        line, column = loaded.marks.value(("title",))
        assert loaded.text.split("\n")[line - 1][column - 1 :].startswith(loaded.recipe.title[:1])


def test_no_folder(tmp_path: Path) -> None:
    """A folder that isn't there, or is no book, is a wrong use and not a fault of a file."""
    with pytest.raises(UsageError, match=r"there is no folder .*nowhere"):
        open_book(tmp_path / "nowhere")
    with pytest.raises(UsageError, match=r"is not a book: it has no studio\.yaml"):
        open_book(tmp_path)


def test_special_files_do_not_hang(tmp_path: Path) -> None:
    """A named pipe among the recipes is a fault; nothing waits for it."""
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    os.mkfifo(tmp_path / "recipes" / "pipe.yaml")

    with pytest.raises(BookFaults, match=r"recipes/pipe\.yaml:1:1: this isn't a file"):
        open_book(tmp_path)


def test_faults_travel(tmp_path: Path) -> None:
    """Faults survive pickling, so that a parallel run can hand them over."""
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    (tmp_path / "studio.yaml").write_text("name: 3\n")
    with pytest.raises(BookFaults) as caught:
        open_book(tmp_path)

    assert pickle.loads(pickle.dumps(caught.value)).faults == caught.value.faults


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A copy of the base book, to be damaged and mended."""
    yield shutil.copytree(BASE, tmp_path_factory.mktemp("damaged") / "book")


def _damaged(data: bytes, source: random.Random) -> bytes:
    signs = b"\x00\x01\x7f\x80\xc3\xed\xff:-[]{}'\"#&*!|>%@`~?, \n\t\\019ae."
    for _ in range(source.randint(1, 8)):
        place, length = source.randrange(len(data) + 1), source.choice([0, 0, 1, 2, 4, 30])
        moved = source.randrange(len(data) + 1)
        piece = source.choice(
            [bytes([source.choice(signs)]), data[moved : moved + source.choice([3, 40])], b""]
        )
        data = data[:place] + piece + data[place + length :]
    return data


@pytest.mark.parametrize("file", DEMO_FILES)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 2**32))
def test_damage_ends_in_faults(folder: Path, file: str, seed: int) -> None:
    """Every demo file, damaged at random byte by byte, is read as a book or ends in faults that name it."""
    target = folder / ("studio.yaml" if file == "studio.yaml" else "recipes/damaged.yaml")
    before = (BASE / "studio.yaml").read_bytes()
    target.write_bytes(_damaged((DEMO / file).read_bytes(), random.Random(seed)))
    try:
        assert isinstance(open_book(folder), Book)
    except BookFaults as error:
        assert {fault.file for fault in error.faults} == {target.relative_to(folder).as_posix()}
        assert all("\n" not in str(fault) and str(fault).isprintable() for fault in error.faults)
    finally:
        target.unlink()
        (folder / "studio.yaml").write_bytes(before)


def test_a_studio_by_itself_is_read_like_any_other(tmp_path: Path) -> None:
    """Its name, and where its values stand."""
    studio, marks = open_studio(DEMO / "studio.yaml")

    assert studio.name == "The Lantern Room"
    assert marks.value(("name",)).line == 2


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/null", "nowhere", "folder", "recipe.yaml"])
def test_what_is_no_studio_file_is_a_fault(tmp_path: Path, name: str) -> None:
    """An endless file, a folder, nothing, a recipe: each is told, and none is read without end."""
    (tmp_path / "folder").mkdir()
    shutil.copy(DEMO / "recipes" / "01-borrowed-window.yaml", tmp_path / "recipe.yaml")

    with pytest.raises(BookFaults):
        open_studio(tmp_path / name)
