"""How soon each lamp is ready again at its click, and how many flashes one charge gives there.

A flash is taken to use the energy of its click, and the charger to give energy at one rate: both then go as
the power of the click, from what the studio file states for a full pop; a third of a stop less is 0.794.
Under a quarter of full power neither is reckoned to get any better: what else the lamp uses is not known.
"""

import math

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.places import lamp_place
from thirdstop.checks.wording import listed, minus
from thirdstop.exposure.flash import power_of_click
from thirdstop.exposure.readings import LampReading, Readings
from thirdstop.staging.staging import LampPlace, Staging

LEAST_INTERVAL_S = 1.0
"""Never faster than this, whatever the lamp can do: the flash check's house limit."""
LEAST_SHARE = 0.25
"""Of a full pop: no flash is reckoned to take less, for what standing ready takes besides (house value)."""
_SLACK = 1e-9


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """For each lamp how soon it is ready, and for each on a battery how long the charge lasts.

    What the studio file doesn't state of a kind of lamp is said once for all of them.
    """
    found = []
    for reading in readings.lamps:
        lamp = lamp_place(staging, reading.emitter)
        alike = [one.emitter for one in staging.lamps if one.lamp == lamp.lamp]
        first = alike[0] == reading.emitter
        if first or lamp.recycle_s is not None:
            found.append(_recycle(staging, reading, lamp, alike))
        if lamp.mains is not True and (first or lamp.pops is not None):
            found.append(_charge(staging, reading, lamp, alike))
    return found


def share_of_full(reading: LampReading) -> float:
    """What a flash at the lamp's click takes of a full one, a quarter at least; 1 beyond the last click."""
    return max(LEAST_SHARE, power_of_click(min(reading.click, reading.clicks), reading.clicks))


def ready_again_s(lamp: LampPlace, reading: LampReading) -> float | None:
    """Seconds from a flash at this click to the next one; None where the recycle time is not stated."""
    return None if lamp.recycle_s is None else lamp.recycle_s * share_of_full(reading)


def flashes_left(lamp: LampPlace, reading: LampReading) -> int | None:
    """Flashes at this click from one charge, rounded down to tens; None where the pops are not stated."""
    if lamp.pops is None:
        return None
    flashes = lamp.pops / share_of_full(reading)
    return math.floor(flashes / 10 + _SLACK) * 10 if flashes >= 10 else math.floor(flashes + _SLACK)


def fastest_rhythm_s(staging: Staging, readings: Readings) -> float | None:
    """The shortest time between two flashes that every lamp and the house allow, rounded up to 0.1 s.

    None where a lamp's recycle time is not stated.
    """
    times = [ready_again_s(lamp_place(staging, one.emitter), one) for one in readings.lamps]
    known = [time for time in times if time is not None]
    if len(known) < len(times):
        return None
    return tenth_up(max([*known, staging.fastest_s, LEAST_INTERVAL_S]))


def tenth_up(time_s: float) -> float:
    """Rounded up to a tenth of a second."""
    return math.ceil(time_s * 10 - _SLACK) / 10


def _recycle(staging: Staging, reading: LampReading, lamp: LampPlace, alike: list[str]) -> Finding:
    about, wanted = f"{reading.emitter}: recycle", max(staging.fastest_s, LEAST_INTERVAL_S)
    ready = ready_again_s(lamp, reading)
    if ready is None:
        text = (
            f"How long '{lamp.lamp}'{_which(alike)} takes to be ready again is not stated; "
            f"{_seconds(wanted)} between two flashes is the house's least."
        )
        remedy = "Wait for its ready light; or state 'recycle' of the lamp in the studio file."
        return Finding("battery", "look", f"{listed(alike)}: recycle", text, remedy, None, wanted, "s")
    text = (
        f"At click {reading.click} '{reading.emitter}' is ready again {_seconds(tenth_up(ready))} after a "
        f"flash; the house fires no faster than one in {_seconds(wanted)}."
    )
    margin = math.floor((wanted - ready) * 100 + _SLACK) / 100
    if ready <= wanted + _SLACK:
        return Finding("battery", "pass", about, text, "", margin, wanted, "s")
    remedy = (
        f"Leave {_seconds(tenth_up(ready))} between two flashes: a frame before the lamp is ready is dark. "
        "A wider aperture or a higher ISO by a stop halves it."
    )
    return Finding("battery", "look", about, text, remedy, margin, wanted, "s")


def _charge(staging: Staging, reading: LampReading, lamp: LampPlace, alike: list[str]) -> Finding:
    about, wanted = f"{reading.emitter}: charge", staging.frames
    flashes = flashes_left(lamp, reading)
    if flashes is None:
        text = (
            f"How many full pops a charge of '{lamp.lamp}'{_which(alike)} gives is not stated; {wanted} "
            "frames are reckoned for one session."
        )
        remedy = f"Keep {_spares(alike)} at hand; or state 'pops' of the lamp in the studio file."
        about = f"{listed(alike)}: charge"
        return Finding("battery", "look", about, text, remedy, None, float(wanted), "flashes")
    text = (
        f"A full charge gives '{reading.emitter}' about {flashes} flashes at click {reading.click}; {wanted} "
        f"frames are reckoned for one session.{_modelling(lamp)}"
    )
    margin = float(flashes - wanted)
    if flashes >= wanted:
        return Finding("battery", "pass", about, text, "", margin, float(wanted), "flashes")
    remedy = (
        f"Have {minus(math.ceil(wanted / max(flashes, 1)) - 1)} charged spare at hand for each {wanted} "
        "frames, and change it with the lamp off; or open the aperture or raise the ISO."
    )
    return Finding("battery", "look", about, text, remedy, margin, float(wanted), "flashes")


def _which(alike: list[str]) -> str:
    """Which lamps of a kind are meant, where there are several."""
    names = [f"'{name}'" for name in alike]
    return f" ({listed(names)})" if len(names) > 1 else ""


def _spares(alike: list[str]) -> str:
    return "a charged spare" if len(alike) == 1 else "a charged spare for each"


def _modelling(lamp: LampPlace) -> str:
    return " Its modelling lamp takes of the same charge, and is not counted." if lamp.modelling else ""


def _seconds(time_s: float) -> str:
    return f"{minus(time_s, 1)} s"


CHECK = Check(
    "battery",
    "Recycle and battery",
    run,
    "A flash is taken to use the energy of its click, and the charger to work at one rate: so the time to "
    "be ready again is the studio file's 'recycle' times the power of the click, and a charge gives 'pops' "
    "over that power (a third of a stop less is 0.794 of it). Under a quarter of full power neither is "
    "reckoned to get any better, since standing ready takes charge too: a house value. Both hold for a "
    "warm, healthy battery; an old or cold one gives less. The flashes should cover the frames that the "
    "house reckons for a session (300 unless stated: a house figure), and the lamp should be ready within "
    "the house's shortest time between two flashes, which is never under one second.",
)
