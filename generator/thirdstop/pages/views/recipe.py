"""The recipe's page."""

from dataclasses import dataclass

from markupsafe import Markup

from thirdstop.book.defaults import DefaultTaken, defaults_taken
from thirdstop.constants import Units
from thirdstop.pages import addresses, drawn, figures
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.pages.views import correcting, headline, order, rig, steps, things
from thirdstop.pages.views.metering import Metered, all_metered, first_of, metered, said
from thirdstop.pages.views.moving import Moving, card_moving, key_drawn, key_moving
from thirdstop.pages.views.related import Related
from thirdstop.pages.views.verdicts import Verdicts, verdicts
from thirdstop.placing.correction import Correction


@dataclass(frozen=True)
class Cause:
    """What widens a band, and by how much."""

    what: str
    moves: Figure


@dataclass(frozen=True)
class Mix:
    """Where the light of one reading comes from, as a row over all sources of the table."""

    name: str
    reads: str
    cells: tuple[str, ...]

    def parts(self, sources: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        """Source and its parts of a hundred."""
        return tuple(zip(sources, self.cells, strict=True))


@dataclass(frozen=True)
class RecipePage:
    """All that the page shows."""

    title: str
    purpose: str
    tags: tuple[str, ...]
    revised: str
    card: str
    """Address of the set-up card."""
    on_set: str
    """Address of the page for a phone."""
    five: tuple[headline.Headline, ...]
    between: str
    verdicts: Verdicts
    drawings: tuple[Drawn, ...]
    mark: str
    doors: str
    columns: tuple[str, ...]
    rows: tuple[things.Row, ...]
    legend: str
    powers: tuple[headline.Power, ...]
    camera: tuple[str, ...]
    sides: Drawn
    """Bars of where the light came from; `mixes` says the same in numbers."""
    sources: tuple[str, ...]
    mixes: tuple[Mix, ...]
    mix_says: str
    moving: tuple[Moving, ...]
    """The card, then the key, along what was computed; without those of which nothing was."""
    readings: tuple[Metered, ...]
    key_causes: tuple[Cause, ...]
    """What widens the key reading's band most; `causes` the ratio's."""
    causes: tuple[Cause, ...]
    corrections: tuple[Correction, ...]
    rule: str
    """Stands over the steps."""
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: Markup
    defaults: tuple[DefaultTaken, ...]
    surfaces: str
    ambient: str
    related: tuple[Related, ...]


def recipe_page(
    evaluated: Evaluated,
    drawings: tuple[Drawn, ...],
    notes: Markup,
    near: tuple[Related, ...] = (),
    units: Units | None = None,
) -> RecipePage:
    """The view of one recipe; `near` are those that are near it. Charts are in both systems of units, or in
    `units` alone.
    """
    staging, readings, recipe = evaluated.staging, evaluated.readings, evaluated.recipe
    names, first = _sides(evaluated), first_of(staging)
    sides = tuple(metered(evaluated, name) for name in names)
    sources = _sources(sides)
    here = addresses.recipe(evaluated.slug)
    return RecipePage(
        title=evaluated.title,
        purpose=recipe.purpose,
        tags=tuple(recipe.tags),
        revised=str(recipe.revised) if recipe.revised else "",
        card=addresses.link(here, addresses.card(evaluated.slug)),
        on_set=addresses.link(here, addresses.on_set(evaluated.slug)),
        five=headline.five(evaluated),
        between=headline.ratio_between(readings.ratio, staging),
        verdicts=verdicts(evaluated),
        drawings=drawings,
        mark=headline.mark_place(staging),
        doors=headline.doors(staging),
        columns=things.COLUMNS,
        rows=things.rows(staging, recipe),
        legend=things.LEGEND,
        powers=headline.powers(evaluated),
        camera=camera_lines(evaluated),
        sides=drawn.sides(evaluated.slug, [(said(name, first), readings[name].budget) for name in names]),
        sources=sources,
        mixes=tuple(_mix(reading, sources) for reading in sides),
        mix_says=_mix_says(evaluated),
        moving=_moving(evaluated, units),
        readings=all_metered(evaluated),
        key_causes=tuple(Cause(what, figures.apart(amount)) for what, amount in readings.key_causes),
        causes=tuple(Cause(what, figures.apart(amount)) for what, amount in readings.ratio.causes),
        corrections=correcting.in_full(evaluated.corrections, staging),
        rule=order.RULE,
        steps=steps.steps(evaluated),
        cautions=rig.in_full(evaluated),
        notes=notes,
        defaults=tuple(defaults_taken(recipe)),
        surfaces=headline.surfaces(staging),
        ambient=_ambient(readings.ambient_stops_under),
        related=near,
    )


def _moving(evaluated: Evaluated, units: Units | None) -> tuple[Moving, ...]:
    slug, readings, meter = evaluated.slug, evaluated.readings, evaluated.staging.meter
    found = []
    if evaluated.curve is not None and evaluated.moves is not None:
        chart = drawn.card_moves(slug, evaluated.curve, units)
        found.append(card_moving(evaluated.moves, evaluated.curve, chart, readings, meter))
    if evaluated.key_moves is not None:
        curve = key_drawn(evaluated.key_moves, readings.ratio)
        chart = drawn.key_moves(slug, curve, units)
        found.append(key_moving(evaluated.key_moves, curve, chart, readings, meter))
    return tuple(found)


def camera_lines(evaluated: Evaluated) -> tuple[str, ...]:
    """What the camera is set to, a phrase each."""
    staging, recipe = evaluated.staging, evaluated.recipe
    distance, shutter = figures.length(staging.camera.distance_m), figures.seconds(staging.meter.shutter_s)
    return (
        f"{recipe.camera.lens}, {distance} from the focal-plane mark to the nose",
        f"{headline.aperture(staging)} · {shutter} · ISO {staging.meter.iso:g}",
        f"white balance {recipe.exposure.white_balance}",
        f"held {recipe.camera.hold}, {staging.framing}",
    )


def _sides(evaluated: Evaluated) -> tuple[str, ...]:
    """The points whose light is told apart: both sides of the ratio, eyes, key reading, backdrop."""
    readings = evaluated.readings
    names = [readings.ratio.lit_point, readings.ratio.shadow_point, "right eye", "left eye"]
    names += [readings.key_point, "backdrop behind head"]
    return tuple(name for name in dict.fromkeys(names) if name in readings.readings)


def _sources(sides: tuple[Metered, ...]) -> tuple[str, ...]:
    """Sources that give at least one part in a hundred somewhere, the largest total first."""
    totals: dict[str, int] = {}
    for reading in sides:
        for share in reading.shares:
            totals[share.source] = totals.get(share.source, 0) + int(share.percent.value)
    return tuple(sorted(totals, key=lambda source: (-totals[source], source)))


def _mix(reading: Metered, sources: tuple[str, ...]) -> Mix:
    shares = {share.source: share.percent.value for share in reading.shares}
    return Mix(reading.name, reading.reads, tuple(shares.get(source, "–") for source in sources))


def _mix_says(evaluated: Evaluated) -> str:
    """The shadow side in a sentence: how much the cards and how much the room give."""
    readings, staging = evaluated.readings, evaluated.staging
    shadow = metered(evaluated, readings.ratio.shadow_point)
    parts = {share.source: int(share.percent.value) for share in shadow.shares}
    cards = sum(parts.get(item.name, 0) for item in staging.items if item.kind == "card")
    room = sum(parts.get(name, 0) for name in ("walls", "ceiling", "floor"))
    come = (
        f"{cards} come from the {'cards' if _cards(evaluated) > 1 else 'card'} and {room}"
        if _cards(evaluated)
        else f"{room} come"
    )
    return f"Of every hundred parts of light at the {shadow.name}, {come} from walls, ceiling and floor."


def _cards(evaluated: Evaluated) -> int:
    return sum(item.kind == "card" for item in evaluated.staging.items)


def _ambient(stops_under: float | None) -> str:
    if stops_under is None:
        return "The room’s own light is not known, so nothing is said of it."
    return f"The room’s own light is {figures.apart(stops_under)} under the key reading at this shutter time."
