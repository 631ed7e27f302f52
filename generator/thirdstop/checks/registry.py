"""All checks, in the order in which pages list them, and the one function that runs them."""

from thirdstop.checks import (
    ambient,
    backdrop,
    battery,
    blocker_shadow,
    brim,
    catchlights,
    depth_of_field,
    evenness,
    flash,
    frame_filled,
    glare,
    held,
    in_frame,
    into_lens,
    near_points,
    overhead,
    pattern,
    power,
    ratio,
    room_fit,
    sitter_shadow,
    sitters_in_frame,
    spill,
    statics,
)
from thirdstop.checks.findings import Check, Finding
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Staging

CHECKS: tuple[Check, ...] = (
    statics.CHECK,
    held.CHECK,
    overhead.CHECK,
    flash.CHECK,
    room_fit.CHECK,
    sitters_in_frame.CHECK,
    in_frame.CHECK,
    frame_filled.CHECK,
    into_lens.CHECK,
    power.CHECK,
    battery.CHECK,
    ratio.CHECK,
    spill.CHECK,
    blocker_shadow.CHECK,
    backdrop.CHECK,
    sitter_shadow.CHECK,
    brim.CHECK,
    catchlights.CHECK,
    glare.CHECK,
    pattern.CHECK,
    evenness.CHECK,
    depth_of_field.CHECK,
    ambient.CHECK,
    near_points.CHECK,
)
"""What could hurt someone first, then the picture, the light, the face, the camera."""


def check(staging: Staging, readings: Readings) -> tuple[Finding, ...]:
    """Every finding of every check, in the registry's order."""
    return tuple(finding for one in CHECKS for finding in one.run(staging, readings))
