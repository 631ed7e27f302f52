"""Whether the ratio comes within its tolerance of the target."""

import math

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.wording import minus, stops, tolerance
from thirdstop.exposure.readings import RatioReading, Readings
from thirdstop.exposure.stops import ratio_text
from thirdstop.staging.staging import Staging

_WORDS = {"lit to shadow": "lit : shadow", "key to fill": "key : fill"}


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding: the ratio against the target, in stops."""
    target, found = staging.target, readings.ratio
    said = _said(found)
    if target.ratio is None:
        text = f"The ratio is {said}; the recipe sets no target, so there is no limit to meet."
        return [Finding("ratio", "pass", "recipe", text)]
    off = found.stops - math.log2(target.ratio)
    margin = target.within_stops - abs(off)
    text = (
        f"The ratio is {said}; wanted {ratio_text(target.ratio)} within {tolerance(target.within_stops)}: "
        f"{_off(off)}."
    )
    if found.band_stops > target.within_stops:
        text += f" The band of ±{stops(found.band_stops)} is wider than that: let the meter decide."
    if margin >= -1e-9:
        return [Finding("ratio", "pass", "recipe", text, "", margin, target.within_stops, "stops")]
    remedy = _remedy(off, any(item.kind == "card" for item in staging.items))
    return [Finding("ratio", "look", "recipe", text, remedy, margin, target.within_stops, "stops")]


def _said(found: RatioReading) -> str:
    return (
        f"{ratio_text(found.ratio)} {_WORDS[found.convention]} ({found.lit_point} to {found.shadow_point}, "
        f"{stops(found.stops)} apart, ±{stops(found.band_stops)})"
    )


def _off(off: float) -> str:
    if abs(off) < 0.05:
        return "it is on the mark"
    return f"{minus(abs(off), 1)} stop too {'high' if off > 0 else 'low'}"


def _remedy(off: float, has_card: bool) -> str:
    if not has_card:
        side, panel = ("Lift", "white card") if off > 0 else ("Lower", "black panel")
        return (
            f"{side} the shadow side: set a {panel} across from the key, near the face and out of the "
            "picture; once the recipe has it, 'place' finds how far."
        )
    if off > 0:
        return (
            "Lift the shadow side: aim the card again between lamp and cheek, then bring it nearer, or use a "
            "brighter surface; 'place' finds how far."
        )
    return (
        "Lower the shadow side: take the card away from the face, use a darker surface, or set a black panel "
        "there; 'place' finds how far."
    )


CHECK = Check(
    "ratio",
    "Ratio as wanted",
    run,
    "The computed ratio against the recipe's target, both in the recipe's convention, compared in stops and "
    "with the recipe's own tolerance. Where the computed band is wider than the tolerance the sentence says "
    "so: then only the meter can tell.",
)
