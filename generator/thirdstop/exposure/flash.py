"""Flash output: guide number, energy and metered readings, and what a click of the trigger does."""

import math
from collections.abc import Sequence

from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.exposure.direct import direct_light
from thirdstop.exposure.emission import face_area_m2, projected_integral_sr
from thirdstop.exposure.receivers import at_points
from thirdstop.exposure.sight import Blockers
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Ellipsoid, Emitter, Panel

_POINT_SAMPLES = 987


def guide_number_of(intensity_cd_s: float, iso: float, constant: float) -> float:
    """GN in metres of a luminous intensity × time: √(I·S/C), from H = I/d² and H = C·N²/S."""
    return math.sqrt(intensity_cd_s * iso / constant)


def intensity_cd_s(guide_number_m: float, iso: float, constant: float) -> float:
    """Luminous intensity × time that a guide number in metres means: C·GN²/S."""
    return constant * guide_number_m**2 / iso


def light_lm_s(energy_j: float, efficacy_lm_s_j: float) -> float:
    """Luminous energy of a flash: watt-seconds × efficacy."""
    return energy_j * efficacy_lm_s_j


def luminance_from_light(emitter: Emitter, light_lm_s: float) -> float:
    """Axial luminance × time in cd·s/m² of a face that sends out this light altogether."""
    area = face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m)
    return light_lm_s / (area * projected_integral_sr(emitter.emission))


def luminance_from_intensity(emitter: Emitter, intensity_cd_s: float) -> float:
    """Axial luminance × time in cd·s/m² of a face with this axial intensity."""
    return intensity_cd_s / face_area_m2(emitter.outline, emitter.half_u_m, emitter.half_v_m)


def luminance_from_reading(
    emitter: Emitter,
    point: MeasuringPoint,
    direct_lx_s: float,
    blockers: Sequence[Panel | Emitter | Ellipsoid] = (),
) -> float:
    """Axial luminance × time in cd·s/m² with which the emitter alone gives this direct exposure at the point.

    Raises ValueError where the point sees nothing of the face.
    """
    now = direct_exposure(emitter, point, blockers)
    if now <= 0:
        raise ValueError(f"'{point.name}' sees nothing of '{emitter.name}'")
    return emitter.luminance_cd_s_m2 * direct_lx_s / now


def direct_exposure(
    emitter: Emitter, point: MeasuringPoint, blockers: Sequence[Panel | Emitter | Ellipsoid] = ()
) -> float:
    """Direct luminous exposure in lx·s at the point for the emitter's luminance at full power, no room.

    Blockers stand in the way and return nothing; a net passes its `straight` share.
    """
    flats = tuple(b for b in blockers if not isinstance(b, Ellipsoid))
    solids = tuple(b for b in blockers if isinstance(b, Ellipsoid))
    all_blockers = Blockers((*flats, emitter), solids)
    return float(direct_light(emitter, all_blockers, at_points((point,), all_blockers), _POINT_SAMPLES)[0])


def power_of_click(click: float, clicks: int) -> float:
    """Share of full power at a click: the last click is full, each one below a third of a stop less."""
    return float(2.0 ** (-(clicks - click) / CLICKS_PER_STOP))


def click_of_power(power: float, clicks: int) -> float:
    """The click, not rounded, that gives a share of full power; may lie outside 1..clicks."""
    return clicks + CLICKS_PER_STOP * math.log2(power)
