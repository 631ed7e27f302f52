"""Whether the backdrop gets the light, or the tone, that the recipe wants."""

import math

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.places import backdrop_point, background
from thirdstop.checks.wording import stops, tolerance
from thirdstop.constants import MID_GREY_REFLECTANCE
from thirdstop.exposure.readings import Readings
from thirdstop.staging.materials import Material
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Staging


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """Light and tone of the backdrop behind the head against what is wanted of either."""
    point = backdrop_point(staging)
    if point is None or point not in readings.readings:
        return []
    light, band = readings[point].stops_from_key, readings[point].band_from_key_stops
    tone = tone_stops(light, facing_reflectance(staging, background(staging)))
    target = staging.target
    found = []
    if target.backdrop_light_stops is not None:
        found.append(_against("light", light, target.backdrop_light_stops, target.within_stops, band))
    if target.backdrop_tone_stops is not None:
        found.append(_against("tone", tone, target.backdrop_tone_stops, target.within_stops, band))
    return found or [_note(light, tone)]


def tone_stops(light_stops: float, reflectance: float) -> float:
    """Tone in stops from mid-grey: the light's difference from the key plus log2(reflectance / 0.18)."""
    return light_stops + math.log2(max(reflectance, 1e-6) / MID_GREY_REFLECTANCE)


def facing_reflectance(staging: Staging, panel: Panel) -> float:
    """Reflectance of the side of the backdrop that looks at the camera."""
    to_lens = staging.camera.lens_m - panel.centre_m
    material: Material = panel.front if float(panel.normal @ to_lens) >= 0 else panel.back
    return material.reflectance


_FROM = {"light": "from the key reading", "tone": "from mid-grey"}


def _against(what: str, value: float, wanted: float, within: float, band: float) -> Finding:
    off = value - wanted
    margin = within - abs(off)
    near = ", which it misses by less than 0.1 stop" if -0.1 < margin < -1e-9 else ""
    text = (
        f"The backdrop's {what} is {stops(value, True)} {_FROM[what]} (±{stops(band)}); wanted "
        f"{stops(wanted, True)} within {tolerance(within)}{near}."
    )
    if margin >= -1e-9:
        return Finding("backdrop", "pass", f"backdrop {what}", text, "", margin, within, "stops")
    if off > 0:
        remedy = (
            "Darken it: take the sitter and the key farther from it, or keep the key's spill off it with a "
            "blocker."
        )
    else:
        remedy = (
            "Brighten it: bring the sitter and the key nearer to it, use a lighter sheet, or give it a lamp "
            "of its own."
        )
    return Finding("backdrop", "look", f"backdrop {what}", text, remedy, margin, within, "stops")


def _note(light: float, tone: float) -> Finding:
    text = (
        f"The backdrop gets {stops(light, True)} of light {_FROM['light']} and shows as {stops(tone, True)} "
        f"{_FROM['tone']}; the recipe sets no target, so there is no limit to meet."
    )
    return Finding("backdrop", "pass", "backdrop", text)


CHECK = Check(
    "backdrop",
    "Backdrop light and tone",
    run,
    "Light is what arrives behind the head, in stops from the key reading. Tone is how the sheet shows: that "
    "difference plus log2 of the sheet's reflectance over 0.18, the grey card. Each is compared with the "
    "recipe's target by the recipe's tolerance. The sheet is taken as matte, and the reading as the middle "
    "of what the picture shows of it.",
)
