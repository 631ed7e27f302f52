"""What was found, in the units of the studio file: guide numbers, shares, constants, degrees."""

from dataclasses import dataclass

from thirdstop.book.quantities import Angle, GuideNumber, Stops
from thirdstop.book.studio import Studio
from thirdstop.calibrating.calibrate import SAYS_NOTHING, Calibration, Found
from thirdstop.calibrating.setups import StagedSetup
from thirdstop.exposure.emission import face_area_m2
from thirdstop.exposure.flash import guide_number_of
from thirdstop.staging.lamps import GUIDE_NUMBER_ISO

NOT_KEPT = ("click", "sitter")
"""Kinds that the studio file has no place for: they are told, and kept nowhere."""

LEVELS = ("output", "flat receptor", "dome")


@dataclass(frozen=True)
class Kept:
    """One thing that goes into the studio file."""

    found: Found
    value: str
    """As it is written there: '0.777', '31.4 m', '331'."""


def kept(calibration: Calibration, studio: Studio) -> tuple[Kept, ...]:
    """Everything that the readings told and that has a place in the studio file, in order.

    Outputs and the meter go together, since only their sum is read.
    """
    return tuple(
        Kept(found, value_text(found, calibration, studio))
        for found in calibration.found
        if found.bears
        and found.quantity.kind not in NOT_KEPT
        and (found.told >= SAYS_NOTHING or found.quantity.kind in LEVELS)
    )


def value_text(found: Found, calibration: Calibration, studio: Studio) -> str:
    """A value as it stands in the studio file."""
    quantity = found.quantity
    if quantity.kind == "output":
        return str(guide_number(quantity.about, found.x, calibration, studio))
    if quantity.kind in ("flat receptor", "dome"):
        return str(constants(calibration, studio)[0 if quantity.kind == "flat receptor" else 1])
    if quantity.kind == "grid loss":
        loss = next(grid.loss.value for grid in studio.grids if grid.name == quantity.about)
        return str(Stops(round(max(0.0, loss + found.x), 2)))
    if quantity.kind in ("half-angle", "cut-off"):
        return str(Angle(round(min(85.0, found.value), 1)))
    return f"{found.value:.3f}".rstrip("0")


def constants(calibration: Calibration, studio: Studio) -> tuple[int, int]:
    """Flat and dome constants at which the meter agrees with the readings: low where it reads high."""
    by_kind = {found.quantity.kind: found.x for found in calibration.found}
    flat = by_kind.get("flat receptor", 0.0)
    dome = by_kind.get("dome", 0.0)
    return round(studio.meter.flat_constant * 2.0**-flat), round(studio.meter.dome_constant * 2.0**-dome)


def guide_number(output: str, x: float, calibration: Calibration, studio: Studio) -> GuideNumber:
    """Guide number in metres of a lamp with a shaper, at full power, for the flat constant as found.

    GN² = I·S/C with the axial intensity × time I = luminance × area of the face.
    """
    setup, index = _lit_by(output, calibration)
    emitter, lamp = setup.scene.emitters[index], setup.lamps[index]
    luminance = emitter.luminance_cd_s_m2 * 2.0 ** (lamp.axial_loss_stops + x)
    intensity = luminance * face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m)
    constant = constants(calibration, studio)[0]
    return GuideNumber(round(guide_number_of(intensity, GUIDE_NUMBER_ISO, constant), 2))


def _lit_by(output: str, calibration: Calibration) -> tuple[StagedSetup, int]:
    for setup in calibration.setups:
        if output in setup.outputs:
            return setup, setup.outputs.index(output)
    raise KeyError(output)
