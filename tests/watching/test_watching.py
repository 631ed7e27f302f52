"""The preview follows the files, shows faults in the page, and answers this machine alone."""

import http.client
import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from thirdstop import running
from thirdstop.errors import UsageError
from thirdstop.running import StagedRecipe
from thirdstop.watching.preview import Preview, tag_of
from thirdstop.watching.server import Watcher

DEMO = Path(__file__).resolve().parents[2] / "recipes"
PAGE = "recipes/01-borrowed-window/index.html"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo's studio with one recipe."""
    (tmp_path / "recipes").mkdir()
    for name in ("studio.yaml", "recipes/01-borrowed-window.yaml"):
        shutil.copy(DEMO / name, tmp_path / name)
    return tmp_path


def change(book: Path, old: str, new: str) -> None:
    """In the recipe's file."""
    file = book / "recipes" / "01-borrowed-window.yaml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_a_saved_file_is_in_the_page_and_a_fault_stands_in_its_place(book: Path) -> None:
    """Title, then a fault with its line, then the page again; nothing is seen where nothing was saved."""
    preview = Preview(book)
    assert preview.look()
    assert not preview.look()
    change(book, "title: Borrowed window", "title: Borrowed door")
    assert preview.look()
    assert b"<h1>Borrowed door</h1>" in (preview.page(PAGE) or b"")
    change(book, "aperture: f/8", "aperture: 8")
    assert preview.look()
    page = preview.page(PAGE) or b""
    assert b"1 fault" in page
    assert b"recipes/01-borrowed-window.yaml:12:" in page
    assert b"body" in (preview.page("static/site.css") or b"")
    change(book, "aperture: 8", "aperture: f/8")
    assert preview.look()
    assert b"<h1>Borrowed door</h1>" in (preview.page(PAGE) or b"")
    assert preview.page("recipes/none/index.html") is None


def test_a_link_of_the_notes_that_leads_nowhere_is_told_on_each_of_a_recipes_pages(book: Path) -> None:
    """On the card too, which doesn't print the notes: who looks at it hears of it as well."""
    preview = Preview(book)
    change(book, "notes: |", "notes: |\n  See [another](none).")
    assert preview.look()
    page = preview.page("recipes/01-borrowed-window/card.html") or b""
    assert b"1 fault" in page


def test_an_imperial_house_sees_its_faults_in_feet(book: Path) -> None:
    """What was written stays as it was."""
    studio = book / "studio.yaml"
    text = studio.read_text(encoding="utf-8")
    studio.write_text(text.replace("units: metric", "units: imperial"), encoding="utf-8")
    change(book, "distance: 2 m", "distance: 20 cm")
    preview = Preview(book)
    preview.look()
    page = (preview.page(PAGE) or b"").decode()
    preview.close()

    page = page.replace("&#39;", "'").replace("’", "'").replace("\u00a0", " ")

    assert "a camera's distance is at least 1 ft" in page
    assert "20 cm" in page and "1 ft or more" in page


def test_a_studio_file_that_is_away_for_a_moment_is_a_fault_in_the_page(book: Path) -> None:
    """As when an editor saves under another name first; the pages come back with it. So do logs."""
    preview = Preview(book)
    preview.look()
    away = book / "studio.yaml~"
    (book / "studio.yaml").rename(away)
    assert preview.look()
    assert b"1 fault" in (preview.page(PAGE) or b"")
    away.rename(book / "studio.yaml")
    assert preview.look()
    assert b"<h1>Borrowed window</h1>" in (preview.page(PAGE) or b"")
    (book / "log").mkdir()
    (book / "log" / "one.yaml").write_text("recipe: none\n", encoding="utf-8")
    assert preview.look()
    assert b"log/one.yaml" in (preview.page(PAGE) or b"")


def test_a_path_is_no_script(watcher: Watcher, book: Path) -> None:
    """While faults stand in for every page, what was asked for is not put into it as it is."""
    change(book, "aperture: f/8", "aperture: 8")
    deadline = time.monotonic() + 60
    status, page = 404, b""
    while status != 200 and time.monotonic() < deadline:
        status, page = ask(watcher, "/%22%3E%3Cscript%3Ealert(1)%3C/script%3E.html")

    assert b"1 fault" in page
    assert b"<script>alert" not in page


def test_only_what_changed_is_staged_again(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second recipe that stays as it was keeps its staging."""
    text = (book / "recipes" / "01-borrowed-window.yaml").read_text(encoding="utf-8")
    other = text.replace("title: Borrowed window", "title: Another")
    (book / "recipes" / "02-another.yaml").write_text(other, encoding="utf-8")
    preview = Preview(book)
    preview.look()
    slugs: list[str] = []
    charge = running.charged

    def charged(one: StagedRecipe) -> StagedRecipe:
        if not one.charged:
            slugs.append(one.loaded.slug)
        return charge(one)

    monkeypatch.setattr(running, "charged", charged)
    change(book, "iso: 100", "iso: 200")
    preview.look()

    assert slugs == ["01-borrowed-window"]


@pytest.fixture
def watcher(book: Path) -> Iterator[Watcher]:
    """A running one."""
    preview = Preview(book)
    preview.look()
    one = Watcher(preview, 0)
    thread = threading.Thread(target=one.run, daemon=True)
    thread.start()
    yield one
    one.stop()
    thread.join(30)


def ask(watcher: Watcher, path: str, **headers: str) -> tuple[int, bytes]:
    """Status and body of one request; header names with '_' for '-'."""
    host = watcher.address.split("/")[2]
    connection = http.client.HTTPConnection(host, timeout=60)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.request("GET", path, headers={"Host": host, **named})
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    return answer.status, body


def test_it_serves_this_machine_alone(watcher: Watcher) -> None:
    """Bound to the loopback address; another name for it, or another site that asks, is refused."""
    assert watcher.address.startswith("http://127.0.0.1:")
    assert ask(watcher, "/")[0] == 200
    assert ask(watcher, "/", Host="rebound.example")[0] == 403
    assert ask(watcher, "/", Sec_Fetch_Site="cross-site")[0] == 403
    assert ask(watcher, "/../studio.yaml")[0] == 404
    assert ask(watcher, "/static/site.css")[0] == 200


def test_a_page_is_told_when_it_is_another(watcher: Watcher, book: Path) -> None:
    """Its question is answered once the file was saved."""
    status, page = ask(watcher, f"/{PAGE}")
    assert status == 200
    assert b"/asking.js?page=" + PAGE.encode() in page
    tag = page.split(b"tag=")[1][:16].decode()
    change(book, "title: Borrowed window", "title: Borrowed door")

    assert ask(watcher, f"/told.js?page={PAGE}&tag={tag}") == (200, b"location.reload();\n")
    assert tag_of(page) != tag  # the script itself is no part of what is compared


def test_a_taken_port_is_told(watcher: Watcher, book: Path) -> None:
    """One line, naming the option."""
    port = int(watcher.address.split(":")[2].strip("/"))

    with pytest.raises(UsageError, match="--port"):
        Watcher(Preview(book), port)
