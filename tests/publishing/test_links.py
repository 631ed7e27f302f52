"""A broken link is found, wherever it stands."""

import pytest

from thirdstop.publishing import links
from thirdstop.publishing.links import broken_links, leads_of

SITE = {
    "index.html": b'<h1 id="top">House</h1><a href="recipes/hat/index.html#steps">Hat</a>'
    b'<img src="static/a.png">',
    "recipes/hat/index.html": b'<a href="../../index.html">House</a><h2 id="steps">Steps</h2>'
    b'<a href="#steps">Steps</a>',
    "static/a.png": b"png",
    "static/site.css": b"@font-face { src: url('a.png') }",
}


def found(body: str, page: str = "recipes/hat/card.html") -> list[str]:
    return [str(fault) for fault in broken_links({**SITE, page: body.encode()})]


def test_a_whole_site_has_no_faults() -> None:
    """Links up and down, anchors and pictures that are there are fine."""
    assert broken_links(SITE) == []


@pytest.mark.parametrize(
    "body",
    [
        '<a href="index.html">',
        '<a href="index.html#steps">',
        '<a href="?paper=A5">',
        '<a href="index.html?x=1#steps">',
        '<a href="../../static/../index.html">',
        '<a href="https://example.org/nothing">',
        '<a href="mailto:someone@example.org">',
        '<img src="data:image/png;base64,AA==">',
        '<p id="a"></p><p aria-labelledby="a"></p>',
        '<svg><clipPath id="c"/><rect clip-path="url(#c)"/><use href="#c"/></svg>',
        '<a href="#">',
    ],
)
def test_good_links(body: str) -> None:
    """What works from a plain folder is no fault."""
    assert found(body) == []


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ('<a href="gone.html">', "1:1: leads to a page that isn't there; given: gone.html"),
        ('x\n <a href="gone.html">', "2:2: leads to a page that isn't there; given: gone.html"),
        ('<a href="../hat/">', "1:1: leads to a page that isn't there; given: ../hat/"),
        ('<a href="..">', "1:1: leads to a page that isn't there; given: .."),
        (
            '<a href="../../../index.html">',
            "1:1: leads to a page that isn't there; given: ../../../index.html",
        ),
        ('<a href="Index.html">', "1:1: leads to a page that isn't there; given: Index.html"),
        (
            '<a href="index.html#gone">',
            "1:1: leads to a place that isn't on that page; given: index.html#gone",
        ),
        ('<a href="#gone">', "1:1: leads to a place that isn't on that page; given: #gone"),
        ('<img src="b.png">', "1:1: leads to a page that isn't there; given: b.png"),
        ('<img srcset="b.png 2x">', "1:1: leads to a page that isn't there; given: b.png"),
        ('<p aria-labelledby="gone">', "1:1: leads to a place that isn't on that page; given: #gone"),
        ('<rect clip-path="url(#gone)"/>', "1:1: leads to a place that isn't on that page; given: #gone"),
        (
            '<a href="/index.html">',
            "1:1: a link must be relative, so that the site works from any folder; given: /index.html",
        ),
        (
            '<a href="//example.org/">',
            "1:1: a link must be relative, so that the site works from any folder; given: //example.org/",
        ),
        (
            '<a href="http://example.org/">',
            "1:1: a link may be https or mailto, not http; given: http://example.org/",
        ),
        (
            '<a href="javascript:x()">',
            "1:1: a link may be https or mailto, not javascript; given: javascript:x()",
        ),
        (
            '<script src="https://example.org/a.js">',
            "1:1: a page may not fetch anything from elsewhere; given: https://example.org/a.js",
        ),
        ('<p id="a"></p><p id="a"></p>', "1:15: this id stands on the page twice; given: a"),
    ],
)
def test_broken_links(body: str, message: str) -> None:
    """Each fault names the page, the place in it, and the target."""
    assert found(body) == [f"recipes/hat/card.html:{message}"]


def test_a_stylesheet_is_read_too() -> None:
    """A font that isn't there is a fault of the stylesheet."""
    assert found("@font-face {\n  src: url(gone.woff2) }", "static/more.css") == [
        "static/more.css:2:1: leads to a page that isn't there; given: gone.woff2"
    ]


@pytest.mark.parametrize(
    "body",
    [
        '<a href="b.html#x">b</a><a href="b.html#x">b</a><p id="y"><a href="#y">y</a>',
        '<p id="a"></p><p id="a"></p>',
        '<label for="q">q</label>',
        '<a href="b.html/">b</a>',
        '<a href="/b.html">b</a>',
        '<a href="https://example.org/">out</a>',
        '<a href="ftp://example.org/">out</a>',
        '<link href="https://example.org/a.css">',
        '<link href="data:,">',
        '<a href="data:,">none</a>',
        '<img src="https://example.org/a.png">',
        "<a href='b.html'>b</a>",
        "<a href=b.html>b</a>",
        '<a href= "b.html">b</a>',
        '<a href ="b.html">b</a>',
        "<a HREF=b.html>b</a>",
        f'<a href{" " * 40}= "b.html">b</a>',
        f'<p id="a"></p><p id{" " * 40}="a"></p>',
        "<p>In two ways: with x = 3 and y= 4.</p>",
        '<a href="b.html?x=1&amp;href=2">b</a>',
        '<a name="y" href="#y">y</a>',
        '<path fill="url(#y)"/><g id="y"/>',
        '<path fill="url(c.svg#y)"/>',
        '<img srcset="a.png 1x, b.png 2x">',
        "<p>href=&quot;nowhere.html&quot;</p>",
        '<script>var data = \'href="nowhere.html"\', x = \'<p id="x">\';</script><p id="x"></p>',
        '<SCRIPT src="b.js"></SCRIPT><a href="b.html">b</a><script>var id = 1;</SCRIPT>',
        '<script>"</scripts>" + \'<a href="b.html">\'</script><script>1 < 2</script>',
    ],
)
def test_a_search_finds_what_a_parser_finds(body: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a page leads, and whether something is wrong with it by itself."""
    data = f"<html><body>{body}</body></html>".encode()
    quick = leads_of("a.html", data)
    monkeypatch.setattr(links, "_searched", lambda path, text: None)

    assert quick == leads_of("a.html", data)


def test_a_page_whose_script_holds_data_is_only_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a script calls its variables raises no doubt, so that no parser goes through a long page."""
    monkeypatch.setattr(links, "read_page", lambda path, data: pytest.fail(f"{path} is parsed"))
    body = b'<a href="b.html">b</a><script>var data = 1;</script>'

    assert leads_of("a.html", body) == ("b.html",)
