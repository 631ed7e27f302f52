"""What is made again and what stays: whatever was edited, the site is the one made from nothing."""

import random
import shutil
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import pytest

from publishing.quick import SLUGS, changed, published, small_book
from thirdstop import proofing, remaking
from thirdstop.book.sources import Source
from thirdstop.desk import Desk, staged_of
from thirdstop.errors import BookFaults
from thirdstop.keeping import FOLDER
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import House, Written
from thirdstop.pages.of_recipe import own_of
from thirdstop.proofing import Proofed
from thirdstop.running import StagedRecipe

WINDOW, BRIM, BAG = (
    f"recipes/{n}.yaml" for n in ("01-borrowed-window", "06-under-the-brim", "18-one-bag-short")
)
SHOOT = "recipe: 01-borrowed-window\ndate: 2026-10-02\nread:\n  - {at: chin dome, reads: f/8}\n"


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of three recipes, a session, a shoot and a page, published."""
    folder = tmp_path_factory.mktemp("base")
    book = small_book(folder / "book", SLUGS)
    for name, text in (("course/2-clicks.md", "# Clicks\n\nA third.\n"), ("log/2026-10-02.yaml", SHOOT)):
        (book / name).parent.mkdir()
        (book / name).write_text(text, encoding="utf-8")
    published(book)
    return folder


@pytest.fixture
def book(base: Path, tmp_path: Path) -> Path:
    """A copy of it, with its site and all that is kept."""
    shutil.copytree(base, tmp_path, dirs_exist_ok=True)
    return tmp_path / "book"


def files(folder: Path) -> dict[str, bytes]:
    """All that stands in a site, its marker too."""
    found = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def clean(book: Path) -> dict[str, bytes]:
    """The site that the same files give where nothing is kept."""
    other = book.parent / "clean"
    shutil.copytree(book, other / "book", ignore=shutil.ignore_patterns(FOLDER))
    published(other / "book")
    made = files(other / "site")
    shutil.rmtree(other)
    return made


def proofed(book: Path) -> Proofed:
    """The book proofed; nothing of it was computed in bands, so the pages' results serve."""
    return proofing.proof(book, lambda *_: nullcontext(lambda count: None))


# what may happen to a book: each does one thing to the book or beside it


def _new_recipe(book: Path) -> None:
    text = (book / BRIM).read_text(encoding="utf-8")
    name = f"{len(list((book / 'recipes').iterdir())) + 1:02d}-another.yaml"
    (book / "recipes" / name).write_text(text.replace("title: ", f"title: {name[:2]} ", 1), encoding="utf-8")


def _page(book: Path) -> None:
    (book / "pages" / "notice.md").write_text(
        "# Notice\n\nSee [the brim](06-under-the-brim).\n", encoding="utf-8"
    )


def _no_course(book: Path) -> None:
    shutil.rmtree(book / "course", ignore_errors=True)


def _torn(book: Path) -> None:
    for path in sorted(path for path in (book / FOLDER).iterdir() if path.is_file())[::3]:
        path.write_bytes(path.read_bytes()[:-1])


def _folders_torn(book: Path) -> None:
    kept = book / FOLDER / "_book.folders"
    if kept.exists():
        shutil.rmtree(kept / "recipes" / "01-borrowed-window")
        (kept / "recipes" / "gone" / "far").mkdir(parents=True)


def _touched(book: Path) -> None:
    page = book.parent / "site" / "recipes" / "01-borrowed-window" / "card.html"
    page.write_bytes(page.read_bytes().replace(b"f/8", b"f/2"))


def _in(file: str, old: str, new: str) -> Callable[[Path], None]:
    def edit(book: Path) -> None:
        if (book / file).exists():
            changed(book / file, old, new)

    return edit


EDITS: dict[str, Callable[[Path], None]] = {
    "a word of a purpose": _in(WINDOW, "purpose: ", "purpose: Now "),
    "a title": _in(BRIM, "title: ", "title: New "),
    "a comment": _in(WINDOW, "title: ", "# seen\ntitle: "),
    "a value": _in(WINDOW, r"aperture: f/\d+", "aperture: f/11"),
    "a link": _in(WINDOW, r"notes: \|\n", "notes: |\n  As [the brim](06-under-the-brim).\n\n"),
    "a new recipe": _new_recipe,
    "a recipe less": lambda book: (book / BAG).unlink(missing_ok=True),
    "a page": _page,
    "a page's title": _in("pages/house-rules.md", "# ", "# Our "),
    "the house's name": _in("studio.yaml", "name: ", "name: Our "),
    "the house's sentence": _in("studio.yaml", "about: ", "about: Now "),
    "a session's text": _in("course/2-clicks.md", "third", "third of a stop"),
    "no course": _no_course,
    "a shoot's note": _in("log/2026-10-02.yaml", "date: ", "notes: Dim.\ndate: "),
    "what is kept, torn": _torn,
    "kept folders, torn": _folders_torn,
    "what is kept, gone": lambda book: shutil.rmtree(book / FOLDER),
    "a page of the site, by hand": _touched,
    "the site, gone": lambda book: shutil.rmtree(book.parent / "site"),
}


@pytest.mark.parametrize("seed", [1])
def test_an_update_is_a_clean_publish(book: Path, seed: int) -> None:
    """Every kind of edit in one order or another, published after each third of them: byte for byte."""
    edits = [EDITS[name] for name in random.Random(seed).sample(sorted(EDITS), len(EDITS))]
    for start in range(0, len(edits), 6):
        for edit in edits[start : start + 6]:
            edit(book) if (book.parent / "site").exists() or edit is not _touched else None
        published(book)

    assert files(book.parent / "site") == clean(book)


def test_a_word_makes_one_recipe_again(book: Path) -> None:
    """Its page and the index; the rest is not even rendered."""
    changed(book / WINDOW, "purpose: ", "purpose: Now ")
    site = published(book).switched

    assert site.written == ("index.html", "recipes/01-borrowed-window/index.html")


def test_prose_leaves_card_and_phone_as_they_are(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither is made again for a word that neither says; for a date, which both say, they are."""
    made: list[str] = []

    def noting(house: House, evaluated: Evaluated) -> Written:
        made.append(evaluated.slug)
        return own_of(house, evaluated)

    monkeypatch.setattr(remaking, "own_of", noting)
    changed(book / WINDOW, "purpose: ", "purpose: Now ")
    changed(book / WINDOW, r"notes: \|\n", "notes: |\n  Slowly.\n\n")
    changed(book / WINDOW, r"tags: \[", "tags: [slow, ")
    published(book)
    assert made == []
    changed(book / WINDOW, "revised: .*", "revised: 2026-12-24")
    published(book)

    assert made == [SLUGS[0]]
    assert files(book.parent / "site") == clean(book)


def test_a_title_is_told_to_neighbours_and_to_whoever_links(book: Path) -> None:
    """No page says the former one."""
    changed(book / BRIM, "title: .*", "title: Shade of velvet")
    published(book)

    assert not [path for path, data in files(book.parent / "site").items() if b"Under the brim" in data]


def test_proof_looks_only_at_what_changed(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A recipe that was checked isn't read again; what is found is what a first look finds."""
    seen: list[str] = []

    def noting(desk: Desk, source: Source) -> StagedRecipe:
        seen.append(source.slug)
        return staged_of(desk, source)

    monkeypatch.setattr(proofing, "staged_of", noting)
    monkeypatch.setattr(proofing, "each_done", lambda work, pieces: map(work, pieces))
    first, again = proofed(book), proofed(book)
    changed(book / WINDOW, "title: ", "title: New ")
    last = proofed(book)

    assert seen == [*SLUGS, SLUGS[0]]
    assert first == again
    assert [one.findings for one in last.recipes] == [one.findings for one in first.recipes]
    assert last.recipes[0].title == "New Borrowed window"


def test_proof_tells_a_link_to_a_recipe_that_is_gone(book: Path) -> None:
    """Although the note that has it was found sound before."""
    changed(book / WINDOW, r"notes: \|\n", "notes: |\n  As [the brim](06-under-the-brim).\n\n")
    proofed(book)
    (book / BRIM).unlink()
    with pytest.raises(BookFaults) as caught:
        proofed(book)

    assert [fault.given for fault in caught.value.faults] == ["06-under-the-brim"]


def test_a_fault_leaves_site_and_ledger(book: Path) -> None:
    """And is told again by the next run, though everything else is kept; mended, the site is as it was."""
    before, text = files(book.parent / "site"), (book / BRIM).read_text(encoding="utf-8")
    changed(book / BRIM, "pose: seated", "pose: floating")
    for _ in range(2):
        with pytest.raises(BookFaults) as caught:
            published(book)
        assert [fault.file for fault in caught.value.faults] == [BRIM]
    assert files(book.parent / "site") == before
    (book / BRIM).write_text(text, encoding="utf-8")

    assert published(book).switched.how == "unchanged"


@pytest.mark.parametrize(
    ("edit", "faulty"),
    [
        (_in(BRIM, "title: .*", "title: Borrowed window"), BRIM),
        (_in("log/2026-10-02.yaml", "chin dome", "ear dome"), "log/2026-10-02.yaml"),
        (_in("log/2026-10-02.yaml", "01-borrowed-window", "gone"), "log/2026-10-02.yaml"),
        (_in("studio.yaml", "theme: .*|name: ", "theme: mist\nname: "), "studio.yaml"),
        (_in("pages/house-rules.md", "boom", "[boom](nowhere)"), "pages/house-rules.md"),
    ],
    ids=["a title twice", "a point", "a shoot of no recipe", "a theme", "a link"],
)
def test_what_shows_only_beside_the_rest_of_the_book_is_told(
    book: Path, edit: Callable[[Path], None], faulty: str
) -> None:
    """Although the other files are not read again."""
    edit(book)
    with pytest.raises(BookFaults) as caught:
        published(book)

    assert {fault.file for fault in caught.value.faults} == {faulty}


def test_a_link_to_a_recipe_that_is_gone_is_told(book: Path) -> None:
    """By the page that has it, though that page's own file is the same."""
    changed(book / WINDOW, r"notes: \|\n", "notes: |\n  As [the brim](06-under-the-brim).\n\n")
    published(book)
    (book / BRIM).unlink()
    with pytest.raises(BookFaults) as caught:
        published(book)

    assert [fault.given for fault in caught.value.faults] == ["06-under-the-brim"]


def test_a_book_that_cannot_be_written_into_is_published(book: Path) -> None:
    """Where the folder's name is taken, results are kept elsewhere for as long as it takes."""
    shutil.rmtree(book / FOLDER)
    (book / FOLDER).write_text("mine", encoding="utf-8")

    assert published(book, book.parent / "other").switched.how == "first"
    assert (book / FOLDER).read_text(encoding="utf-8") == "mine"


def test_what_was_of_a_recipe_that_is_gone_is_not_kept(book: Path) -> None:
    """Nothing of it stays beside the book."""
    (book / BAG).unlink()
    published(book)

    assert not list((book / FOLDER).glob("18-*"))
