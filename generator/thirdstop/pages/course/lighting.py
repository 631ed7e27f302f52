"""Questions about what light does: with distance, between the cheeks, off the card, off the walls."""

import math

import numpy as np

from thirdstop.exposure.flash import direct_exposure
from thirdstop.exposure.readings import Reading
from thirdstop.exposure.stops import aperture_value, meter_mark, ratio_text, snap
from thirdstop.pages import figures
from thirdstop.pages.course.question import Question, question
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.metering import first_of, metered, said
from thirdstop.staging.points import MeasuringPoint

FARTHER = 1.5
ROOM = ("walls", "ceiling", "floor", "backdrop")
NEAR_STOPS = 0.05
"""Answers nearer to each other than this are no two answers."""


def farther(evaluated: Evaluated) -> Question | None:
    """The key's own light at half as far again: a face is no point."""
    item = evaluated.staging.item(evaluated.staging.key)
    emitter = evaluated.staging.scene.emitters[0]
    near_m = snap(item.string_m, 0.05) * 0.05
    far_m = snap(near_m * FARTHER, 0.05) * 0.05

    def on_axis(distance_m: float) -> float:
        place = emitter.centre_m + distance_m * emitter.normal
        return direct_exposure(emitter, MeasuringPoint("axis", place, -emitter.normal, "flat"))

    lost = math.log2(on_axis(near_m) / on_axis(far_m))
    square, plain = 2 * math.log2(far_m / near_m), math.log2(far_m / near_m)
    wrong = [
        (_fine(plain), "That goes with the distance; a small source's light goes with its square."),
        ("nothing", "The lamp gives the same light, but it spreads over more."),
    ]
    if abs(square - lost) > NEAR_STOPS:
        reason = "The inverse square holds for a point; this face is large beside its distance."
        wrong.append((_fine(square), reason))
    else:
        wrong.append((_fine(2 * square), "Twice the inverse square: the square is in it already."))
    right = "Summed over the whole face. This near, it falls by less than the inverse square says."
    return question(
        evaluated,
        f"{item.gear.capitalize()} goes from {figures.length(near_m)} to {figures.length(far_m)}, straight "
        "back. By how much does its own light on its axis fall?",
        (
            _fine(lost),
            right if abs(square - lost) > NEAR_STOPS else "Far enough for the inverse square.",
        ),
        wrong,
    )


def ratio(evaluated: Evaluated) -> Question | None:
    """From two readings to the ratio."""
    lit, shadow, stops = _sides(evaluated)
    if stops < 0.5:
        return None
    step = evaluated.staging.meter.step_stops
    quotient = lit.f_number / shadow.f_number
    return question(
        evaluated,
        f"Flat receptor, one cheek after the other: {meter_mark(lit.f_number, step)} and "
        f"{meter_mark(shadow.f_number, step)}. What is the ratio, lit to shadow?",
        (ratio_text(2.0**stops), _twice_the_light(evaluated, stops)),
        [
            (ratio_text(quotient), "That divides the f-numbers; the light goes with their squares."),
            (ratio_text(stops), "That takes the stops for the ratio."),
            (
                ratio_text(2.0**stops + 1),
                "That adds the shadow side once more; all lights were on already.",
            ),
        ],
    )


def _twice_the_light(evaluated: Evaluated, stops: float) -> str:
    """Why, and why the recipe's page may have another number."""
    why, on_page = f"{_stops(stops)} apart, and each stop is twice the light.", evaluated.readings.ratio
    same = ratio_text(on_page.ratio) == ratio_text(2.0**stops)
    if same or on_page.convention != "lit to shadow":
        return why
    return f"{why} The recipe’s page has {ratio_text(on_page.ratio)}, from readings not yet rounded."


def apart(evaluated: Evaluated) -> Question | None:
    """From a wanted ratio to stops."""
    target = evaluated.staging.target
    if target.ratio is None or target.ratio < 1.6:
        return None
    wanted = target.ratio
    return question(
        evaluated,
        f"This recipe wants {ratio_text(wanted)}, lit to shadow. How far apart do the two cheeks read?",
        (_stops(math.log2(wanted)), "Count how often 1 must be doubled to reach it."),
        [
            (_stops(wanted), "That takes the ratio for stops."),
            (
                _stops(wanted / 2),
                "That halves the number; a stop is a doubling.",
            ),
            (_stops(math.log2(wanted + 1)), "That counts the shadow side's light twice."),
        ],
    )


def card_moved(evaluated: Evaluated) -> Question | None:
    """What another distance of the card does to the ratio."""
    curve = evaluated.curve
    if curve is None:
        return None
    ends = [float(curve.distances_m[0]), float(curve.distances_m[-1])]
    other_m = next((m for m in (curve.chosen_m + 0.2, curve.chosen_m - 0.2) if ends[0] <= m <= ends[1]), None)
    if other_m is None:
        return None
    then = float(np.interp(other_m, curve.distances_m, curve.ratios))
    now, mirrored = curve.chosen_ratio, curve.chosen_ratio**2 / then
    squared = 1 + (now - 1) * (other_m / curve.chosen_m) ** 2
    word = "Farther off it fills less" if other_m > curve.chosen_m else "Nearer it fills more"
    return question(
        evaluated,
        f"The card goes from a string of {figures.length(curve.chosen_m)} to {figures.length(other_m)}, "
        f"aimed as before; the ratio was {ratio_text(now)}. What is it then?",
        (ratio_text(then), f"{word}; the rest of the fill comes from the room and stays."),
        [
            (ratio_text(now), "The card's share of the shadow side's light changes with its distance."),
            (ratio_text(mirrored), "The right size of change, the wrong way round."),
            (
                ratio_text(squared),
                "A card is large and not alone: its light falls by less than that.",
            ),
        ],
    )


def card_share(evaluated: Evaluated) -> Question | None:
    """How much of the shadow side's light the card gives."""
    _, shadow, _ = _sides(evaluated)
    names = {item.name for item in evaluated.staging.items if item.kind == "card"}
    cards = {name: share for name, share in shadow.budget.items() if name in names}
    if not cards:
        return None
    name, share = max(cards.items(), key=lambda pair: (round(pair[1], 6), pair[0]))
    room = sum(shadow.budget.get(surface, 0.0) for surface in ROOM)
    return question(
        evaluated,
        f"Of the light at {_shadow_side(evaluated)}, how much comes straight from '{name}'?",
        (str(figures.percent(share)), "By the budget of that reading."),
        [
            ("all of it", f"The room itself gives {figures.percent(room)}."),
            (str(figures.percent(room)), "That is what walls, ceiling, floor and backdrop give."),
            _too_much(share),
        ],
    )


def _too_much(share: float) -> tuple[str, str]:
    if share <= 0.475:
        return str(figures.percent(2 * share)), "Twice as much as it is."
    return str(figures.percent((1 + share) / 2)), "Too much: that leaves too little for room, lamps and body."


def room_share(evaluated: Evaluated) -> Question | None:
    """Which part of the room fills most."""
    _, shadow, _ = _sides(evaluated)
    shares = sorted(
        ((shadow.budget.get(name, 0.0), name) for name in ROOM),
        key=lambda pair: (-round(pair[0], 6), pair[1]),
    )
    (most, best), *rest = [(share, name) for share, name in shares if share > 0.005]
    if len(rest) < 2 or most - rest[0][0] < 0.02:
        return None
    return question(
        evaluated,
        f"Which part of the room gives most light to {_shadow_side(evaluated)}?",
        (best, f"{figures.percent(most)} of that reading comes last from there."),
        [(name, f"That gives {figures.percent(share)}.") for share, name in rest],
    )


def whole_fill(evaluated: Evaluated) -> Question | None:
    """What walls, ceiling, floor and backdrop give together."""
    _, shadow, _ = _sides(evaluated)
    room = sum(shadow.budget.get(surface, 0.0) for surface in ROOM)
    walls = shadow.budget.get("walls", 0.0)
    return question(
        evaluated,
        f"Nobody put the room there to fill. How much of the light at "
        f"{_shadow_side(evaluated)} comes from walls, ceiling, floor and backdrop?",
        (str(figures.percent(room)), "Added up from the budget of that reading."),
        [
            ("none", "Every surface that isn't black returns some of what falls on it."),
            (str(figures.percent(walls)), "Those are the walls alone."),
            (
                str(figures.percent((1 + room) / 2)),
                "Too much: lamps, cards and the body give the rest.",
            ),
        ],
    )


def held(evaluated: Evaluated) -> Question | None:
    """Where the receptor is for the reading that sets the aperture."""
    key = metered(evaluated, evaluated.readings.key_point)
    lit = metered(evaluated, evaluated.readings.ratio.lit_point)
    other = "dome" if key.receptor == "flat" else "flat"
    return question(
        evaluated,
        "How is the meter held for the key reading, the one that sets the aperture?",
        (f"{key.receptor}, {key.where}", "The house's own way; each receptor has its constant."),
        [
            (f"{other}, {key.where}", "The right place, the wrong receptor: the two don't read alike."),
            (f"{lit.receptor}, {lit.where}", "That is how a cheek is read for the ratio."),
            (
                "at the lamp, facing the sitter",
                "An incident meter stands where light arrives.",
            ),
        ],
    )


def receptor(evaluated: Evaluated) -> Question | None:
    """What must not change between the two readings of a ratio."""
    point, first = evaluated.readings.ratio, first_of(evaluated.staging)
    return question(
        evaluated,
        f"For the ratio you read {said(point.lit_point, first)}, then {_shadow_side(evaluated)}. "
        "What changes between the two?",
        (
            "only the place and the direction; flat receptor, all lights on",
            "Else two things change at once.",
        ),
        [
            (
                "the receptor: flat for the lit side, then the dome",
                "A dome gathers from all sides: it reads another thing.",
            ),
            (
                "the key is switched off for the shadow side",
                "That is another ratio: key to fill.",
            ),
            ("the sitter leans back to make room", "The sitter stays: the body stops and returns light."),
        ],
    )


def _shadow_side(evaluated: Evaluated) -> str:
    return said(evaluated.readings.ratio.shadow_point, first_of(evaluated.staging))


def _sides(evaluated: Evaluated) -> tuple[Reading, Reading, float]:
    """Lit and shadow side of the ratio, and how many stops apart the meter shows them."""
    point = evaluated.readings.ratio
    lit, shadow = evaluated.readings[point.lit_point], evaluated.readings[point.shadow_point]
    step = evaluated.staging.meter.step_stops
    shown = [snap(aperture_value(one.f_number), step) for one in (lit, shadow)]
    return lit, shadow, (shown[0] - shown[1]) * step


def _stops(value_stops: float) -> str:
    return str(figures.apart(value_stops))


def _fine(value_stops: float) -> str:
    """To a hundredth, where answers lie near each other."""
    return figures.unbroken(f"{value_stops:.2f} stop" + ("s" if value_stops > 1 else ""))
