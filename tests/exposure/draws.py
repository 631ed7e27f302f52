"""Sets as they may really be built: every tolerance drawn from its stated distribution, seeded.

A draw changes all causes at once and goes through the engine whole, so it knows nothing of how bands combine.
"""

from dataclasses import dataclass

import numpy as np

from thirdstop.exposure import perturbed
from thirdstop.exposure.deviations import Deviation, deviations
from thirdstop.exposure.meter import levels, powers_at, ratio_points, read
from thirdstop.exposure.predict import variations
from thirdstop.exposure.quality import Quality
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.spreads import NINE_IN_TEN, Spread, even
from thirdstop.exposure.transport import solve
from thirdstop.exposure.uncertainty import TOLERANCES
from thirdstop.staging.staging import MeteredOutput, Scene, Staging
from thirdstop.typed import Array


@dataclass(frozen=True, eq=False)
class Coverage:
    """Shares of draws that lay within the band that was stated for them."""

    key: float
    reading: Array
    """Shape (p,)."""
    from_key: Array
    """Shape (p,)."""
    ratio: float
    stated: Readings


def drawn(spread: Spread, rng: np.random.Generator, size: int) -> Array:
    """Values of a distribution, shape (size,)."""
    if spread.shape == "normal":
        return rng.normal(0.0, spread.half_width / NINE_IN_TEN, size)
    return rng.uniform(-spread.half_width, spread.half_width, size)


def built(scene: Scene, causes: list[Deviation], rng: np.random.Generator) -> Scene:
    """The scene with every deviation drawn; how the meter is held is drawn for each point by itself."""
    held = [one for one in causes if one.apart]
    for one in causes:
        if not one.apart:
            scene = one.applied(scene, float(drawn(one.spread, rng, 1)[0]))
    for axis, one in enumerate(held):
        scene = perturbed.receptors_turned(scene, axis, drawn(one.spread, rng, len(scene.points)))
    return scene


def shown(
    staging: Staging, scene: Scene, clicks: list[int], quality: Quality, rng: np.random.Generator
) -> Array:
    """What the meter shows in stops, shape (p,): outputs, calibration, computation and rounding drawn too.

    Where a reading lies between two of the meter's steps is as good as drawn.
    """
    transport = solve(scene, quality)
    calibration = {r: float(drawn(TOLERANCES.calibration_stops, rng, 1)[0]) for r in ("dome", "flat")}
    powers = powers_at(staging, transport, [float(click) for click in clicks])
    for lamp in staging.lamps:
        off = rng.normal(0.0, lamp.output_spread_stops / NINE_IN_TEN)
        if isinstance(lamp.output, MeteredOutput):
            off -= calibration[lamp.output.receptor]
        powers[transport.emitters.index(lamp.emitter)] *= 2.0**off
    light = np.log2(levels(transport, powers).total_lx_s)
    light += drawn(TOLERANCES.computation_stops, rng, len(light))
    light += [calibration[p.receptor] for p in scene.points]
    constants = [staging.meter.constant_dome if p.receptor == "dome" else 250.0 for p in scene.points]
    marks = light + np.log2(staging.meter.iso / np.array(constants))
    return np.asarray(marks + drawn(even(staging.meter.step_stops / 2), rng, len(light)))


def coverage(staging: Staging, quality: Quality, draws: int, seed: int) -> Coverage:
    """How often the bands of a charged staging hold what is drawn."""
    rng = np.random.default_rng(seed)
    nominal = solve(staging.scene, quality)
    stated = read(staging, nominal, variations(staging, quality))
    clicks = [lamp.click for lamp in stated.lamps]
    lit, shadow = ratio_points(staging, nominal, levels(nominal, powers_at(staging, nominal, clicks)))
    causes = deviations(staging)
    got = np.array(
        [shown(staging, built(staging.scene, causes, rng), clicks, quality, rng) for _ in range(draws)]
    )
    readings = list(stated.readings.values())
    expected = np.array([2.0 * np.log2(r.f_number) for r in readings])
    key = nominal.points.index(stated.key_point)
    off = got - expected
    inside = np.abs(off) <= [r.band_stops for r in readings]
    apart = np.abs(off - off[:, [key]]) <= np.array([r.band_from_key_stops for r in readings]) + 1e-9
    ratio = np.abs(off[:, lit] - off[:, shadow]) <= stated.ratio.band_stops
    return Coverage(
        float(inside[:, key].mean()), inside.mean(axis=0), apart.mean(axis=0), float(ratio.mean()), stated
    )
