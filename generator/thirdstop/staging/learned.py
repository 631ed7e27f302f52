"""What a studio's readings left open, as far as it bears on one staging."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.book.held import DOME, FLAT, ROOM_SURFACES, holding
from thirdstop.book.recipe import Blocker, Card, Light, Recipe
from thirdstop.book.studio import Studio
from thirdstop.typed import Array

NINE_IN_TEN = 1.6448536269514722
"""Half-width of the 90 % band of a normal distribution, in standard deviations."""

Changes: TypeAlias = Literal[
    "reflectance", "roughness", "transmittance", "output", "loss", "beam", "receptor"
]


@dataclass(frozen=True)
class Open:
    """One thing that readings told, and what it changes in this staging."""

    name: str
    changes: Changes
    fronts: frozenset[str] = frozenset()
    """Panels whose front it is."""
    backs: frozenset[str] = frozenset()
    """Panels whose back it is."""
    lamps: frozenset[str] = frozenset()
    """Emitters."""
    receptor: str = ""
    """'flat' or 'dome'."""


@dataclass(frozen=True, eq=False)
class Learned:
    """What the readings told and how much they left open."""

    measured: str
    """The day, year-month-day."""
    readings: int
    things: tuple[Open, ...]
    covariance: Array
    """Shape (k, k), of the things' logarithms, in stops²."""

    def covers(self, changes: Changes, name: str) -> bool:
        """Whether a panel's, lamp's or receptor's value is among what was learned."""
        return any(
            one.changes == changes and (name in one.fronts | one.lamps or name == one.receptor)
            for one in self.things
        )


def learned(recipe: Recipe, studio: Studio) -> Learned | None:
    """What was learned of the things of this recipe; None where nothing of it was."""
    found = studio.calibration
    if found is None:
        return None
    pairs = [(place, thing) for place, one in holding(studio) if (thing := _thing(one.of, recipe, studio))]
    if not pairs:
        return None
    places = [place for place, _ in pairs]
    sd = np.array([found.found[place].spread.value / NINE_IN_TEN for place in places])
    correlation = correlation_of([one.with_ for one in found.found])[np.ix_(places, places)]
    things = tuple(thing for _, thing in pairs)
    return Learned(found.measured.isoformat(), found.readings, things, correlation * np.outer(sd, sd))


def correlation_of(rows: Sequence[Sequence[float]]) -> Array:
    """The whole matrix from its lower rows; what is left out is 0."""
    whole = np.eye(len(rows))
    for k, row in enumerate(rows):
        for m, value in enumerate(row[:k]):
            whole[k, m] = whole[m, k] = value
    return whole


def _thing(name: str, recipe: Recipe, studio: Studio) -> Open | None:
    if name in ROOM_SURFACES:
        return Open(name, "reflectance", frozenset({name}), frozenset({name}))
    if name in (FLAT, DOME):
        return Open(name, "receptor", receptor="flat" if name == FLAT else "dome")
    if name in [sheet.name for sheet in studio.backdrops]:
        panels = frozenset({"backdrop", "backdrop sweep"})
        return Open(name, "reflectance", panels, panels) if recipe.backdrop.sheet == name else None
    return _lamp(name, recipe.lights) or _cloth(name, [*recipe.cards, *recipe.blockers], studio)


def _lamp(name: str, lights: Sequence[Light]) -> Open | None:
    kinds: tuple[tuple[Changes, str], ...] = (
        ("output", "{0.lamp} with {0.shaper}"),
        ("loss", "loss of {0.grid}"),
        ("beam", "half-angle of {0.shaper}"),
        ("beam", "cut-off of {0.grid}"),
    )
    for changes, words in kinds:
        if lamps := frozenset(light.name for light in lights if words.format(light) == name):
            return Open(name, changes, lamps=lamps)
    return None


def _cloth(name: str, panels: Sequence[Card | Blocker], studio: Studio) -> Open | None:
    kinds: tuple[tuple[Changes, str], ...] = (
        ("reflectance", "{}"),
        ("roughness", "roughness of {}"),
        ("transmittance", "what {} passes"),
    )
    own_backs = {card.name: card.back for card in studio.cards}
    for changes, words in kinds:
        fronts = frozenset(one.name for one in panels if words.format(one.surface) == name)
        backs = frozenset(
            one.name for one in panels if words.format(own_backs.get(one.card) or one.surface) == name
        )
        if fronts or backs:
            return Open(name, changes, fronts, backs)
    return None
