"""Every check on every recipe of the demo book: real stagings and real readings."""

from collections.abc import Iterator

import pytest

from thirdstop.book.book import open_book
from thirdstop.checks.cautions import DEFER, cautions
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import CHECKS, check
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.transport import SCAN, solve
from thirdstop.resources import shipped
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging


def _staged() -> Iterator[tuple[str, Staging]]:
    book = open_book(shipped("recipes"))
    for loaded in book.recipes:
        staging, _ = stage(loaded.recipe, book.studio, loaded.marks, loaded.slug)
        if staging is not None:
            yield loaded.slug, charge(staging)


@pytest.fixture(scope="module")
def book() -> dict[str, tuple[Staging, tuple[Finding, ...]]]:
    """Each recipe's staging with its findings."""
    return {slug: (one, check(one, read(one, solve(one.scene, SCAN)))) for slug, one in _staged()}


def test_every_check_speaks_somewhere(book: dict[str, tuple[Staging, tuple[Finding, ...]]]) -> None:
    """The demo book has hats, glasses, pairs and full lengths, so no check stays silent."""
    spoken = {finding.check for _, findings in book.values() for finding in findings}
    assert spoken == {one.name for one in CHECKS}


def test_sentences_hold_for_real_set_ups(book: dict[str, tuple[Staging, tuple[Finding, ...]]]) -> None:
    """Whole sentences, no stray numbers, a remedy for all but a pass."""
    for slug, (_, findings) in book.items():
        for finding in findings:
            assert finding.text.endswith("."), slug
            assert (finding.remedy == "") == (finding.verdict == "pass"), (slug, finding)
            for stray in ("nan", "inf ", "inf.", "-0", "None", "  "):
                assert stray not in finding.text + finding.remedy, (slug, finding)


def test_margin_and_verdict_agree(book: dict[str, tuple[Staging, tuple[Finding, ...]]]) -> None:
    """A pass has no negative margin; a margin is positive inside its limit."""
    for slug, (_, findings) in book.items():
        for finding in findings:
            if finding.margin is not None and finding.verdict == "pass":
                assert finding.margin >= -1e-9, (slug, finding)


def test_cautions_close_by_deferring(book: dict[str, tuple[Staging, tuple[Finding, ...]]]) -> None:
    """Each recipe has its cautions, none twice, the last one defers to maker, code and practice."""
    for staging, _ in book.values():
        lines = cautions(staging)
        assert lines[-1] == DEFER
        assert len(set(lines)) == len(lines)
