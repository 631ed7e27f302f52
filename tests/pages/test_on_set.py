"""The page that is used on set carries all it needs, allows nothing else, and builds what the recipe is."""

import base64
import hashlib
import json
import re
from html import unescape
from pathlib import Path

import pytest

from pages.samples import demo
from thirdstop.exposure.stops import meter_mark
from thirdstop.pages.alone import data_block
from thirdstop.pages.code import qr_code, web_address
from thirdstop.pages.units import both
from thirdstop.pages.views.onset import mirrored_of, on_set_page
from thirdstop.pages.views.things import rows

SLUG = "01-borrowed-window"
HALTED = "02-attic-triangle"
UNMIRRORED = "03-footlights"


def page(site: Path, slug: str = SLUG) -> str:
    """The page's HTML."""
    return (site / "recipes" / slug / "on-set.html").read_text(encoding="utf-8")


def digest(text: str) -> str:
    """A hash source of CSP (W3C, Content Security Policy Level 3, 'hash-source')."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@pytest.mark.parametrize("slug", [SLUG, HALTED, UNMIRRORED])
def test_the_page_needs_no_other_file(slug: str, demo_site: Path) -> None:
    """It refers to nothing but places in itself and what is written into it."""
    html = page(demo_site, slug)
    named = re.findall(r'\b(?:href|src|srcset|data|action)="([^"]*)"', html)
    drawn = re.findall(r"url\(\s*[\"']?([^)\"']*)", html)

    assert set(named) <= {"#main", "data:,"}
    assert all(address.startswith("data:font/woff2;base64,") for address in drawn)
    assert "@import" not in html


def test_the_policy_allows_the_pages_own_style_and_script_alone(demo_site: Path) -> None:
    """Each element's text has the hash that the policy names; nothing else runs or is fetched."""
    html = page(demo_site)
    found = re.search(r'Content-Security-Policy" content="([^"]*)"', html)
    assert found is not None
    policy = dict(part.split(" ", 1) for part in unescape(found[1]).split("; "))
    styles, scripts = (re.findall(rf"<{tag}>(.*?)</{tag}>", html, re.S) for tag in ("style", "script"))

    assert policy["default-src"] == "'none'"
    assert policy["style-src"].split() == [digest(text) for text in styles]
    assert policy["script-src"].split() == [digest(text) for text in scripts]
    assert policy["font-src"] == policy["img-src"] == "data:"
    assert not re.search(r"\sstyle=|\son[a-z]+=", re.sub(r"<script>.*?</script>", "", html, flags=re.S))


def test_data_can_not_leave_its_element() -> None:
    """Names with markup in them come back as they were, and hold no sign that HTML would read."""
    hostile = {"name": "</script><script>alert(1)</script>", "more": ["<!--", "&amp;", "\u2028"]}
    text = data_block(hostile)

    assert not set("<>&") & set(text)
    assert json.loads(text) == hostile


def test_a_halted_page_has_nothing_to_build_from(demo_site: Path) -> None:
    """The halt and its remedy stand there; no drawing, no table, no figure, no script."""
    html = page(demo_site, HALTED)
    body = html[html.index("<body") :]

    assert "Do not build this set-up" in body
    assert "Use a heavier stand." in body
    assert not re.search(r"<(svg|table|dl|script|button)|\d\s*(m|cm|kg|°)\b|f/\d|click", body)


def test_the_rigs_cautions_come_before_step_one(demo_site: Path) -> None:
    """Every caution stands before the first step, and the deference to maker and codes with them."""
    book, done = demo()
    view = on_set_page(done[0], book.studio)
    html = page(demo_site)
    first = html.index(view.set_ups[0].screens[0].title)

    assert len(view.cautions) > 5
    assert html.index("licensed practice come first") < first
    before = unescape(re.sub(r'<span class="imperial">.*?</span>|<[^>]*>', "", html[:first]))
    assert all(caution in before for caution in view.cautions)


def test_a_mirrored_set_up_is_the_one_that_was_staged_anew() -> None:
    """The key is on the other side, the door where it was; figures are those of the mirrored staging."""
    book, done = demo()
    written, other = on_set_page(done[0], book.studio).set_ups
    staged = mirrored_of(done[0], book.studio)
    assert staged is not None

    assert (written.key_side, other.key_side) == ("KEY CAMERA-RIGHT", "KEY CAMERA-LEFT")
    assert staged.staging.room.doors[0].wall == done[0].staging.room.doors[0].wall
    assert staged.readings.ratio.ratio != pytest.approx(done[0].readings.ratio.ratio, rel=1e-6)
    shadow = staged.readings[staged.readings.ratio.shadow_point]
    assert other.shadow.reads == meter_mark(shadow.f_number, staged.staging.meter.step_stops)
    across = [str(f) for screen in other.screens for name, f in screen.figures if name == "across"]
    assert any(text.endswith("L") for text in across)


def test_a_set_up_that_can_not_be_mirrored_says_why(demo_site: Path) -> None:
    """No mirrored steps, no switch, and the sentence."""
    html = page(demo_site, UNMIRRORED)

    assert "Not mirrored: Mirrored it can&#39;t be built: the door is in the way." in html
    assert 'data-set-up="mirrored"' not in html
    assert 'id="mirror"' not in html


def test_every_thing_has_its_figures_in_the_steps() -> None:
    """Lamps, cards and blockers: along, across, height, lean, swing and string, as in the parts table."""
    for each in demo()[1]:
        if each.recipe.steps:
            continue
        view = on_set_page(each, demo()[0].studio)
        if not view.set_ups:
            continue
        shown: dict[str, list[str]] = {}
        for screen in view.set_ups[0].screens:
            for number in screen.parts:
                shown.setdefault(number, []).extend(str(figure) for _, figure in screen.figures)
        for row in rows(each.staging, each.recipe):
            if row.kind in ("lamp", "card", "blocker"):
                assert {str(figure) for figure in row.figures} <= set(shown[row.number]), (
                    each.slug,
                    row.name,
                )


@pytest.mark.parametrize(
    ("book", "address"),
    [
        ("https://example.org/book/", "https://example.org/book/recipes/x/on-set.html"),
        ("https://example.org/book", "https://example.org/book/recipes/x/on-set.html"),
        ("https://example.org/book/index.html", "https://example.org/book/recipes/x/on-set.html"),
    ],
)
def test_the_address_of_a_page_on_the_web(book: str, address: str) -> None:
    """A folder with or without its slash, or the first page of the book."""
    assert web_address(book, "recipes/x/on-set.html") == address


def test_the_doors_keep_their_sides_capital() -> None:
    """The first step's sentence starts with a capital, and R and L stay as the table has them."""
    book, done = demo()
    first = on_set_page(done[0], book.studio).set_ups[0].screens[0]

    said = [re.sub(r'<span class="imperial">.*?</span>|<[^>]*>', "", both(text)) for text in first.says]
    assert "Door in the front wall from 0.40 m R to 1.20 m R." in [
        text.replace("\u00a0", " ") for text in said
    ]


def test_a_code_has_its_quiet_zone() -> None:
    """Its side is a QR symbol's 21 + 4k modules (ISO/IEC 18004) and four modules of quiet on both sides."""
    found = re.search(r'viewBox="0 0 (\d+) (\d+)"', qr_code("https://example.org/book/recipes/x/on-set.html"))
    assert found is not None

    assert found[1] == found[2]
    assert (int(found[1]) - 8 - 21) % 4 == 0


def test_the_card_names_the_page_where_there_is_no_address(demo_site: Path) -> None:
    """Without an address in the studio file the card prints the file's name, and no code."""
    html = (demo_site / "recipes" / SLUG / "card.html").read_text(encoding="utf-8")

    assert f"recipes/{SLUG}/on-set.html" in html
    assert "qr-code" not in html
