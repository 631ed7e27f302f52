"""The gear and the room as tables: a thing's values as the studio file states them, with what is assumed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from pydantic import BaseModel

from thirdstop.book.found import found_in
from thirdstop.book.paints import CLOTHES, HAIRS, PAINTS, SKINS
from thirdstop.book.quantities import Aperture, Mass, Share, Size
from thirdstop.book.studio import CalibratedOutput, OutputGuideNumber, OutputReading, PaintModel, Studio
from thirdstop.pages.figures import weighed
from thirdstop.pages.house import Step
from thirdstop.pages.views.listing import Listing, listing
from thirdstop.pages.views.needs import KINDS, SURFACES, Need, things_of
from thirdstop.staging.lookup import USUAL_SURFACES, material_of
from thirdstop.staging.materials import Material, Metallised, Translucent

NONE = "–"
"""Where a thing has no such value."""
_KNOWN = PAINTS | SKINS | HAIRS | CLOTHES


@dataclass(frozen=True)
class Value:
    """One value of a thing."""

    text: str
    assumed: str = ""
    """'assumed' or 'published value' where nobody here measured it."""

    @property
    def none(self) -> bool:
        """Whether the thing has no such value."""
        return self.text == NONE


@dataclass(frozen=True)
class Row:
    """A row of the gear page: one piece of the studio's gear, with its values."""

    name: str
    values: tuple[Value, ...]
    """One for each column."""
    anchor: str = ""
    needed: Listing | None = None
    """The recipes that need it; None where that is no question."""

    def cells(self, columns: Sequence[str]) -> tuple[tuple[str, Value], ...]:
        """Each value with its column's name, which a narrow screen shows beside it."""
        return tuple(zip(columns, self.values, strict=True))


@dataclass(frozen=True)
class Table:
    """Things of one kind."""

    title: str
    anchor: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


Needed: TypeAlias = Sequence[tuple[Step, Sequence[Need]]]
"""Each recipe, as a page leads to it, with what it needs."""


def gear_tables(studio: Studio, needed: Needed = ()) -> tuple[Table, ...]:
    """Everything that can be carried, each thing with the recipes that need it."""
    own = {paint.name: paint for paint in studio.paints}
    tables = [
        _table(title, kind, things, own, needed)
        for title, kind in KINDS.items()
        if (things := things_of(studio, kind))
    ]
    return (*tables, _surface_table(studio, needed))


def _needed(needed: Needed, kind: str, name: str) -> Listing:
    return listing(
        (step, any((need.kind, need.name) == (kind, name) for need in needs)) for step, needs in needed
    )


def _surface_table(studio: Studio, needed: Needed) -> Table:
    """The surfaces that the studio's cards have, with what they do with light."""
    own = {model.name: material_of(model) for model in studio.surfaces}
    names = dict.fromkeys(name for card in studio.cards for name in (*card.surfaces, card.back) if name)
    known: dict[str, Material] = {**USUAL_SURFACES, **own}
    rows = tuple(
        Row(name, tuple(_optics(known[name])), f"{SURFACES}-{number}", _needed(needed, SURFACES, name))
        for number, name in enumerate(names, start=1)
        if name in known
    )
    return Table("Surfaces of cards", "surfaces", ("kind", "returns", "passes", "lobe", "warmth"), rows)


def _optics(material: Material) -> Iterable[Value]:
    known = {"measured": "", "published": "published value", "assumed": "assumed"}[material.provenance]
    none = Value(NONE)
    returns = Value(f"{material.reflectance:.2f}", known)
    if isinstance(material, Metallised):
        lobe = f"roughness {material.roughness:g}, {material.matte_share:.0%} matte".replace("%", " %")
        warmth = Value(f"{material.shift_mired:+.0f} mired", known) if material.shift_mired else none
        return Value("metallised"), returns, none, Value(lobe, known), warmth
    if isinstance(material, Translucent):
        return Value("translucent"), returns, Value(f"{material.transmittance:.2f}", known), none, none
    return Value("matte"), returns, none, none, none


def room_table(studio: Studio) -> Table:
    """The six surfaces with their reflectances."""
    own = {paint.name: paint for paint in studio.paints}
    surfaces = studio.room.surfaces
    names = ("back_wall", "front_wall", "left_wall", "right_wall", "ceiling", "floor")
    measured = surfaces.measured is not None
    rows = []
    for name in names:
        given = getattr(surfaces, name)
        value, known = _reflectance(given, own, measured)
        if studio.calibration is not None and found_in(studio.calibration, _spaced(name), given):
            known = f"measured {studio.calibration.measured.isoformat()}"
        shown = given if isinstance(given, str) else "by number"
        rows.append(Row(_spaced(name), (Value(str(shown)), Value(value, known))))
    return Table("Surfaces", "surfaces", ("paint", "reflectance"), tuple(rows))


def _table(
    title: str, kind: str, things: Sequence[BaseModel], own: dict[str, PaintModel], needed: Needed
) -> Table:
    fields = [name for name in type(things[0]).model_fields if name not in ("name", "measured")]
    used = [name for name in fields if any(_there(getattr(thing, name)) for thing in things)]
    names = [str(thing.name) for thing in things]  # type: ignore[attr-defined]
    rows = tuple(
        Row(name, tuple(_values(thing, used, own)), f"{kind}-{number}", _needed(needed, kind, name))
        for number, (name, thing) in enumerate(zip(names, things, strict=True), start=1)
    )
    return Table(title, title.lower().replace(" ", "-"), tuple(map(_spaced, used)), rows)


def _values(thing: BaseModel, fields: Iterable[str], own: dict[str, PaintModel]) -> Iterable[Value]:
    measured = getattr(thing, "measured", None) is not None
    for name in fields:
        value = getattr(thing, name)
        if name == "reflectance":
            number, known = _reflectance(value, own, measured)
            text = f"{value}, {number}" if isinstance(value, str) else number
            yield Value(text, known)
        elif name == "efficacy":
            used = not getattr(thing, "readings", None) and not getattr(thing, "guide_numbers", None)
            yield Value(str(value) if used else "not used", "assumed" if used else "")
        else:
            yield Value(_written(value) if _there(value) else NONE, _assumed(thing, name))


_ASSUMED = {"half_angle", "passes", "cutoff", "loss", "shift"}
"""Optical values of gear that hold until somebody measures them."""


def _assumed(thing: BaseModel, name: str) -> str:
    if name not in _ASSUMED or not _there(getattr(thing, name)):
        return ""
    return "assumed"


def _reflectance(given: object, own: dict[str, PaintModel], measured: bool) -> tuple[str, str]:
    """The number, and how it is known."""
    if isinstance(given, str):
        if given in own:
            return f"{own[given].reflectance.value:.2f}", "" if own[given].measured else "assumed"
        value, known = _KNOWN.get(given, (None, "assumed"))
        number = f"{value:.3g}" if value is not None else given
        return number, "" if measured else {"published": "published value"}.get(known, known)
    assert isinstance(given, Share)
    return f"{given.value:.3g}", "" if measured else "assumed"


def _there(value: object) -> bool:
    return value not in (None, "", [], (), 0) and getattr(value, "value", None) != 0


def _written(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(_written(part) for part in value)
    if isinstance(value, OutputReading):
        read = f"{value.shaper}: {_mark(value.reads)} at {value.distance}, click {value.click}, {value.iso}"
        return f"{read}, {value.receptor}, {value.masking}" + (
            f", {value.measured}" if value.measured else ""
        )
    if isinstance(value, CalibratedOutput):
        return f"{value.shaper}: {value.guide_number}, ±{value.spread}, measured {value.measured}"
    if isinstance(value, OutputGuideNumber):
        return f"{value.shaper}: {value.guide_number} at {value.iso}"
    if isinstance(value, Size):
        if max(value.first_m, value.second_m) < 0.1:
            return f"{value.first_m * 1000:g} × {value.second_m * 1000:g} mm"
        # each side with its unit: they are read as feet one by one
        return f"{value.first_m * 100:g} cm × {value.second_m * 100:g} cm"
    if isinstance(value, Mass):
        return weighed(value.kg)
    return str(value).replace(" deg", "°")


def _mark(aperture: Aperture) -> str:
    """As a meter shows it: what it adds to a mark is in tenths, or in thirds."""
    added = Fraction(aperture.plus_stops).limit_denominator(10)
    tenths = f"{added * 10}/10" if 10 % added.denominator == 0 else str(added)
    return str(Aperture(aperture.n)) + (f" + {tenths}" if added else "")


def _spaced(name: str) -> str:
    return name.replace("_", " ")
