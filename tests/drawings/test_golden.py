"""Drawings stay as they were looked at, within a hundredth of a millimetre or two."""

import re

import pytest

from drawings.make_golden import FOLDER, kept, lines_of

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
ROUNDING_MM = 0.0201
"""Two steps of the second decimal: processors may round a last bit differently."""


DRAWN = kept()


@pytest.mark.parametrize("name", sorted(DRAWN))
def test_a_drawing_is_as_it_was_kept(name: str) -> None:
    """Each line has the words of the kept file, and its numbers; make_golden.py renews them."""
    wanted = (FOLDER / f"{name}.svg").read_text(encoding="utf-8")

    assert alike_lines(wanted, lines_of(DRAWN[name])) == ""


def alike_lines(wanted: str, found: str) -> str:
    """Where two drawings differ by more than rounding, line by line; '' where they don't."""
    was, now = wanted.splitlines(), found.splitlines()
    changed = [f"- {a}\n+ {b}" for a, b in zip(was, now, strict=False) if not _alike(a, b)]
    if len(was) != len(now):
        changed.append(f"{len(was)} lines were kept, {len(now)} are drawn")
    return "\n".join(changed)


def _alike(one: str, other: str) -> bool:
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    pairs = zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    return all(abs(float(a) - float(b)) <= ROUNDING_MM for a, b in pairs)
