"""Whether the room's own light shows in the picture."""

import math

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.wording import minus, stops
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import third_mark
from thirdstop.staging.staging import Staging

UNDER_STOPS = 6.0
"""House limit: a frame without flash stays this far under the key reading, 1/64 of it."""
SYNC_S = 1 / 200
"""The shortest shutter time that the remedy counts on for flash (usual: 1/125 to 1/250 s)."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding: how far the room's light is under the key reading at this shutter."""
    under = readings.ambient_stops_under
    if under is None:
        text = f"The room's own light is not stated; {stops(UNDER_STOPS)} under the key reading is wanted."
        remedy = (
            "Take one frame at these settings with the flash off: it should be black. Or state the room's "
            "light in lux in the studio file."
        )
        return [Finding("ambient", "look", "recipe", text, remedy, None, UNDER_STOPS, "stops")]
    margin = under - UNDER_STOPS
    text = (
        f"The room's own light{_lux(staging)} is {stops(under)} under the key reading at "
        f"{_shutter(staging.meter.shutter_s)}; at least {stops(UNDER_STOPS)} is wanted."
    )
    if margin >= 0:
        return [Finding("ambient", "pass", "recipe", text, "", margin, UNDER_STOPS, "stops")]
    return [
        Finding("ambient", "look", "recipe", text, _remedy(staging, -margin), margin, UNDER_STOPS, "stops")
    ]


def _lux(staging: Staging) -> str:
    lux = staging.meter.ambient_lux
    return f", {lux:.0f} lux," if lux is not None else ""


def _remedy(staging: Staging, missing: float) -> str:
    shutter = staging.meter.shutter_s
    by_shutter = math.log2(shutter / SYNC_S)
    ways = [f"dim the room's lamps to {minus(100 * 2.0**-missing)} % of what they give now"]
    if by_shutter >= missing - 1e-9:
        ways.insert(0, f"set the shutter to {_shutter(SYNC_S)}, if it syncs there")
    aperture = third_mark(staging.meter.aperture * 2.0 ** (missing / 2))
    ways.append(f"close the aperture to {aperture} and turn the lamps up by as much")
    text = ", or ".join(ways)
    return f"{text[0].upper()}{text[1:]}. Switch modelling lamps off for the frame."


def _shutter(shutter_s: float) -> str:
    return f"1/{round(1 / shutter_s)} s" if shutter_s < 0.5 else f"{minus(shutter_s, 1)} s"


CHECK = Check(
    "ambient",
    "Room light in the picture",
    run,
    "The room's own lamps add light for as long as the shutter is open, the flash does not. At least 6 stops "
    "under the key reading is wanted, 1/64 of it: then a frame without flash is black. The room's light is "
    "one figure in lux at the sitter from the studio file; where it is not stated the check says how to find "
    "out.",
)
