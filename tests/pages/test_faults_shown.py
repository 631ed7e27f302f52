"""What the checks find wrong is said on every page, real faults before what only isn't stated."""

import re
from dataclasses import replace
from html import unescape
from pathlib import Path

from pages.samples import demo, one
from thirdstop.checks.findings import Finding
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import index, onset, verdicts

UNSTATED = Finding(
    "flash", "look", "key", "The studio states no colour temperature for 'key'.", "Write it: colour."
)
IN_FRAME = Finding(
    "in-frame",
    "look",
    "card",
    "'card' is 43 cm inside the picture.",
    "Move it out by 48 cm.",
    -0.43,
    0.05,
    "m",
)
BOOM = Finding(
    "statics",
    "look",
    "key: boom",
    "Boom 'boom' pulls down at the load with 9.0 N·m; 5.0 N·m is the limit.",
    "Balance it with 3.0 kg at its rear end.",
    -4.0,
    5.0,
    "N·m",
    True,
)
PASS = Finding("ratio", "pass", "recipe", "The ratio is as wanted.")


def found(*findings: Finding) -> Evaluated:
    """A recipe whose checks say just that."""
    return replace(one("01-borrowed-window"), findings=findings)


def test_the_recipes_page_has_real_faults_first() -> None:
    """Safety before the rest, and what isn't stated last, whatever the checks' order."""
    shown = verdicts.verdicts(found(UNSTATED, PASS, IN_FRAME, BOOM)).looks

    assert [each.text[:6] for each in shown] == ["Boom '", "'card'", "The st"]


def test_on_set_has_a_line_for_each() -> None:
    """In that order; none where nothing is found, and none where the set-up halts."""
    book, _ = demo()
    page = onset.on_set_page(found(UNSTATED, IN_FRAME, BOOM), book.studio)

    assert len(page.looks) == 3
    assert page.looks[0].startswith("Boom 'boom' pulls down")
    assert page.looks[1].startswith("'card' is 43\u00a0cm inside the picture")
    assert "colour" in page.looks[2]
    assert onset.on_set_page(found(PASS), book.studio).looks == ()


def entry(*findings: Finding) -> index.Entry:
    """The index's entry of such a recipe."""
    each = found(*findings)
    return index.entry_of(each, None, {})  # type: ignore[arg-type]


def test_the_index_says_the_worst_and_how_many_more() -> None:
    """What isn't stated is no fault there."""
    assert entry(UNSTATED, IN_FRAME, BOOM).faults.startswith("Boom 'boom' pulls down")
    assert entry(UNSTATED, IN_FRAME, BOOM).faults.endswith("; 1 more.")
    assert entry(UNSTATED, IN_FRAME).faults == "'card' is 43\u00a0cm inside the picture."
    assert entry(UNSTATED, PASS).faults == ""


def test_the_marks_stand_on_the_pages_in_words(demo_site: Path) -> None:
    """For every recipe of the book: a word and what is wrong, in the index and on set."""
    front = unescape((demo_site / "index.html").read_text(encoding="utf-8"))
    book, done = demo()
    marked = [each for each in done if index.entry_of(each, None, {}).faults]  # type: ignore[arg-type]

    assert marked
    assert (
        len(re.findall(r'class="finding look"><strong class="verdict">Look</strong>', front))
        >= len(marked) - 1
    )
    for each in marked:
        for line in onset.on_set_page(each, book.studio).looks:
            html = unescape((demo_site / "recipes" / each.slug / "on-set.html").read_text(encoding="utf-8"))
            assert "<strong>Look</strong>" in html or "Do not build" in html
            assert line[:12] in html or "Do not build" in html
