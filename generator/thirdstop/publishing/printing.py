"""A set-up card as a PDF of exactly one page, printed by the Chromium that this machine has."""

import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Literal, TypeAlias

from thirdstop.errors import PublishingError

Paper: TypeAlias = Literal["A4", "Letter", "A5"]

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
"""Looked for on the path, in this order; the variable THIRDSTOP_BROWSER names another."""

_FLAGS = (
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--no-pdf-header-footer",
    # the page's own clock runs ahead until its font is in and its layout is settled
    "--virtual-time-budget=10000",
)
_SECONDS = 120.0
"""After so long a browser is taken to hang."""

_DATE = re.compile(rb"\(D:\d{14}[^)]*\)")
_FIXED = b"(D:20000101000000"
_PAGE = re.compile(rb"/Type\s*/Page(?![a-zA-Z])")


def find_browser() -> str:
    """The Chromium to print with; PublishingError saying what to install when there is none."""
    named = os.environ.get("THIRDSTOP_BROWSER")
    found = shutil.which(named) if named else next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        what = f"THIRDSTOP_BROWSER names {named}, which isn't there" if named else "no Chromium was found"
        raise PublishingError(
            f"{what}; on Debian: apt-get install chromium, or print the card from any browser instead"
        )
    return found


def print_card(card_html: Path, paper: Paper, out: Path) -> None:
    """Print one set-up card to `out`; the same card gives the same bytes.

    `card_html` is a card of a written site, with what it loads beside it. Raises PublishingError where there
    is no browser, where it fails, or where the card would not be one page.
    """
    with tempfile.TemporaryDirectory(prefix="thirdstop-") as folder:
        target = Path(folder) / "card.pdf"
        _run(
            find_browser(), f"{card_html.resolve().as_uri()}?paper={paper}", target, Path(folder) / "profile"
        )
        data = target.read_bytes()
    pages = len(_PAGE.findall(data))
    if pages != 1:
        raise PublishingError(
            f"{card_html.parent.name}: the set-up card takes {pages} pages of {paper}; shorten what its "
            "recipe says, or print it on a larger paper"
        )
    try:
        out.write_bytes(without_dates(data))
    except OSError as error:
        raise PublishingError(f"can't write {out}: {error.strerror}") from error


def without_dates(pdf: bytes) -> bytes:
    """The PDF with both date stamps replaced by a fixed one of the same length, so that no offset moves."""
    return _DATE.sub(lambda found: _FIXED + found[0][len(_FIXED) :], pdf)


def _run(browser: str, address: str, target: Path, profile: Path) -> None:
    flags = [*_FLAGS, f"--user-data-dir={profile}", f"--print-to-pdf={target}"]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        flags.append("--no-sandbox")  # Chromium's own sandbox refuses to run for root
    try:
        done = subprocess.run(
            [browser, *flags, address],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise PublishingError(f"{browser} did not print within {_SECONDS:.0f} seconds") from error
    except OSError as error:
        raise PublishingError(f"{browser} would not start: {error.strerror}") from error
    if done.returncode != 0 or not target.is_file():
        last = next((line for line in reversed(done.stderr.splitlines()) if line.strip()), "no message")
        raise PublishingError(f"{browser} printed nothing: {last.strip()}")
