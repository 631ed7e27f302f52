"""Cautions of a rig in the few words that fit on a set-up card; the recipe's page has them in full."""

from thirdstop.checks.battery import fastest_rhythm_s, flashes_left
from thirdstop.checks.cautions import cautions, has_shiny, may_be, needs_lifting, needs_steps
from thirdstop.checks.overhead import is_child
from thirdstop.checks.places import lamp_place
from thirdstop.exposure.readings import LampReading
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.staging.staging import Item, Staging, Support

DEFER = "Static estimates; the maker’s rating, local codes and licensed practice come first."


def in_full(evaluated: Evaluated) -> tuple[str, ...]:
    """Every caution of this rig, most urgent first."""
    *lines, defer = cautions(evaluated.staging)
    return tuple(map(figures.together, [*lines, *_charges(evaluated), defer]))


def short(evaluated: Evaluated) -> str:
    """The same ground in one paragraph."""
    staging = evaluated.staging
    held = [(item, item.support) for item in staging.items if item.support is not None]
    lines = [*_people(staging), *_stands(held), *_booms(held), *_handling(evaluated), *_power(staging)]
    return " ".join([*lines, DEFER])


def _people(staging: Staging) -> list[str]:
    lines = [
        "Agree on a stop word. Ask about flashing light, migraine, seizures; one flash a second at most.",
    ]
    if any(is_child(sitter) for sitter in staging.sitters):
        lines.append("Child: a carer stays, no stand, lead or bag within reach, no boom overhead.")
    return lines


def _stands(held: list[tuple[Item, Support]]) -> list[str]:
    if not held:
        return []
    return ["Legs fully spread, one under the load; bags on first, clear of the floor."]


def _booms(held: list[tuple[Item, Support]]) -> list[str]:
    if not any(support.boom for _, support in held):
        return []
    return [
        "Balance the boom before raising it; a rated safety line before anyone sits; nobody under it as it "
        "moves.",
    ]


def _handling(evaluated: Evaluated) -> list[str]:
    """Lifting, reaching up, sun, batteries, mains: each only where the rig has it."""
    staging = evaluated.staging
    least = min((flashes for _, flashes in _flashes(evaluated)), default=None)
    charge = f" (a charge: about {least} flashes)" if least is not None else ""
    words = [
        "lift bags close" if needs_lifting(staging) else "",
        "hold steps" if needs_steps(staging) else "",
        "shiny sides out of the sun" if has_shiny(staging) else "",
        "mains earthed, with an RCD" if any(may_be(lamp, "mains") for lamp in staging.lamps) else "",
        f"hot batteries out{charge}" if any(may_be(lamp, "battery") for lamp in staging.lamps) else "",
    ]
    said = "; ".join(word for word in words if word)
    return [f"{said[0].upper()}{said[1:]}."] if said else []


def _flashes(evaluated: Evaluated) -> list[tuple[LampReading, int]]:
    """Each lamp on a battery whose pops are stated, with its flashes from one charge at its click."""
    found = []
    for reading in evaluated.readings.lamps:
        flashes = flashes_left(lamp_place(evaluated.staging, reading.emitter), reading)
        if flashes is not None:
            found.append((reading, flashes))
    return found


def _charges(evaluated: Evaluated) -> list[str]:
    rhythm_s = fastest_rhythm_s(evaluated.staging, evaluated.readings)
    lines = [
        f"A charge of '{lamp.emitter}' gives about {flashes} flashes at click {lamp.click}."
        for lamp, flashes in _flashes(evaluated)
    ]
    if rhythm_s is not None:
        lines.append(f"At these clicks the fastest rhythm is one flash in {rhythm_s:.1f} s.")
    return lines


def _power(staging: Staging) -> list[str]:
    lines = ["Lamp off and cool before its shaper is changed; nobody looks into one."]
    if any(lamp.modelling for lamp in staging.lamps):
        lines.append("The modelling lamp is hot: nothing draped over it.")
    return [*lines, "Leads taped; the way out free."]
