"""Near names: slips are recognised, strangers are not."""

import pytest

from thirdstop.book.marks import Marks, Position, fault_at, fault_at_key, near

GEAR = ["round box 90", "octagon 120", "strip 30 x 90", "deep dish", "silver", "camera-left", "camera-right"]


@pytest.mark.parametrize(
    ("given", "meant"),
    [
        ("round box 9", "round box 90"),
        ("Round-Box_90", "round box 90"),
        ("sliver", "silver"),
        ("left", "camera-left"),
        ("camera", ""),
        ("beauty", ""),
        ("", ""),
        ("x" * 10_000, ""),
    ],
)
def test_near(given: str, meant: str) -> None:
    """A slip names the one choice it is like; what is like none, or like several, names nothing."""
    assert near(given, GEAR) == meant


def test_faults_at() -> None:
    """A fault points at value or key, shows what stands there, and falls back to the nearest parent."""
    marks = Marks("a.yaml", {("a",): Position(1, 1)}, {("a",): Position(1, 4)}, {("a",): "what"})

    assert (
        str(fault_at(marks, ("a",), "wrong", write="right")) == "a.yaml:1:4: wrong; given: what; write: right"
    )
    assert str(fault_at_key(marks, ("a", "b", 3), "wrong", "it")) == "a.yaml:1:1: wrong; given: it"
    assert str(fault_at(marks, ("z",), "wrong")) == "a.yaml:1:1: wrong"
