"""What is written into a page: text stays text, figures have units, what nobody said or measured says so."""

import re
import shutil
from dataclasses import dataclass, field, replace
from html import unescape
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from pages.samples import HALT, demo, of_book
from thirdstop.book.defaults import defaults_taken
from thirdstop.errors import ResourceError
from thirdstop.pages import addresses
from thirdstop.pages.of_recipe import paths_of
from thirdstop.pages.rendering import render
from thirdstop.pages.whole import some_pages, whole_site
from thirdstop.resources import theme_file

DEMO = Path(__file__).resolve().parents[2] / "recipes"
SCRIPT = "<script>alert(1)</script>"
HANDLER = '\\"><img src=x onerror=alert(1)>'
BRACES = "{{ 7 * 7 }}{% raise %}"
HALTED = "02-attic-triangle"
VOID = {"meta", "link", "br", "hr", "img", "input", "col", "wbr"}


@dataclass
class Page(HTMLParser):
    """Tags, attributes, and the text that a reader sees; what stands in elements of a class, by class."""

    html: str
    tags: list[str] = field(default_factory=list)
    attributes: list[tuple[str, str]] = field(default_factory=list)
    text: str = ""
    by_class: dict[str, list[str]] = field(default_factory=dict)
    _open: list[tuple[str, list[str]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.feed(self.html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take note of a tag; text goes to every class that is open."""
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        classes = (dict(attrs).get("class") or "").split()
        for name in classes:
            self.by_class.setdefault(name, []).append("")
        if tag not in VOID:
            self._open.append((tag, classes))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that closes itself, as in a drawing."""
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        """Close the innermost tag of that name; one that was never open is a fault of the page."""
        while self._open and self._open.pop()[0] != tag:
            pass
        self.text += " "

    def handle_data(self, data: str) -> None:
        """Text, within all that is open; what only a program reads is none."""
        if self._open and self._open[-1][0] in ("script", "style"):
            return
        self.text += data
        for _, classes in self._open:
            for name in classes:
                self.by_class[name][-1] += data


def site_of(root: Path) -> dict[str, str]:
    """Every HTML page of a book."""
    written = whole_site(*of_book(root))
    assert written.faults == []
    return {path: data.decode() for path, data in written.files.items() if path.endswith(".html")}


@pytest.fixture(scope="module")
def pages(demo_site: Path) -> dict[str, str]:
    """Every HTML page of the demo book, whose second recipe is halted on safety."""
    return {
        path.relative_to(demo_site).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(demo_site.rglob("*.html"))
    }


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The site of a book whose every name and sentence is hostile."""
    root = tmp_path_factory.mktemp("hostile")
    shutil.copytree(DEMO, root, dirs_exist_ok=True, ignore=shutil.ignore_patterns(".computed"))
    for path in [*(root / "recipes").iterdir(), *(root / "pages").iterdir()]:
        path.unlink()
    shutil.rmtree(root / "log", ignore_errors=True)
    studio = (DEMO / "studio.yaml").read_text(encoding="utf-8")
    for old, new in (
        ("name: The Lantern Room", f'name: "{SCRIPT}"'),
        ("battery 400", f'"{SCRIPT}"'),
        ("round box 90", f'"{HANDLER}"'),
        ("folding card 120 x 90", f'"{SCRIPT}"'),
        ("full-frame", f'"{BRACES}"'),
        ("mid-grey paper", f'"{SCRIPT}"'),
        ("costume rail", f'"{SCRIPT}"'),
    ):
        assert old in studio, old
        studio = studio.replace(old, new)
    studio += f'\npaints:\n  - {{name: "{SCRIPT}", reflectance: 0.2}}\n'
    studio = re.sub(r"^about: .*$", f'about: "{SCRIPT}"', studio, flags=re.M)
    (root / "studio.yaml").write_text(studio, encoding="utf-8")
    (root / "recipes" / "x.yaml").write_text(_hostile_recipe(), encoding="utf-8")
    (root / "pages" / "y.md").write_text(f"# {SCRIPT}\n\n{SCRIPT}\n\n{BRACES}\n", encoding="utf-8")
    return site_of(root)


def _hostile_recipe() -> str:
    text = (DEMO / "recipes" / "01-borrowed-window.yaml").read_text(encoding="utf-8")
    for old, new in (
        ("title: Borrowed window", f'title: "{SCRIPT}"'),
        ("[everyday, one light]", f'["{SCRIPT}", "javascript:alert(1)"]'),
        ("body: full-frame", f'body: "{BRACES}"'),
        ("name: key", f'name: "{HANDLER}"'),
        ("battery 400", f'"{SCRIPT}"'),
        ("round box 90", f'"{HANDLER}"'),
        ("group: A", f'group: "{BRACES}"'),
        ("name: card", f'name: "{SCRIPT}"'),
        ("folding card 120 x 90", f'"{SCRIPT}"'),
        ("aim: between key and face", "aim: nose"),
        ("mid-grey paper", f'"{SCRIPT}"'),
        ("pose: seated", f'pose: seated\n  name: "{HANDLER} sits"'),
    ):
        assert old in text, old
        text = text.replace(old, new)
    text = re.sub(r"^purpose: .*$", f'purpose: "{SCRIPT}"', text, flags=re.M)
    return text[: text.index("notes: |")] + f"steps: ['{SCRIPT}', '{BRACES}']\nnotes: '{SCRIPT}'\n"


def test_a_hostile_book_has_no_live_script(hostile: dict[str, str]) -> None:
    """On no page does a name or sentence become an element, a handler, a style or an address."""
    for path, html in hostile.items():
        page = Page(html)
        sources = [value for name, value in page.attributes if name == "src"]
        assert page.tags.count("script") - len(sources) == (2 if path.endswith("on-set.html") else 0), path
        assert all("static/" in source for source in sources), path
        assert "img" not in page.tags, path
        assert not [name for name, _ in page.attributes if name.startswith("on") or name == "style"], path
        assert not [
            value
            for name, value in page.attributes
            if name == "href" and re.match(r"\s*(javascript|vbscript|data:text)", value, re.I)
        ], path


@pytest.mark.parametrize(
    "path",
    [
        "index.html",
        "recipes/x/index.html",
        "recipes/x/card.html",
        "recipes/x/on-set.html",
        "gear.html",
        "pages/y.html",
    ],
)
def test_a_hostile_title_is_shown_as_it_was_written(path: str, hostile: dict[str, str]) -> None:
    """The reader sees the very characters, on every kind of page that shows names."""
    assert SCRIPT in Page(hostile[path]).text


def test_braces_are_not_a_template(hostile: dict[str, str]) -> None:
    """What the book says is never filled in as a template."""
    assert BRACES in Page(hostile["recipes/x/index.html"]).text
    assert BRACES in Page(hostile["pages/y.html"]).text


def test_a_value_that_is_missing_is_an_error() -> None:
    """A template that asks for what it wasn't given fails here, and never shows a gap."""
    with pytest.raises(UndefinedError):
        render("default", "page.html", {})


def test_a_theme_that_is_not_there_is_named() -> None:
    """The error lists the themes that there are."""
    with pytest.raises(ResourceError, match="there is no theme 'neon'; there is default, ledger"):
        theme_file("neon", "templates")


def test_another_theme_brings_what_it_does_otherwise() -> None:
    """Its style is read after the base theme's, its palette draws; all else is the base theme's."""
    book, done = demo()
    ledger = replace(
        book, studio=book.studio.model_copy(update={"theme": "ledger"}), recipes=book.recipes[:1]
    )
    files = whole_site(ledger, done[:1]).files
    plain = whole_site(replace(book, recipes=book.recipes[:1]), done[:1]).files
    page = files["index.html"].decode()

    assert page.index("static/site.css") < page.index("static/ledger.css")
    assert "ledger" not in plain["index.html"].decode()
    assert set(files) - set(plain) == {"static/ledger.css"}
    assert files["static/site.css"] == plain["static/site.css"]
    assert b"#7a2a1e" in files["recipes/01-borrowed-window/index.html"]
    assert b"#7a2a1e" not in plain["recipes/01-borrowed-window/index.html"]


def test_a_recipes_page_alone_is_the_sites_own() -> None:
    """Asked for one, the others are not made; what is made is what the site has there."""
    book, done = demo()
    small = replace(book, recipes=book.recipes[:1])
    site = whole_site(small, done[:1]).files

    for path in paths_of(done[0].slug):
        assert some_pages(small, done[:1], path).files == {path: site[path]}
    assert some_pages(small, done[:1], "recipes/none/card.html").files == {}


@pytest.mark.parametrize("name", ["../default", "..", "", "/etc"])
def test_a_theme_stays_in_its_folder(name: str) -> None:
    """A theme's name leads to no other folder."""
    with pytest.raises(ResourceError):
        theme_file(name, "templates")


def test_a_halt_on_safety_comes_before_everything(pages: dict[str, str]) -> None:
    """It stands above the title on the recipe's page; the set-up card holds it and nothing to build from;
    index and safety page name the recipe.
    """
    recipe, card = pages[f"recipes/{HALTED}/index.html"], Page(pages[f"recipes/{HALTED}/card.html"])

    assert recipe.index(HALT.remedy) < recipe.index("<h1>")
    assert "Do not build this set-up" in card.text
    assert HALT.remedy in card.text
    assert "svg" not in card.tags
    assert "table" not in card.tags
    assert not re.search(r"\d\s*(m|cm|kg|°)\b|f/\d|click", card.by_class["card"][0])
    lessons = sum(bool(each.safety_halts) for each in demo()[1])
    assert pages["index.html"].count("Not to be built as it stands") == 1 + lessons
    assert HALT.remedy in pages["safety.html"]


def test_without_a_halt_nothing_is_stopped(pages: dict[str, str]) -> None:
    """The other side: no other recipe's card says so, and its numbers are there."""
    others = [each.slug for each in demo()[1] if each.slug != HALTED and not each.safety_halts]
    for slug in others:
        card = pages[f"recipes/{slug}/card.html"]
        assert "Do not build" not in card
        assert "<table" in card


def test_every_figure_has_its_unit(pages: dict[str, str]) -> None:
    """A bare number is never shown as a figure: it has a unit, or is a ratio, an aperture or a click."""
    seen = 0
    for path, html in pages.items():
        for text in Page(html).by_class.get("figure", []):
            seen += 1
            assert re.fullmatch(
                r"–|out of range|f/\d+(\.\d)?|click \d+|above 8:1|\d+(\.\d+)?:1"
                r"|([+−]?\d+(\.\d+)?( kg| stops?| %|°)|\d+\.\d\d m(\d+ ft( \d*½? in)?|\d*½? in))"
                r"( (toward|away|L|R|up|down))?",
                text.strip(),
            ), (path, text)

    assert seen > 1000


def test_no_stray_number_words(pages: dict[str, str]) -> None:
    """No page shows what only a program says."""
    for path, html in pages.items():
        text = Page(html).text
        assert not re.search(r"\b(nan|None|True|False|inf)\b|Undefined|\d\.\d{5}|<built", text), path


def test_a_default_is_shown_as_one(tmp_path: Path) -> None:
    """What a recipe leaves out stands on its page with value and '(default)'; what it says doesn't."""
    shutil.copytree(DEMO, tmp_path, dirs_exist_ok=True, ignore=shutil.ignore_patterns(".computed"))
    for path in (tmp_path / "recipes").iterdir():
        if not path.name.startswith("01"):
            path.unlink()
    for path in (tmp_path / "pages").iterdir():
        path.unlink()
    file = tmp_path / "recipes" / "01-borrowed-window.yaml"
    said = Page(site_of(tmp_path)["recipes/01-borrowed-window/index.html"]).by_class["defaults"][0]
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace(", shutter: 1/160 s", ""), encoding="utf-8")
    left_out = Page(site_of(tmp_path)["recipes/01-borrowed-window/index.html"]).by_class["defaults"][0]

    assert "exposure.shutter" not in said
    assert re.search(r"exposure\.shutter\s*1/\d+\ss \(default\)", left_out)


def test_every_default_of_every_recipe_is_listed(pages: dict[str, str]) -> None:
    """None is left out on any page."""
    for each in demo()[1]:
        shown = Page(pages[addresses.recipe(each.slug)]).by_class.get("defaults", [""])[0]
        listed = shown.replace("\u00a0", " ")
        for taken in defaults_taken(each.recipe):
            assert taken.key in listed, each.slug
            assert f"{taken.value} (default)" in listed, each.slug


def test_what_nobody_measured_is_marked(tmp_path: Path) -> None:
    """A surface that nobody measured says 'assumed' on the recipe's page, its card and the gear page; once it
    has been measured it doesn't.
    """
    shutil.copytree(DEMO, tmp_path, dirs_exist_ok=True, ignore=shutil.ignore_patterns(".computed"))
    for path in (tmp_path / "recipes").iterdir():
        if not path.name.startswith("01"):
            path.unlink()
    for path in (tmp_path / "pages").iterdir():
        path.unlink()
    studio = (tmp_path / "studio.yaml").read_text(encoding="utf-8")
    marked: list[list[bool]] = []
    for day in ("", ", measured: 2026-10-02"):
        own = f"\nsurfaces:\n  - {{name: white, kind: matte, reflectance: 0.81{day}}}\n"
        (tmp_path / "studio.yaml").write_text(studio + own, encoding="utf-8")
        pages = site_of(tmp_path)
        row = re.search(r'<tr><th scope="row">white</th>.*?</tr>', pages["gear.html"])
        assert row is not None
        folder = "recipes/01-borrowed-window"
        marked.append(
            ["white side (assumed)" in pages[f"{folder}/{name}.html"] for name in ("index", "card")]
            + ["assumed" in row[0]]
        )

    assert marked == [[True, True, True], [False, False, False]]


def test_reflectances_say_how_they_are_known(pages: dict[str, str]) -> None:
    """What the numbers rest on names the room's surfaces and that nobody measured them."""
    text = Page(pages["recipes/01-borrowed-window/index.html"]).text

    assert "walls left 0.80, right 0.20, back 0.80, front 0.40" in text or "none of them measured" in text


def test_every_page_is_whole(pages: dict[str, str]) -> None:
    """Language, title, one main heading, a way past the menu, and the content policy, on every page."""
    for path, html in pages.items():
        page = Page(html)
        assert '<html lang="en" data-units="metric"' in html, path
        assert page.tags.count("h1") == 1, path
        assert page.tags.count("main") == 1, path
        assert 'href="#main"' in html, path
        policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', html)
        assert policy is not None, path
        assert unescape(policy[1]).startswith("default-src 'none'"), path
        assert "unsafe" not in policy[1], path


def test_headings_leave_out_no_level(pages: dict[str, str]) -> None:
    """From one heading to the next the level grows by one at most."""
    for path, html in pages.items():
        levels = [int(tag[1]) for tag in Page(html).tags if re.fullmatch("h[1-6]", tag)]
        assert all(after <= before + 1 for before, after in pairwise(levels)), path
