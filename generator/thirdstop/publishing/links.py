"""Every link of every written page leads somewhere that was written too.

A site must work from a plain folder, so a link to a folder is broken: it has to name the file.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from posixpath import dirname, normpath
from urllib.parse import unquote, urlsplit

from thirdstop.errors import Fault

LEAVING = frozenset({"https", "mailto"})
"""Kinds of address that may leave the site; they are not followed."""

_LINKS = frozenset({"href", "src", "action", "poster", "data", "xlink:href"})
_IDS = frozenset(
    {"aria-labelledby", "aria-describedby", "aria-controls", "aria-owns", "for", "headers", "list"}
)
"""Attributes that name ids of the same page, separated by spaces."""

_CSS_ADDRESS = re.compile(r"url\(\s*['\"]?([^'\")]*)['\"]?\s*\)|@import\s+['\"]([^'\"]*)['\"]")
_LOADING = frozenset(
    {"img", "script", "link", "source", "video", "audio", "iframe", "object", "embed", "image"}
)


@dataclass(frozen=True)
class Link:
    """One reference of a page: what it says and where it stands."""

    target: str
    line: int
    column: int
    loads: bool
    """Whether the browser fetches it by itself."""


@dataclass
class Page(HTMLParser):
    """What one page links to, and what can be linked to in it."""

    path: str
    links: list[Link] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    repeated: list[Link] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take the ids and links of one tag."""
        line, column = self.getpos()
        for name, value in attrs:
            text = value or ""
            found = Link(text, line, column + 1, tag in _LOADING)
            if name == "id" or (name == "name" and tag == "a"):
                if text in self.anchors:
                    self.repeated.append(found)
                self.anchors.add(text)
            elif name in _LINKS:
                self.links.append(found)
            elif name in _IDS:
                self.links += [Link(f"#{word}", line, column + 1, False) for word in text.split()]
            elif name == "srcset":
                words = [part.split() for part in text.split(",")]
                self.links += [Link(word[0], line, column + 1, True) for word in words if word]
            elif text.strip().startswith("url("):
                self.links += [Link(to, line, column + 1, True) for to in _addresses(text)]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """The same for a tag that closes itself, as in SVG."""
        self.handle_starttag(tag, attrs)


def broken_links(files: Mapping[str, bytes]) -> list[Fault]:
    """Every broken link, missing anchor and repeated id of a site, as faults in page order.

    `files`: path to bytes of the whole site. Addresses that leave the site must be https or mailto, and may
    not be something the browser fetches by itself.
    """
    pages = {path: _read(path, data) for path, data in sorted(files.items()) if path.endswith(".html")}
    faults: list[Fault] = []
    for page in pages.values():
        faults += [
            Fault(page.path, link.line, link.column, "this id stands on the page twice", link.target)
            for link in page.repeated
        ]
        faults += _faults(page.path, page.links, files, pages)
    for path, data in sorted(files.items()):
        if path.endswith(".css"):
            faults += _faults(path, _css_links(data.decode("utf-8", "replace")), files, pages)
    return faults


def _read(path: str, data: bytes) -> Page:
    page = Page(path)
    page.feed(data.decode("utf-8", "replace"))
    page.close()
    return page


def _addresses(css: str) -> list[str]:
    return [first or second for first, second in _CSS_ADDRESS.findall(css)]


def _css_links(css: str) -> list[Link]:
    return [
        Link(target, number, 1, True)
        for number, line in enumerate(css.splitlines(), start=1)
        for target in _addresses(line)
    ]


def _faults(
    path: str, links: Iterable[Link], files: Mapping[str, bytes], pages: Mapping[str, Page]
) -> list[Fault]:
    wrongs = [(link, _wrong(path, link, files, pages)) for link in links]
    return [Fault(path, link.line, link.column, wrong, link.target) for link, wrong in wrongs if wrong]


def _wrong(path: str, link: Link, files: Mapping[str, bytes], pages: Mapping[str, Page]) -> str:
    """What is wrong with one link, in words; empty if nothing is."""
    parts = urlsplit(link.target)
    if parts.scheme == "data" and link.loads:
        return ""
    if parts.scheme:
        if parts.scheme not in LEAVING:
            return f"a link may be https or mailto, not {parts.scheme}"
        return "a page may not fetch anything from elsewhere" if link.loads else ""
    if parts.netloc or parts.path.startswith("/"):
        return "a link must be relative, so that the site works from any folder"
    target = normpath(f"{dirname(path)}/{unquote(parts.path)}".lstrip("/")) if parts.path else path
    if target not in files or parts.path.endswith("/"):
        return "leads to a page that isn't there"
    anchor = unquote(parts.fragment)
    if anchor and target in pages and anchor not in pages[target].anchors:
        return "leads to a place that isn't on that page"
    return ""
