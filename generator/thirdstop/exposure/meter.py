"""From light to what people read: clicks, f-numbers, budget and ratio.

Axes: e emitters, p points, s surfaces. Lights add as lux-seconds, so everything is linear in lamp power.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thirdstop.exposure import stops
from thirdstop.exposure.flash import click_of_power, power_of_click
from thirdstop.exposure.readings import LampReading, RatioReading, Reading, Readings, Transport
from thirdstop.exposure.spreads import Spread, normal
from thirdstop.exposure.uncertainty import TOLERANCES, Bands, Tolerances, Variation, bands
from thirdstop.staging.staging import LampPlace, MeteredOutput, MeterPlace, Scene, Staging
from thirdstop.typed import Array

BEHIND_HEAD = "backdrop behind head"
"""The measuring point at which a lamp's `level_stops` is wanted."""

CHEEKS = ("left cheek", "right cheek")
"""The two points of a ratio unless the recipe names others."""

_DARK_LX_S = 1e-12
"""Stands for no light at all where a logarithm is taken."""

_GROUPS = {
    "wall": "walls",
    "ceiling": "ceiling",
    "floor": "floor",
    "backdrop": "backdrop",
    "blocker": "blockers",
    "net": "blockers",
    "brim": "body",
    "seat": "other",
    "fixed": "other",
}


@dataclass(frozen=True, eq=False)
class Levels:
    """Light at every point with the lamps at their powers."""

    direct_lx_s: Array
    """Shape (e, p)."""
    bounced_lx_s: Array
    """Shape (p, s)."""

    @property
    def total_lx_s(self) -> Array:
        """Shape (p,), never quite 0."""
        total = self.direct_lx_s.sum(axis=0) + self.bounced_lx_s.sum(axis=1)
        return np.asarray(np.maximum(total, _DARK_LX_S))


def levels(transport: Transport, powers: Array) -> Levels:
    """Light at every point for each emitter's share of full power, shape (e,)."""
    return Levels(
        direct_lx_s=powers[:, None] * transport.direct_lx_s,
        bounced_lx_s=np.einsum("e,eps->ps", powers, transport.bounced_lx_s),
    )


def read(staging: Staging, transport: Transport, variations: Sequence[Variation] = ()) -> Readings:
    """Everything that the meter would show in this staging, its lamps being charged (see `charging.charge`).

    Clicks that the recipe leaves open are found and rounded first; all readings are at whole clicks, also
    where such a click lies outside the lamp's range (a check says so). Bands hold the meter, the lamps'
    output, the computation and whatever `variations` brings.
    Raises KeyError where the scene lacks a point that the staging names.
    """
    lamps = lamp_readings(staging, transport)
    powers = powers_at(staging, transport, [lamp.click for lamp in lamps])
    now = levels(transport, powers)
    lit, shadow = ratio_points(staging, transport, now)
    known = gear_variations(staging, transport, powers, (lit, shadow))
    key = transport.points.index(staging.meter.exposure_point)
    step = staging.meter.step_stops
    width = bands(key, (lit, shadow), len(transport.points), [*known, *variations], step)
    return Readings(
        key_point=staging.meter.exposure_point,
        readings=_readings(staging, transport, now, width),
        ratio=_ratio(staging, transport, now, (lit, shadow), width),
        lamps=lamps,
        ambient_stops_under=_ambient(staging.meter, float(now.total_lx_s[key])),
        key_causes=width.key_causes,
    )


# Clicks


def lamp_readings(staging: Staging, transport: Transport) -> tuple[LampReading, ...]:
    """Each lamp's click: as stated, or found for the aperture (the key) and for its level (the others)."""
    exact = _exact_clicks(staging, transport)
    stated = [lamp.click for lamp in staging.lamps]
    clicks = [stops.snap(x) if click is None else click for click, x in zip(stated, exact, strict=True)]
    if staging.lamps and staging.lamps[0].click is None:
        clicks[0] = _key_click(staging, transport, clicks)
    return tuple(_lamp(*each) for each in zip(staging.lamps, clicks, exact, strict=True))


def _lamp(lamp: LampPlace, click: int, exact: float) -> LampReading:
    inside = 1 <= click <= lamp.clicks
    return LampReading(
        emitter=lamp.emitter,
        click=click,
        clicks=lamp.clicks,
        shown=lamp.display[click - 1] if inside and click <= len(lamp.display) else "",
        predicted=lamp.click is None,
        exact_click=exact,
    )


def _exact_clicks(staging: Staging, transport: Transport) -> list[float]:
    """The clicks before rounding; open lamps other than the key bring equal shares of the light wanted
    behind the head.
    """
    exact = [float(lamp.click) if lamp.click is not None else math.nan for lamp in staging.lamps]
    open_lamps = [k for k, click in enumerate(exact) if math.isnan(click)]
    others = [k for k in open_lamps if k > 0]
    rows = [transport.emitters.index(lamp.emitter) for lamp in staging.lamps]
    fixed = powers_at(staging, transport, [0.0 if math.isnan(click) else click for click in exact])
    fixed[[rows[k] for k in open_lamps]] = 0.0
    shares = _equal_shares(transport, [rows[k] for k in others])
    key_power, share = _balance(
        staging, transport, fixed, shares, rows[0] if 0 in open_lamps else None, others
    )
    for k in open_lamps:
        power = key_power if k == 0 else share * shares[rows[k]]
        exact[k] = _click(power, staging.lamps[k])
    return exact


def _equal_shares(transport: Transport, rows: Sequence[int]) -> Array:
    """Powers (e,) with which the emitters of these rows together give 1 lx·s behind the head, alike."""
    shares = np.zeros(len(transport.emitters))
    for row in rows:
        behind = transport.total_lx_s[row, transport.points.index(BEHIND_HEAD)]
        shares[row] = 1.0 / max(float(behind), _DARK_LX_S) / len(rows)
    return shares


def _balance(
    staging: Staging,
    transport: Transport,
    fixed: Array,
    shares: Array,
    key: int | None,
    others: Sequence[int],
) -> tuple[float, float]:
    """The open key's power and the factor on `shares`: linear in both. 0 for what is not open."""
    total = transport.total_lx_s
    at_key = total[:, transport.points.index(staging.meter.exposure_point)]
    matrix, right = np.eye(2), np.zeros(2)
    if key is not None:
        matrix[0], right[0] = (at_key[key], shares @ at_key), _key_exposure(staging) - fixed @ at_key
    if others:
        # Behind the head less the level that is wanted there is nothing, summed over all lamps.
        excess = total[:, transport.points.index(BEHIND_HEAD)] - _level_factor(staging, others) * at_key
        matrix[1] = 0.0 if key is None else excess[key], shares @ excess
        right[1] = -fixed @ excess
    solution = np.linalg.lstsq(matrix, right, rcond=None)[0]
    return float(solution[0]), float(solution[1])


def _click(power: float, lamp: LampPlace) -> float:
    return click_of_power(max(float(power), 1e-9), lamp.clicks)


def _key_click(staging: Staging, transport: Transport, clicks: Sequence[int]) -> int:
    """The key's whole click whose key reading is nearest the aperture, the others being whole already."""
    lamp = staging.lamps[0]
    at_key = transport.total_lx_s[:, transport.points.index(staging.meter.exposure_point)]
    row = transport.emitters.index(lamp.emitter)
    own = max(float(at_key[row]), _DARK_LX_S)
    others = powers_at(staging, transport, clicks)
    others[row] = 0.0
    rest = float(others @ at_key)
    wanted = _key_exposure(staging)
    power = max(wanted - rest, 1e-9 * wanted) / own
    low = math.floor(_click(power, lamp))

    def miss(click: int) -> float:
        return abs(math.log2((rest + power_of_click(click, lamp.clicks) * own) / wanted))

    return low if miss(low) < miss(low + 1) - 1e-9 else low + 1


def _key_exposure(staging: Staging) -> float:
    meter = staging.meter
    return stops.luminous_exposure(meter.aperture, meter.iso, _constant(staging, meter.exposure_point))


def _level_factor(staging: Staging, others: Sequence[int]) -> float:
    """Wanted light behind the head over light at the key point, in lux-seconds."""
    wanted = [staging.lamps[k].level_stops or 0.0 for k in others]
    constants = _constant(staging, BEHIND_HEAD) / _constant(staging, staging.meter.exposure_point)
    return stops.factor(sum(wanted) / len(wanted)) * constants


def _constant(staging: Staging, point: str) -> float:
    receptor = next((p.receptor for p in staging.scene.points if p.name == point), None)
    if receptor is None:
        raise KeyError(f"the staging has no measuring point '{point}'")
    return staging.meter.constant_dome if receptor == "dome" else staging.meter.constant_flat


def powers_at(staging: Staging, transport: Transport, clicks: Sequence[float]) -> Array:
    """Each emitter's share of full power, shape (e,); an emitter that no lamp drives keeps its own."""
    powers = np.array([e.power for e in staging.scene.emitters], dtype=float)
    for lamp, click in zip(staging.lamps, clicks, strict=True):
        powers[transport.emitters.index(lamp.emitter)] = power_of_click(click, lamp.clicks)
    return powers


# Ratio


def ratio_points(staging: Staging, transport: Transport, now: Levels) -> tuple[int, int]:
    """Indices of the lit and the shadow point: of the two, the one that reads more is lit."""
    first, second = (transport.points.index(name) for name in staging.target.between or CHEEKS)
    total = now.total_lx_s
    return (first, second) if total[first] >= total[second] else (second, first)


def for_ratio(staging: Staging) -> frozenset[str]:
    """Names of the points that key reading, ratio and clicks hang on."""
    names = {staging.meter.exposure_point, *(staging.target.between or CHEEKS)}
    # the key's click, where it is open, goes by the key reading alone
    if any(lamp.click is None for lamp in staging.lamps[1:]):
        names.add(BEHIND_HEAD)
    return frozenset(names)


def ratio_stops(staging: Staging, transport: Transport, now: Levels, points: tuple[int, int]) -> float:
    """The ratio in stops, lit point over shadow point.

    'lit to shadow': both totals. 'key to fill': the key's direct light at the lit point, over all but the
    key's direct light at the shadow point.
    """
    lit, shadow = points
    total = now.total_lx_s
    if staging.target.convention == "lit to shadow":
        return math.log2(total[lit] / total[shadow])
    key = now.direct_lx_s[transport.emitters.index(staging.key)]
    fill = max(float(total[shadow] - key[shadow]), _DARK_LX_S)
    return math.log2(max(float(key[lit]), _DARK_LX_S) / fill)


def _ratio(
    staging: Staging, transport: Transport, now: Levels, points: tuple[int, int], width: Bands
) -> RatioReading:
    difference = ratio_stops(staging, transport, now, points)
    return RatioReading(
        convention=staging.target.convention,
        ratio=stops.stops_to_ratio(difference),
        stops=difference,
        lit_point=transport.points[points[0]],
        shadow_point=transport.points[points[1]],
        band_stops=width.ratio_stops,
        causes=width.ratio_causes,
    )


def gear_variations(
    staging: Staging,
    transport: Transport,
    powers: Array,
    points: tuple[int, int],
    tolerances: Tolerances = TOLERANCES,
) -> list[Variation]:
    """What each lamp's output and each receptor's calibration do; they need no further transport.

    A lamp that was metered with a receptor of the meter carries that receptor's calibration: where the same
    receptor reads that lamp, it cancels. What readings told of the studio is not among it: see `learned`.
    """
    receptors = [p.receptor for p in staging.scene.points]
    known = staging.learned
    before = levels(transport, powers)

    def varied(cause: str, spread: Spread, lamps: dict[str, float], dome: float, flat: float) -> Variation:
        """Factors in stops: of lamps by name, and of what the two receptors show."""
        found = []
        for node in (spread.node, -spread.node):
            of_lamps = [stops.factor(node * lamps.get(name, 0.0)) for name in transport.emitters]
            after = levels(transport, powers * of_lamps)
            reading, ratio = moves(staging, transport, (before, after), points)
            shown = np.array([node * (dome if r == "dome" else flat) for r in receptors])
            found.append((reading + shown, ratio + shown[points[0]] - shown[points[1]]))
        return Variation(
            cause, np.array([f[0] for f in found]), np.array([f[1] for f in found]), spread.weight
        )

    of_output = [
        varied(_output_words(lamp), normal(lamp.output_spread_stops), {lamp.emitter: 1.0}, 0.0, 0.0)
        for lamp in staging.lamps
        if not (known is not None and known.covers("output", lamp.emitter))
    ]
    spread = tolerances.calibration_stops
    of_meter = []
    for receptor in sorted(set(receptors)):
        if known is not None and known.covers("receptor", receptor):
            continue
        metered = {lamp.emitter: -1.0 for lamp in staging.lamps if _metered_with(lamp, receptor)}
        cause = f"calibration of the meter's {receptor} receptor, ±{spread.half_width:.1f} stop"
        of_meter.append(varied(cause, spread, metered, float(receptor == "dome"), float(receptor == "flat")))
    return [*of_output, *of_meter]


def _output_words(lamp: LampPlace) -> str:
    known = "as metered" if lamp.output_known_by == "metered" else f"by {lamp.output_known_by}"
    return f"output of {lamp.emitter}, {known}"


def _metered_with(lamp: LampPlace, receptor: str) -> bool:
    return isinstance(lamp.output, MeteredOutput) and lamp.output.receptor == receptor


def moves(
    staging: Staging, transport: Transport, light: tuple[Levels, Levels], points: tuple[int, int]
) -> tuple[Array, float]:
    """By how much each reading, shape (p,), and the ratio move in stops from one light to the other."""
    was, now = light
    reading = np.log2(now.total_lx_s / was.total_lx_s)
    ratio = ratio_stops(staging, transport, now, points) - ratio_stops(staging, transport, was, points)
    return np.asarray(reading), ratio


# Readings


def _readings(staging: Staging, transport: Transport, now: Levels, width: Bands) -> dict[str, Reading]:
    key = transport.points.index(staging.meter.exposure_point)
    groups = surface_groups(staging.scene)
    total = now.total_lx_s
    numbers = [
        stops.f_number(float(total[p]), staging.meter.iso, _constant(staging, name))
        for p, name in enumerate(transport.points)
    ]
    return {
        name: Reading(
            point=name,
            receptor=staging.scene.points[p].receptor,
            lux_seconds=float(total[p]),
            f_number=numbers[p],
            stops_from_key=2.0 * math.log2(numbers[p] / numbers[key]),
            band_stops=float(width.reading_stops[p]),
            band_from_key_stops=float(width.from_key_stops[p]),
            budget=_budget(staging, transport, now, groups, p),
        )
        for p, name in enumerate(transport.points)
    }


def surface_groups(scene: Scene) -> list[str]:
    """The budget's word for each surface, panels then solids; cards go by their names."""
    panels = [p.name if p.role == "card" else _GROUPS[p.role] for p in scene.panels]
    return panels + ["body"] * len(scene.solids)


def _budget(
    staging: Staging, transport: Transport, now: Levels, groups: Sequence[str], point: int
) -> dict[str, float]:
    """Shares of one reading, largest first; words with nothing to say are left out."""
    light: dict[str, float] = {}
    for e, emitter in enumerate(transport.emitters):
        word = "key" if emitter == staging.key else emitter
        light[word] = light.get(word, 0.0) + float(now.direct_lx_s[e, point])
    for s, word in enumerate(groups):
        light[word] = light.get(word, 0.0) + float(now.bounced_lx_s[point, s])
    whole = sum(light.values())
    if whole <= 0.0:
        return {}
    ordered = sorted(light.items(), key=lambda item: -round(item[1] / whole, 9))
    return {word: value / whole for word, value in ordered if value > 0.0}


def _ambient(meter: MeterPlace, key_lx_s: float) -> float | None:
    """How far the room's own light is under the key reading at this shutter, in stops."""
    if meter.ambient_lux is None or meter.ambient_lux <= 0:
        return None
    return math.log2(key_lx_s / (meter.ambient_lux * meter.shutter_s))
