"""A recipe with some of its values changed: typed quantities, put where the file has them."""

from typing import Any, TypeAlias

from pydantic import BaseModel

from thirdstop.book.quantities import Click, Length, RelativeStops, Side, Toward, Turn
from thirdstop.book.recipe import Recipe

Path: TypeAlias = tuple[str | int, ...]
"""Keys and list places from the top of a recipe: ('cards', 0, 'at', 'string')."""

Value: TypeAlias = Length | Turn | Toward | Side | Click | RelativeStops | str
"""What `place` may put into a recipe."""

Changes: TypeAlias = tuple[tuple[Path, Value], ...]
"""Values by their place; the same changes in the same order compare and hash alike."""


def with_changes(recipe: Recipe, changes: Changes) -> Recipe:
    """The recipe with those values; everything else is as it was."""
    for path, value in changes:
        recipe = with_value(recipe, path, value)
    return recipe


def with_value(recipe: Recipe, path: Path, value: object) -> Recipe:
    """The recipe with one value, which must be of the kind that its model holds."""
    changed = _put(recipe, path, value)
    assert isinstance(changed, Recipe)
    return changed


def value_at(recipe: Recipe, path: Path) -> Any:
    """What stands there; None where an optional mapping on the way is left out."""
    node: Any = recipe
    for part in path:
        node = node[part] if isinstance(part, int) else getattr(node, part, None)
    return node


def _put(node: Any, path: Path, value: object) -> Any:
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, int):
        items = list(node)
        items[part] = _put(items[part], rest, value)
        return items
    assert isinstance(node, BaseModel)
    return node.model_copy(update={part: _put(getattr(node, part), rest, value)})
