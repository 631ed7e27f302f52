"""The house's Markdown: nothing in it can become live HTML, and every link leads where it may."""

from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thirdstop.pages import markdown
from thirdstop.pages.markdown import Names, Rendered, render

NAMES = Names(
    recipes={
        "under the brim": "recipes/06-under-the-brim/index.html",
        "06-under-the-brim": "recipes/06-under-the-brim/index.html",
        "under-the-brim": "recipes/06-under-the-brim/index.html",
    },
    pages={
        "safety": "safety.html",
        "house rules": "pages/house-rules.html",
        "house-rules": "pages/house-rules.html",
    },
)

PLAIN_TAGS = {
    *("p", "a", "em", "strong", "code", "pre", "ul", "ol", "li", "blockquote", "br", "hr"),
    *("h2", "h3", "h4", "h5", "h6", "table", "thead", "tbody", "tr", "th", "td"),
}
PLAIN_ATTRIBUTES = {"href", "title", "id", "start", "class"}
"""No style: the content policy would stop it."""


class Live(HTMLParser):
    """What a browser would make of some HTML."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take note of one tag."""
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]


def rendered(text: str, first_line: int = 1, prefix: str = "", top: int = 2) -> Rendered:
    return render(text, "pages/house.md", NAMES.find, first_line, top, prefix)


def faults(text: str, first_line: int = 1) -> list[str]:
    return [str(fault) for fault in rendered(text, first_line).faults]


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "a <b onclick=go()>bold</b> word",
        "<!-- hidden -->",
        "<img src=x onerror=go()>",
        "<details open ontoggle=go()>x</details>",
        "`<script>`",
        "    <script>",
        "&lt;script&gt;",
        "&#60;script&#62;",
        "| <b>a</b> | b |\n|---|---|\n| <script> | c |",
        '[x](https://example.org/?a="><script>)',
        '[x](https://example.org "a\\" onmouseover=\\"go()")',
        "```html\n<script>\n```",
    ],
)
def test_raw_html_stays_text(text: str) -> None:
    """Every tag that somebody writes is shown as it was written; none becomes an element or a handler."""
    live = Live(rendered(text).html)

    assert live.tags <= PLAIN_TAGS
    assert not any(name.startswith("on") for name, _ in live.attributes)


@pytest.mark.parametrize(
    "target",
    [
        "javascript:alert(1)",
        "JavaScript:alert(1)",
        "&#106;avascript:alert(1)",
        "java&Tab;script:alert(1)",
        "data:text/html,x",
        "vbscript:x",
        "file:///etc/hosts",
        "ftp://example.org/x",
        "http://example.org",
        "//example.org/x",
        "/etc/hosts",
        "\\\\server\\share",
        "",
        "nowhere",
    ],
)
def test_a_link_that_is_not_allowed_is_a_fault(target: str) -> None:
    """Only https and mailto leave the book; what isn't in the book leads nowhere."""
    found = faults(f"One line.\n\n[x]({target})")

    assert len(found) == 1
    assert found[0].startswith("pages/house.md:3:1: ")
    assert "a link can't lead there" in found[0] or "there is no recipe or page of this name" in found[0]


def test_a_link_of_every_kind_of_markdown_is_judged() -> None:
    """A link by reference, in angle brackets, in a table, in a list in a quotation."""
    text = "[a][r]\n\n[r]: javascript:go\n\n<javascript:go>\n\n| h |\n|---|\n| [a](nix) |\n\n> - [a](nix)\n"

    assert [line.split(":")[1] for line in faults(text)] == ["1", "5", "9", "11"]


def test_a_fault_names_the_line_it_stands_on() -> None:
    """Also within a paragraph, behind a hard break, and where the text begins further down in its file."""
    assert faults("one\ntwo  \nthree\\\n[x](nix)", first_line=20) == [
        "pages/house.md:23:1: there is no recipe or page of this name; given: nix"
    ]


@pytest.mark.parametrize("source", ["https://example.org/a.png", "a.png", "data:image/png;base64,AA"])
def test_a_picture_is_a_fault(source: str) -> None:
    """A page shows no pictures: nothing is ever fetched from elsewhere."""
    assert faults(f"![a]({source})") == [
        f"pages/house.md:1:1: a page shows no pictures of its own; given: {source}; write: a link"
    ]


@pytest.mark.parametrize(
    "name",
    [
        "<Under the brim>",
        "Under%20the%20brim",
        "under-the-brim",
        "06-under-the-brim",
        "under-the-brim.yaml",
        "recipes/06-under-the-brim.yaml",
        "<recipe:Under the brim>",
        "recipe:under-the-brim",
    ],
)
def test_a_recipe_is_found_by_title_slug_or_file(name: str) -> None:
    """However the house calls a recipe, the link leads to its page."""
    found = rendered(f"[x]({name})")

    assert found.faults == []
    assert Live(found.html).attributes == [("href", "recipes/06-under-the-brim/index.html")]


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("safety", "safety.html"),
        ("safety.html#stands", "safety.html#stands"),
        ("<House rules>", "pages/house-rules.html"),
        ("pages/house-rules.md", "pages/house-rules.html"),
        ("page:house-rules", "pages/house-rules.html"),
    ],
)
def test_a_page_is_found_by_title_slug_or_file(name: str, path: str) -> None:
    """Pages of the house and of the book, with an anchor where one is named."""
    found = rendered(f"[x]({name})")

    assert found.faults == []
    assert Live(found.html).attributes == [("href", path)]


def test_a_kind_says_which_of_two_is_meant() -> None:
    """'page:' finds no recipe, 'recipe:' no page."""
    assert len(faults("[a](page:under-the-brim) [b](recipe:safety)")) == 2


@pytest.mark.parametrize("target", ["https://example.org/a?b=c", "mailto:house@example.org"])
def test_https_and_mail_pass(target: str) -> None:
    """The two kinds of address that may leave the book are kept as they are."""
    found = rendered(f"[x]({target})")

    assert found.faults == []
    assert Live(found.html).attributes == [("href", target)]


def test_headings_fit_below_the_title_and_can_be_linked_to() -> None:
    """No level is skipped, no id stands twice, and a link to a heading of the same text finds it."""
    found = rendered("# Aim\n\n#### Fine\n\n# Aim\n\n[x](#aim-2)", prefix="notes-", top=3)

    assert found.headings == [(3, "notes-aim", "Aim"), (4, "notes-fine", "Fine"), (3, "notes-aim-2", "Aim")]
    assert found.faults == []
    assert ("href", "#notes-aim-2") in Live(found.html).attributes


def test_a_link_to_a_heading_that_is_not_there_is_a_fault() -> None:
    """An anchor is judged with its line, as any other link."""
    assert faults("# Aim\n\n[x](#fire)") == [
        "pages/house.md:3:1: there is no heading on this page of this name; given: #fire; "
        "write: a heading of this page, in lower case with hyphens"
    ]


def test_a_column_is_set_by_class() -> None:
    """A table's alignment is a class of the theme, since the content policy allows no style in a page."""
    live = Live(rendered("| a | b | c |\n|--:|:-:|:--|\n| 1 | 2 | 3 |").html)

    assert live.attributes == [("class", "right"), ("class", "middle"), ("class", "left")] * 2


SIGNS = tuple("[]()<>!`#x'\"\\ ℀\u202e\x00\n")
WORDS = ("<script>", "</p>", "](", "    ", "javascript:", "https://", "//", "[::1", "&#106;", "&Tab;", "on=")
BLOCKS = ("> ", "- ", "| a |\n|--:|\n", "```\n", "\n\n")
PIECES = st.sampled_from(SIGNS + WORDS + BLOCKS)


@settings(max_examples=300, deadline=None)
@given(st.lists(PIECES, max_size=14).map("".join))
def test_no_text_makes_live_html(text: str) -> None:
    """Whatever is written: plain elements only, no handlers, and links as allowed unless it is refused."""
    found = rendered(text)
    live = Live(found.html)

    assert live.tags <= (PLAIN_TAGS | ({"img"} if found.faults else set()))
    assert {name for name, _ in live.attributes} <= PLAIN_ATTRIBUTES | {"src", "alt"}
    if not found.faults:
        for name, value in live.attributes:
            assert name != "href" or value.startswith(("https:", "mailto:", "#")) or value.endswith(".html")


def test_a_picture_is_refused_and_leads_nowhere_then() -> None:
    """One fault, of the book's file; the page that is made has no address that another check could meet."""
    done = markdown.render("![a view](http://example.org/x.png)", "pages/house.md", lambda name: None)

    assert [str(fault) for fault in done.faults] == [
        "pages/house.md:1:1: a page shows no pictures of its own; given: http://example.org/x.png; "
        "write: a link"
    ]
    assert "<img" not in done.html and "example.org" not in done.html


def test_a_link_to_nowhere_says_what_to_write() -> None:
    """The name that is most like it, the page alone where that has no such place, or some."""
    names = markdown.Names({"under-the-brim": "r/brim.html"}, {"safety": "safety.html"})

    def suggested(given: str) -> str:
        (fault,) = markdown.render(f"[x]({given})", "pages/house.md", lambda name: None).faults
        return names.suggested(fault).write

    assert suggested("under-the-brimm.yaml") == "under-the-brim"
    assert suggested("recipe:under-the-brin") == "under-the-brim"
    assert suggested("safety#stans") == "safety, for it has no such place"
    assert suggested("zyzzyva") == "a recipe or page of the book, such as 'under-the-brim', 'safety'"
    (own,) = markdown.render("# Aiming\n\n[x](#aimng)", "pages/house.md", lambda name: None).faults
    assert own.write == "#aiming"
