"""The models as JSON Schema 2020-12: what an editor reads, and what a fault takes its examples from."""

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


def example_of(node: Schema, root: Schema, depth: int = 0) -> str:
    """A right value as YAML on one line: '1.22 m', '[hat]', '{with: …, reach: 40 cm}'."""
    shown = node.get("examples") or resolved(node, root).get("examples") or [node.get("default")]
    if isinstance(shown[0], dict) and shown[0] != node.get("default"):
        keys = [key for key in resolved(node, root)["properties"] if key in shown[0]]
        return "{" + ", ".join(f"{key}: {shown[0][key]}" for key in keys) + "}"
    if isinstance(shown[0], (str, int, float)) and shown[0] != "":
        return str(shown[0]).lower() if isinstance(shown[0], bool) else str(shown[0])
    branch = branches(node, root)[0]
    if words := choices(branch, root):
        return words[0]
    if branch.get("type") == "array":
        item = example_of(branch.get("items", {}), root, depth + 1)
        return f"[{', '.join([item] * branch.get('minItems', 1))}]"
    if branch.get("type") == "object":
        return _mapping_example(branch, root, depth)
    return {"boolean": "true", "integer": "1", "number": "1"}.get(str(branch.get("type")), "…")


def _mapping_example(node: Schema, root: Schema, depth: int) -> str:
    known = node.get("properties", {})
    wanted = node.get("required") or list(known)[:1]
    if depth > 1:
        return "{…}"
    return "{" + ", ".join(f"{key}: {example_of(known[key], root, depth + 1)}" for key in wanted) + "}"


def listed(words: list[str]) -> str:
    """Words as a choice: 'seated or standing'; a long list is cut."""
    if len(words) > _ENOUGH_CHOICES:
        return ", ".join(words[:_ENOUGH_CHOICES]) + " …"
    return " or ".join(filter(None, [", ".join(words[:-1]), words[-1]])) if words else ""


def path_of_key(key: str, node: Schema, root: Schema, deepest: int = 4) -> str:
    """Where below a mapping another mapping has this key: 'subject.wears', the shortest way; or ''."""
    level: list[tuple[str, Schema]] = [("", node)]
    for _ in range(deepest):
        below = [
            (f"{path}.{name}".lstrip("."), mapping)
            for path, parent in level
            for name, child in parent.get("properties", {}).items()
            for mapping in _mappings(child, root)
        ]
        if found := next((path for path, mapping in below if key in mapping.get("properties", {})), ""):
            return found
        level = below
    return ""


def _mappings(node: Schema, root: Schema) -> list[Schema]:
    """The mappings that may stand here, as such or as items of a list."""
    options = branches(node, root)
    items = [item for option in options for item in branches(option.get("items", {}), root)]
    return [option for option in (*options, *items) if option.get("type") == "object"]
