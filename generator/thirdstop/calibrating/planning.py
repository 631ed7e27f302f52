"""Which readings to take, and in which order, so that the bands of a book's recipes shrink most.

Every recipe's key reading and ratio is a linear function of what is not quite known, with slopes from the
engine; readings narrow what is not known; the sum of the variances of all key readings and ratios is what
is made small (A-optimality for chosen functions: Chaloner and Verdinelli, Bayesian experimental design: a
review, Statistical Science 10, 1995; from memory). Readings are taken one by one, each time the one that
takes most off that sum for the minutes that it costs.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from thirdstop.book.metering import Metering, ReadingModel, ReadingSetup
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.calibrating.candidates import key_click
from thirdstop.calibrating.predicting import Predictor, noise
from thirdstop.calibrating.prior import prior_of
from thirdstop.calibrating.quantities import NINE_IN_TEN, Quantity, click_of, paint_groups, quantities_of
from thirdstop.calibrating.setups import StagedSetup, Taken, room_surface_names
from thirdstop.exposure.quality import ROUGH
from thirdstop.staging.staging import Staging
from thirdstop.typed import Array

SETUP_MINUTES = 3.0
"""To build another set-up: a lamp or card moved, measured by tape; common practice, no source."""
READING_MINUTES = 0.5
"""To hold the meter, fire, and write down."""
PLANS_MINUTES = (10.0, 30.0)
LEAST_GAIN = 1e-4
"""Share of the sum that a minute must take off it to be worth it."""
STEP_STOPS = 0.1
CHEEKS = ("left cheek", "right cheek")


@dataclass(frozen=True)
class Chosen:
    """One reading of a plan."""

    setup: str
    name: str
    minutes: float
    """From the beginning, when it is done."""
    key_band_stops: float
    """Mean over the recipes, after it: the part of the key reading's band that is the studio's own."""
    ratio_band_stops: float
    """The same of the ratio's."""


@dataclass(frozen=True, eq=False)
class Plan:
    """Readings in the order in which they are taken, set-up by set-up."""

    minutes: float
    chosen: tuple[Chosen, ...]
    """In the order of choice: the first ones matter most."""
    setups: tuple[ReadingSetup, ...]
    """What to build and read, in order; what they read is not known yet."""
    metering: Metering
    key_band_stops: float
    """Before any reading, as in `Chosen`."""
    ratio_band_stops: float


@dataclass(frozen=True, eq=False)
class Problem:
    """Candidates n, quantities k, targets t: key readings of all recipes, then their ratios."""

    quantities: tuple[Quantity, ...]
    slopes: Array
    """Shape (n, k), of the candidate readings."""
    noise: Array
    """Shape (n, n)."""
    prior: Array
    """Shape (k, k)."""
    targets: Array
    """Shape (t, k)."""
    setup_of: tuple[int, ...]
    """Of each candidate."""

    def variances(self, taken: Sequence[int]) -> Array:
        """Of every target after those readings, shape (t,), stops²."""
        return np.asarray(np.einsum("tm,tm->t", self.targets @ self._covariance(taken), self.targets))

    def total(self, taken: Sequence[int]) -> float:
        """Their sum; costs the same for one recipe and for a thousand."""
        return float((self._gram * self._covariance(taken)).sum())

    @cached_property
    def _gram(self) -> Array:
        return np.asarray(self.targets.T @ self.targets)

    def _covariance(self, taken: Sequence[int]) -> Array:
        if not taken:
            return self.prior
        index = np.array(taken)
        j = self.slopes[index]
        spread = j @ self.prior @ j.T + self.noise[np.ix_(index, index)]
        return np.asarray(self.prior - self.prior @ j.T @ np.linalg.solve(spread, j @ self.prior))

    def bands(self, taken: Sequence[int]) -> tuple[float, float]:
        """Mean 90 % half-width of key readings and of ratios, in stops."""
        half = NINE_IN_TEN * np.sqrt(np.maximum(self.variances(taken), 0.0))
        middle = len(half) // 2
        return float(half[:middle].mean()), float(half[middle:].mean())


@dataclass(frozen=True, eq=False)
class Leaning:
    """How one recipe's numbers lean on what is not quite known."""

    quantities: tuple[Quantity, ...]
    slopes: Array
    """Shape (2, k): of the key reading, of the ratio."""


@dataclass(frozen=True, eq=False)
class Readable:
    """What candidate readings tell: quantities, slopes, noise and set-ups as in `Problem`."""

    quantities: tuple[Quantity, ...]
    slopes: Array
    noise: Array
    setup_of: tuple[int, ...]


def problem(
    recipes: Sequence[tuple[Recipe, Staging]], setups: Sequence[StagedSetup], studio: Studio
) -> Problem:
    """Slopes of candidates and targets, by rough light about the studio as it is known now.

    The stagings' lamps must be charged. Raises ValueError where there is no recipe or no candidate.
    """
    leanings = [leaning(recipe, staging, studio) for recipe, staging in recipes]
    return assembled(readable(setups, studio), leanings, studio)


def readable(setups: Sequence[StagedSetup], studio: Studio) -> Readable:
    """The candidates' side of a problem. Raises ValueError where there is no candidate."""
    if not setups:
        raise ValueError("a plan needs set-ups to read")
    quantities = quantities_of(setups, paint_groups(studio))
    slopes = Predictor(setups, quantities, ROUGH).slopes(np.zeros(len(quantities)))
    setup_of = tuple(k for k, setup in enumerate(setups) for _ in setup.taken)
    return Readable(quantities, slopes, noise(setups, STEP_STOPS), setup_of)


def leaning(recipe: Recipe, staging: Staging, studio: Studio) -> Leaning:
    """One recipe's side of a problem; it hangs on no other recipe. The staging's lamps must be charged."""
    target = as_setup(recipe, staging)
    # a lamp is read at this click, so there its output is known best and a click's own error tells nothing
    middle = {lamp.lamp: float(key_click(lamp.clicks)) for lamp in target.lamps}
    found = {one.name: one for one in quantities_of([target], paint_groups(studio))}
    quantities = tuple((found | {one.name: one for one in map(click_of, middle)}).values())
    key, first, second = Predictor([target], quantities, ROUGH, middle=middle).slopes(
        np.zeros(len(quantities))
    )
    return Leaning(quantities, np.stack([key, first - second]))


def assembled(read: Readable, leanings: Sequence[Leaning], studio: Studio) -> Problem:
    """The problem of these readings for these recipes. Raises ValueError where there is no recipe."""
    if not leanings:
        raise ValueError("a plan needs recipes")
    found = {one.name: one for one in read.quantities}
    for each in leanings:
        for one in each.quantities:
            found.setdefault(one.name, one)
    place = {name: k for k, name in enumerate(found)}
    slopes = np.zeros((len(read.slopes), len(found)))
    slopes[:, : len(read.quantities)] = read.slopes
    targets = np.zeros((2, len(leanings), len(found)))
    for row, each in enumerate(leanings):
        targets[:, row, [place[one.name] for one in each.quantities]] = each.slopes
    quantities = tuple(found.values())
    return Problem(
        quantities=quantities,
        slopes=slopes,
        noise=read.noise,
        prior=prior_of(quantities, studio),
        targets=targets.reshape(-1, len(found)),
        setup_of=read.setup_of,
    )


def as_setup(recipe: Recipe, staging: Staging) -> StagedSetup:
    """A recipe as a set-up of three readings: the key reading and the two points of its ratio."""
    points = {point.name: point for point in staging.scene.points}
    names = (staging.meter.exposure_point, *(staging.target.between or CHEEKS))
    clicks = tuple(lamp.click or key_click(lamp.clicks) for lamp in staging.lamps)
    surfaces = {name: (name, name) for name in room_surface_names()}
    for item in staging.items:
        if item.surface is not None:
            surfaces[item.name] = (item.surface, item.back_surface or item.surface)
    sheet = recipe.backdrop.sheet or "back wall"
    surfaces |= {"backdrop": (sheet, sheet), "backdrop sweep": (sheet, sheet)}
    return StagedSetup(
        name=staging.slug,
        scene=replace(staging.scene, points=tuple(points[name] for name in names)),
        lamps=staging.lamps,
        outputs=tuple(f"{light.lamp} with {light.shaper}" for light in recipe.lights),
        grids=tuple(light.grid for light in recipe.lights),
        shapers=tuple(light.shaper for light in recipe.lights),
        taken=tuple(
            Taken(f"{staging.slug}, {name}", (), points[name].receptor, 0.0, clicks, 100.0, 8.0)
            for name in names
        ),
        surfaces=surfaces,
    )


# the choice


def plan(given: Problem, metering: Metering, minutes: float) -> Plan:
    """The readings for so many minutes. `metering` holds the candidates, set-up by set-up."""
    names = [(k, reading) for k, setup in enumerate(metering.setups) for reading in setup.readings]
    taken: list[int] = []
    chosen: list[Chosen] = []
    spent = 0.0
    while True:
        best = _best(given, taken, minutes - spent)
        if best is None:
            break
        spent += cost(given, taken, best)
        taken.append(best)
        key, ratio = given.bands(taken)
        at, reading = names[best]
        chosen.append(Chosen(metering.setups[at].name, reading.name or "", spent, key, ratio))
    before_key, before_ratio = given.bands([])
    setups = tuple(_only(metering.setups[k], [names[n][1] for n in taken if names[n][0] == k])
                   for k in dict.fromkeys(given.setup_of[n] for n in taken))  # fmt: skip
    return Plan(minutes, tuple(chosen), setups, metering, before_key, before_ratio)


def cost(given: Problem, taken: Sequence[int], candidate: int) -> float:
    """Minutes that one more reading takes: less where its set-up stands already."""
    built = given.setup_of[candidate] in {given.setup_of[n] for n in taken}
    return READING_MINUTES if built else SETUP_MINUTES + READING_MINUTES


def _best(given: Problem, taken: Sequence[int], left: float) -> int | None:
    """The candidate that takes most off the sum of variances for a minute, within the minutes left."""
    now = given.total(taken)
    best, most = None, LEAST_GAIN * now
    for candidate in range(len(given.slopes)):
        minutes = cost(given, taken, candidate)
        if candidate in taken or minutes > left + 1e-9:
            continue
        gain = (now - given.total([*taken, candidate])) / minutes
        if gain > most + 1e-12:
            best, most = candidate, gain
    return best


def _only(setup: ReadingSetup, readings: Sequence[ReadingModel]) -> ReadingSetup:
    """A set-up with the chosen readings alone, in the order in which they were chosen."""
    return setup.model_copy(update={"readings": list(readings)})


@dataclass(frozen=True)
class Worth:
    """The one reading that narrows a recipe's bands most, and by how much; of what is the studio's own."""

    setup: str
    reading: str
    key_stops: tuple[float, float]
    """Half-width of the key reading's band before and after it."""
    ratio_stops: tuple[float, float]


WORTH_DECIMALS = 4
"""More of them would make a recipe's page anew whenever another recipe is changed, for a last bit."""


def worths(given: Problem, metering: Metering) -> list[Worth]:
    """What one more reading would be worth to each recipe."""
    names = [(setup.name, reading.name or "") for setup in metering.setups for reading in setup.readings]
    # shapes (2, recipes) and (candidates, 2, recipes): key readings, ratios
    before = given.variances([]).reshape(2, -1)
    after = np.array([given.variances([n]).reshape(2, -1) for n in range(len(given.slopes))])
    best = np.argmin(after.sum(axis=1).round(WORTH_DECIMALS + 4), axis=0)
    found = []
    for recipe, reading in enumerate(best):
        both = np.array([before[:, recipe], after[reading, :, recipe]])
        half = (NINE_IN_TEN * np.sqrt(np.maximum(both, 0.0))).round(WORTH_DECIMALS)
        (key, ratio), (key_after, ratio_after) = half.tolist()
        setup, name = names[int(reading)]
        found.append(Worth(setup, name, (key, key_after), (ratio, ratio_after)))
    return found
