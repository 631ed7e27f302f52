"""A site is switched in whole, or not at all."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import pytest

from thirdstop.errors import PublishingError
from thirdstop.publishing import places, switching, syncing
from thirdstop.publishing.exchange import exchange
from thirdstop.publishing.switching import Place, Swap, holding

FORMER = {"index.html": b"old index", "static/style.css": b"same", "gone/page.html": b"old page"}
NEW = {"index.html": b"new index", "static/style.css": b"same", "fresh/page.html": b"new page"}

# Each child counts every call that Python reports to audit hooks (open, rename, link, mkdir, unlink, rmdir,
# listing, dlsym before the exchange ...) once publishing has begun, and kills itself at the given one. It is
# forked from a process that has everything imported and does nothing but fork, once for each line it reads.
CHILDREN = """
import ctypes, fcntl, os, signal, sys, traceback
from pathlib import Path
from thirdstop.publishing import switching
out, way, spare = Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3])
files = {files!r}
swap = switching.exchange if way == "exchange" else (lambda one, other: False)
count = 0
def publish(at):
    def watch(event, args):
        global count
        if event.split(".")[0] in ("open", "os", "shutil", "ctypes", "fcntl", "pathlib"):
            count += 1
            if count == at:
                os.kill(os.getpid(), signal.SIGKILL)
    sys.addaudithook(watch)
    with switching.holding(out, swap=swap, spare=spare if spare.parent.exists() else None) as place:
        place.switch(files)
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        try:
            publish(int(line))
            os._exit(0)
        except BaseException:
            traceback.print_exc()
            os._exit(1)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


SECOND = """
import sys
from pathlib import Path
from thirdstop.publishing.switching import holding
with holding(Path(sys.argv[1])):
    pass
"""
OF_THIS_PACKAGE = {**os.environ, "PYTHONPATH": str(Path(switching.__file__).parents[2])}


def never(one: Path, other: Path) -> bool:
    """A system without exchange."""
    return False


def publish(
    out: Path, files: Mapping[str, bytes], swap: Swap = exchange, spare: Path | None = None
) -> switching.Switched:
    with holding(out, swap=swap, spare=spare) as place:
        return place.switch(files)


def contents(folder: Path) -> dict[str, bytes] | None:
    """What a reader finds, without the marker; None if the folder is not there."""
    if not folder.exists():
        return None
    files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: path.read_bytes() for name, path in files.items() if name != places.MARKER}


def spare_for(out: Path) -> Path:
    """Where the folders of a site are kept, once the folder above is there."""
    return out.parent.parent / "kept" / "folders"


@contextmanager
def children(out: Path, way: str) -> Iterator[Callable[[int], int]]:
    """Publishes NEW in a process of its own that is killed at the given call; returns its exit status."""
    script = CHILDREN.replace("{files!r}", repr(NEW))
    with subprocess.Popen(
        [sys.executable, "-S", "-c", script, str(out), way, str(spare_for(out))],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=OF_THIS_PACKAGE,
    ) as parent:
        assert parent.stdin is not None
        assert parent.stdout is not None
        asking, told = parent.stdin, parent.stdout

        def killed_at(at: int) -> int:
            print(at, file=asking, flush=True)
            return int(told.readline())

        yield killed_at
        asking.close()


@pytest.mark.parametrize("folders", ["made anew", "kept"])
@pytest.mark.parametrize("way", ["exchange", "journal"])
def test_a_kill_at_any_system_call_leaves_one_site_whole(tmp_path: Path, way: str, folders: str) -> None:
    """Killed before each of its file-system calls in turn, a run leaves the former site or the new one, or,
    by journal alone, none until the next run completes the switch; nothing is left beside it then.
    """
    out = tmp_path / "public" / "site"
    out.parent.mkdir()
    swap = exchange if way == "exchange" else never
    if folders == "kept":
        spare_for(out).parent.mkdir()
    spare = spare_for(out) if folders == "kept" else None
    publish(out, NEW, swap, spare)
    publish(out, FORMER, swap, spare)
    seen: set[str] = set()
    with children(out, way) as killed_at:
        for at in range(1, 1000):
            status = killed_at(at)
            if status == 0:
                break
            assert status == -signal.SIGKILL
            seen.add(_what_stands(out, way))
            with holding(out, swap=swap, spare=spare):  # completes or clears away, and writes nothing itself
                pass
            assert contents(out) in (FORMER, NEW)
            assert [path.name for path in out.parent.iterdir()] == ["site"]
            publish(out, FORMER, swap, spare)
            places.require_ours(out)

    assert at > 40, "the child was hardly ever killed"
    assert seen == {"former", "new"} | ({"none"} if way == "journal" else set())
    assert contents(out) == NEW


def _what_stands(out: Path, way: str) -> str:
    found = contents(out)
    if found is None:
        assert way == "journal"
        return "none"
    assert found in (FORMER, NEW)
    return "former" if found == FORMER else "new"


@pytest.mark.parametrize("way", ["exchange", "journal"])
def test_a_kill_between_the_renames_is_completed_as_the_new_site(tmp_path: Path, way: str) -> None:
    """What the journal calls complete is switched in by the next run, even where that run writes nothing."""
    out = tmp_path / "site"
    publish(out, FORMER)
    place = Place(out)
    shutil.copytree(out, place.next)
    (place.next / "index.html").write_bytes(b"complete")
    out.rename(place.former)
    place.journal.write_bytes(switching.JOURNAL_TEXT)
    with holding(out, swap=exchange if way == "exchange" else never):
        pass

    assert contents(out) == {**FORMER, "index.html": b"complete"}
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_this_system_can_exchange(tmp_path: Path) -> None:
    """On Linux the exchange path is the one really taken, not the journal."""
    if not sys.platform.startswith("linux"):
        pytest.skip("exchange is Linux's")
    publish(tmp_path / "site", FORMER)

    assert publish(tmp_path / "site", NEW).how == "exchange"


@pytest.mark.parametrize("swap", [exchange, never])
def test_unchanged_files_keep_bytes_and_times(tmp_path: Path, swap: Swap) -> None:
    """A file with the same bytes keeps its modification time; the others are counted as what they are."""
    out = tmp_path / "site"
    publish(out, FORMER, swap)
    os.utime(out / "static/style.css", (1_000_000_000, 1_000_000_000))
    done = publish(out, NEW, swap)

    assert (out / "static/style.css").stat().st_mtime == 1_000_000_000
    assert done.written == ("fresh/page.html", "index.html")
    assert done.kept == ("static/style.css",)
    assert done.removed == ("gone/page.html",)


def test_the_same_site_again_touches_nothing(tmp_path: Path) -> None:
    """Publishing the same bytes leaves the very folder, no switch."""
    out = tmp_path / "site"
    publish(out, NEW)
    before = out.stat()
    done = publish(out, NEW)

    assert done.how == "unchanged"
    assert (out.stat().st_ino, out.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


@pytest.mark.parametrize("swap", [exchange, never])
def test_the_gitignore_stays(tmp_path: Path, swap: Swap) -> None:
    """A folder that holds its .gitignore alone may be published into, and keeps it byte for byte."""
    out = tmp_path / "site"
    out.mkdir()
    (out / ".gitignore").write_bytes(b"*\n!.gitignore\n")
    publish(out, FORMER, swap)
    publish(out, NEW, swap)

    assert contents(out) == {**NEW, ".gitignore": b"*\n!.gitignore\n"}


def test_a_second_run_is_refused_and_told_who_holds_the_lock(tmp_path: Path) -> None:
    """While one run holds the folder another one is refused, naming the first one's process."""
    out = tmp_path / "site"
    with holding(out):
        child = subprocess.run(
            [sys.executable, "-S", "-c", SECOND, str(out)],
            capture_output=True,
            text=True,
            check=False,
            env=OF_THIS_PACKAGE,
        )

    assert child.returncode == 1
    assert f"another run is publishing here (process {os.getpid()}); wait for it to end" in child.stderr
    assert not out.exists()
    assert publish(out, NEW).how == "first"


@pytest.mark.parametrize("way", ["in one step", "file by file"])
def test_a_fault_while_writing_leaves_the_former_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """A full disk in the middle of the new site changes nothing and leaves nothing beside."""
    out = tmp_path / "site"
    publish(out, FORMER)

    def full(_: object) -> bool:
        if (out.parent / ".site.thirdstop-next/index.html").exists():
            raise OSError(28, "No space left on device")
        return True

    monkeypatch.setattr(syncing, "syncfs", full if way == "in one step" else lambda _: False)
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PublishingError, match=r"the former one stands: .*No space left"):
        publish(out, NEW)

    assert contents(out) == FORMER
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_site_that_is_not_finished_changes_nothing(tmp_path: Path) -> None:
    """Whatever was put by then: a fault of the book that shows late is one too."""
    out = tmp_path / "site"
    publish(out, FORMER)
    with pytest.raises(KeyError), holding(out) as place, place.renewal(NEW) as new:
        new.put("index.html", NEW["index.html"])
        raise KeyError

    assert contents(out) == FORMER
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_file_that_was_changed_by_hand_does_not_stay(tmp_path: Path) -> None:
    """What stands is judged by its bytes, not by what the marker says of them."""
    out = tmp_path / "site"
    publish(out, FORMER)
    (out / "index.html").write_bytes(b"new index")
    with holding(out) as place, place.renewal(FORMER) as new:
        stays = {path: new.stays(path, places.digest(data)) for path, data in FORMER.items()}

    assert stays == {"index.html": False, "static/style.css": True, "gone/page.html": True}


def test_a_fault_between_the_renames_puts_the_former_site_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the new site can't be renamed in, the former one gets its name back at once."""
    out = tmp_path / "site"
    publish(out, FORMER, never)
    rename = Path.rename

    def stubborn(self: Path, target: Path) -> Path:
        if self.name.endswith("-next"):
            raise OSError(13, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", stubborn)
    with pytest.raises(PublishingError, match="the former one stands"):
        publish(out, NEW, never)

    assert contents(out) == FORMER
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_marker_torn_by_a_kill_is_still_ours(tmp_path: Path) -> None:
    """A new site that was killed while its marker was being written is cleared away, not refused."""
    out = tmp_path / "site"
    publish(out, FORMER)
    place = Place(out)
    place.next.mkdir()
    (place.next / places.MARKER).write_bytes(places.marker_text(dict.fromkeys(NEW, "0" * 64))[:20])
    publish(out, NEW)

    assert contents(out) == NEW


def test_without_hard_links_files_are_copied_with_their_times(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a file system without hard links unchanged files keep their times all the same."""

    def none(*args: object, **kwargs: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "link", none)
    out = tmp_path / "site"
    publish(out, FORMER)
    os.utime(out / "static/style.css", (1_000_000_000, 1_000_000_000))
    publish(out, NEW)

    assert (out / "static/style.css").stat().st_mtime == 1_000_000_000
    assert contents(out) == NEW


# the folders of a former site


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """Where a site's folders are kept, after two sites of the same folders."""
    out, spare = tmp_path / "public" / "site", spare_for(tmp_path / "public" / "site")
    out.parent.mkdir()
    spare.parent.mkdir()
    for files in (FORMER, {**FORMER, "index.html": b"another"}):
        publish(out, files, spare=spare)
    return spare


def _folders(folder: Path) -> dict[str, int]:
    """Path and number of each folder below."""
    found = (path for path in folder.rglob("*") if path.is_dir())
    return {path.relative_to(folder).as_posix(): path.stat().st_ino for path in found}


@pytest.mark.parametrize("swap", [exchange, never])
def test_the_folders_of_the_former_site_serve_the_next_one(tmp_path: Path, kept: Path, swap: Swap) -> None:
    """Empty by then, those that it doesn't want removed."""
    out = tmp_path / "public" / "site"
    before = _folders(kept)
    assert before.keys() == {"gone", "static"}
    publish(out, NEW, swap, kept)

    assert contents(out) == NEW
    assert _folders(out).keys() == {"fresh", "static"}
    assert _folders(out)["static"] == before["static"]
    assert [path.name for path in kept.parent.iterdir()] == ["folders"]


def _put_into(kept: Path) -> None:
    (kept / "static" / "mine.txt").write_text("mine")


def _opened_to_all(kept: Path) -> None:
    (kept / "static").chmod(0o777)


def _moved_away(kept: Path) -> None:
    kept.rename(kept.with_name("elsewhere"))
    kept.symlink_to(kept.with_name("elsewhere"))


def _held(kept: Path) -> None:
    kept.with_name("folders-lock").mkdir()


@pytest.mark.parametrize(
    ("harm", "stays"),
    [
        (_put_into, {"folders", "folders/gone", "folders/static"}),
        (_opened_to_all, {"folders"}),
        (_moved_away, {"elsewhere", "elsewhere/gone", "elsewhere/static", "folders"}),
        (_held, {"folders", "folders/gone", "folders/static", "folders-lock"}),
        (shutil.rmtree, {"folders"}),
    ],
)
def test_folders_that_are_not_as_they_were_kept_are_made_anew(
    tmp_path: Path, kept: Path, harm: Callable[[Path], None], stays: set[str]
) -> None:
    """And what somebody put there is neither published nor removed."""
    out = tmp_path / "public" / "site"
    harm(kept)
    for files in (NEW, FORMER):
        publish(out, files, spare=kept)
        found = _folders(kept.parent).keys()

        assert contents(out) == files
        assert stays <= found
        assert {oct((out / folder).stat().st_mode) for folder in _folders(out)} == {oct(out.stat().st_mode)}
    assert [path.read_text() for path in kept.rglob("mine.txt")] == ["mine"] * (harm is _put_into)
