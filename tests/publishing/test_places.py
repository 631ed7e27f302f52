"""Where thirdstop publishes, and where it refuses to."""

import hashlib
from pathlib import Path

import pytest

from thirdstop.errors import PublishingError
from thirdstop.publishing import places
from thirdstop.publishing.switching import Place, holding

FILES = {"index.html": b"index", "recipes/hat/index.html": b"hat"}


def publish(out: Path, book: Path | None = None) -> None:
    with holding(out, book) as place:
        place.switch(FILES)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    publish(tmp_path / "site")
    return tmp_path / "site"


def refused(out: Path, book: Path | None = None) -> str:
    with pytest.raises(PublishingError) as caught:
        publish(out, book)
    return str(caught.value)


def test_a_folder_of_somebody_elses_is_refused(tmp_path: Path) -> None:
    """A file that thirdstop didn't write is named, and nothing is touched."""
    out = tmp_path / "letters"
    out.mkdir()
    (out / "aunt.txt").write_text("dear aunt")
    message = refused(out)

    assert message == (
        f"{out / 'aunt.txt'} was not written by thirdstop; publishing would delete it: "
        "move it away, or publish into an empty folder"
    )
    assert [path.name for path in tmp_path.rglob("*")] == ["letters", "aunt.txt"]


def test_a_file_added_to_a_site_is_not_deleted(site: Path) -> None:
    """Publishing again refuses rather than delete what a person put into the site."""
    (site / "recipes/hat/mine.txt").write_text("mine")

    assert "recipes/hat/mine.txt was not written by thirdstop" in refused(site)
    assert (site / "recipes/hat/mine.txt").read_text() == "mine"


def test_what_desktops_leave_is_no_reason_to_refuse(site: Path) -> None:
    """A .DS_Store in a site of ours is ignored."""
    (site / "recipes/.DS_Store").write_bytes(b"\0")
    publish(site)
    places.require_ours(site)


def test_a_marker_alone_claims_nothing(tmp_path: Path) -> None:
    """A marker only vouches for the files on its list."""
    out = tmp_path / "site"
    out.mkdir()
    (out / places.MARKER).write_bytes(places.marker_text(dict.fromkeys(FILES, "0" * 64)))
    (out / "aunt.txt").write_text("dear aunt")

    assert "aunt.txt was not written by thirdstop" in refused(out)


def test_the_site_as_a_link_is_refused(tmp_path: Path) -> None:
    """A link in the place of the site is not followed."""
    (tmp_path / "real").mkdir()
    (tmp_path / "site").symlink_to(tmp_path / "real")

    assert refused(tmp_path / "site") == f"{tmp_path / 'site'} is a link; name the folder itself"


def test_a_link_to_nothing_is_refused(tmp_path: Path) -> None:
    """Nor is a link that leads nowhere."""
    (tmp_path / "site").symlink_to(tmp_path / "absent")

    assert "is a link; name the folder itself" in refused(tmp_path / "site")


@pytest.mark.parametrize("name", ["index.html", "recipes"])
def test_a_link_inside_the_site_is_refused(site: Path, tmp_path: Path, name: str) -> None:
    """A file or folder of the list that has become a link is not followed, and its target is safe."""
    outside = tmp_path / "outside"
    (site / name).rename(outside)
    (site / name).symlink_to(outside)

    assert f"{site / name} is a link; publishing would delete it" in refused(site)
    assert outside.exists()


@pytest.mark.parametrize("what", ["next", "former"])
def test_a_planted_neighbour_is_refused(site: Path, tmp_path: Path, what: str) -> None:
    """The names used beside the site are checked like the site itself before anything in them is deleted."""
    outside = tmp_path / "outside"
    outside.mkdir()
    Place(site).beside(what).symlink_to(outside)

    assert "is a link; name the folder itself" in refused(site)


def test_a_planted_neighbour_with_files_is_refused(site: Path) -> None:
    """A folder of somebody's under such a name is not cleared away."""
    Place(site).next.mkdir()
    (Place(site).next / "aunt.txt").write_text("dear aunt")

    assert "aunt.txt was not written by thirdstop" in refused(site)


def test_a_planted_lock_is_not_followed(tmp_path: Path) -> None:
    """A lock that is a link would let us write into another file."""
    (tmp_path / "victim").write_text("precious")
    Place(tmp_path / "site").beside("lock").symlink_to(tmp_path / "victim")

    said = refused(tmp_path / "site")
    assert said.startswith(f"can't lock {tmp_path}") and said.endswith(
        f"; let this user write into {tmp_path}, or publish into a folder of your own with --out"
    )
    assert (tmp_path / "victim").read_text() == "precious"


def test_over_the_book_is_refused(tmp_path: Path) -> None:
    """Neither the book's folder nor one that holds it can be the site."""
    book = tmp_path / "books" / "house"
    book.mkdir(parents=True)

    assert "holds the book; publish into a folder of its own" in refused(book, book)
    assert "holds the book; publish into a folder of its own" in refused(tmp_path / "books", book)


@pytest.mark.parametrize("inside", ["recipes", "recipes/site", "pages/site"])
def test_inside_the_books_sources_is_refused(tmp_path: Path, inside: str) -> None:
    """A site among the recipes would be read as part of the book."""
    (tmp_path / "recipes").mkdir()
    (tmp_path / "pages").mkdir()
    source = inside.split("/")[0]

    assert f"is inside the book's {source}; publish into a folder of its own" in refused(
        tmp_path / inside, tmp_path
    )


def test_a_link_into_the_recipes_is_seen_through(tmp_path: Path) -> None:
    """Links above the site are followed before it is compared with the book."""
    (tmp_path / "recipes").mkdir()
    (tmp_path / "elsewhere").symlink_to(tmp_path / "recipes")

    assert "is inside the book's recipes" in refused(tmp_path / "elsewhere" / "site", tmp_path)


def test_a_missing_parent_is_named(tmp_path: Path) -> None:
    """Publishing makes one folder, not a path of them."""
    assert refused(tmp_path / "no" / "site") == (
        f"{tmp_path / 'no'} is not there to publish into; make it first, or name another folder with --out"
    )


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("../up.html", "'../up.html' is not a file name that a site can have"),
        ("/etc/hosts", "'/etc/hosts' is not a file name that a site can have"),
        ("a\\b", "'a\\b' is not a file name that a site can have"),
        ("a//b", "'a//b' is not a file name that a site can have"),
        ("a\nb", "'a\nb' is not a file name that a site can have"),
        (".gitignore", "'.gitignore' is kept for thirdstop's own use"),
        (places.MARKER, f"'{places.MARKER}' is kept for thirdstop's own use"),
        ("INDEX.html", "'INDEX.html' and 'index.html' differ only by capitals"),
        ("index.html/more", "'index.html' would be a file and a folder at once"),
    ],
)
def test_names_that_would_escape_or_collide_are_refused(name: str, message: str) -> None:
    """A site's file can't leave its folder, hide the marker, or depend on capitals."""
    with pytest.raises(PublishingError) as caught:
        places.require_safe_names({**FILES, name: b""})

    assert str(caught.value) == message


def test_the_marker_lists_what_was_written(site: Path) -> None:
    """Each line of the marker is the SHA-256 and the path of one file, as sha256sum prints them."""
    head, *lines = (site / places.MARKER).read_text().splitlines()

    assert head == places.MARKER_HEAD
    assert lines == [f"{hashlib.sha256(data).hexdigest()}  {path}" for path, data in sorted(FILES.items())]
