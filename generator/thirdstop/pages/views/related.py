"""Recipes that are near each other in what a photographer chooses by: light first, then who and what is worn.

Nearness is a sum of differences, each in a unit that a person would call a step. The steps are judgement,
common practice without a source; they order a list and are printed nowhere.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from thirdstop.exposure.stops import ratio_text
from thirdstop.pages.evaluated import Evaluated
from thirdstop.placing.matching import key_elevation_deg

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
class _Look:
    ratio: float
    ratio_stops: float
    bearing_deg: float
    elevation_deg: float
    size: float
    """Of the key's face over its string: how large it looks from the nose."""
    backdrop_stops: float
    people: int
    worn: frozenset[str]
    pose: str
    framing: str


def related(evaluated: Evaluated, done: Sequence[Evaluated]) -> tuple[Related, ...]:
    """The nearest recipes, none of them halted on safety, at most three, nearest first."""
    here = _look(evaluated)
    near = []
    for place, other in enumerate(done):
        if other.slug != evaluated.slug and not other.safety_halts:
            there = _look(other)
            if (distance := _distance(here, there)) <= _FAR:
                near.append((distance, place, other, there))
    return tuple(
        Related(other.slug, other.title, _says(here, there)) for _, _, other, there in sorted(near)[:SHOWN]
    )


def _look(evaluated: Evaluated) -> _Look:
    staging, readings = evaluated.staging, evaluated.readings
    key, ratio = staging.item(staging.key), readings.ratio
    behind = readings.readings.get("backdrop behind head")
    sitter = staging.sitters[0]
    area = 4 * math.hypot(*key.half_u_m) * math.hypot(*key.half_v_m)
    worn = {word for word in ("hat", "glasses") if any(getattr(one, word) for one in staging.sitters)}
    return _Look(
        ratio=ratio.ratio,
        ratio_stops=ratio.stops,
        # mirrored it is the same light
        bearing_deg=abs(key.bearing_deg),
        elevation_deg=key_elevation_deg(staging),
        size=math.sqrt(area) / key.string_m,
        backdrop_stops=behind.stops_from_key if behind else 0.0,
        people=len(staging.sitters),
        worn=frozenset(worn),
        pose=sitter.pose,
        framing=staging.framing,
    )


def _distance(one: _Look, other: _Look) -> float:
    return (
        abs(one.ratio_stops - other.ratio_stops) / _RATIO_STEP_STOPS
        + abs(one.bearing_deg - other.bearing_deg) / _BEARING_STEP_DEG
        + abs(one.elevation_deg - other.elevation_deg) / _ELEVATION_STEP_DEG
        + abs(math.log2(one.size / other.size)) / math.log2(1 + _SIZE_STEP)
        + abs(one.backdrop_stops - other.backdrop_stops) / _BACKDROP_STEP_STOPS
        + _OTHER * abs(one.people - other.people)
        + _OTHER * len(one.worn ^ other.worn)
        + _OTHER * ((one.pose != other.pose) + (one.framing != other.framing))
    )


def _says(here: _Look, there: _Look) -> str:
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
    words += [f"with {word}" for word in sorted(there.worn - here.worn)]
    words += [f"without {word}" for word in sorted(here.worn - there.worn)]
    if there.people != here.people:
        words.append(f"{there.people} people" if there.people > 1 else "one person")
    words += [new for new, old in ((there.pose, here.pose), (there.framing, here.framing)) if new != old]
    return "; ".join(words)
