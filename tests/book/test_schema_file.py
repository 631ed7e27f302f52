"""The JSON Schemas: in step with the models, sound, and in agreement with the loader about the demo book."""

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from thirdstop.book import strict_yaml
from thirdstop.book.loading import load_model
from thirdstop.book.recipe import Recipe
from thirdstop.book.schema import branches, resolved
from thirdstop.book.schema_file import (
    log_schema,
    main,
    readings_schema,
    recipe_schema,
    schema_files,
    studio_schema,
)
from thirdstop.book.studio import Studio

CHECKOUT = Path(__file__).parents[2]
DEMO = CHECKOUT / "recipes"
BASE = CHECKOUT / "tests" / "cases" / "base"
FILES = sorted(
    path for book in (DEMO, BASE) for path in (book / "studio.yaml", *(book / "recipes").glob("*.yaml"))
)


SCHEMAS = [recipe_schema(), studio_schema(), readings_schema(), log_schema()]


def _schema(path: Path) -> dict[str, Any]:
    return studio_schema() if path.name == "studio.yaml" else recipe_schema()


@pytest.mark.parametrize("name", schema_files())
def test_files_are_in_step(name: str) -> None:
    """The committed schema is what the models say; `python -m thirdstop.book.schema_file` writes it anew."""
    assert (CHECKOUT / "schemas" / name).read_text(encoding="utf-8") == schema_files()[name]


def test_command_writes_the_files(tmp_path: Path) -> None:
    """The command writes the files, making the folder."""
    main(tmp_path / "new")

    assert {path.name for path in (tmp_path / "new").iterdir()} == set(schema_files())


@pytest.mark.parametrize("schema", SCHEMAS, ids=["recipe", "studio", "readings", "log"])
def test_schemas_are_sound(schema: dict[str, Any]) -> None:
    """Each is a JSON Schema of the 2020-12 draft, and no key takes null."""
    Draft202012Validator.check_schema(schema)

    assert '"null"' not in json.dumps(schema)


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_good_files_are_valid(path: Path) -> None:
    """A file that the loader takes, an editor with the schema takes too."""
    text, faults = strict_yaml.decode(path.read_bytes(), path.name)
    assert text is not None
    model: type[Studio] | type[Recipe] = Studio if path.name == "studio.yaml" else Recipe
    _, _, found = load_model(model, text, path.name)
    data, _, _ = strict_yaml.read(text, path.name)

    assert [*faults, *found] == []
    assert list(Draft202012Validator(_schema(path)).iter_errors(data)) == []


@pytest.mark.parametrize(
    "change",
    [
        ("distance: 2 m", "distance: 2"),
        ("distance: 2 m", "distance: 2 yd"),
        ("40 deg camera-right", "40 deg left"),
        ("aperture: f/8", "aperture: 8"),
        ("eye_height", "eye_hight"),
        ("seated", "lying"),
        ("title: Plain side light", "title: ''"),
        ("{string: 1.2 m, bearing: 40 deg camera-right, height: 1.85 m}", "[]"),
    ],
)
def test_editors_see_the_usual_slips(change: tuple[str, str]) -> None:
    """The schema refuses what people most often get wrong, so that an editor marks it while they type."""
    text = (BASE / "recipes" / "base.yaml").read_text(encoding="utf-8").replace(*change)
    data, _, _ = strict_yaml.read(text, "a.yaml")

    assert list(Draft202012Validator(recipe_schema()).iter_errors(data))


@pytest.mark.parametrize("schema", SCHEMAS, ids=["recipe", "studio", "readings", "log"])
def test_every_key_is_described_and_its_default_fits(schema: dict[str, Any]) -> None:
    """Every key has a description for an editor to show, and its default is valid where it stands."""
    for mapping in [schema, *schema["$defs"].values()]:
        for key, node in mapping["properties"].items():
            assert node.get("description") or resolved(node, schema).get("description"), key
            if "default" in node and branches(resolved(node, schema), schema):
                whole = {**node, "$defs": schema["$defs"]}
                assert list(Draft202012Validator(whole).iter_errors(node["default"])) == [], key
