"""The models as JSON Schema 2020-12: what an editor reads, and what a fault is told by."""

from dataclasses import is_dataclass
from functools import cache
from typing import Any, TypeAlias

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

Schema: TypeAlias = dict[str, Any]

_ENOUGH_CHOICES = 20


class _Writer(GenerateJsonSchema):
    """Writes defaults as people write them, and leaves null out: what isn't wanted isn't written."""

    def encode_default(self, dft: Any) -> Any:
        if isinstance(dft, BaseModel):
            return dft.model_dump(mode="json", by_alias=True, exclude_none=True)
        return str(dft) if is_dataclass(dft) else super().encode_default(dft)

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        if "default" in schema and schema["default"] is None:
            return self.generate_inner(schema["schema"])
        return super().default_schema(schema)


@cache
def schema_of(model: type[BaseModel]) -> Schema:
    """The model's JSON Schema: keys as they stand in files, defaults as text, no nulls."""
    return model.model_json_schema(by_alias=True, schema_generator=_Writer)


def resolved(node: Schema, root: Schema) -> Schema:
    """The node itself, or what its reference points at."""
    while "$ref" in node:
        node = root["$defs"][node["$ref"].rsplit("/", 1)[1]]
    return node


def branches(node: Schema, root: Schema) -> list[Schema]:
    """The kinds of value that may stand here: one, or several of a union."""
    node = resolved(node, root)
    return [resolved(branch, root) for branch in node["anyOf"]] if "anyOf" in node else [node]


def kind_of_schema(node: Schema) -> str:
    """'mapping', 'list' or 'scalar'."""
    return {"object": "mapping", "array": "list"}.get(str(node.get("type")), "scalar")


def kind_of_data(data: object) -> str:
    """'mapping', 'list' or 'scalar'."""
    return "mapping" if isinstance(data, dict) else "list" if isinstance(data, list) else "scalar"


def branch_of_kind(node: Schema, root: Schema, kind: str) -> Schema:
    """The union's branch for that kind of value; an empty schema where it has none."""
    return next((branch for branch in branches(node, root) if kind_of_schema(branch) == kind), {})


def choices(node: Schema, root: Schema) -> list[str]:
    """The words that may stand here, over all branches."""
    found = [word for branch in branches(node, root) for word in branch.get("enum", [branch.get("const")])]
    return [word for word in found if isinstance(word, str)]


def listed(words: list[str], most: int = _ENOUGH_CHOICES) -> str:
    """Words as a choice: 'seated or standing'; a list of more than `most` is cut."""
    if len(words) > most:
        return ", ".join(words[:most]) + " …"
    return " or ".join(filter(None, [", ".join(words[:-1]), words[-1]])) if words else ""
