"""Strict YAML: bytes → text → plain data with positions.

Only mappings, lists, text, numbers, true, false and null are read. Everything else that YAML offers is a
fault: anchors, aliases, tags, directives, several documents, repeated keys, keys that aren't text. Text
that YAML 1.1 turns into something else (4:1, on, 1/160 s, 2024-03-15) stays text.
"""

import math
import re
from typing import TypeAlias

import yaml

from thirdstop.book.grammar import UNPRINTABLE, shorten
from thirdstop.book.marks import Marks, Path, Position
from thirdstop.book.yaml_syntax import ALIASES, position, syntax_fault
from thirdstop.errors import Fault

MOST_BYTES = 256 * 1024
DEEPEST = 24

Data: TypeAlias = "dict[str, Data] | list[Data] | str | int | float | bool | None"

_NUMBER = re.compile(r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?")
_WHOLE_PART = re.compile(r"(?P<f>f/)?[-+±]?[0-9]+")
_DECIMAL_PART = re.compile(r"[0-9]+(?P<unit> ?[^0-9\s/,.][^,/]*)?")
_LEADING_ZERO = re.compile(r"[-+]?0[0-9]")
_NOT_FINITE = re.compile(r"[-+]?\.(inf|nan)", re.IGNORECASE)
_MOST_DIGITS = 30
_WORDS: dict[str, Data] = {"true": True, "false": False, "null": None, "~": None, "": None}
_SURROGATE = re.compile("[\ud800-\udfff]")
_STANDARD_TAG = "tag:yaml.org,2002:"

FAST: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""libyaml's loader where this PyYAML has it; the pure-Python one otherwise. Both read the same."""

_MANY_OPEN = re.compile(rf"(?:[\[{{][ \t]*){{{DEEPEST + 1}}}")
"""Brackets opened on one line: libyaml's time grows with the cube of their number, so it isn't asked."""


class _Refused(Exception):
    """One fault: of a single value, or one that ends the reading of a file."""

    def __init__(self, at: Position, wrong: str, given: str = "", write: str = "") -> None:
        super().__init__(wrong)
        self.at, self.wrong, self.given, self.write = at, wrong, given, write

    def fault(self, file: str) -> Fault:
        """The refusal as a fault of that file."""
        return Fault(file, *self.at, self.wrong, self.given, self.write)


def decode(data: bytes, file: str) -> tuple[str | None, list[Fault]]:
    """Bytes of a file → its text, line ends folded to line feeds, or None and the fault.

    Refuses files over MOST_BYTES, what isn't UTF-8 (with the place of the first bad byte), and
    unprintable characters. A byte order mark at the start is dropped.
    """
    if len(data) > MOST_BYTES:
        return None, [
            Fault(file, 1, 1, f"the file is larger than {MOST_BYTES // 1024} KB", "", "a shorter file")
        ]
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return None, [_bad_byte(data, error.start, file)]
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    faults = _unprintable(text, file)
    return (None if faults else text), faults


def read(
    text: str, file: str, loader: type[yaml.SafeLoader] | None = None
) -> tuple[Data, Marks, list[Fault]]:
    """YAML text → plain data, positions, faults. Data is None where nothing could be read.

    With faults of single values (a repeated key, a number that isn't finite) the rest is still returned,
    so that the rest can be checked as well.
    """
    marks = Marks(file)
    if faults := _unprintable(text, file):
        return None, marks, faults
    builder = _Builder(marks)
    loader = loader or (yaml.SafeLoader if _MANY_OPEN.search(text) else FAST)
    try:
        _refuse_early(text, loader)
        node = yaml.compose(text, Loader=loader)
        if node is None or (isinstance(node, yaml.ScalarNode) and _plain_value(node) is None):
            raise _Refused(Position(1, 1), "the file is empty", "", "key: value")
        return builder.build(node, ()), marks, builder.faults
    except _Refused as refusal:
        return None, marks, [refusal.fault(file)]
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        return None, marks, [syntax_fault(text, file, error)]


class _Builder:
    """Nodes → plain data, collecting positions and the faults of single keys and values."""

    def __init__(self, marks: Marks) -> None:
        self.marks = marks
        self.faults: list[Fault] = []

    def build(self, node: yaml.Node, path: Path) -> Data:
        """The node's data; None stands in for a value that was refused."""
        self.marks.keys.setdefault(path, _at(node))
        # Loaders disagree on where nothing stands.
        nothing = path and _is_plain(node) and node.value == ""
        self.marks.values[path] = self.marks.keys[path] if nothing else _at(node)
        if isinstance(node, yaml.SequenceNode):
            return self._sequence(node, path)
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        self.marks.given[path] = str(node.value)
        try:
            return _scalar(node)
        except _Refused as refusal:
            self.marks.refused.add(path)
            self.faults.append(refusal.fault(self.marks.file))
            return None

    def _sequence(self, node: yaml.SequenceNode, path: Path) -> list[Data]:
        built: list[Data] = []
        for place, item in enumerate(node.value):
            before: yaml.Node = node.value[max(0, place - 1)]
            if place and node.flow_style and _is_rest_of_decimal_item(before, item):
                self.marks.refused.add((*path, len(built) - 1))
                self._refuse_comma("brackets", "item", before, item)
                continue
            built.append(self.build(item, (*path, len(built))))
        return built

    def _mapping(self, node: yaml.MappingNode, path: Path) -> Data:
        built: dict[str, Data] = {}
        for place, (key_node, value_node) in enumerate(node.value):
            before: yaml.Node = node.value[max(0, place - 1)][1]
            if place and node.flow_style and _is_rest_of_decimal(before, key_node, value_node):
                self.marks.refused.update((*path, last) for last in list(built)[-1:])
                self._refuse_comma("braces", "key", before, key_node)
                continue
            try:
                key = self._key(key_node, path)
            except _Refused as refusal:
                self.faults.append(refusal.fault(self.marks.file))
                continue
            self.marks.keys[(*path, key)] = _at(key_node)
            built[key] = self.build(value_node, (*path, key))
        return built

    def _refuse_comma(self, inside: str, begins: str, before: yaml.Node, rest: yaml.Node) -> None:
        """In braces '1,85 m' is the value '1' and a key '85 m' without a value, in brackets two items: one
        fault, at the value.
        """
        wrong = f"decimals are written with a point; in {inside} a comma begins a new {begins}"
        given, write = f"{before.value},{rest.value}", f"{before.value}.{rest.value}"
        self.faults.append(Fault(self.marks.file, *_at(before), wrong, shorten(given), shorten(write)))

    def _key(self, node: yaml.Node, path: Path) -> str:
        if not isinstance(node, yaml.ScalarNode) or not isinstance(_plain_value(node), str):
            given = node.value if isinstance(node, yaml.ScalarNode) else ""
            raise _Refused(_at(node), "a key is a word", shorten(given), "key: value")
        key = str(node.value)
        if found := UNPRINTABLE.search(key):
            raise _Refused(
                _at(node), f"unprintable character {_code(found[0])} in a key", "", "the key without it"
            )
        if (*path, key) in self.marks.keys:
            line = self.marks.keys[(*path, key)].line
            raise _Refused(
                _at(node), f"'{shorten(key)}' was already given on line {line}", "", "each key once"
            )
        return key


def _is_rest_of_decimal(before: yaml.Node, key: yaml.Node, value: yaml.Node) -> bool:
    """Whether a key of a mapping in braces is what follows a decimal comma in the value before it."""
    return (
        isinstance(before, yaml.ScalarNode)
        and isinstance(key, yaml.ScalarNode)
        and _is_plain(before)
        and _is_plain(key)
        and before.value[-1:].isdigit()
        and key.value[:1].isdigit()
        and _is_plain(value)
        and value.value == ""
    )


def _is_rest_of_decimal_item(before: yaml.Node, item: yaml.Node) -> bool:
    """Whether an item of a list in brackets is what follows a decimal comma in the item before it.

    [1,5 m] and [f/5,6] are meant as one; [1,5], [1/4,1/2] and [1, 5 m] may be meant as two.
    """
    if not all(isinstance(node, yaml.ScalarNode) and _is_plain(node) for node in (before, item)):
        return False
    whole, rest = _WHOLE_PART.fullmatch(before.value), _DECIMAL_PART.fullmatch(item.value)
    beside = before.end_mark.line == item.start_mark.line
    beside = beside and item.start_mark.column - before.end_mark.column == 1
    return beside and whole is not None and rest is not None and bool(whole["f"] or rest["unit"])


def _scalar(node: yaml.Node) -> Data:
    """Text, number, true, false or None. Raises _Refused for what is no usable value."""
    value = str(node.value)
    if found := UNPRINTABLE.search(value):
        raise _Refused(_at(node), f"unprintable character {_code(found[0])}", "", "the text without it")
    if _is_plain(node) and _NOT_FINITE.fullmatch(value):
        raise _Refused(_at(node), "this isn't a usable number", value, "a number")
    if _is_plain(node) and _NUMBER.fullmatch(value):
        return _number(value, _at(node))
    return _plain_value(node)


def _number(text: str, at: Position) -> int | float:
    if _LEADING_ZERO.match(text):
        plain = text.lstrip("+-").lstrip("0")
        raise _Refused(at, "a number doesn't begin with 0", shorten(text), shorten(plain or "0"))
    if len(text) > _MOST_DIGITS:
        raise _Refused(at, "this number has too many digits", shorten(text), "fewer digits")
    value = float(text)
    if not math.isfinite(value):
        raise _Refused(at, "this number is too large", text, "a smaller number")
    if value == 0 and re.search("[1-9]", re.split("[eE]", text)[0]):
        raise _Refused(at, "this number is too small", text, "0")
    return int(text) if text.lstrip("+-").isdigit() else value


def _refuse_early(text: str, loader: type[yaml.SafeLoader]) -> None:
    """Look at events, where nothing is expanded yet: a bomb of aliases ends here."""
    depth = documents = 0
    for event in yaml.parse(text, Loader=loader):
        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            _refuse_document(event, documents)
        _refuse_sharing(event)
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        if depth > DEEPEST:
            raise _Refused(_at(event), f"this is nested deeper than {DEEPEST} levels", "", "fewer levels")


def _refuse_document(event: yaml.DocumentStartEvent, number: int) -> None:
    if event.version or event.tags:
        raise _Refused(_at(event), "lines that begin with % are not used here", "", "the file without them")
    if number > 1:
        raise _Refused(_at(event), "a file holds one document", "---", "one file for each")


def _refuse_sharing(event: yaml.Event) -> None:
    """No anchor, alias or tag; nor an escaped half of a character, which libyaml refuses by itself."""
    if anchor := getattr(event, "anchor", None):
        sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
        raise _Refused(_at(event), ALIASES, sign + shorten(anchor), "the value itself")
    if tag := getattr(event, "tag", None):
        written = tag.replace(_STANDARD_TAG, "!!")
        raise _Refused(_at(event), "tags are not used here", shorten(written), "the value without its tag")
    if isinstance(event, yaml.ScalarEvent) and _SURROGATE.search(event.value):
        raise ValueError("half a character")


def _is_plain(node: yaml.Node) -> bool:
    return not getattr(node, "style", None)


def _plain_value(node: yaml.Node) -> Data:
    """Quoted and block text is always text; of plain text only numbers, true, false and null are more."""
    text = str(node.value)
    if not _is_plain(node):
        return text
    return 0 if _NUMBER.fullmatch(text) else _WORDS.get(text, text)


def _unprintable(text: str, file: str) -> list[Fault]:
    found = UNPRINTABLE.search(text)
    if not found:
        return []
    wrong = f"unprintable character {_code(found[0])}"
    return [Fault(file, *position(text, found.start()), wrong, "", "the text without it")]


def _bad_byte(data: bytes, start: int, file: str) -> Fault:
    good = data[:start].decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    at = position(good, len(good))
    return Fault(file, *at, "this byte isn't UTF-8", f"0x{data[start]:02X}", "the file saved as UTF-8")


def _at(thing: yaml.Node | yaml.Event) -> Position:
    mark = thing.start_mark
    return Position(mark.line + 1, mark.column + 1) if mark else Position(1, 1)


def _code(character: str) -> str:
    return f"U+{ord(character):04X}"
