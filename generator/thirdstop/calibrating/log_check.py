"""What a log can get wrong beside its own fields: recipes, things and points that there aren't, clicks."""

from collections.abc import Iterator, Mapping

from thirdstop.book.book import Book, LoadedRecipe, LoadedShoot
from thirdstop.book.log import SetModel, as_shot
from thirdstop.book.marks import fault_at, fault_at_key, near
from thirdstop.book.recipe import Blocker, Card, Light
from thirdstop.book.studio import Studio
from thirdstop.errors import Fault
from thirdstop.staging.lookup import one_of
from thirdstop.staging.resolve import stage


def check_log(book: Book) -> list[Fault]:
    """Every fault of every file of the log."""
    recipes = {loaded.slug: loaded for loaded in book.recipes}
    return [fault for one in book.log for fault in _of_shoot(one, recipes, book.studio)]


def _of_shoot(one: LoadedShoot, recipes: Mapping[str, LoadedRecipe], studio: Studio) -> Iterator[Fault]:
    loaded = recipes.get(one.shoot.recipe)
    if loaded is None:
        write = near(one.shoot.recipe, recipes) or one_of(list(recipes))
        yield fault_at(one.marks, ("recipe",), "the book has no recipe of this name", None, write)
        return
    told = list(_of_things(one, loaded, studio))
    yield from told
    if told:
        return
    staging, faults = stage(as_shot(loaded.recipe, one.shoot), studio, loaded.marks, loaded.slug)
    if staging is None:
        wrong = f"set like this it can't stand: {faults[0].wrong}"
        yield fault_at_key(one.marks, ("set",), wrong, faults[0].given, faults[0].write)
        return
    points = [point.name for point in staging.scene.points]
    for index, read in enumerate(one.shoot.read):
        if read.at not in points:
            write = near(read.at, points) or one_of(points)
            wrong = "the recipe has no measuring point of this name"
            yield fault_at(one.marks, ("read", index, "at"), wrong, None, write)


def _of_things(one: LoadedShoot, loaded: LoadedRecipe, studio: Studio) -> Iterator[Fault]:
    recipe = loaded.recipe
    things: dict[str, Light | Card | Blocker] = {
        thing.name: thing for group in (recipe.lights, recipe.cards, recipe.blockers) for thing in group
    }
    for index, given in enumerate(one.shoot.set):
        path = ("set", index)
        thing = things.get(given.name)
        if thing is None:
            write = near(given.name, things) or one_of(list(things))
            wrong = "the recipe has no light, card or blocker of this name"
            yield fault_at(one.marks, (*path, "name"), wrong, None, write)
            continue
        for key in _unfit(given, thing):
            wrong = f"'{given.name}' has no {key} in the recipe"
            yield fault_at(one.marks, (*path, key), wrong, None, "another key, or the recipe's own form")
        clicks = _clicks(thing, studio)
        if given.power is not None and clicks and not 1 <= given.power.number <= clicks:
            wrong = f"this lamp has the clicks 1 to {clicks}"
            yield fault_at(one.marks, (*path, "power"), wrong, None, f"click {clicks}")


def _unfit(given: SetModel, thing: Light | Card | Blocker) -> Iterator[str]:
    if given.power is not None and not isinstance(thing, Light):
        yield "power"
    if given.surface is not None and isinstance(thing, Light):
        yield "surface"
    for key in ("string", "bearing"):
        if getattr(given, key) is not None and getattr(thing.at, key) is None:
            yield key


def _clicks(thing: Light | Card | Blocker, studio: Studio) -> int:
    if not isinstance(thing, Light):
        return 0
    return next((lamp.clicks for lamp in studio.lamps if lamp.name == thing.lamp), 0)
