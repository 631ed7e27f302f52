"""The site in whole: what is the same stays as it was, and nothing wrong is ever published over it."""

from pathlib import Path

import pytest

from publishing.quick import PAGE, published, small_book
from thirdstop.errors import BookFaults, PublishingError
from thirdstop.publishing.places import MARKER
from thirdstop.publishing.switching import Switched


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book of two demo recipes and one page of its own."""
    return small_book(tmp_path / "book")


def publish(book: Path) -> Switched:
    """The book read, computed and published beside itself."""
    return published(book).switched


def state(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Bytes and time of every file that was published."""
    return {
        path.relative_to(folder).as_posix(): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != MARKER
    }


def test_publishing_twice_keeps_bytes_and_times(book: Path) -> None:
    """A book that has not changed gives the same bytes, and no file is touched."""
    first = publish(book)
    before = state(book.parent / "site")
    second = publish(book)

    assert (first.kept, first.removed) == ((), ())
    assert second == Switched(written=(), kept=first.written, removed=(), how="unchanged")
    assert state(book.parent / "site") == before


def test_only_what_changed_is_written_anew(book: Path) -> None:
    """Another word on one page of the house changes that page's file and no other."""
    publish(book)
    before = state(book.parent / "site")
    page = book / "pages" / "house-rules.md"
    page.write_text(PAGE.replace("boom", "long boom"), encoding="utf-8")
    summary = publish(book)
    after = state(book.parent / "site")

    assert summary.written == ("pages/house-rules.html",)
    assert [path for path in after if after[path] != before[path]] == ["pages/house-rules.html"]


def test_a_recipe_that_is_gone_leaves_the_site(book: Path) -> None:
    """Its page, its set-up card and its page for a phone are removed, and the index names it no more."""
    publish(book)
    (book / "recipes" / "06-under-the-brim.yaml").unlink()
    summary = publish(book)
    site = book.parent / "site"

    assert len(summary.removed) == 3
    assert not (site / "recipes" / "06-under-the-brim").exists()
    assert "brim" not in (site / "index.html").read_text(encoding="utf-8").lower()


def test_a_broken_link_of_a_page_is_a_fault_with_its_line(book: Path) -> None:
    """It is named as written in the Markdown file, and the former site stays byte for byte."""
    publish(book)
    before = state(book.parent / "site")
    page = book / "pages" / "house-rules.md"
    page.write_text(f"{PAGE}\nSee [the old window](the-old-window).\n", encoding="utf-8")
    with pytest.raises(BookFaults) as caught:
        publish(book)

    assert [str(fault) for fault in caught.value.faults] == [
        "pages/house-rules.md:5:1: there is no recipe or page of this name; given: the-old-window; "
        "write: 01-borrowed-window"
    ]
    assert state(book.parent / "site") == before


def test_a_broken_link_of_a_note_is_a_fault_with_its_line(book: Path) -> None:
    """The notes of a recipe are Markdown too; the fault names the recipe's file and the line in it."""
    path = book / "recipes" / "06-under-the-brim.yaml"
    text = path.read_text(encoding="utf-8") + "  See [this](nowhere).\n"
    assert "notes: |" in text
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BookFaults) as caught:
        publish(book)

    line = text.count("\n")
    assert [str(fault) for fault in caught.value.faults] == [
        f"recipes/06-under-the-brim.yaml:{line}:1: there is no recipe or page of this name; given: nowhere; "
        "write: a recipe or page of the book, such as 'borrowed-window', 'under-the-brim', 'gear'"
    ]
    assert not (book.parent / "site").exists()


def test_a_link_to_an_anchor_that_is_not_there_is_a_fault(book: Path) -> None:
    """The page exists, the place on it doesn't: found with the whole site there, told of the book's file."""
    page = book / "pages" / "house-rules.md"
    page.write_text(f"{PAGE}\n[Stands](safety#ladders)\n", encoding="utf-8")
    with pytest.raises(BookFaults) as caught:
        publish(book)

    (fault,) = caught.value.faults
    assert fault.wrong == "leads to a place that isn't on that page"
    assert (fault.file, fault.line, fault.given) == ("pages/house-rules.md", PAGE.count("\n") + 2, "#ladders")
    assert fault.write == "the name of the page alone"


def test_a_folder_that_holds_something_else_is_left_alone(book: Path) -> None:
    """Publishing never takes away files that it didn't write."""
    site = book.parent / "site"
    site.mkdir()
    (site / "thesis.txt").write_text("years of work", encoding="utf-8")
    with pytest.raises(PublishingError):
        publish(book)

    assert {path.name for path in site.iterdir()} == {"thesis.txt"}
