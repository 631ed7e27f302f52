"""Recipes that are near each other in what a photographer chooses by: light first, then who and what is worn.

Nearness is a sum of differences, each in a unit that a person would call a step. The steps are judgement,
common practice without a source; they order a list and are printed nowhere.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thirdstop.exposure.stops import ratio_text
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.placing.matching import key_elevation_deg
from thirdstop.typed import Array, Mask

SHOWN = 3
_RATIO_STEP_STOPS, _BEARING_STEP_DEG, _ELEVATION_STEP_DEG = 0.5, 20.0, 10.0
_SIZE_STEP, _BACKDROP_STEP_STOPS = 0.5, 1.0
"""Half as large again as seen from the nose; a stop of light on the backdrop."""
_OTHER = 1.5
"""What another pose, framing, hat or glasses, or one person more, counts."""
_FAR = 6.0
"""Farther than this nothing is related."""


@dataclass(frozen=True)
class Related:
    """A recipe that is near."""

    slug: str
    title: str
    says: str
    """What is otherwise there: 'ratio 5:1; key 15° farther round; standing'."""


@dataclass(frozen=True)
class Look:
    """What a recipe is chosen by."""

    ratio: float
    ratio_stops: float
    bearing_deg: float
    elevation_deg: float
    size: float
    """Of the key's face over its string: how large it looks from the nose."""
    backdrop_stops: float
    people: int
    worn: tuple[str, ...]
    """Hat and glasses, sorted."""
    pose: str
    framing: str


@dataclass(frozen=True)
class Seen:
    """A recipe as others see it."""

    slug: str
    title: str
    halted: bool
    """On safety: nobody is led to it."""
    look: Look


def related(evaluated: Evaluated, done: Sequence[Evaluated]) -> tuple[Related, ...]:
    """The nearest recipes, none of them halted on safety, at most three, nearest first."""
    book = [Seen(one.slug, one.title, bool(one.safety_halts), look_of(one)) for one in done]
    at = [one.slug for one in done].index(evaluated.slug)
    return nearest(book)[at]


def nearest(book: Sequence[Seen]) -> list[tuple[Related, ...]]:
    """The same for each recipe of a book; of equally near ones the first comes first."""
    refused = np.array([one.halted for one in book])
    table = _table([one.look for one in book])
    return [
        tuple(_related(book[here], book[there]) for there in _near(here, table, refused))
        for here in range(len(book))
    ]


def _related(here: Seen, there: Seen) -> Related:
    return Related(there.slug, there.title, _says(here.look, there.look))


def _near(here: int, table: Array, refused: Mask) -> list[int]:
    distance = np.abs(table - table[:, here, None]).sum(axis=0)
    distance[refused] = np.inf
    distance[here] = np.inf
    found: list[int] = []
    while len(found) < SHOWN and distance[at := int(distance.argmin())] <= _FAR:
        found.append(at)
        distance[at] = np.inf
    return found


def _table(looks: Sequence[Look]) -> Array:
    """What tells recipes apart, in steps, shape (kinds, n): the sum of differences of two columns is how far
    the two are from each other. A kind's values lie side by side, which is the quicker to sum over.
    """
    return np.stack(
        [
            np.array([look.ratio_stops for look in looks]) / _RATIO_STEP_STOPS,
            np.array([look.bearing_deg for look in looks]) / _BEARING_STEP_DEG,
            np.array([look.elevation_deg for look in looks]) / _ELEVATION_STEP_DEG,
            np.array([math.log2(look.size) for look in looks]) / math.log2(1 + _SIZE_STEP),
            np.array([look.backdrop_stops for look in looks]) / _BACKDROP_STEP_STOPS,
            np.array([look.people for look in looks]) * _OTHER,
            *(np.array([word in look.worn for look in looks]) * _OTHER for word in ("hat", "glasses")),
            *_one_of([look.pose for look in looks]),
            *_one_of([look.framing for look in looks]),
        ]
    )


def _one_of(words: Sequence[str]) -> list[Array]:
    """A column for each word; two that differ do so in two columns, by half of it in each."""
    return [np.array([one == word for one in words]) * (_OTHER / 2) for word in sorted(set(words))]


def look_of(evaluated: Evaluated) -> Look:
    """What the recipe is chosen by."""
    staging, readings = evaluated.staging, evaluated.readings
    key, ratio = staging.item(staging.key), readings.ratio
    behind = readings.readings.get("backdrop behind head")
    sitter = staging.sitters[0]
    area = 4 * math.hypot(*key.half_u_m) * math.hypot(*key.half_v_m)
    worn = {word for word in ("hat", "glasses") if any(getattr(one, word) for one in staging.sitters)}
    return Look(
        ratio=ratio.ratio,
        ratio_stops=ratio.stops,
        # mirrored it is the same light
        bearing_deg=abs(key.bearing_deg),
        elevation_deg=key_elevation_deg(staging),
        size=math.sqrt(area) / key.string_m,
        backdrop_stops=behind.stops_from_key if behind else 0.0,
        people=len(staging.sitters),
        worn=tuple(sorted(worn)),
        pose=sitter.pose,
        framing=staging.framing,
    )


def _says(here: Look, there: Look) -> str:
    """The differences that are worth a word, and the ratio always."""
    words = [f"ratio {ratio_text(there.ratio)}"]
    round_deg = round(there.bearing_deg - here.bearing_deg)
    if abs(round_deg) >= 10:
        words.append(
            f"key {abs(round_deg)}° {'farther round' if round_deg > 0 else 'nearer the camera line'}"
        )
    up_deg = round(there.elevation_deg - here.elevation_deg)
    if abs(up_deg) >= 5:
        words.append(f"key {abs(up_deg)}° {'higher' if up_deg > 0 else 'lower'}")
    backdrop = there.backdrop_stops - here.backdrop_stops
    if abs(backdrop) >= 0.5:
        words.append(f"{'more' if backdrop > 0 else 'less'} light on the backdrop")
    words += [f"with {word}" for word in there.worn if word not in here.worn]
    words += [f"without {word}" for word in here.worn if word not in there.worn]
    if there.people != here.people:
        words.append(figures.counted(there.people, "person", "people"))
    words += [new for new, old in ((there.pose, here.pose), (there.framing, here.framing)) if new != old]
    return "; ".join(words)
