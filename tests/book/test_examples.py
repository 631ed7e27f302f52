"""Examples in faults: each is a right value of its key, and says what the studio has."""

import pytest
from pydantic import BaseModel

from book.models import models_in
from thirdstop.book import strict_yaml
from thirdstop.book.examples import Examples
from thirdstop.book.log import Shoot
from thirdstop.book.metering import Metering
from thirdstop.book.recipe import Recipe
from thirdstop.book.schema import schema_of
from thirdstop.book.studio import Studio

GEAR = ("backdrops", "bags", "booms", "cameras", "cards", "gels", "grids", "lamps", "shapers", "stands")
NAMES = {key: [f"{key} one", f"{key} two"] for key in GEAR}


def _all() -> list[tuple[type[BaseModel], type[BaseModel]]]:
    pairs = [(root, model) for root in (Studio, Recipe, Metering, Shoot) for model in models_in(root)]
    return list(dict.fromkeys(pairs))


@pytest.mark.parametrize(("root", "model"), _all(), ids=lambda model: model.__name__)
def test_each_example_is_right(root: type[BaseModel], model: type[BaseModel]) -> None:
    """What a fault shows for a missing key, of every mapping of every file, can be written as it stands."""
    schema = schema_of(root)
    node = schema if model is root else schema["$defs"][model.__name__]
    examples = Examples(schema, NAMES)
    required = node.get("required", [])
    shown = {key: examples.of(child, key, node) for key, child in node["properties"].items()}

    assert all("…" not in shown[key] for key in required)
    text = "\n".join(f"{key}: {shown[key].split(' or ')[0]}" for key in required)
    data, _, faults = strict_yaml.read(text or "a: 1", "a.yaml")
    assert not faults
    model.model_validate(data if text else {})


def test_names_of_gear_are_shown() -> None:
    """A lamp that is missing is one of those that there are; what holds a thing is a stand or a boom."""
    schema = schema_of(Recipe)
    light, holder = schema["$defs"]["Light"], schema["$defs"]["Holder"]
    names = {"lamps": ["big", "small"], "stands": ["tall"], "booms": ["arm"]}

    examples = Examples(schema, names)

    assert examples.of(light["properties"]["lamp"], "lamp", light) == "big or small"
    assert examples.of(holder["properties"]["with"], "with", holder) == "tall or arm"
    assert examples.of(light["properties"]["stand"], "stand", light) == "tall or arm"


def test_a_list_that_has_nothing_yet_is_named() -> None:
    """Where the studio has none of it, the example says in which list one must stand."""
    schema = schema_of(Studio)
    boom = schema["$defs"]["BoomModel"]

    assert "'stands:'" in Examples(schema, {}).of(boom["properties"]["stand"], "stand", boom)
