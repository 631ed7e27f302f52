"""What a recipe uses of the studio's gear, and the same recipe with another piece of it."""

from collections.abc import Iterator, Sequence

from thirdstop.book.recipe import Card, Recipe
from thirdstop.book.studio import Studio
from thirdstop.placing.values import Path, value_at, with_value

_OF_LIGHTS = {"lamp": "lamps", "shaper": "shapers", "grid": "grids", "gel": "gels"}


def used_gear(recipe: Recipe) -> Iterator[tuple[str, str]]:
    """Key of the studio file's list, and the name, of each piece that a recipe may swap."""
    for kind, path in _places(recipe):
        name = value_at(recipe, path)
        if name is not None:
            yield kind, name


def _places(recipe: Recipe) -> Iterator[tuple[str, Path]]:
    for index in range(len(recipe.lights)):
        for key, kind in _OF_LIGHTS.items():
            yield kind, ("lights", index, key)
    for key in ("cards", "blockers"):
        for index in range(len(getattr(recipe, key))):
            yield "cards", (key, index, "card")
    yield "backdrops", ("backdrop", "sheet")


def with_gear(recipe: Recipe, studio: Studio, swaps: Sequence[tuple[str, str]]) -> Recipe:
    """The recipe with each old piece's name replaced by the new one's wherever it is used.

    A card that has not the surface in use shows the first that it has.
    """
    for old, new in swaps:
        for _, path in list(_places(recipe)):
            if value_at(recipe, path) == old:
                recipe = with_value(recipe, path, new)
    for index, card in enumerate(recipe.cards):
        recipe = with_value(recipe, ("cards", index, "surface"), _surface(card, studio))
    return recipe


def _surface(card: Card, studio: Studio) -> str:
    model = next((model for model in studio.cards if model.name == card.card), None)
    return card.surface if model is None or card.surface in model.surfaces else model.surfaces[0]


def gear_words(recipe: Recipe, path: Path) -> str:
    """The gear of a light, a card or a blocker: 'battery 400, round box 90'."""
    keys = ("lamp", "shaper", "grid", "gel") if path[0] == "lights" else ("card",)
    return ", ".join(name for key in keys if (name := value_at(recipe, (*path, key))) is not None)
