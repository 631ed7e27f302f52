"""Loading: every error that pydantic knows becomes plain words, and damaged files become faults."""

import json
import random
import re
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, Field, model_validator
from pydantic_core import ErrorDetails, core_schema

from thirdstop.book import loading
from thirdstop.book.loading import MOST_FAULTS, load_model
from thirdstop.book.recipe import Recipe
from thirdstop.book.schema import schema_of
from thirdstop.book.studio import Studio

BASE = Path(__file__).parents[1] / "cases" / "base"
JARGON = re.compile(
    r"(?i)pydantic|input|dict|valid|instance|\bint\b|\bstr\b|bool\b|float|field|extra|literal|none\b"
)


@pytest.mark.parametrize("kind", get_args(core_schema.ErrorType))
def test_no_jargon(kind: str) -> None:
    """No error that pydantic can raise reaches a person in its own words."""
    details: ErrorDetails = {
        "type": kind,
        "loc": ("title",),
        "msg": "",
        "input": 3,
        "ctx": {"error": "reason"},
    }
    file = loading._File(schema_of(Recipe), {"title": 3}, {})

    spot = loading._spot(("title",), file.root, file.data)
    assert spot is not None
    complaint = loading._explain(details, spot, file)

    assert complaint.wrong
    assert not JARGON.search(f"{complaint.wrong} {complaint.write}".replace("this", ""))


class _Checked(BaseModel):
    size: int = Field(gt=0)
    tags: list[str] = []

    @model_validator(mode="after")
    def _no_thirteen(self) -> "_Checked":
        if self.size == 13:
            raise ValueError("thirteen is too many")
        return self


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("size: 13", "a.yaml:1:1: thirteen is too many"),
        ("size: -1", "a.yaml:1:7: this can't be used here; given: -1; write: 1"),
        ("size: two", "a.yaml:1:7: this can't be used here; given: two; write: 1"),
        ("size: 1\ntags: [1]", "a.yaml:2:8: this can't be used here; given: 1"),
    ],
)
def test_other_models(text: str, said: str) -> None:
    """Checks of a model's own, and errors without words of their own, have a place as well."""
    checked, _, faults = load_model(_Checked, text, "a.yaml")

    assert checked is None
    assert [str(fault) for fault in faults] == [said]


def test_many_faults_are_counted() -> None:
    """A file with hundreds of faults shows the first ones and says how many more there are."""
    text = "".join(f"k{number}: 1\n" for number in range(1000))

    _, _, faults = load_model(Recipe, text, "a.yaml")

    assert len(faults) == MOST_FAULTS + 1
    missing = 6
    assert faults[-1].wrong == f"and {1000 + missing - MOST_FAULTS} more faults from here on"


def _damage(text: str, source: random.Random) -> str:
    signs = "abc019:-[]{}'\"#&*!|>%@`~?,.\n\t \\\x00é😀\u202e½′"
    for _ in range(source.randint(1, 6)):
        place, length = source.randrange(len(text) + 1), source.choice([0, 1, 2, 5, 20])
        new = "".join(source.choice(signs) for _ in range(source.randint(0, 3)))
        new = source.choice([new, text[place : place + 30], new])
        text = text[:place] + new + text[place + length :]
    return text


@settings(max_examples=300, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from(["studio.yaml", "recipes/base.yaml"]))
def test_damaged_files_become_faults(seed: int, file: str) -> None:
    """A file damaged at random loads or has faults, each inside the file; nothing else is ever raised."""
    text = _damage((BASE / file).read_text(encoding="utf-8"), random.Random(seed))

    checked, _, faults = load_model(Studio if file == "studio.yaml" else Recipe, text, file)

    lines = text.count("\n") + 2
    assert (checked is None) == bool(faults)
    assert all(1 <= fault.line <= lines and fault.column >= 1 and fault.wrong for fault in faults)
    assert faults == sorted(faults)


_TREES = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 10**6) | st.text("abc 15cmdeg:/-", max_size=12),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["title", "subject", "lights", "at", "aim", "stand", "with", "from", "eye_height", "x"]
            ),
            inner,
            max_size=5,
        )
    ),
    max_leaves=25,
)


@settings(max_examples=300, deadline=None)
@given(_TREES)
def test_wrong_shapes_become_faults(tree: object) -> None:
    """Whatever shape stands under whatever key, there are faults in plain words and nothing is raised."""
    text = json.dumps(tree)

    checked, _, faults = load_model(Recipe, text, "a.yaml")

    assert checked is None
    assert faults
    assert all("function-" not in str(fault) and "literal[" not in str(fault) for fault in faults)
