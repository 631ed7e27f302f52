"""Which files a PDF may take the place of: none but PDFs, and nothing of the book's own."""

from pathlib import Path

import pytest

from thirdstop.errors import UsageError
from thirdstop.publishing.out_file import pdf_at

USUAL = "brim-A4.pdf"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A book's folder."""
    book = tmp_path / "book"
    for name in ("recipes", "log", "pages", "course"):
        (book / name).mkdir(parents=True)
    (book / "studio.yaml").write_text("name: Ours\n")
    (book / "recipes" / "brim.yaml").write_text("title: Brim\n")
    return book


def refused(out: Path | None, root: Path) -> str:
    before = sorted(root.parent.rglob("*"))
    with pytest.raises(UsageError) as caught:
        pdf_at(out, root, USUAL)
    assert sorted(root.parent.rglob("*")) == before
    return str(caught.value)


def test_a_new_file_a_pdf_and_an_empty_file_may_be_written(root: Path, tmp_path: Path) -> None:
    """And nothing of them is touched, nor is anything left beside them."""
    (tmp_path / "former.pdf").write_bytes(b"%PDF-1.4 and more")
    (tmp_path / "empty.pdf").touch()
    before = sorted(tmp_path.rglob("*"))

    for name in ("new.pdf", "former.pdf", "empty.pdf", "book/brim.pdf"):
        assert pdf_at(tmp_path / name, root, USUAL) == tmp_path / name
    assert sorted(tmp_path.rglob("*")) == before
    assert (tmp_path / "former.pdf").read_bytes() == b"%PDF-1.4 and more"


def test_left_out_it_is_the_usual_name_here(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Unless what has that name is no PDF: another name is then given."""
    monkeypatch.chdir(root)
    assert pdf_at(None, root, USUAL) == Path(USUAL)
    (root / USUAL).write_text("notes of my own")

    assert refused(None, Path()) == (
        "brim-A4.pdf is there already and is no PDF; move it away, or write: --out new-brim-A4.pdf"
    )


def test_a_file_that_is_no_pdf_stays(root: Path, tmp_path: Path) -> None:
    """Also one that a link leads to."""
    letter, link = tmp_path / "letter.txt", tmp_path / "link.pdf"
    letter.write_text("dear aunt")
    link.symlink_to(letter)

    for one in (letter, link):
        assert refused(one, root) == (
            f"{one} is there already and is no PDF; move it away, or write: --out brim-A4.pdf"
        )
    assert refused(Path("/dev/null"), root) == "/dev/null is no plain file; write: --out brim-A4.pdf"


@pytest.mark.parametrize("name", ["recipes", "log", "pages", "course"])
def test_nothing_is_printed_into_the_books_own_folders(name: str, root: Path, tmp_path: Path) -> None:
    """Neither a new file nor over a PDF, nor by a link that leads there."""
    (root / name / "former.pdf").write_bytes(b"%PDF-1.4")
    (tmp_path / "there").symlink_to(root / name)

    for one in (root / name / "new.pdf", root / name / "former.pdf", tmp_path / "there" / "new.pdf"):
        assert refused(one, root) == (
            f"{one.name} would stand in the book's own {name}; write: --out {root / USUAL}"
        )
    assert refused(root / name, root) == f"{name} is the book's own folder; write: --out {root / USUAL}"


def test_the_studio_file_stays(root: Path) -> None:
    """Whatever it begins with."""
    (root / "studio.yaml").write_bytes(b"%PDF")

    assert refused(root / "studio.yaml", root) == (
        f"studio.yaml is the book's own studio file; write: --out {root / USUAL}"
    )


def test_a_place_where_nothing_can_be_written_is_named(root: Path, tmp_path: Path) -> None:
    """No such folder, a folder, a file in a folder's place, a name that is too long."""
    gone, file = tmp_path / "gone" / "x.pdf", root / "studio.yaml" / "x.pdf"

    assert refused(gone, root) == (
        f"{gone.parent} isn't there; make that folder first, or write: --out brim-A4.pdf"
    )
    assert refused(tmp_path, root) == f"{tmp_path} is a folder; write: --out {tmp_path / USUAL}"
    assert refused(file, root) == f"{file.parent} is no folder; write: --out brim-A4.pdf"
    assert "name too long; write: --out brim-A4.pdf" in refused(tmp_path / ("x" * 300), root)


def test_a_folder_that_takes_no_file_is_named(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the system says it."""

    def no(*given: object, **more: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "touch", no)

    assert refused(tmp_path / "x.pdf", root) == (
        f"can't write {tmp_path / 'x.pdf'}: permission denied; write: --out brim-A4.pdf"
    )
