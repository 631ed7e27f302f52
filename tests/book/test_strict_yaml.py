"""Strict YAML: what stays text, where things stand, and that every loader of PyYAML reads the same."""

import time

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from thirdstop.book import strict_yaml
from thirdstop.book.marks import Position

LOADERS = sorted({strict_yaml.FAST, yaml.SafeLoader}, key=lambda loader: loader.__name__)

SURPRISES = """\
ratio: 4:1
time: 12:30:45
switch: on
answer: no
letter: y
date: 2024-03-15
stamp: 2024-03-15T10:00:00Z
hexadecimal: 0x1f
binary: 0b11
octal: 0o17
under: 1_000
shutter: 1/160 s
"""


@pytest.mark.parametrize("loader", LOADERS)
def test_yaml_11_surprises_stay_text(loader: type[yaml.SafeLoader]) -> None:
    """What YAML 1.1 takes for sixties, truths, dates and other bases is text as written."""
    data, _, faults = strict_yaml.read(SURPRISES, "a.yaml", loader)

    assert faults == []
    assert data == dict(line.split(": ", 1) for line in SURPRISES.splitlines())


@pytest.mark.parametrize("loader", LOADERS)
def test_plain_values(loader: type[yaml.SafeLoader]) -> None:
    """Numbers, true, false and null are themselves; quoted they are text."""
    text = "[1, -2, +3, 0, 0.5, .5, 5., 1e3, 1E-2, true, false, null, ~, '1', \"true\", True, yes]"

    data, _, faults = strict_yaml.read(text, "a.yaml", loader)

    assert faults == []
    assert data == [
        1,
        -2,
        3,
        0,
        0.5,
        0.5,
        5.0,
        1000.0,
        0.01,
        True,
        False,
        None,
        None,
        "1",
        "true",
        "True",
        "yes",
    ]


@pytest.mark.parametrize("loader", LOADERS)
def test_positions(loader: type[yaml.SafeLoader]) -> None:
    """Every key and scalar is found at its line and column, characters counted, not bytes."""
    _, marks, _ = strict_yaml.read("é: {ü: 1}\nb:\n  - ½ m\n  - c: x\n", "a.yaml", loader)

    assert marks.key(("é", "ü")) == Position(1, 5)
    assert marks.value(("é", "ü")) == Position(1, 8)
    assert marks.value(("b", 0)) == Position(3, 5)
    assert marks.key(("b", 1, "c")) == Position(4, 5)
    assert marks.value(("b", 1, "c")) == Position(4, 8)
    assert marks.value(("b", 1)) == Position(4, 5)
    assert marks.key(("b", 1, "missing")) == Position(4, 5)
    assert marks.text(("b", 0)) == "½ m"


_SIGNS = [
    "a",
    "b: ",
    ": ",
    "- ",
    "\n",
    "  ",
    "\t",
    "'",
    '"',
    "[",
    "]",
    "{",
    "}",
    ", ",
    "#",
    "&x",
    "*x",
    "!t ",
]
_WORDS = [
    "|\n",
    ">\n",
    "? ",
    "%",
    "@",
    "---\n",
    "...\n",
    "1",
    "012",
    ".nan",
    "~",
    "\\x00",
    "\\uD800",
    "é",
    "4:1",
]


@settings(max_examples=600, deadline=None)
@given(st.lists(st.sampled_from(_SIGNS + _WORDS), max_size=25).map("".join))
def test_loaders_agree(text: str) -> None:
    """The pure-Python loader stands in for libyaml's: where both read a text, they read the same."""
    fast, fast_marks, fast_faults = strict_yaml.read(text, "a.yaml")
    slow, slow_marks, slow_faults = strict_yaml.read(text, "a.yaml", yaml.SafeLoader)

    if not fast_faults and not slow_faults:
        assert fast == slow
        assert fast_marks == slow_marks


@settings(max_examples=400, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_answered(data: bytes) -> None:
    """Any bytes at all are text with data, or faults that point into the file."""
    text, faults = strict_yaml.decode(data, "a.yaml")
    if text is not None:
        _, _, faults = strict_yaml.read(text, "a.yaml")

    assert all(fault.line >= 1 and fault.column >= 1 and fault.wrong for fault in faults)


@pytest.mark.parametrize(
    "text",
    [
        "[" * 200_000,
        "[ {\t" * 50_000,
        "{a: " * 60_000,
        "- " * 120_000,
        "? " * 120_000,
        "a: " + "'" * 200_001,
        "a: |\n" + " x\n" * 60_000,
        "".join(f"k{n}: {n}\n" for n in range(18_000)),
        "a: [" + "1," * 100_000 + "]",
        "&a " * 60_000,
        '"' + "\\x00" * 60_000 + '"',
    ],
    ids=lambda text: text[:8],
)
def test_no_file_takes_long(text: str) -> None:
    """A file up to the size limit is read or refused in seconds, whatever it holds."""
    start = time.perf_counter()

    strict_yaml.read(text, "a.yaml")

    assert time.perf_counter() - start < 20


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize(
    ("text", "given"),
    [
        ("[1,5 m, 2 m]", ["1,5 m"]),
        ("[1,5 m, 2,5 m]", ["1,5 m", "2,5 m"]),
        ("[ -1,5 stops , f/5,6, 22,5°]", ["-1,5 stops", "f/5,6", "22,5°"]),
        ("[1,5]", []),
        ("[1, 5 m]", []),
        ("[1/4,1/2,1/2 s]", []),
        ("['1',5 m]", []),
        ("[[1],5 m]", []),
        ("[1,\n5 m]", []),
    ],
)
def test_a_decimal_comma_in_brackets(text: str, given: list[str], loader: type[yaml.SafeLoader]) -> None:
    """Told where one number is meant, by every loader; two items that may be meant stay two."""
    _, _, faults = strict_yaml.read(text, "a.yaml", loader)

    assert [fault.given for fault in faults] == given
    assert [fault.write for fault in faults] == [one.replace(",", ".") for one in given]
    assert [text[fault.column - 1 :].startswith(fault.given) for fault in faults] == [True] * len(given)
