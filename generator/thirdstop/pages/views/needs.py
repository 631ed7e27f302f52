"""What a recipe needs of the studio's gear, by the tables of the gear page."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pydantic import BaseModel

from thirdstop.book.recipe import Blocker, Card, Holder
from thirdstop.book.studio import Studio
from thirdstop.pages.evaluated import Evaluated

KINDS = {
    "Lamps": "lamps",
    "Shapers": "shapers",
    "Grids": "grids",
    "Gels": "gels",
    "Cards and panels": "cards",
    "Backdrops": "backdrops",
    "Stands": "stands",
    "Booms": "booms",
    "Sandbags": "bags",
    "Cameras": "cameras",
}
"""Title of a table, and the key of the studio file that lists its things."""
SURFACES = "surfaces"
"""Of the cards in use: their own table."""


@dataclass(frozen=True)
class Need:
    """A piece of gear that a recipe needs."""

    kind: str
    """A key of the studio file: 'lamps', or 'surfaces'."""
    name: str
    count: int


@dataclass(frozen=True)
class Fetched:
    """Gear of one kind that a recipe needs, as its page lists it."""

    title: str
    things: tuple[tuple[str, str], ...]
    """Name, with how many where it is more than one, and the anchor of its row on the gear page."""


def needs_of(evaluated: Evaluated) -> tuple[Need, ...]:
    """Everything of the studio file that has to be fetched, by kind; and the surfaces in use."""
    counted = Counter(_named(evaluated))
    kinds = [*KINDS.values(), SURFACES]
    order = sorted(counted, key=lambda one: kinds.index(one[0]))
    return tuple(Need(kind, name, counted[kind, name]) for kind, name in order)


def _named(evaluated: Evaluated) -> Iterator[tuple[str, str]]:
    recipe = evaluated.recipe
    for light in recipe.lights:
        parts = (("lamps", light.lamp), ("shapers", light.shaper), ("grids", light.grid), ("gels", light.gel))
        yield from ((kind, name) for kind, name in parts if name is not None)
    things: list[Card | Blocker] = [*recipe.cards, *recipe.blockers]
    yield from (("cards", thing.card) for thing in things)
    yield from ((SURFACES, thing.surface) for thing in things)
    if recipe.backdrop.sheet is not None:
        yield "backdrops", recipe.backdrop.sheet
    for item in evaluated.staging.items:
        if item.support is not None:
            yield "stands", item.support.stand
            if item.support.boom is not None:
                yield "booms", item.support.boom
    holders = [*(light.stand for light in recipe.lights), *(thing.stand for thing in things)]
    yield from (("bags", one.bag) for one in holders if isinstance(one, Holder) and one.bag is not None)
    yield "cameras", recipe.camera.body


def anchor(studio: Studio, kind: str, name: str) -> str:
    """The id of a thing's row on the gear page; empty where the studio file lists no such thing."""
    names = [one.name for one in things_of(studio, kind)]  # type: ignore[attr-defined]
    return f"{kind}-{names.index(name) + 1}" if name in names else ""


def things_of(studio: Studio, kind: str) -> Sequence[BaseModel]:
    """The studio file's things of one kind."""
    found: Sequence[BaseModel] = getattr(studio, kind)
    return found


def fetched(evaluated: Evaluated, studio: Studio) -> tuple[Fetched, ...]:
    """What a recipe needs, as a list to fetch it by."""
    needs = needs_of(evaluated)
    return tuple(
        Fetched(title, things)
        for title, kind in KINDS.items()
        if (things := tuple(_thing(studio, need) for need in needs if need.kind == kind))
    )


def _thing(studio: Studio, need: Need) -> tuple[str, str]:
    many = f"{need.count} × " if need.count > 1 else ""
    return f"{many}{need.name}", anchor(studio, need.kind, need.name)
