"""The command `calibrate`: what is printed, what is written, and that nothing is half written."""

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from calibrating.samples import TEXT, read_off, staged
from staging.books import demo
from thirdstop.cli import main

SHORT = TEXT[: TEXT.index("      - {name: from the right")]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo's studio file, and a file of four readings that all read a little high."""
    root = tmp_path / "book"
    root.mkdir()
    shutil.copy(demo().root / "studio.yaml", root)
    text = SHORT
    for reading in read_off(SHORT, np.full(len(staged(SHORT)[3]), 0.1)).setups[0].readings:
        text = text.replace("reads: f/8}", f"reads: f/{reading.reads.n:.3f}}}", 1)
    (root / "first.yaml").write_text(text, encoding="utf-8")
    return root


def _run(book: Path, *arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["calibrate", str(book / "first.yaml"), "--book", str(book), *arguments])
    return done.exit_code, done.output


def test_prints_and_writes_only_when_asked(book: Path) -> None:
    """Without --write the studio file stays as it is; with it, it reads as found."""
    before = (book / "studio.yaml").read_bytes()
    status, text = _run(book)

    assert status == 0, text
    assert "First readings, 2026-11-21: 4 readings, 4 used." in text
    assert "output of battery 400 with round box 90" in text
    assert (book / "studio.yaml").read_bytes() == before

    status, text = _run(book, "--json", "--write")
    assert status == 0, text
    assert json.loads(text[: text.rindex("}") + 1])["format"] == "thirdstop calibrate 1"
    after = (book / "studio.yaml").read_text(encoding="utf-8")
    assert "measured: 2026-11-21, spread" in after or "spread: " in after
    assert {path.name for path in book.iterdir()} == {"studio.yaml", "first.yaml"}


def test_faults_leave_everything_alone(book: Path) -> None:
    """A wrong reading is a line and status 1, and nothing is written."""
    before = (book / "studio.yaml").read_bytes()
    file = book / "first.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("power: click 18", "power: click 30"), "utf-8")
    status, text = _run(book, "--write")

    assert status == 1
    assert "'battery 400' has the clicks 1 to 25; given: click 30; write: click 25" in text
    assert (book / "studio.yaml").read_bytes() == before


def test_no_such_file(book: Path) -> None:
    """A file that isn't there is one line."""
    (book / "first.yaml").unlink()
    status, text = _run(book)

    assert status == 1
    assert "can't be read" in text
