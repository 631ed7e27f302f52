"""The house's own Markdown as HTML: no raw HTML, links by allow-list, no pictures from elsewhere.

A link may be https or mailto, lead to a heading of the same text ('#aiming'), or to something in the book:
a recipe by its title, slug or file ('Under the brim', 'under-the-brim.yaml'), written plainly or as
'recipe:NAME', or a page by its slug or file ('safety', 'pages/house-rules.md'). Anything else is a fault with
the file's line.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import unquote, urlsplit

from markdown_it import MarkdownIt
from markdown_it.token import Token

from thirdstop.book.marks import near
from thirdstop.errors import Fault

Resolve = Callable[[str], str | None]
"""A name in the book to its address as written on this page; None where there is no such thing."""

_OUTSIDE = frozenset({"https", "mailto"})
_NOWHERE = "there is no recipe or page of this name"
_ALIGNED = {"left": "left", "center": "middle", "right": "right"}


@dataclass(frozen=True)
class Names:
    """What a link may call things of the book: a name in lower case to a path from the site's root."""

    recipes: Mapping[str, str]
    pages: Mapping[str, str]

    def find(self, name: str) -> str | None:
        """The path of whatever has this name, with an anchor if it names one."""
        text, mark, anchor = unquote(name).strip().partition("#")
        kind, colon, rest = text.partition(":")
        if colon and kind.strip().casefold() in ("recipe", "page"):
            found = (self.recipes if kind.strip().casefold() == "recipe" else self.pages).get(_plain(rest))
        else:
            found = self.recipes.get(_plain(text)) or self.pages.get(_plain(text))
        return found + mark + anchor if found else None

    def suggested(self, fault: Fault) -> Fault:
        """The fault of a link that leads nowhere with what to write: the name most like it, or any other."""
        if fault.wrong != _NOWHERE or fault.write:
            return fault
        named, mark, _ = fault.given.rpartition("#") if "#" in fault.given else (fault.given, "", "")
        if mark and self.find(named):
            return replace(fault, write=f"{named}, for it has no such place")
        choices = [name for name in (*self.recipes, *self.pages) if name]
        best = near(_plain(named.rpartition(":")[2]), choices)
        # of the names of one thing the last
        each = {path: name for names in (self.recipes, self.pages) for name, path in names.items() if name}
        some = ", ".join(f"'{name}'" for name in list(each.values())[:3])
        return replace(fault, write=best or f"a recipe or page of the book, such as {some}")


def _plain(name: str) -> str:
    """A name as it is compared: folded, without folders, ending or leading dots."""
    return re.sub(r"\.(yaml|md|html)$", "", name.strip().casefold().replace("\\", "/").rsplit("/", 1)[-1])


@dataclass
class Rendered:
    """HTML of one text, the headings in it, and what was wrong with it."""

    html: str
    headings: list[tuple[int, str, str]] = field(default_factory=list)
    """Level, id, text."""
    faults: list[Fault] = field(default_factory=list)


def _parser() -> MarkdownIt:
    parser = MarkdownIt("commonmark", {"html": False, "typographer": True})
    parser.enable(["table", "smartquotes"])
    # Links are judged below, one by one, with their place: the parser's own filter would hide them as text.
    parser.validateLink = lambda url: True  # type: ignore[method-assign]
    return parser


def render(
    text: str, file: str, resolve: Resolve, first_line: int = 1, top: int = 2, prefix: str = ""
) -> Rendered:
    """Markdown to HTML.

    `first_line` is the line of `file` that the text starts on; `top` is the level that the highest heading
    gets on the page; `prefix` keeps the ids of headings apart from the page's own. Faults name the line.
    """
    parser = _parser()
    tokens = parser.parse(text)
    done = Rendered("")
    _set_headings(tokens, done, top, prefix)
    names = _Own(resolve, prefix, frozenset(name for _, name, _ in done.headings))
    line = first_line
    for token in tokens:
        _set_alignment(token)
        if token.map:
            line = first_line + token.map[0]
        if token.type == "inline":
            done.faults += _judge_inline(token, file, line, names)
    done.html = parser.renderer.render(tokens, parser.options, {})
    return done


def _set_alignment(token: Token) -> None:
    """A column's alignment as a class of the theme: the content policy allows no style in a page."""
    style = token.attrs.pop("style", None)
    if style is not None:
        token.attrSet("class", _ALIGNED[str(style).rpartition(":")[2].strip()])


@dataclass(frozen=True)
class _Own:
    """What a link of this text may lead to: something of the book, or one of the text's own headings."""

    resolve: Resolve
    prefix: str
    headings: frozenset[str]

    def find(self, name: str) -> str | None:
        if not name.startswith("#"):
            return self.resolve(name)
        return f"#{self.prefix}{name[1:]}" if self.prefix + name[1:] in self.headings else None


def _judge_inline(token: Token, file: str, line: int, names: _Own) -> list[Fault]:
    faults = []
    for child in token.children or []:
        if child.type in ("softbreak", "hardbreak"):
            line += 1
        elif child.type == "link_open":
            faults += _judge_link(child, file, line, names)
        elif child.type == "image":
            source = str(child.attrGet("src") or "")
            faults.append(Fault(file, line, 1, "a page shows no pictures of its own", source, "a link"))
            # refused, it stays as its words: nothing else need be said of where it led
            child.type, child.children = "text", None
    return faults


def _judge_link(token: Token, file: str, line: int, names: _Own) -> list[Fault]:
    """What is wrong with a link; a refused one is left without its address and so leads nowhere."""
    target = str(token.attrs.pop("href", ""))
    parts = urlsplit(target)
    if parts.scheme in _OUTSIDE:
        token.attrSet("href", target)
        return []
    if parts.scheme in ("recipe", "page") or not (parts.scheme or parts.netloc):
        found = names.find(target)
        if found is not None:
            token.attrSet("href", found)
            return []
        if target.startswith("#"):
            best = near(target[1:], [name.removeprefix(names.prefix) for name in sorted(names.headings)])
            write = f"#{best}" if best else "a heading of this page, in lower case with hyphens"
            return [
                Fault(file, line, 1, "there is no heading on this page of this name", unquote(target), write)
            ]
        return [Fault(file, line, 1, _NOWHERE, unquote(target), "")]
    write = "an https or mailto address, or the name of a recipe or page"
    return [Fault(file, line, 1, "a link can't lead there", target, write)]


def _set_headings(tokens: list[Token], done: Rendered, top: int, prefix: str) -> None:
    """Give each heading an id of its own and a level that fits below the page's title."""
    taken: set[str] = set()
    highest = min((int(token.tag[1]) for token in tokens if token.type == "heading_open"), default=1)
    before = top - 1
    for opening, inline, closing in zip(tokens, tokens[1:], tokens[2:], strict=False):
        if opening.type != "heading_open":
            continue
        text = "".join(
            child.content for child in inline.children or [] if child.type in ("text", "code_inline")
        )
        name = base = prefix + (re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "part")
        count = 2
        while name in taken:
            name, count = f"{base}-{count}", count + 1
        taken.add(name)
        # no level is left out on the way down
        before = level = min(6, before + 1, int(opening.tag[1]) - highest + top)
        opening.tag = closing.tag = f"h{level}"
        opening.attrSet("id", name)
        done.headings.append((level, name, text))
