"""Rows for sitters: one who leans in, one who is taller; and how far one may drift."""

from collections.abc import Iterator
from dataclasses import dataclass

from thirdstop.book.quantities import Length
from thirdstop.book.recipe import Card, Recipe
from thirdstop.book.subject import Subject
from thirdstop.checks.findings import Finding
from thirdstop.checks.wording import length, listed
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import ratio_text, snap
from thirdstop.placing.causes import sitters_moved
from thirdstop.placing.correction import Correction
from thirdstop.placing.drift import drift_of
from thirdstop.placing.fitting import WITH_SITTERS, refusals
from thirdstop.placing.setup import Setup, clicks_of, in_range, turn_words
from thirdstop.placing.values import Path, value_at, with_changes, with_value
from thirdstop.staging.vectors import vec

LEAN_M = 0.10
TALLER_M = 0.10
_STEP_M = 0.05
_NOTHING = "nothing else by 0.1 stop or more"


def leaned_in(setup: Setup) -> Iterator[Correction]:
    """Toward the camera, and what a sitter may drift on the floor."""
    world = sitters_moved(vec(0.0, -LEAN_M, 0.0))
    shown = setup.evaluator(setup.recipe, world).answered()
    drift = drift_of(setup.rough())
    seen = f"The sitter has leaned in by {length(LEAN_M)}: {setup.key_and_ratio(shown)}."
    cause = f"the nose stands {length(LEAN_M)} nearer to the camera than M"
    allowed = f"drift of {drift.to_key_cm} cm to the key or {drift.from_key_cm} cm from it keeps 1/3 stop"
    reads = f"{setup.key_mark(shown)}, {ratio_text(shown.ratio.ratio)}"
    brief = f"Leaning in {length(LEAN_M)} reads {reads}: nose back over M; {allowed}"
    shift = -snap(setup.key_more(shown) * CLICKS_PER_STOP)
    back = "Bring the nose back over M"
    if shift == 0 or not in_range(setup.lamps[0], shift):
        meanwhile = "no click is needed meanwhile" if shift == 0 else "the lamp has no click for it"
        do = f"{back}; {meanwhile}. A {allowed}."
        yield Correction(
            seen, do, cause, setup.key_and_ratio(setup.now), _NOTHING, brief, reachable=shift == 0
        )
        return
    turned = with_changes(setup.recipe, clicks_of(setup.lamps[:1], shift))
    readings = setup.evaluator(turned, world).answered()
    turn = turn_words(setup.lamps[0], shift, setup.staging.lamps[0].display)
    do = f"{back}. If they stay there, {turn}. A {allowed}."
    moves = setup.moved(readings, ratio=True)
    yield Correction(seen, do, cause, f"there: {setup.key_and_ratio(readings)}", moves, brief)


def taller(setup: Setup) -> Iterator[Correction]:
    """Everything goes up with the eyes, as far as ceiling and stands let it."""
    sitter = setup.recipe.sitters[0]
    tall = with_taller(setup.recipe)
    seen = f"The sitter is taller: eyes at {length(sitter.eye_height.m + TALLER_M)}."
    cause = f"eyes {length(TALLER_M)} higher, the same pose"
    one = _highest(setup, tall)
    if one is not None:
        yield _taller_row(setup, seen, cause, one)
        return
    do = "Key and cards can't be raised with the eyes: seat the sitter lower."
    brief = f"{_seen_briefly(sitter)}: seat the sitter lower, nothing can be raised"
    yield Correction(seen, do, cause, "not to be had here", "nothing was moved", brief, reachable=False)


@dataclass(frozen=True, eq=False)
class _Raised:
    """The set-up raised by so much."""

    rise_m: float
    readings: Readings
    shift: int
    """Of the key's click."""
    minded: tuple[Finding, ...]
    """What a check says of it beyond what it says of the set-up as it is: a look, no halt."""


def with_taller(recipe: Recipe) -> Recipe:
    """Every sitter's eyes 10 cm higher, the set as it is."""
    path: Path = ("subject",)
    for index, sitter in enumerate(recipe.sitters):
        path = ("subject", index) if isinstance(recipe.subject, list) else ("subject",)
        recipe = with_value(recipe, (*path, "eye_height"), _higher(sitter.eye_height, TALLER_M))
    return recipe


def raised(recipe: Recipe, rise_m: float) -> Recipe:
    """Key, cards, blockers and camera higher by so much; lamps on the backdrop stay, and what is held, or
    lies in the lap, goes up with the sitter.
    """
    held = {("cards", index, "at", "height") for index, _ in _held(recipe)}
    for path in that_go_up(recipe):
        height = value_at(recipe, path)
        if isinstance(height, Length):
            recipe = with_value(recipe, path, _higher(height, TALLER_M if path in held else rise_m))
    return recipe


def _held(recipe: Recipe) -> list[tuple[int, Card]]:
    """Cards on no stand, each with its place in the recipe."""
    return [(index, card) for index, card in enumerate(recipe.cards) if card.stand is None]


def that_go_up(recipe: Recipe) -> list[Path]:
    """Heights that go with the sitter's eyes: camera, lamps, cards, blockers; not lamps on the backdrop."""
    paths: list[Path] = [("camera", "height")]
    for key in ("lights", "cards", "blockers"):
        for index, thing in enumerate(getattr(recipe, key)):
            if thing.at.from_backdrop is None:
                paths.append((key, index, "at", "height"))
    return paths


def what_goes_up(recipe: Recipe) -> str:
    """All that stands on the floor and goes up with the sitter's eyes: 'camera, key and cards'."""
    more = [f"'{light.name}'" for light in recipe.lights[1:] if light.at.from_backdrop is None]
    cards = [word for word in ("cards", "blockers") if getattr(recipe, word)]
    return listed(["camera", "key", *more, *cards])


def _higher(height: Length, by_m: float) -> Length:
    return Length(round(height.m + by_m, 4))


def _highest(setup: Setup, tall: Recipe) -> _Raised | None:
    """Raised as far as no check minds it, else as far as it can be; None where it can't."""
    minded = []
    for steps in range(round(TALLER_M / _STEP_M), -1, -1):
        rise = _fitting(setup, tall, round(steps * _STEP_M, 2))
        if rise is not None and rise.minded:
            minded.append(rise)  # its light is asked only where nothing better is found
        elif rise is not None and (found := _raised(setup, rise)) is not None:
            return found
    return next((found for rise in minded if (found := _raised(setup, rise)) is not None), None)


@dataclass(frozen=True, eq=False)
class _Rise:
    """A height that the set-up can be raised to, as far as its places go."""

    rise_m: float
    recipe: Recipe
    minded: tuple[Finding, ...]


def _fitting(setup: Setup, tall: Recipe, rise_m: float) -> _Rise | None:
    """All of it higher by so much; None where that can't be or is a halt."""
    recipe = raised(tall, rise_m)
    staging = setup.evaluator(recipe).staging()
    if staging is None:
        return None
    minded = refusals(staging, setup.now, setup.baseline, WITH_SITTERS)
    halts = any(finding.verdict == "halt" for finding in minded)
    return None if halts else _Rise(rise_m, recipe, tuple(minded))


def _raised(setup: Setup, rise: _Rise) -> _Raised | None:
    """With the key's click brought back to the reading; None where it has no click for it."""
    readings = setup.evaluator(rise.recipe).answered()
    shift = -snap(setup.key_more(readings) * CLICKS_PER_STOP)
    if not in_range(setup.lamps[0], shift):
        return None
    if shift:
        turned = with_changes(rise.recipe, clicks_of(setup.lamps[:1], shift))
        readings = setup.evaluator(turned).answered()
    return _Raised(rise.rise_m, readings, shift, rise.minded)


def _taller_row(setup: Setup, seen: str, cause: str, one: _Raised) -> Correction:
    whole = one.rise_m >= TALLER_M - 1e-9
    if whole:
        do = f"Raise {what_goes_up(setup.recipe)} by {length(one.rise_m)}, same strings."
    elif one.rise_m > 0:
        by = length(one.rise_m)
        do = f"Raise {what_goes_up(setup.recipe)} by {by}; more does not fit. Or seat the sitter lower."
    else:
        do = "Nothing can be raised; it does not fit. Seat the sitter lower."
    if not whole and _held(setup.recipe):
        do += " What is held goes up with the sitter."
    if one.shift:
        do += f" Then {turn_words(setup.lamps[0], one.shift, setup.staging.lamps[0].display)}."
    if one.minded:
        do += f" {mind(one.minded[0])}"
    moves = setup.moved(one.readings, ratio=True)
    brief = f"{_seen_briefly(setup.recipe.sitters[0])}: {do[0].lower()}{do[1:].rstrip('.')}"
    return Correction(seen, do, cause, setup.key_and_ratio(one.readings), moves, brief, reachable=whole)


def mind(finding: Finding) -> str:
    """Of which thing the remedy speaks: it goes up by that much less."""
    name, _, part = finding.about.partition(": ")
    remedy = f"{finding.remedy[:1].lower()}{finding.remedy[1:]}"
    return f"Mind {f'the {part} of ' if part else ''}'{name}' then: {remedy}"


def _seen_briefly(sitter: Subject) -> str:
    return f"Sitter {length(TALLER_M)} taller, eyes {length(sitter.eye_height.m + TALLER_M)}"
