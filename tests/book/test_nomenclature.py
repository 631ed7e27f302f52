"""The nomenclature page: every key of every model once, no key that isn't, and every kind with its unit."""

import re
from pathlib import Path

import pytest
from pydantic import BaseModel

from book.models import models_in
from thirdstop.book import nomenclature, quantities

PAGE = (Path(__file__).parents[2] / "docs" / "nomenclature.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| `(\w+)` \| (.+?) \| (.+?) \| (.+?) \| (.+?) \|$", re.MULTILINE)


def _keys(model: type[BaseModel]) -> set[tuple[str, str]]:
    return {
        ("Top of the file" if inner is model else inner.__name__.removesuffix("Model"), field.alias or name)
        for inner in models_in(model)
        for name, field in inner.model_fields.items()
    }


def _rows(title: str) -> list[tuple[str, str]]:
    part = PAGE.split(f"## {title}\n")[1].split("\n## ")[0]
    sections = [section.partition("\n") for section in part.split("\n### ")[1:]]
    return [(heading, row[0]) for heading, _, body in sections for row in ROW.findall(body)]


@pytest.mark.parametrize(("title", "model"), nomenclature.FILES)
def test_every_key_once(title: str, model: type[BaseModel]) -> None:
    """The page lists exactly the keys that the models have, each once."""
    rows = _rows(title)

    assert set(rows) == _keys(model)
    assert len(rows) == len(set(rows))


def test_every_key_has_kind_and_meaning() -> None:
    """No row lacks its kind or its meaning."""
    assert all(kind.strip("– ") and meaning.strip("– ") for _, kind, _, _, meaning in ROW.findall(PAGE))


def test_page_is_in_step() -> None:
    """The page is what `python -m thirdstop.book.nomenclature` writes."""
    assert nomenclature.page() == PAGE


def test_python_names_are_right() -> None:
    """The attributes that the page names are those that the quantities have."""
    for kind, (_, held) in nomenclature.UNITS.items():
        for name, first in re.findall(r"`([A-Z]\w+)\.(\w+)`", held):
            assert first in vars(getattr(quantities, name))["__annotations__"], kind
