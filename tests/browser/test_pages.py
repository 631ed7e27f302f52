"""Every page of the demo site in a real browser, opened from its folder."""

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from pages.samples import demo
from thirdstop.publishing.links import broken_links

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Opener

VENDOR = Path(__file__).parent / "vendor"
SAMPLE = (
    "index.html",
    "recipes/01-borrowed-window/index.html",
    "recipes/01-borrowed-window/card.html",
    "recipes/02-attic-triangle/index.html",
    "recipes/02-attic-triangle/card.html",
    "recipes/13-double-act/index.html",
    "gear.html",
    "room.html",
    "readings.html",
    "safety.html",
    "how.html",
    "words.html",
    "pages/how-we-work.html",
    "course/index.html",
    "course/3-clicks.html",
    "course/answers.html",
)
"""One of each kind; the second recipe is halted on safety, the thirteenth has two sitters."""


def test_vendored_files_are_the_ones_listed() -> None:
    """Each vendored file has the SHA-256 that the list gives, and no file is missing from it."""
    lines = [line.split("  ") for line in (VENDOR / "SHA256SUMS").read_text().splitlines()]
    listed = {name: digest for digest, name in lines}
    there = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in VENDOR.glob("axe*")}

    assert listed == there


def test_every_link_of_the_site_leads_somewhere(demo_site: Path) -> None:
    """No page of the demo site has a broken link, a missing anchor or an id twice."""
    files = {
        path.relative_to(demo_site).as_posix(): path.read_bytes()
        for path in demo_site.rglob("*")
        if path.is_file()
    }

    assert broken_links(files) == []


@pytest.mark.parametrize("path", SAMPLE)
def test_axe_finds_nothing(path: str, demo_site: Path, opened: "Opener") -> None:
    """No rule of WCAG 2.2 A or AA that axe-core can judge fails, everything unfolded; in the dark, where only
    the colours differ, no rule of contrast.
    """
    page = opened(demo_site / path, color_scheme="light")
    _unfold(page)
    page.evaluate((VENDOR / "axe.min.js").read_text())
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    light, looked = _axe(page, {"type": "tag", "values": tags})
    page.emulate_media(color_scheme="dark")
    dark, judged = _axe(page, {"type": "rule", "values": ["color-contrast", "link-in-text-block"]})

    assert light == []
    assert dark == []
    assert looked > 15, "axe looked at next to nothing"
    assert judged > 0, "axe judged no colour"


def _axe(page: "Page", rules: dict[str, Any]) -> tuple[list[str], int]:
    """What axe finds wrong, and how many rules it found something to pass by; that is not described."""
    result: dict[str, Any] = page.evaluate(
        "rules => axe.run(document, {preload: false, resultTypes: ['violations'], runOnly: rules})", rules
    )
    found = [f"{one['id']}: {node['html'][:120]}" for one in result["violations"] for node in one["nodes"]]
    return found, len(result["passes"])


def _unfold(page: "Page") -> None:
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")


@pytest.mark.parametrize("path", SAMPLE)
def test_a_page_works_from_its_folder(path: str, demo_site: Path, opened: "Opener") -> None:
    """From file:// nothing is fetched from elsewhere, nothing breaks the policy, and the font is in."""
    page = opened(demo_site / path)
    page.wait_for_load_state("load")

    assert page.said == []  # type: ignore[attr-defined]
    assert page.evaluate(
        "document.fonts.ready.then(() => document.fonts.check('16px \"Atkinson Hyperlegible Next\"'))"
    )
    assert page.evaluate("[...document.fonts].every(font => font.status === 'loaded')")


@pytest.mark.parametrize("path", SAMPLE)
def test_a_phone_never_scrolls_sideways(path: str, demo_site: Path, opened: "Opener") -> None:
    """At 390 px, and at 320 px, the page is as wide as the screen."""
    page = opened(demo_site / path, phone=True)
    _unfold(page)
    wide = page.evaluate("document.documentElement.scrollWidth")
    page.set_viewport_size({"width": 320, "height": 700})
    narrow = page.evaluate("document.documentElement.scrollWidth")

    assert (wide, narrow) == (390, 320)


@pytest.mark.parametrize("path", SAMPLE)
def test_a_figure_is_never_parted_from_its_unit(path: str, demo_site: Path, opened: "Opener") -> None:
    """On a phone, a small phone and a desktop each figure stands on one line, unit and direction with it."""
    page = opened(demo_site / path)
    for width in (1280, 390, 320):
        page.set_viewport_size({"width": width, "height": 800})
        broken = page.evaluate(
            """() => [...document.querySelectorAll('.figure, .big, .side')].filter(one => {
                const parts = [...one.getClientRects()];
                return Math.max(...parts.map(r => r.top)) >= Math.min(...parts.map(r => r.bottom));
            }).map(one => one.textContent)"""
        )
        assert broken == [], width


def test_on_a_phone_each_thing_is_a_block(demo_site: Path, opened: "Opener") -> None:
    """The parts table gives up its columns: each figure has its column's name over it, and a place of its
    own; on a desktop it is a table.
    """
    shown = (
        "[...document.querySelectorAll('table.parts td:not(.details)')].map(cell => "
        "[getComputedStyle(cell).display, getComputedStyle(cell.querySelector('.column')).display])"
    )
    path = demo_site / "recipes/01-borrowed-window/index.html"
    phone, desktop = opened(path, phone=True).evaluate(shown), opened(path).evaluate(shown)

    assert len(phone) == len(desktop) > 20
    assert {tuple(pair) for pair in phone} == {("block", "block")}
    assert {tuple(pair) for pair in desktop} == {("table-cell", "none")}


def test_the_content_policy_stops_inline_script(demo_site: Path, opened: "Opener", tmp_path: Path) -> None:
    """The policy in the head is in force: a script written into a page doesn't run."""
    html = (demo_site / "words.html").read_text()
    broken = demo_site / "inline.html"
    broken.write_text(html.replace("</main>", "<script>document.title = 'ran'</script></main>"))
    try:
        page = opened(broken)

        assert page.title() != "ran"
        assert any("Content Security Policy" in line for line in page.said)  # type: ignore[attr-defined]
    finally:
        broken.unlink()


def test_the_theme_is_remembered(demo_site: Path, opened: "Opener") -> None:
    """The switch turns a light page dark, and the next page opens dark without it."""
    page = opened(demo_site / "index.html", color_scheme="light")
    light = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.get_by_role("button", name="Dark", exact=True).click()
    dark = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.goto((demo_site / "words.html").as_uri())

    assert (light, dark) == ("rgb(252, 251, 248)", "rgb(23, 20, 16)")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == dark


def test_the_first_tab_skips_to_the_content(demo_site: Path, opened: "Opener") -> None:
    """The skip link comes first and moves the focus into the main part."""
    page = opened(demo_site / "recipes/01-borrowed-window/index.html")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")

    assert page.evaluate("document.activeElement.id") == "main"


def test_everything_that_can_be_pressed_is_large_enough(demo_site: Path, opened: "Opener") -> None:
    """Buttons are at least 24 px by 24 px (WCAG 2.2, 2.5.8)."""
    page = opened(demo_site / "index.html", phone=True)
    _unfold(page)
    sizes = page.evaluate(
        "[...document.querySelectorAll('button')].filter(b => b.offsetParent)"
        ".map(b => b.getBoundingClientRect()).map(r => [r.width, r.height])"
    )

    assert sizes
    assert all(width >= 24 and height >= 24 for width, height in sizes)


@pytest.fixture
def index(demo_site: Path, opened: "Opener") -> Iterator["Page"]:
    yield opened(demo_site / "index.html")


def _shown(page: "Page") -> list[str]:
    page.locator("#recipes[aria-busy=false]").wait_for(state="attached")
    return page.locator("#recipes > li:visible h2 a").all_text_contents()


def test_a_search_finds_by_word_and_by_slip(index: "Page") -> None:
    """A word of the purpose, or of what is worn, finds its recipes, also with one letter wrong; nonsense
    finds none.
    """
    index.get_by_label("Search").fill("brim")
    assert _shown(index) == ["Under the brim", "The stationmaster"]
    index.get_by_label("Search").fill("atic")
    assert _shown(index) == ["Attic triangle"]
    index.get_by_label("Search").fill("xylophone")
    assert _shown(index) == []

    none = f"0 of {len(demo()[1])} recipes: none has ‘xylophone’"
    assert index.locator("#count").text_content() == none


def test_filters_narrow_and_let_go(index: "Page") -> None:
    """A filter word keeps the recipes it holds for; pressed again it lets go."""
    every = _shown(index)
    index.get_by_role("button", name="two people").click()
    assert _shown(index) == ["Double act"]
    index.get_by_role("button", name="two people").click()

    assert _shown(index) == every


def test_without_script_every_recipe_is_there(demo_site: Path, opened: "Opener") -> None:
    """With scripts off the index lists everything and shows no dead controls."""
    page = opened(demo_site / "index.html", java_script_enabled=False)

    assert page.locator("#recipes > li").count() == len(demo()[1])
    assert page.locator("#finder").is_hidden()


def test_a_halt_stands_before_the_title(demo_site: Path, opened: "Opener") -> None:
    """On the page of a recipe that is halted on safety the halt comes before anything else."""
    page = opened(demo_site / "recipes/02-attic-triangle/index.html")
    first = page.locator("main article > *").first

    assert "Halt" in first.inner_text()
    assert "tips by itself" in first.inner_text()


def test_a_halted_card_has_nothing_to_build_from(demo_site: Path, opened: "Opener") -> None:
    """The set-up card of such a recipe holds the halt, and neither drawing nor table."""
    page = opened(demo_site / "recipes/02-attic-triangle/card.html")

    assert "Do not build" in page.locator(".card").inner_text()
    assert page.locator(".card svg, .card table").count() == 0
