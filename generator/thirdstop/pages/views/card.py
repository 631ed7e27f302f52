"""The set-up card: all that builds the set, on one page."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from thirdstop.pages import addresses, figures
from thirdstop.pages.code import qr_code, web_address
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import briefly, correcting, headline, order, rig, things
from thirdstop.pages.views.metering import Metered, first_of, metered
from thirdstop.pages.views.verdicts import Shown, verdicts
from thirdstop.staging.staging import Staging

BLANKS = ("date", "eye height", "string", "click", "key reads", "shadow reads", "by")
"""What is written down on set: as it was, not as it was planned."""


@dataclass(frozen=True)
class CardPage:
    """All that the card shows."""

    title: str
    number: str
    revised: str
    recipe: str
    """Address of the recipe's page."""
    halts: tuple[Shown, ...]
    """On safety; where there are any, nothing else is printed."""
    key_side: str
    drawings: Mapping[str, Drawn]
    mark: str
    doors: str
    room: str
    columns: tuple[str, ...]
    rows: tuple[things.Row, ...]
    camera: str
    """What the camera is set to, on one line."""
    powers: tuple[headline.Power, ...]
    key: Metered
    aperture: str
    lit: Metered
    shadow: Metered
    alike: bool
    """Whether the shadow side is metered as the lit one, on the other cheek."""
    ratio: str
    ratio_says: str
    wanted: str
    """The ratio that the recipe is after, where it is printed otherwise than what comes out."""
    apart: str
    others: tuple[str, ...]
    """Readings of each sitter who isn't at the mark, on a line."""
    string_from: str
    """Whose nose the strings start at, where there is more than one."""
    order: tuple[str, ...]
    """What is put up while nobody is on the set, in its order."""
    sitters: str
    """'the sitter', 'near one and far one': they come once it all stands."""
    after: tuple[str, ...]
    """What comes after the sitters: it is held."""
    corrections: tuple[correcting.Line, ...]
    """The last ones leave the card first."""
    looks: tuple[briefly.Look, ...]
    """What the checks ask to look at, most severe first; the last ones leave the card first."""
    cautions: str
    ticks: tuple[str, ...]
    blanks: tuple[str, ...]
    rests_on: str
    on_set: str
    """Where the page for the phone stands: its address on the web, or its file."""
    qr: Markup | None
    """The same as a code, where the book has an address."""


def card_page(
    evaluated: Evaluated, drawings: Mapping[str, Drawn], book_address: str | None = None
) -> CardPage:
    """The view of one card; with the book's address on the web the card leads there."""
    staging, readings, recipe = evaluated.staging, evaluated.readings, evaluated.recipe
    ratio = readings.ratio
    return CardPage(
        title=evaluated.title,
        number=number_of(evaluated.slug),
        revised=str(recipe.revised) if recipe.revised else "",
        recipe=addresses.link(addresses.card(evaluated.slug), addresses.recipe(evaluated.slug)),
        halts=verdicts(evaluated).safety_halts,
        key_side=headline.key_side(staging),
        drawings=drawings,
        mark=headline.mark_place(staging),
        doors=headline.doors(staging),
        room=headline.room_size(staging),
        columns=things.COLUMNS,
        rows=things.rows(staging, recipe),
        camera=_settings(evaluated),
        powers=headline.powers(evaluated),
        key=metered(evaluated, readings.key_point),
        aperture=headline.aperture(staging),
        lit=metered(evaluated, ratio.lit_point),
        shadow=metered(evaluated, ratio.shadow_point),
        alike=metered(evaluated, ratio.lit_point).where == metered(evaluated, ratio.shadow_point).where,
        ratio=figures.ratio(ratio.ratio),
        ratio_says=headline.SIGNS[ratio.convention],
        wanted=_wanted(evaluated),
        apart=str(figures.apart(ratio.stops)),
        others=tuple(_others(evaluated)),
        string_from=f"{first_of(staging)}’s " if len(staging.sitters) > 1 else "",
        order=tuple(f"{item.number} {item.name}" for item in order.before_sitters(staging)),
        sitters=_sitters(staging),
        after=tuple(f"{item.number} {item.name}" for item in order.after_sitters(staging)),
        corrections=correcting.for_card(evaluated.corrections),
        looks=briefly.looks(evaluated),
        cautions=rig.short(evaluated),
        ticks=_ticks(evaluated),
        blanks=BLANKS,
        rests_on=_rests_on(evaluated),
        on_set=addresses.on_set(evaluated.slug),
        qr=_code(evaluated.slug, book_address),
    )


def _code(slug: str, book_address: str | None) -> Markup | None:
    return qr_code(web_address(book_address, addresses.on_set(slug))) if book_address else None


def _settings(evaluated: Evaluated) -> str:
    staging, recipe = evaluated.staging, evaluated.recipe
    aperture, shutter = headline.aperture(staging), figures.seconds(staging.meter.shutter_s)
    off = "" if any(lamp.modelling for lamp in staging.lamps) else "; modelling\u00a0lamps\u00a0off"
    balance = figures.unbroken(str(recipe.exposure.white_balance))
    return f"{aperture} · {shutter} · ISO {staging.meter.iso:g} · {balance}{off}"


def _sitters(staging: Staging) -> str:
    names = [place.name for place in staging.sitters]
    return f"the {names[0]}" if len(names) == 1 else figures.listed(names)


def _wanted(evaluated: Evaluated) -> str:
    target = evaluated.recipe.target.ratio
    wanted = figures.ratio(target.value) if target is not None else ""
    return wanted if wanted != figures.ratio(evaluated.readings.ratio.ratio) else ""


def _others(evaluated: Evaluated) -> Iterator[str]:
    """'Far one: chin f/11; cheeks: left f/11 + 1/10, right f/5.6 + 6/10', each metered as on the other."""
    points = ("chin dome", "left cheek", "right cheek")
    for place in evaluated.staging.sitters[1:]:
        chin, left, right = (metered(evaluated, f"{place.name} {point}").reads for point in points)
        yield f"{place.name[:1].upper()}{place.name[1:]}: chin {chin}; cheeks: left {left}, right {right}"


def number_of(slug: str) -> str:
    """The number that a recipe's file begins with, if it does."""
    head = slug.partition("-")[0]
    return head if head.isdigit() else ""


def _ticks(evaluated: Evaluated) -> tuple[str, ...]:
    """What somebody looks at before the first frame."""
    staging = evaluated.staging
    ticks = ["both eyes lit", "frame edges clear"]
    if any(sitter.hat for sitter in staging.sitters):
        ticks.append("brim’s shadow off the eyes")
    if any(sitter.glasses for sitter in staging.sitters):
        ticks.append("glasses clear")
    if len(staging.sitters) > 1:
        ticks.append("both faces alike")
    if staging.framing == "full length":
        ticks.append("feet lit and in frame")
    return (*ticks, "legs, bags, leads, walkway")


def _rests_on(evaluated: Evaluated) -> str:
    """What the numbers rest on, in a line or two."""
    ratio = evaluated.readings.ratio
    key = evaluated.readings[evaluated.readings.key_point]
    band = figures.ratio_band(ratio.low, ratio.high)
    return (
        f"Computed with reflectances: {headline.surfaces(evaluated.staging)}. Nine cases in ten: ratio "
        f"{band}, key within {figures.apart(key.band_stops)}."
    )
