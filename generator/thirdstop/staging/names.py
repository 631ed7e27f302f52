"""Names within a recipe: everything is called by its name, so each must mean one thing."""

from collections.abc import Iterable, Iterator

from thirdstop.book.recipe import Recipe
from thirdstop.staging.problems import Path, Problems

KEY = "key"
"""The first light is the key, whatever it is called; no other thing may bear that name."""

SPOKEN_FOR = ("backdrop", "blockers", "body", "camera", "ceiling", "floor", "mark", "other", "room", "walls")
"""What budgets, plans and set-up cards call things that no recipe names."""


def refuse_shared_names(recipe: Recipe, taken: Iterable[str], problems: Problems) -> None:
    """Notes each light, card, blocker and sitter whose name is another's too, or one of those `taken`.

    Capitals don't count: 'Key' and 'key' are one name.
    """
    first: dict[str, str] = {}
    reserved = {_plain(name) for name in (*taken, *SPOKEN_FOR)}
    for kind, name, path in _named(recipe):
        spoken = _plain(name)
        other = first.get(spoken, "")
        if other:
            problems.add(path, f"{other} has this name already", name, "another name")
        elif spoken == KEY and path[:2] != ("lights", 0):
            problems.add(path, "'key' is the first light's name", name, f"another name, like '{name} {kind}'")
        elif kind != "sitter" and spoken in reserved:
            wrong = "a part of the room, a body or a measuring point has this name"
            problems.add(path, wrong, name, f"another name, like '{name} {kind}'")
        first.setdefault(spoken, f"a {kind}")


def _named(recipe: Recipe) -> Iterator[tuple[str, str, Path]]:
    """Kind, name and where the name stands, in the order of the file's keys."""
    several = isinstance(recipe.subject, list)
    for index, sitter in enumerate(recipe.sitters):
        yield "sitter", sitter.name, ("subject", index, "name") if several else ("subject", "name")
    for key, kind in (("lights", "light"), ("cards", "card"), ("blockers", "blocker")):
        for index, thing in enumerate(getattr(recipe, key)):
            yield kind, thing.name, (key, index, "name")


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
