"""The page that is used on set: one file for a phone, with everything that it may be asked."""

from dataclasses import asdict, dataclass, replace

from thirdstop.book.quantities import Length
from thirdstop.book.recipe import Card, Light
from thirdstop.book.studio import Studio
from thirdstop.checks.severity import by_severity
from thirdstop.constants import Units
from thirdstop.pages import addresses, drawn, figures
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import briefly, correcting, headline, rig
from thirdstop.pages.views.building import Screen, screens
from thirdstop.pages.views.card import number_of
from thirdstop.pages.views.metering import Metered, metered
from thirdstop.pages.views.turning import (
    CardTable,
    LampTable,
    MeterTable,
    card_table,
    lamp_table,
    meter_table,
)
from thirdstop.pages.views.verdicts import Shown, verdicts
from thirdstop.placing.correction import Correction
from thirdstop.placing.mirror_set import mirror_recipe
from thirdstop.staging.resolve import stage


@dataclass(frozen=True)
class SetUp:
    """The set-up as it was written, or mirrored."""

    name: str
    """'written' or 'mirrored'."""
    key_side: str
    differs: tuple[str, ...]
    """Of the mirrored one: what is otherwise."""
    screens: tuple[Screen, ...]
    plan: Drawn
    key: Metered
    wanted: str
    """What the meter should show for the camera's aperture."""
    aperture: str
    shadow: Metered
    ratio: str
    ratio_says: str
    corrections: tuple[Correction, ...]
    meter: MeterTable
    lamp: LampTable
    card: CardTable | None

    @property
    def meter_step(self) -> str:
        """One step of the meter: '1/10'."""
        return "1 stop" if self.meter.per_stop == 1 else f"1/{self.meter.per_stop}"

    @property
    def near_meter(self) -> tuple[tuple[str, str], ...]:
        """A stop each way, for a reader whose browser runs no script: (what is shown, clicks)."""
        at, reach = self.meter.wanted, self.meter.per_stop
        rows = list(zip(self.meter.shows, self.meter.clicks, strict=True))[
            max(at - reach, 0) : at + reach + 1
        ]
        return tuple((shows, _signed(clicks)) for shows, clicks in rows)

    @property
    def near_card(self) -> tuple[tuple[str, str, str], ...]:
        """Every 10 cm, likewise: (string, ratio, clicks)."""
        if self.card is None:
            return ()
        tens = (p for cm, p in enumerate(self.card.places, start=self.card.first_cm) if cm % 10 == 0)
        return tuple((p.metres, p.ratio, _signed(p.clicks)) for p in tens if p.ratio)


def _signed(clicks: int) -> str:
    """'2 up', '1 down', 'none'."""
    return f"{abs(clicks)} {'up' if clicks > 0 else 'down'}" if clicks else "none"


@dataclass(frozen=True)
class OnSetPage:
    """All that the page holds."""

    title: str
    number: str
    revised: str
    halts: tuple[Shown, ...]
    """On safety; where there are any, the page holds nothing else."""
    other_halts: tuple[Shown, ...]
    looks: tuple[str, ...]
    """What the checks ask to look at, a line each, real faults first."""
    cautions: tuple[str, ...]
    set_ups: tuple[SetUp, ...]
    mirror_refused: str
    data: dict[str, object]
    """What the page looks up, by set-up: made of the tables above."""


def on_set_page(evaluated: Evaluated, studio: Studio) -> OnSetPage:
    """The view of one recipe."""
    found = verdicts(evaluated)
    halted = bool(found.safety_halts)
    set_ups = () if halted else _set_ups(evaluated, studio)
    mirror = evaluated.mirror
    return OnSetPage(
        title=evaluated.title,
        number=number_of(evaluated.slug),
        revised=str(evaluated.recipe.revised) if evaluated.recipe.revised else "",
        halts=found.safety_halts,
        other_halts=found.halts,
        looks=() if halted else _looks(evaluated),
        cautions=() if halted else rig.in_full(evaluated),
        set_ups=set_ups,
        mirror_refused=mirror.refused if mirror is not None else "The mirrored set-up was not computed.",
        data={} if halted else _data(evaluated, set_ups),
    )


def _looks(evaluated: Evaluated) -> tuple[str, ...]:
    found = [one for one in by_severity(evaluated.findings) if one.verdict == "look"]
    return tuple(briefly.line(evaluated.staging, one) for one in found)


def _set_ups(evaluated: Evaluated, studio: Studio) -> tuple[SetUp, ...]:
    units = studio.habits.units_alone
    written = _set_up("written", evaluated, (), headline_band(evaluated), units)
    other = mirrored_of(evaluated, studio)
    if other is None or evaluated.mirror is None:
        return (written,)
    known = _looks(evaluated)
    more = tuple(f"Look: {line}" for line in _looks(other) if line not in known)
    differs = (*evaluated.mirror.differs, *more)
    return (written, _set_up("mirrored", other, differs, headline_band(evaluated), units))


def headline_band(evaluated: Evaluated) -> float:
    """Half-width of the ratio's band, in stops."""
    return evaluated.readings.ratio.band_stops


def mirrored_of(evaluated: Evaluated, studio: Studio) -> Evaluated | None:
    """The mirrored set-up in the shape of a recipe of the book; None where it was left out."""
    mirror, loaded = evaluated.mirror, evaluated.loaded
    if mirror is None or mirror.readings is None:
        return None
    recipe = mirror_recipe(loaded.recipe, studio, mirror.string_m)
    # its own sentences say left and right as they were written
    recipe = recipe.model_copy(update={"steps": []})
    staging, _ = stage(recipe, studio, loaded.marks, f"{loaded.slug}-mirrored")
    if staging is None:
        return None
    return Evaluated(
        replace(loaded, recipe=recipe), staging, mirror.readings, mirror.findings, (), moves=mirror.curve
    )


def _set_up(
    name: str, evaluated: Evaluated, differs: tuple[str, ...], band_stops: float, units: Units | None
) -> SetUp:
    staging, readings = evaluated.staging, evaluated.readings
    ratio = replace(readings.ratio, band_stops=band_stops)
    meter = meter_table(staging.meter)
    return SetUp(
        name=name,
        key_side=headline.key_side(staging),
        differs=differs,
        screens=screens(evaluated),
        plan=drawn.to_hold(staging, units),
        key=metered(evaluated, readings.key_point),
        wanted=meter.shows[meter.wanted],
        aperture=headline.aperture(staging),
        shadow=metered(evaluated, ratio.shadow_point),
        ratio=figures.ratio(ratio.ratio),
        ratio_says=headline.ratio_says(ratio),
        corrections=correcting.in_full(evaluated.corrections, evaluated.staging),
        meter=meter,
        lamp=lamp_table(readings.lamps[0], staging.lamps[0]),
        card=None if evaluated.moves is None else card_table(evaluated.moves, ratio),
    )


# what the page looks up


def _data(evaluated: Evaluated, set_ups: tuple[SetUp, ...]) -> dict[str, object]:
    staging = evaluated.staging
    return {
        "slug": evaluated.slug,
        "file": addresses.on_set(evaluated.slug),
        "key": staging.key,
        "convention": headline.SIGNS[evaluated.readings.ratio.convention],
        "set_ups": {one.name: _tables(one) for one in set_ups},
        "log": [asdict(one) for one in log_lines(evaluated)],
        "key_point": evaluated.readings.key_point,
    }


def _tables(one: SetUp) -> dict[str, object]:
    card = None
    if one.card is not None:
        card = {
            "card": one.card.card,
            "first_cm": one.card.first_cm,
            "chosen_cm": one.card.chosen_cm,
            "places": [
                [p.metres, p.feet, p.ratio, p.stops, p.band, p.clicks, p.in_frame] for p in one.card.places
            ],
        }
    shadow = one.shadow.point
    return {
        "meter": asdict(one.meter),
        "lamp": asdict(one.lamp),
        "card": card,
        "shadow_point": shadow,
        "shadow_at": _index_of(one, one.shadow.reads),
    }


def _index_of(one: SetUp, reads: str) -> int:
    """Where in the meter's table a reading stands; what is wanted, where it lies outside."""
    shows = one.meter.shows
    return shows.index(reads) if reads in shows else one.meter.wanted


@dataclass(frozen=True)
class LogLine:
    """A length that may have been set otherwise: a key of the log's own format."""

    thing: str
    """A light or card by its name; empty for the sitter."""
    key: str
    cm: int
    """As the recipe has it."""
    least_cm: int
    most_cm: int


def log_lines(evaluated: Evaluated) -> tuple[LogLine, ...]:
    """The first sitter's eye height; string (where the recipe gives one) and height of lights and cards."""
    recipe, staging = evaluated.recipe, evaluated.staging
    eyes = round(staging.sitters[0].eye_height_m * 100)
    lines = [LogLine("", "eye_height", eyes, 50, 210)]
    things: tuple[Light | Card, ...] = (*recipe.lights, *recipe.cards)
    for thing in things:
        item = staging.item(thing.name)
        if isinstance(thing.at.string, Length):
            lines.append(LogLine(thing.name, "string", round(item.string_m * 100), 5, 600))
        if thing.at.height is not None:
            lines.append(LogLine(thing.name, "height", round(item.height_m * 100), 0, 400))
    return tuple(lines)
