"""What a log can get wrong beside its own fields: recipes, things and points that there aren't, clicks."""

from collections.abc import Iterator, Mapping, Sequence

from thirdstop.book.book import Book, LoadedRecipe, LoadedShoot
from thirdstop.book.log import SetModel, Shoot, as_shot
from thirdstop.book.marks import Path, fault_at, near
from thirdstop.book.recipe import Blocker, Card, Light
from thirdstop.book.studio import Studio
from thirdstop.errors import Fault
from thirdstop.staging.lookup import one_of
from thirdstop.staging.resolve import stage

SET = ("power", "string", "bearing", "height", "surface")
"""Keys of what was set otherwise of one thing."""


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
        yield fault_at(one.marks, _culprit(one, loaded, studio), wrong, None, faults[0].write)
        return
    yield from _read_twice(one)
    points = [point.name for point in staging.scene.points]
    for index, read in enumerate(one.shoot.read):
        if read.at not in points:
            write = near(read.at, points) or one_of(points)
            wrong = "the recipe has no measuring point of this name"
            yield fault_at(one.marks, ("read", index, "at"), wrong, None, write)


def _culprit(one: LoadedShoot, loaded: LoadedRecipe, studio: Studio) -> Path:
    """The value without which it would stand: the only one that topples the recipe alone, else the last that
    does so together with those before it.
    """
    set_then = list(_values(one.shoot))
    for path, alone in set_then:
        if not _stands(alone, loaded, studio):
            return path
    for count, (path, _) in enumerate(set_then, start=1):
        if not _stands(_together(one.shoot, [p for p, _ in set_then[:count]]), loaded, studio):
            return path
    return ("set",)


def _values(shoot: Shoot) -> Iterator[tuple[Path, Shoot]]:
    """Each value that was set otherwise by its place, and a shoot with it alone."""
    paths: list[Path] = [("eye_height",)] if shoot.eye_height is not None else []
    paths += [("set", index, key) for index, one in enumerate(shoot.set) for key in SET if _given(one, key)]
    for path in paths:
        yield path, _together(shoot, [path])


def _together(shoot: Shoot, paths: Sequence[Path]) -> Shoot:
    """The shoot with these of its values and no others."""
    things = []
    for index, one in enumerate(shoot.set):
        left_out = {key: None for key in SET if ("set", index, key) not in paths}
        things.append(one.model_copy(update=left_out))
    eyes = shoot.eye_height if ("eye_height",) in paths else None
    return shoot.model_copy(update={"set": things, "eye_height": eyes})


def _stands(shoot: Shoot, loaded: LoadedRecipe, studio: Studio) -> bool:
    return stage(as_shot(loaded.recipe, shoot), studio, loaded.marks, loaded.slug)[0] is not None


def _given(one: SetModel, key: str) -> bool:
    return getattr(one, key) is not None


def _read_twice(one: LoadedShoot) -> Iterator[Fault]:
    read: dict[str, int] = {}
    for index, reading in enumerate(one.shoot.read):
        path = ("read", index, "at")
        if reading.at in read:
            line = one.marks.value(("read", read[reading.at], "at")).line
            wrong = f"this point was read already, on line {line}"
            yield fault_at(one.marks, path, wrong, None, "each point once, as it was set")
        read.setdefault(reading.at, index)


def _of_things(one: LoadedShoot, loaded: LoadedRecipe, studio: Studio) -> Iterator[Fault]:
    recipe = loaded.recipe
    things: dict[str, Light | Card | Blocker] = {
        thing.name: thing for group in (recipe.lights, recipe.cards, recipe.blockers) for thing in group
    }
    lines: dict[str, int] = {}
    for index, given in enumerate(one.shoot.set):
        path = ("set", index)
        if given.name in lines:
            wrong = f"this was set already, on line {lines[given.name]}"
            yield fault_at(one.marks, (*path, "name"), wrong, None, "all of it in one line")
        lines.setdefault(given.name, one.marks.value((*path, "name")).line)
        if not any(_given(given, key) for key in SET):
            wrong = f"nothing is set of '{given.name}'"
            write = f"{{name: {given.name}, height: 1.8 m}}, or leave it out"
            yield fault_at(one.marks, (*path, "name"), wrong, "", write)
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
