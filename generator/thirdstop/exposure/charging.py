"""From what is known of each lamp's output to the luminance of its face."""

from dataclasses import replace

from thirdstop.exposure.flash import (
    intensity_cd_s,
    light_lm_s,
    luminance_from_intensity,
    luminance_from_light,
    luminance_from_reading,
    power_of_click,
)
from thirdstop.exposure.stops import luminous_exposure
from thirdstop.exposure.transport import solve
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Emitter
from thirdstop.staging.staging import (
    EnergyOutput,
    GuideNumberOutput,
    LampPlace,
    MeteredOutput,
    MeterPlace,
    Staging,
)


def charge(staging: Staging) -> Staging:
    """The same staging with every emitter's luminance × time at full power set from its lamp's known output.

    A reading taken in the open room is first freed of what that room gave: the bare room is solved with the
    same face, and the direct share of its reading is what the lamp itself gave.
    """
    emitters = tuple(
        replace(emitter, luminance_cd_s_m2=full_luminance(emitter, lamp, staging.meter))
        for emitter, lamp in zip(staging.scene.emitters, staging.lamps, strict=True)
    )
    return replace(staging, scene=replace(staging.scene, emitters=emitters))


def full_luminance(emitter: Emitter, lamp: LampPlace, meter: MeterPlace) -> float:
    """Luminance × time along the normal at full power, cd·s/m², less what a grid and a gel take."""
    bare = replace(emitter, emission=lamp.bare_emission, luminance_cd_s_m2=1.0)
    return _bare_luminance(bare, lamp, meter) * float(2.0**-lamp.axial_loss_stops)


def _bare_luminance(bare: Emitter, lamp: LampPlace, meter: MeterPlace) -> float:
    output = lamp.output
    if isinstance(output, EnergyOutput):
        light = light_lm_s(output.energy_j, output.efficacy_lm_s_j) * output.passes
        return luminance_from_light(bare, light)
    if isinstance(output, GuideNumberOutput):
        intensity = intensity_cd_s(output.guide_number_m, output.iso, meter.constant_flat)
        return luminance_from_intensity(bare, intensity)
    return _metered_luminance(bare, output, lamp, meter)


def _metered_luminance(bare: Emitter, output: MeteredOutput, lamp: LampPlace, meter: MeterPlace) -> float:
    constant = meter.constant_flat if output.receptor == "flat" else meter.constant_dome
    shown_lx_s = luminous_exposure(output.f_number, output.iso, constant)
    exposure_lx_s = shown_lx_s / power_of_click(output.click, lamp.clicks)
    if output.room is not None:
        transport = solve(output.room)
        exposure_lx_s *= float(transport.direct_lx_s[0, 0] / transport.total_lx_s[0, 0])
    place_m = bare.centre_m + output.distance_m * bare.normal
    on_axis = MeasuringPoint("on the axis", place_m, -bare.normal, output.receptor)
    return luminance_from_reading(bare, on_axis, exposure_lx_s)
