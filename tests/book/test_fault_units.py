"""Faults in an imperial house: what is told in feet, what a person wrote as it was, limits still kept."""

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from book.test_fault_cases import FAULT_CASES
from thirdstop.book.fault_units import told_in, units_of
from thirdstop.book.parsing import parse_length
from thirdstop.errors import Fault

SAID = re.compile(
    r"(?P<file>[^:]+):\d+:\d+: (?P<wrong>.*?)(?:; given: (?P<given>.*?))?(?:; write: (?P<write>.*))?"
)
METRIC = re.compile(r"(?<![\w.·/×])(?<!\d x )\d+(?:\.\d+)? (?:m|cm)\b(?!/)")


def in_feet(wrong: str, given: str = "", write: str = "", worked_out: bool = False) -> tuple[str, str, str]:
    """What an imperial house is told."""
    told = told_in(Fault("recipes/a.yaml", 1, 1, wrong, given, write, worked_out), "imperial")
    return told.wrong, told.given, told.write


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            ("'key' would go through the left wall", "0.12 m beyond it", "at least 13 cm further", True),
            ("'key' would go through the left wall", "4½ in beyond it", "at least 5½ in further"),
        ),
        (
            ("a camera's distance is at least 30 cm", "1 cm", "30 cm or more"),
            ("a camera's distance is at least 1 ft", "1 cm", "1 ft or more"),
        ),
        (
            ("the boom 'boom 140 cm' reaches 1.40 m at most", "1.67 m", "a base 1.40 m or less away", True),
            (
                "the boom 'boom 140 cm' reaches 4 ft 7 in at most",
                "5 ft 5½ in",
                "a base 4 ft 7 in or less away",
            ),
        ),
        (
            ("the eyes are 0.45 to 1.00 m over the seat", "", "eye_height: 0.87 m"),
            ("the eyes are 1 ft 6 in to 3 ft 3 in over the seat", "", "eye_height: 2 ft 10½ in"),
        ),
        (
            ("it spans -1.10 to 1.10 m of M, in a room of 3.20 × 5.00 m", "", "size: 60 x 60 cm"),
            (
                "it spans -3 ft 7½ in to 3 ft 7½ in of M, in a room of 10 ft 6 in × 16 ft 5 in",
                "",
                "size: 60 x 60 cm",
            ),
        ),
        (("a length needs its unit", "40", "40 cm"), ("a length needs its unit", "40", "40 in")),
        (("a length needs its unit", "2", "2 m"), ("a length needs its unit", "2", "2 ft")),
        (("a mass needs its unit", "2.5", "2.5 kg"), ("a mass needs its unit", "2.5", "2.5 lb")),
        (
            ("the mass of gear is at most 100 kg", "300 kg", "100 kg or less"),
            ("the mass of gear is at most 220.4 lb", "300 kg", "220.4 lb or less"),
        ),
        (
            ("decimals are written with a point", "1,85 m", "1.85 m"),
            ("decimals are written with a point", "1,85 m", "1.85 m"),
        ),
        (
            ("a side of a sensor is at most 150 mm", "36 x 24 cm", "150 mm or less"),
            ("a side of a sensor is at most 150 mm", "36 x 24 cm", "150 mm or less"),
        ),
    ],
)
def test_a_fault_in_an_imperial_house(said: tuple[Any, ...], told: tuple[str, str, str]) -> None:
    """Ranges, limits, names, and what the person wrote."""
    assert in_feet(*said) == told


def test_a_metric_house_is_told_as_ever() -> None:
    """Nothing is touched."""
    fault = Fault("recipes/a.yaml", 1, 1, "it is 1.20 m", "2 m", "1 m or less", True)

    assert told_in(fault, "metric") == fault


@pytest.mark.parametrize("title", FAULT_CASES)
def test_no_fault_tells_an_imperial_house_metres(title: str) -> None:
    """Of every case: what is wrong has none but those of names; a mended measure keeps its unit."""
    expected = FAULT_CASES[title].read_text(encoding="utf-8").partition("--- expected\n")[2]
    for line in expected.splitlines():
        found = SAID.fullmatch(line)
        if found is None:
            continue
        wrong, _, write = in_feet(found["wrong"], found["given"] or "", found["write"] or "")
        assert METRIC.search(re.sub(r"(?<!\w)'[^']*'", "", wrong)) is None
        assert METRIC.fullmatch(write) or METRIC.search(re.sub(r"(?<!\w)'[^']*'", "", write)) is None


@given(st.integers(1, 3000))
def test_a_limit_that_is_written_back_is_kept(cm: int) -> None:
    """'or more' and 'at least' are never less than the limit, 'or less' and 'at most' never more."""
    least = in_feet("", "", f"{cm} cm or more")[2].removesuffix(" or more")
    most = in_feet("", "", f"{cm} cm or less")[2].removesuffix(" or less")

    assert parse_length(least).m >= cm / 100 - 1e-9
    assert parse_length(least).m - cm / 100 < 0.0128
    # under half an inch there is nothing to write down to
    assert cm == 1 or 0 <= cm / 100 - parse_length(most).m + 1e-9 < 0.0128


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("habits:\n  units: imperial\n", "imperial"),
        ("habits: {safe: [gaffer], units: imperial}\n", "imperial"),
        ("habits:\n  units: metric  # imperial\n", "metric"),
        ("name: [\nhabits:\n  units: imperial\n", "imperial"),
        ("name: [\nhabits:\n  # units: imperial\n", "metric"),
        ("- units: imperial\n", "metric"),
        ("", "metric"),
    ],
)
def test_what_a_house_reads_is_found_in_a_faulty_file_too(text: str, units: str, tmp_path: Path) -> None:
    """By its key where the file can be read as YAML, by its line where it can't."""
    (tmp_path / "studio.yaml").write_text(text, encoding="utf-8")

    assert units_of(tmp_path) == units
    assert units_of(tmp_path / "nowhere") == "metric"
