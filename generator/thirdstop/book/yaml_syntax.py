"""What PyYAML says of text that it can't read, in plain words and with the place where it begins."""

import re

import yaml

from thirdstop.book.grammar import shorten
from thirdstop.book.marks import Position
from thirdstop.errors import Fault

ALIASES = "anchors and aliases are not used here"

_ESCAPE = re.compile(r"\\\\|\\U([0-9a-fA-F]{8})|\\u([0-9a-fA-F]{4})")
_LARGEST_CODE = 0x10FFFF
_SURROGATES = (0xD800, 0xDFFF)

_WITHOUT_COLON = re.compile(r"( *(?:- +)?)([A-Za-z_]+)(?: +|:)([^\s:#{\[][^:]*|[^\s:#]+)")
"""'pose seated', 'pose:seated', '- name key': where a key and its value were meant."""

_PLAIN_WORDS = (
    # (part of PyYAML's message, what is wrong, what to write). The first that fits is used.
    ("'\\t'", "a tab can't be used to indent", "spaces"),
    ("scanning an a", ALIASES, "the value itself"),
    (
        "mapping values are not allowed",
        "a colon with a space can't stand here: the indent is wrong, or text lacks its quotes",
        "'text: with a colon'",
    ),
    ("could not find expected ':'", "a key needs a colon and a space after it", "key: value"),
    ("found unexpected end of stream", "a quote is opened and never closed", "the closing quote"),
    ("expected ',' or ']'", "a list in [ ] isn't closed, or lacks a comma", "[one, two]"),
    ("expected ',' or '}'", "a mapping in { } isn't closed, or lacks a comma", "{one: 1, two: 2}"),
    ("expected <block end>", "this line isn't indented like the ones above it", "the same number of spaces"),
    ("unknown escape character", "a backslash in double quotes needs a second one", "\\\\"),
    ("that cannot start any token", "text can't begin with this sign", "quotes around the text"),
    ("sequence entries are not allowed", "a list begins on a line of its own", "- item"),
)
_UNREADABLE = ("this can't be read as YAML", "key: value")


def syntax_fault(text: str, file: str, error: Exception) -> Fault:
    """PyYAML's complaint in plain words, as the pure-Python loader has it: the same everywhere."""
    if escape := _bad_escape(text):
        return Fault(file, *escape, "this escape stands for no character", "", "the character itself")
    try:
        for _ in yaml.parse(text, Loader=yaml.SafeLoader):
            pass
    except yaml.MarkedYAMLError as slow:
        error = slow
    except (yaml.YAMLError, ValueError, OverflowError):
        pass
    said = f"{getattr(error, 'context', '')} {getattr(error, 'problem', '')}"
    at = _opened_before(error, said) or _complaint_position(error, said)
    if missing := _missing_colon(text, error, said):
        return Fault(file, *missing)
    wrong, write = next(((wrong, write) for part, wrong, write in _PLAIN_WORDS if part in said), _UNREADABLE)
    before = text.split("\n")[at.line - 1][: at.column - 1] if text else ""
    if "expected <block end>" in said and before.strip():
        wrong, write = "nothing can follow here on the same line", "quotes around the whole text"
    return Fault(file, *at, wrong, "", write)


def _opened_before(error: Exception, said: str) -> Position | None:
    """Where a bracket was opened that isn't closed on its line: the reader only stumbles over a later one."""
    opened, met = getattr(error, "context_mark", None), getattr(error, "problem_mark", None)
    if opened is None or met is None or met.line == opened.line:
        return None
    if "expected ',' or" not in said:
        return None
    return Position(opened.line + 1, opened.column + 1)


def _missing_colon(text: str, error: Exception, said: str) -> tuple[int, int, str, str, str] | None:
    """Line, column, what is wrong, given and to write, where a line like 'pose seated' lacks its colon.

    The reader only stumbles over the line after it, or over where that line begins.
    """
    lines = text.split("\n")
    mark = getattr(error, "context_mark", None) if "could not find expected ':'" in said else None
    number = mark.line if mark is not None else -1
    if "mapping values are not allowed" in said:
        number = _line_before(lines, error.problem_mark.line)  # type: ignore[attr-defined]
    found = _WITHOUT_COLON.fullmatch(lines[number]) if number >= 0 else None
    if found is None or not _may_begin(lines, number, found[1]):
        return None
    wrong = "a key needs a colon and a space after it"
    value = " ".join(found[3].split(" #")[0].split())
    return number + 1, len(found[1]) + 1, wrong, shorten(lines[number].strip(" -")), f"{found[2]}: {value}"


def _line_before(lines: list[str], number: int) -> int:
    """The nearest line above that isn't empty nor a comment; -1 where there is none."""
    return next((k for k in range(number - 1, -1, -1) if lines[k].split("#")[0].strip()), -1)


def _may_begin(lines: list[str], number: int, indent: str) -> bool:
    """Whether a key may begin on this line: text may run on over several lines, and has no colon there."""
    above = _line_before(lines, number)
    if above < 0 or "-" in indent or lines[above].split(" #")[0].rstrip().endswith(":"):
        return True
    return _indent(lines[above]) >= len(indent)


def _indent(line: str) -> int:
    """Of the first key on a line, a list's dash passed over."""
    return len(line) - len(line.lstrip(" -"))


def _complaint_position(error: Exception, said: str) -> Position:
    """Where the trouble is; of a quote that is never closed, where it was opened."""
    first, second = "problem_mark", "context_mark"
    if "end of stream" in said:
        first, second = second, first
    mark = getattr(error, first, None) or getattr(error, second, None)
    return Position(mark.line + 1, mark.column + 1) if mark else Position(1, 1)


def _bad_escape(text: str) -> Position | None:
    """Where an escape stands for half a character or none: not every loader names the place."""
    for found in _ESCAPE.finditer(text):
        code = int(found[1] or found[2] or "0", 16)
        if code > _LARGEST_CODE or _SURROGATES[0] <= code <= _SURROGATES[1]:
            return position(text, found.start())
    return None


def position(text: str, place: int) -> Position:
    """Line and column, from 1, of the character at that place of the text."""
    before = text[:place]
    return Position(before.count("\n") + 1, place - before.rfind("\n"))
