"""From a saved file to the refreshed page: `thirdstop watch` on the demo book, asked as a browser asks it.

    .venv/bin/python tests/bench/watch.py              # publishes first, to have what is kept; then saves
    .venv/bin/python tests/bench/watch.py split        # only where the time goes

A recipe's file is changed and put in place; what is timed runs until the page that was open has been told and
its new bytes are here. Then where the time goes, stage by
stage, as processor time, each in this process.
"""

import http.client
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

PAGE = "recipes/01-borrowed-window/index.html"
RECIPE = "recipes/01-borrowed-window.yaml"
SAVES = 6
COMMAND = (sys.executable, "-m", "thirdstop")
_STRING = re.compile(r"string: ([0-9.]+) cm")


def moved(text: str, turn: int) -> str:
    """The card half a centimetre farther each time: nowhere it was before, so light has to be computed."""
    return _STRING.sub(lambda found: f"string: {float(found[1]) + 0.5:g} cm", text, count=1)


def worded(text: str, turn: int) -> str:
    """Another purpose: words alone."""
    return re.sub(r"(?m)^(purpose: .*?)( Again \d+\.)?$", rf"\1 Again {turn}.", text, count=1)


@contextmanager
def watching(book: Path) -> Iterator[tuple[str, int]]:
    """The command itself, and where it serves."""
    process = subprocess.Popen(
        [*COMMAND, "watch", "--book", str(book), "--port", "0"], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    try:
        said = process.stdout.readline()
        found = re.search(r"http://([\d.]+):(\d+)/", said)
        assert found, said
        yield found[1], int(found[2])
    finally:
        process.send_signal(signal.SIGINT)
        process.wait()


def get(host: str, port: int, path: str) -> str:
    """One answer of the server."""
    connection = http.client.HTTPConnection(host, port, timeout=30)
    try:
        connection.request("GET", path)
        return connection.getresponse().read().decode()
    finally:
        connection.close()


def refreshed_s(host: str, port: int, file: Path, change: Callable[[str, int], str], turn: int) -> float:
    """Seconds from the file in its place to the new page's last byte."""
    question = _question(get(host, port, f"/{PAGE}"))
    new = file.with_suffix(".new")
    new.write_text(change(file.read_text(encoding="utf-8"), turn), encoding="utf-8")
    started = time.monotonic()
    new.replace(file)
    told = ""
    while not told:
        told = get(host, port, f"/told.js?{question}")
    get(host, port, f"/{PAGE}")
    return time.monotonic() - started


def settled(host: str, port: int) -> None:
    """Wait for what follows a quick answer: the recipe computed in whole, beside the server. At most as long
    as one question is left open; it may have come before it was asked for.
    """
    get(host, port, f"/told.js?{_question(get(host, port, f'/{PAGE}'))}")


def _question(page: str) -> str:
    found = re.search(r"/asking\.js\?([^\"]*)", page)
    assert found
    return found[1].replace("&amp;", "&")


def whole(book: Path) -> None:
    """Both kinds of change, through the command."""
    file = book / RECIPE
    with watching(book) as (host, port):
        print(f"{'saved':28} {'median s':>9} {'worst s':>9}")
        for name, change in (("words of a recipe", worded), ("a card's string", moved)):
            took = []
            for turn in range(SAVES):
                took.append(refreshed_s(host, port, file, change, turn))
                if change is moved:
                    settled(host, port)
            print(f"{name:28} {median(took):9.2f} {max(took):9.2f}", flush=True)


def split(book: Path) -> None:
    """Each stage of one look at a changed card: processor time in milliseconds, the least of three."""
    from thirdstop.pages.whole import some_pages
    from thirdstop.running import Known, evaluate_quickly, kept, open_and_stage

    loaded, staged = open_and_stage(book)
    known = Known(loaded.studio, {one.loaded.slug: one for one in staged})
    done = [kept(loaded, one, whole=True) or evaluate_quickly(one) for one in staged]
    took: dict[str, list[float]] = {}

    def timed(name: str, run: Callable[..., Any], *given: Any) -> Any:
        started = time.process_time()
        result = run(*given)
        took.setdefault(name, []).append((time.process_time() - started) * 1000)
        return result

    file = book / RECIPE
    for turn in range(3):
        file.write_text(moved(file.read_text(encoding="utf-8"), turn), encoding="utf-8")
        loaded, staged = timed("read and stage, what is unchanged known", open_and_stage, book, known)
        found = timed("find what is kept", _all_kept, loaded, staged)
        first = timed("engine and checks, quickly", evaluate_quickly, staged[0])
        done = [first, *(one or each for one, each in zip(found[1:], done[1:], strict=True))]
        timed("the page", some_pages, loaded, done, PAGE)
    print()
    for name, ms in took.items():
        print(f"{name:45} {min(ms):7.0f} ms")
    print(f"{'noticed: files are looked at every':45} {50:7} ms at most")


def _all_kept(book: Any, staged: Any) -> list[Any]:
    from thirdstop.running import kept

    return [kept(book, one, whole=True) for one in staged]


def main() -> None:
    """Publish a copy of the demo book, watch it, save. With an argument: the split alone."""
    with tempfile.TemporaryDirectory() as name:
        book = Path(name) / "book"
        shutil.copytree(Path(__file__).resolve().parents[2] / "recipes", book)
        subprocess.run([*COMMAND, "publish", "--book", str(book), "--out", f"{name}/site"], check=True)
        if "split" not in sys.argv:
            whole(book)
        split(book)


if __name__ == "__main__":
    main()
