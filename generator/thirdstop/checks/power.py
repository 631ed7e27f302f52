"""Whether each lamp's click is in its range, and what to do when it isn't."""

import math

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.places import emitter, lamp_place
from thirdstop.checks.wording import length, minus, stops
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.emission import face_area_m2
from thirdstop.exposure.readings import LampReading, Readings
from thirdstop.exposure.stops import aperture_value, f_number_of, third_mark
from thirdstop.staging.staging import Item, Staging

NEAREST_FACE_M = 0.5
"""A lamp is not sent nearer to a face than this to gain light."""
_DENSITY_PER_STOP = math.log10(2.0)


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a lamp: its click against 1 and the last one."""
    return [_click(staging, reading) for reading in readings.lamps]


def _click(staging: Staging, reading: LampReading) -> Finding:
    name, last = reading.emitter, reading.clicks
    missing = (reading.exact_click - last) / CLICKS_PER_STOP
    spare = (1 - reading.exact_click) / CLICKS_PER_STOP
    margin = min(last - reading.click, reading.click - 1)
    if reading.click > last:
        text = (
            f"'{name}' would need click {reading.click} and has {last}: {stops(missing)} short at full power."
        )
        return Finding(
            "power", "look", name, text, _more_light(staging, name, missing), margin, 0.0, "clicks"
        )
    if reading.click < 1:
        text = (
            f"'{name}' is too bright at click 1, its lowest: {stops(spare)} over, "
            f"as if it needed click {minus(reading.click)}."
        )
        return Finding("power", "look", name, text, _less_light(staging, name, spare), margin, 0.0, "clicks")
    how = "Found here" if reading.predicted else "As the recipe states it"
    shown = f", shown as {reading.shown}" if reading.shown else ""
    text = (
        f"'{name}' stands at click {reading.click} of {last}{shown}: {reading.click - 1} clicks "
        f"over its lowest and {last - reading.click} under full power. {how}."
    )
    return Finding("power", "pass", name, text, "", margin, 0.0, "clicks")


def _more_light(staging: Staging, name: str, missing: float) -> str:
    iso = staging.meter.iso * 2.0 ** math.ceil(missing - 1e-9)
    # the mark that is open enough, not the nearest
    thirds = math.floor(3 * (aperture_value(staging.meter.aperture) - missing) + 1e-9)
    aperture = third_mark(f_number_of(thirds / 3))
    ways = f"Raise the ISO to {minus(iso)}, or open the aperture to {aperture}"
    nearer_m = distance_for_m(staging, name, missing)
    if _lights_a_face(staging, name) and nearer_m is not None and nearer_m >= NEAREST_FACE_M:
        ways += (
            f", or bring the lamp to a string of about {length(nearer_m)} (which changes the ratio and how "
            "the light falls off)"
        )
    return ways + "; then meter again."


def _less_light(staging: Staging, name: str, spare: float) -> str:
    whole = math.ceil(spare - 1e-9)
    density = minus(_DENSITY_PER_STOP * whole, 1)
    thirds = math.ceil(3 * (aperture_value(staging.meter.aperture) + spare) - 1e-9)
    aperture = third_mark(f_number_of(thirds / 3))
    ways = (
        f"Put a neutral filter of {stops(whole)} (density {density}) on the lens, which takes all lights "
        f"alike, or close the aperture to {aperture}"
    )
    farther_m = distance_for_m(staging, name, -spare)
    if _lights_a_face(staging, name) and farther_m is not None:
        ways += f", or take the lamp back to a string of about {length(farther_m)} if the room allows"
    return ways + "; then meter again."


def distance_for_m(staging: Staging, name: str, more_stops: float) -> float | None:
    """The string at which a lamp gives so many stops more at the nose; None where no distance does.

    On the axis of an even disc E goes as 1/(r² + d²), r the disc of the same area (Howell, A Catalog of
    Radiation Heat Transfer Configuration Factors, B-12); so r² + d² changes by 2 to the power of the stops.
    """
    face = emitter(staging, name)
    string_m = staging.item(name).string_m
    radius2 = face_area_m2(face.outline, face.half_u_m, face.half_v_m) / math.pi
    square = (radius2 + string_m**2) * 2.0**-more_stops - radius2
    return math.sqrt(square) if square > 0 else None


def _lights_a_face(staging: Staging, name: str) -> bool:
    item: Item = staging.item(name)
    return lamp_place(staging, name).role in ("key", "", "accent") and item.string_from == "nose"


CHECK = Check(
    "power",
    "Power in range",
    run,
    "The click that gives the aperture (or that the recipe states) must lie between 1 and the lamp's last. "
    "Out of range, the remedy gives an ISO, an aperture, a neutral filter for the lens, and the string that "
    "would do it: an estimate on the axis of an even disc of the face's area, not by inverse square. A "
    "string under 50 cm is never suggested. A click is a third of a stop.",
)
