"""Reflectances of skin, hair and clothes that nobody measured say so wherever they are shown."""

from dataclasses import replace

import pytest

from pages.samples import one
from thirdstop.book.recipe import Recipe
from thirdstop.book.subject import Subject
from thirdstop.pages.views.things import rows
from thirdstop.staging.materials import Provenance
from thirdstop.staging.staging import Staging


def _sitter_row(staging: Staging, recipe: Recipe) -> str:
    return "; ".join(rows(staging, recipe)[0].details)


def test_all_assumed_is_said_once() -> None:
    """Medium skin, brown hair and mid clothes are common practice."""
    each = one("01-borrowed-window")
    row = _sitter_row(each.staging, each.recipe)
    assert "clothes (assumed)" in row
    assert row.count("assumed") == 1


@pytest.mark.parametrize(("provenance", "said"), [("published", " (published value)"), ("measured", "")])
def test_each_by_itself_where_they_differ(provenance: Provenance, said: str) -> None:
    """A skin that was published or measured is told from assumed hair and clothes."""
    each = one("01-borrowed-window")
    solids = tuple(
        replace(solid, material=replace(solid.material, provenance=provenance))
        if solid.part == "head"
        else solid
        for solid in each.staging.scene.solids
    )
    staging = replace(each.staging, scene=replace(each.staging.scene, solids=solids))
    skin = Subject.model_validate({"pose": "seated", "eye_height": "1.2 m"}).skin
    row = _sitter_row(staging, each.recipe)
    assert f"{skin}{said}, " in row
    assert row.count("(assumed)") == 2
