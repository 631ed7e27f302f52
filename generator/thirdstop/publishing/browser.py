"""The Chromium that this machine has: what it makes of a document, as PDF or as the document it became."""

import os
import shutil
import signal
import subprocess
import tempfile
from contextlib import suppress
from pathlib import Path

from thirdstop.errors import PublishingError

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
"""Looked for on the path, in this order; the variable THIRDSTOP_BROWSER names another."""

_FLAGS = (
    "--headless",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    # the page's own clock runs ahead until its font is in and its layout is settled
    "--virtual-time-budget=10000",
)
# titles as bookmarks; a browser that doesn't know this leaves them out
_ON_PAPER = ("--no-pdf-header-footer", "--generate-pdf-document-outline")
_SECONDS, _SECONDS_EACH = 120.0, 5.0
"""After so long a browser is taken to hang; so much more for each sheet of a document of many."""


def printed(html: Path, query: str, sheets: int = 0) -> bytes:
    """The PDF of a document; `sheets`: how many it has, where they are many.

    Raises PublishingError where there is no browser, where it fails, and where it hangs.
    """
    with folder() as at:
        target = Path(at) / "printed.pdf"
        _run(html, query, (*_ON_PAPER, f"--print-to-pdf={target}"), Path(at), sheets)
        if not target.is_file():
            raise _nothing(find_browser(), Path(at))
        return target.read_bytes()


def settled(html: Path, query: str, sheets: int = 0) -> str:
    """A document as its own script has left it, as HTML. Raises as `printed` does."""
    with folder() as at:
        text = _run(html, query, ("--dump-dom",), Path(at), sheets).read_text(encoding="utf-8")
        if not text.strip():
            raise _nothing(find_browser(), Path(at))
        return text


def find_browser() -> str:
    """The Chromium to print with; PublishingError saying what to install when there is none."""
    named = os.environ.get("THIRDSTOP_BROWSER")
    found = shutil.which(named) if named else next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        what = f"THIRDSTOP_BROWSER names {named}, which isn't there" if named else "no Chromium was found"
        raise PublishingError(
            f"{what}; on Debian: apt-get install chromium, or set THIRDSTOP_BROWSER to the one you have; "
            "or open the published card in any browser and print it from there"
        )
    return found


def folder() -> "tempfile.TemporaryDirectory[str]":
    """A folder of our own; a browser's last process may still write into it when it is taken away."""
    return tempfile.TemporaryDirectory(prefix="thirdstop-", ignore_cleanup_errors=True)


def _run(html: Path, query: str, asked: tuple[str, ...], at: Path, sheets: int) -> Path:
    """The file with what the browser wrote to standard output, in the folder `at`."""
    browser, seconds = find_browser(), _SECONDS + _SECONDS_EACH * sheets
    flags = [*_FLAGS, *asked, f"--user-data-dir={at / 'profile'}"]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        flags.append("--no-sandbox")  # Chromium's own sandbox refuses to run for root
    try:
        status = _wait([browser, *flags, f"{html.resolve().as_uri()}{query}"], at, seconds)
    except subprocess.TimeoutExpired as error:
        raise PublishingError(f"{browser} did not print within {seconds:.0f} seconds") from error
    except OSError as error:
        raise PublishingError(f"{browser} would not start: {error.strerror}") from error
    if status != 0:
        raise _nothing(browser, at)
    return at / "wrote.txt"


def _nothing(browser: str, at: Path) -> PublishingError:
    """With the last line of what the browser complained of."""
    lines = (at / "said.txt").read_text(encoding="utf-8", errors="replace").splitlines()
    last = next((line for line in reversed(lines) if line.strip()), "no message")
    return PublishingError(f"{browser} printed nothing: {last.strip()}")


def _wait(command: list[str], at: Path, seconds: float) -> int:
    """Exit status; what goes to standard output and error is in `wrote.txt` and `said.txt`. No process of it
    outlives the call.
    """
    with (at / "wrote.txt").open("wb") as wrote, (at / "said.txt").open("wb") as errors:
        process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=wrote, stderr=errors, start_new_session=True
        )
        try:
            return process.wait(seconds)
        finally:
            _end(process)


def _end(process: "subprocess.Popen[bytes]") -> None:
    """End whatever still runs, with the processes that it started: they share its group."""
    with suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    process.wait()
