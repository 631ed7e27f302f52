"""The course in a browser: reasons are told, progress stays on this machine, the record prints."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from conftest import Opener


def test_an_answer_is_told_right_or_wrong_with_its_reason(opened: "Opener", demo_site: Path) -> None:
    """The reason appears beside the chosen answer and is said aloud; another choice takes its place."""
    page = opened(demo_site / "course" / "3-clicks.html", phone=True)
    first = page.locator(".asked").first
    first.locator("input:not([data-right])").first.check()
    assert first.locator(".reason:visible").inner_text().startswith("Not so.")
    first.locator("input[data-right]").check()

    assert first.locator(".reason:visible").count() == 1
    assert first.locator(".outcome").inner_text().startswith("Right.")
    assert page.said == []  # type: ignore[attr-defined]


def test_the_first_try_counts_and_stands_in_the_record(opened: "Opener", demo_site: Path) -> None:
    """One wrong first try of all; the record says so, with the day, and forgets when asked."""
    page = opened(demo_site / "course" / "6-ratio.html")
    forms = page.locator(".asked")
    forms.first.locator("input:not([data-right])").first.check()
    for k in range(forms.count()):
        forms.nth(k).locator("input[data-right]").check()
    page.goto((demo_site / "course" / "index.html").as_uri())
    row = page.locator('tr[data-row="6-ratio"]')
    count = forms.count() or int(page.locator('li[data-session="6-ratio"]').get_attribute("data-asked") or 0)

    assert row.locator(".right").inner_text() == f"{count - 1} of {count}"
    assert row.locator(".date").inner_text().count("-") == 2
    page.locator("#forget").click()
    assert row.locator(".right").inner_text() == ""
