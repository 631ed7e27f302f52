"""A window that another test has used is as a new one."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Windows

STATE = """[localStorage.length, sessionStorage.length, window.name, innerWidth, innerHeight,
    matchMedia('print').matches, matchMedia('(prefers-color-scheme: dark)').matches,
    document.documentElement.dataset.left || '', scrollY]"""


def used(page: "Page") -> None:
    """Leave something behind of every kind."""
    page.evaluate(
        """() => { localStorage.setItem('a', 'b'); sessionStorage.setItem('a', 'b'); window.name = 'a';
            document.documentElement.dataset.left = 'a'; scrollTo(0, 500); console.error('late'); }"""
    )
    dark = page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
    page.emulate_media(media="print", color_scheme="light" if dark else "dark")
    page.set_viewport_size({"width": 300, "height": 300})


@pytest.mark.parametrize(
    ("phone", "options"), [(False, {}), (True, {}), (False, {"color_scheme": "dark"})], ids=str
)
def test_nothing_is_left_of_the_former_test(
    phone: bool, options: dict[str, Any], windows: "Windows", demo_site: Path
) -> None:
    """Storage, name, size, medium, colours, the document and what was said are those of a new window; two
    that are open at once are not one.
    """
    index = demo_site / "index.html"
    first, second = (windows.open(index, "", phone, options) for _ in range(2))
    before = first.evaluate(STATE)
    used(first)
    assert second.evaluate(STATE) == before != first.evaluate(STATE)
    windows.give_back()
    again = [windows.open(index, "", phone, options) for _ in range(2)]

    assert first in again
    assert [page.evaluate(STATE) for page in again] == [before, before]
    assert [page.said for page in again] == [[], []]  # type: ignore[attr-defined]
    windows.give_back()
