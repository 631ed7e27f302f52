"""Every link of every written page leads somewhere that was written too.

A site must work from a plain folder, so a link to a folder is broken: it has to name the file.
"""

import re
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser
from posixpath import dirname, normpath
from urllib.parse import SplitResult, unquote, urlsplit

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


def broken_links(files: Mapping[str, bytes], among: Iterable[str] | None = None) -> list[Fault]:
    """Every broken link, missing anchor and repeated id of a site, as faults in page order.

    `files`: path to bytes of the whole site; `among`: the files that are judged, left out: all. Addresses
    that leave the site must be https or mailto, and may not be something the browser fetches by itself.
    """
    pages = _Pages(files)
    faults: list[Fault] = []
    for path in sorted(files if among is None else among):
        if path.endswith(".html"):
            faults += [
                Fault(path, link.line, link.column, "this id stands on the page twice", link.target)
                for link in pages[path].repeated
            ]
            faults += _faults(path, pages[path].links, files, pages)
        elif path.endswith(".css"):
            faults += _faults(path, _css_links(files[path].decode("utf-8", "replace")), files, pages)
    return faults


_NAMES = frozenset((*_LINKS, *_IDS, "id"))
_VALUE = re.compile(rf'="(?<=(?:{"|".join(sorted({name[-2:] for name in _NAMES}))})=")([^"]*)"')
"""Of an attribute whose name ends as one of ours: a drawing has thousands of others."""
_ID = re.compile(r'[ \n]id="([^"]*)"')
# what our own templates never write, so that a page with it is read by the parser; each begins with a sign
# that a long page has seldom, for which it is looked through quickly
_BARE = re.compile(r'=(?:(?!")|(?<=\s=))')
"""An equals sign with no quote right after it, or with space before it."""
_NAMED = tuple(f"{gap}{name}" for gap in " \n" for name in _NAMES)
_ODD_VALUE = re.compile(r'=(?:(?<=[ \n]srcset=)|"\s*url\((?!#))', re.I)
_ODD_TAG = re.compile(
    r'<(?:a [^>]*(?:[ \n]name=|href="data:)|link [^>]*href="(?!data:)[a-z]+:)',
    re.I,
)
_SCRIPT = re.compile(r"(<script\b[^>]*>).*?(?=</script>)", re.I | re.S)
"""A script's words, which are no attributes."""
_LONGEST = max(map(len, _NAMED))
_SPACE = 2 * _LONGEST
"""Letters before an equals sign in which its name is looked for, with space between them."""


def leads_of(path: str, data: bytes) -> tuple[str, ...] | None:
    """Where one file of a site leads within it, each once: 'how.html#statics'. None where something is wrong
    with it that shows without the other files.

    A long page takes a parser longer than all else that publishing does: so it is only searched, and parsed
    where that leaves a doubt.
    """
    text = data.decode("utf-8", "replace")
    if path.endswith(".css"):
        return _judged(path, Page(path), _css_links(text))
    if not path.endswith(".html"):
        return ()
    if (found := _searched(path, text)) is not None:
        return found
    page = read_page(path, data)
    return None if page.repeated else _judged(path, page, page.links)


def _judged(path: str, page: Page, links: Iterable[Link]) -> tuple[str, ...] | None:
    leads: dict[str, None] = {}
    for link in links:
        lead = _lead(path, link)
        if lead is not None and lead.partition("#")[0] != path:
            leads[lead] = None
        elif _wrong(path, link, {path: b""}, {path: page}):
            return None
    return tuple(leads)


def _searched(path: str, text: str) -> tuple[str, ...] | None:
    """The same by attributes alone; None where there is a doubt."""
    text = _SCRIPT.sub(r"\1", text)
    if _ODD_VALUE.search(text) or _ODD_TAG.search(text) or _bare_named(text):
        return None
    found = list(_attributes(text))
    ids = [unescape(value) for name, value in found if name == "id"]
    own = set(ids)
    if len(own) < len(ids):
        return None
    leads: dict[str, None] = {}
    for name, value in dict.fromkeys(found):
        if name in _IDS:
            if not own.issuperset(unescape(value).split()):
                return None
        elif name != "id" and not _noted(path, unescape(value), name, own, leads):
            return None
    return tuple(leads)


def _attributes(text: str) -> Iterator[tuple[str, str]]:
    """Name and value of each attribute that we look for, as the text has them."""
    for found in _VALUE.finditer(text):
        before = text[max(found.start() - _LONGEST, 0) : found.start()]
        gap = max(before.rfind(" "), before.rfind("\n"))
        if gap >= 0 and (name := before[gap + 1 :]) in _NAMES:
            yield name, found[1]


def _bare_named(text: str) -> bool:
    """Whether an attribute that we look for may stand there otherwise than as name="…"."""
    for found in _BARE.finditer(text):
        at = found.start()
        before = text[max(at - _SPACE, 0) : at].rstrip().lower()
        if before.endswith(_NAMED) or len(before) < _LONGEST:
            return True
    return False


def _noted(path: str, target: str, name: str, own: Container[str], leads: dict[str, None]) -> bool:
    """Note where an address leads in the site; False where it may be wrong."""
    parts = urlsplit(target)
    if parts.scheme:
        return parts.scheme == "data" or (name == "href" and parts.scheme in LEAVING)
    lead = _lead(path, Link(target, 1, 1, False))
    if lead is None:
        return False
    to, _, anchor = lead.partition("#")
    if to == path:
        return not anchor or anchor in own
    leads[lead] = None
    return True


def anchors_in(data: bytes) -> frozenset[str]:
    """The ids of a page."""
    return frozenset(unescape(value) for value in _ID.findall(data.decode("utf-8", "replace")))


def holds(leads: Iterable[str], files: Container[str], anchors: Callable[[str], Container[str]]) -> bool:
    """Whether everything that is led to is there; `anchors` are those of a page."""
    for lead in leads:
        path, _, anchor = lead.partition("#")
        if path not in files or (anchor and path.endswith(".html") and anchor not in anchors(path)):
            return False
    return True


class _Pages(Mapping[str, Page]):
    """The pages among a site's files, each read when somebody looks at it."""

    def __init__(self, files: Mapping[str, bytes]) -> None:
        self._files = files
        self._read: dict[str, Page] = {}

    def __getitem__(self, path: str) -> Page:
        if path not in self._read:
            if path not in self:
                raise KeyError(path)
            self._read[path] = read_page(path, self._files[path])
        return self._read[path]

    def __contains__(self, path: object) -> bool:
        return isinstance(path, str) and path.endswith(".html") and path in self._files

    def __iter__(self) -> Iterator[str]:
        return (path for path in self._files if path in self)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def read_page(path: str, data: bytes) -> Page:
    """A page with its links and anchors."""
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
    target, anchor = _inside(path, parts)
    if target not in files or parts.path.endswith("/"):
        return "leads to a page that isn't there"
    if anchor and target in pages and anchor not in pages[target].anchors:
        return "leads to a place that isn't on that page"
    return ""


def _lead(path: str, link: Link) -> str | None:
    """Where a link leads within the site; None where it leaves it, or can't be followed at all."""
    parts = urlsplit(link.target)
    if parts.scheme or parts.netloc or parts.path.startswith("/") or parts.path.endswith("/"):
        return None
    target, anchor = _inside(path, parts)
    return f"{target}#{anchor}" if anchor else target


def _inside(path: str, parts: SplitResult) -> tuple[str, str]:
    """A relative link's path from the site's root, and its anchor."""
    target = normpath(f"{dirname(path)}/{unquote(parts.path)}".lstrip("/")) if parts.path else path
    return target, unquote(parts.fragment)
