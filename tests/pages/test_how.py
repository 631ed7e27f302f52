"""What the site says of its own accuracy is what was measured."""

import re
from pathlib import Path

import pytest

from thirdstop.pages.views.agreement import (
    AGREEMENT,
    BINS,
    CALIBRATED,
    OMISSIONS,
    Agreement,
    Omission,
)

DOCS = Path(__file__).resolve().parents[2] / "docs"
MEASURED = (DOCS / "agreement.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("one", AGREEMENT, ids=lambda one: one.name)
def test_the_page_states_the_measured_agreement(one: Agreement) -> None:
    """A set's row on the page is its row in docs/agreement.md, with its hundred parts."""
    row = re.search(rf"^\| ({re.escape(one.name)}(?:, seeds[^|]*)?) \|.*$", MEASURED, re.MULTILINE)
    assert row
    cells = [cell.strip() for cell in row[0].strip("|").split("|")]

    assert cells[1:7] == [str(one.stagings), str(one.points), one.worst, one.most, one.median, str(one.over)]
    assert len(one.parts) == len(BINS)
    assert sum(one.parts) == pytest.approx(100, abs=0.3)
    assert f"- {row[1]}: {', '.join(map(str, one.parts))}" in MEASURED


@pytest.mark.parametrize("one", OMISSIONS, ids=lambda one: one.what)
def test_the_page_states_what_was_measured_of_what_is_left_out(one: Omission) -> None:
    """A row on the page is the row in docs/agreement.md."""
    assert f"| {one.what} | {one.recipes} | {one.cheeks} | {one.ratio} |" in MEASURED


def test_the_page_states_what_six_readings_told() -> None:
    """Its rows are those of docs/calibration.md's first table, in order, two of them left out."""
    table = (DOCS / "calibration.md").read_text(encoding="utf-8").partition("With `--lamps guide`")[0]
    rows = [row.strip("| ").split(" | ") for row in table.splitlines() if row.startswith("| ")][1:]
    shown = [[one.what, one.key, one.shadow, one.ratio] for one in CALIBRATED]

    assert shown == rows[:4] + rows[6:]
