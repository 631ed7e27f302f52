"""A thing's place in words, in the recipe's own form."""

from thirdstop.book.recipe import Recipe
from thirdstop.placing.values import Path, value_at

_KEYS = {
    "string": "string",
    "bearing": "bearing",
    "from_backdrop": "from the backdrop",
    "along": "",
    "across": "",
    "left_wall": "from the left wall",
    "right_wall": "from the right wall",
    "back_wall": "from the back wall",
    "front_wall": "from the front wall",
    "height": "height",
}


def place_words(recipe: Recipe, path: Path) -> str:
    """A thing's place as the recipe gives it: 'silver, string 85 cm, bearing 70 deg camera-left, …'."""
    at = value_at(recipe, (*path, "at"))
    surface = value_at(recipe, (*path, "surface"))
    parts = [str(surface)] if isinstance(surface, str) else []
    for key, name in _KEYS.items():
        value = getattr(at, key)
        if value is None:
            continue
        if key in ("string", "bearing", "height"):
            parts.append(f"{name} {value}")
        else:
            parts.append(f"{value} {name}".strip())
    return ", ".join(parts)
