"""Drawings stay as they were looked at, within a hundredth of a millimetre or two."""

import re

import pytest

from drawings.make_golden import FOLDER, kept, lines_of

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
ROUNDING_MM = 0.0201
"""Two steps of the second decimal: processors may round a last bit differently."""


@pytest.mark.parametrize("name", sorted(kept()))
def test_a_drawing_is_as_it_was_kept(name: str) -> None:
    """Each line has the words of the kept file, and its numbers; make_golden.py renews them."""
    found = lines_of(kept()[name]).splitlines()
    wanted = (FOLDER / f"{name}.svg").read_text(encoding="utf-8").splitlines()
    changed = [f"- {was}\n+ {now}" for was, now in zip(wanted, found, strict=False) if not _alike(was, now)]

    assert "\n".join(changed) == ""
    assert len(found) == len(wanted)


def _alike(one: str, other: str) -> bool:
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    pairs = zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    return all(abs(float(a) - float(b)) <= ROUNDING_MM for a, b in pairs)
