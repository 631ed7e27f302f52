"""Cautions of a rig in the few words that fit on a set-up card; the recipe's page has them in full."""

from thirdstop.checks.cautions import cautions
from thirdstop.checks.overhead import is_child
from thirdstop.checks.statics import required_bag_kg
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.staging.staging import Item, Staging, Support

DEFER = "Static estimates; the maker’s rating, local codes and licensed practice come first."


def in_full(evaluated: Evaluated) -> tuple[str, ...]:
    """Every caution of this rig, most urgent first."""
    return tuple(map(figures.together, cautions(evaluated.staging)))


def short(evaluated: Evaluated) -> str:
    """The same ground in one paragraph."""
    staging = evaluated.staging
    held = [(item, item.support) for item in staging.items if item.support is not None]
    return " ".join([*_people(staging), *_stands(held), *_booms(held), *_power(staging), DEFER])


def _people(staging: Staging) -> list[str]:
    lines = [
        "Agree on the stop word. Ask about flashing light, migraine, seizures; one flash a second at most.",
    ]
    if any(is_child(sitter) for sitter in staging.sitters):
        lines.append("Child: a carer stays, no stand, lead or bag within reach, no boom overhead.")
    return lines


def _stands(held: list[tuple[Item, Support]]) -> list[str]:
    if not held:
        return []
    short = [
        f"{item.name} {figures.kilograms(required_bag_kg(support))}"
        for item, support in held
        if required_bag_kg(support) > support.bag_mass_kg
    ]
    lines = [
        "Legs fully spread, one under the load; bags on the column, clear of the floor, before the load "
        "goes up."
    ]
    if short:
        lines.append(f"At least, instead of what the table says: {', '.join(short)}.")
    return lines


def _booms(held: list[tuple[Item, Support]]) -> list[str]:
    if not any(support.boom for _, support in held):
        return []
    return [
        "Balance the boom before raising it; a rated safety line before anyone sits; nobody under it as it "
        "moves.",
    ]


def _power(staging: Staging) -> list[str]:
    lines = ["Lamp off and cool before a shaper is changed; nobody looks into one from close by."]
    if any(lamp.modelling for lamp in staging.lamps):
        lines.append("The modelling lamp is hot: nothing draped over it.")
    return [*lines, "Leads taped, the walkway to the door free."]
