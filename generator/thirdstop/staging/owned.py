"""Gear that a recipe uses more often than the studio has it."""

from collections import Counter
from collections.abc import Iterator

from thirdstop.book.recipe import Holder, Recipe
from thirdstop.book.studio import Studio
from thirdstop.staging.problems import Path, Problems

Use = tuple[str, str, Path]
"""Key of the studio file's list, name, and where the recipe says so."""


def refuse_too_many(recipe: Recipe, studio: Studio, problems: Problems) -> None:
    """Notes each use of a piece of gear beyond the count that the studio has of it."""
    counts = {
        (key, piece.name): piece.count
        for key in ("lamps", "shapers", "grids", "gels", "cards", "stands", "booms", "bags")
        for piece in getattr(studio, key)
    }
    used: Counter[tuple[str, str]] = Counter()
    for key, name, path in _uses(recipe, studio):
        used[key, name] += 1
        owned = counts.get((key, name), 0)
        if used[key, name] == owned + 1 and owned:
            problems.add(
                path,
                f"the studio has {owned} of '{name}', and this set-up needs more",
                name,
                f"another of the {key}, or a greater 'count' in the studio file",
            )


def _uses(recipe: Recipe, studio: Studio) -> Iterator[Use]:
    for index, light in enumerate(recipe.lights):
        at: Path = ("lights", index)
        yield "lamps", light.lamp, (*at, "lamp")
        yield "shapers", light.shaper, (*at, "shaper")
        yield "grids", light.grid or "", (*at, "grid")
        yield "gels", light.gel or "", (*at, "gel")
        yield from _held(light.stand, studio, (*at, "stand"))
    for key in ("cards", "blockers"):
        for index, panel in enumerate(getattr(recipe, key)):
            yield "cards", panel.card, (key, index, "card")
            yield from _held(panel.stand, studio, (key, index, "stand"))


def _held(holder: str | Holder | None, studio: Studio, path: Path) -> Iterator[Use]:
    if holder is None:
        return
    name, at = (holder, path) if isinstance(holder, str) else (holder.with_, (*path, "with"))
    boom = next((boom for boom in studio.booms if boom.name == name), None)
    if boom is not None:
        yield "booms", name, at
    yield "stands", boom.stand if boom is not None else name, at
    if isinstance(holder, Holder) and holder.bag is not None:
        yield "bags", holder.bag, (*path, "bag")
