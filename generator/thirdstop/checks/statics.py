"""Whether a stand would tip, what bag it needs, and what balances its boom."""

import math
from dataclasses import replace

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.parts import placed
from thirdstop.checks.tipping import (
    Masses,
    Moments,
    bag_for_kg,
    balanced_masses,
    boom_moment_kg_m,
    counterweight_kg,
    least_ratio,
    masses_of,
    push_n,
    weakest,
    while_rigging,
    with_leg_under_load,
)
from thirdstop.checks.wording import STATIC, degrees, half_kg_up, kilograms, length, minus
from thirdstop.constants import GRAVITY_M_S2
from thirdstop.exposure.readings import Readings
from thirdstop.staging.legs import leg_bearing_deg, leg_off_load_deg
from thirdstop.staging.staging import Item, Room, Staging, Support

LEAST_RATIO = 1.5
"""Restoring over overturning moment wanted (usual for temporary works; from memory, no source)."""
LEAST_PUSH_N = 15.0
"""House limit for the sideways push at the load's height that tips a stand."""

MOST_UNBALANCED_N_M = 5.0
"""House limit for what a boom's knuckle may have to hold beyond balance: about half a kilogram at a metre."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """For each stand whether it holds, and for each boom what balances it."""
    found = []
    for item in placed(staging):
        if item.support is not None and item.support.leg_reach_m > 0:
            found.append(_stand(item, item.support, staging.room))
            if item.support.boom is not None:
                found.append(_boom(item, item.support))
                if item.support.counterweight_kg > 0:
                    found.append(_rigging(item, item.support))
    return found


def required_bag_kg(support: Support) -> float:
    """Bag at the column that meets both limits in the weakest direction, rounded up to half a kilogram."""
    bare = masses_of(support, with_bag=False)
    return half_kg_up(bag_for_kg(bare, float(support.load_m[2]), LEAST_RATIO, LEAST_PUSH_N))


def _stand(item: Item, support: Support, room: Room) -> Finding:
    masses = masses_of(support)
    moments = least_ratio(masses)
    push = push_n(weakest(masses), float(support.load_m[2]))
    bag = required_bag_kg(support)
    about = f"{item.name}: stand"
    said = (_held(item, support), _balance(masses, moments), _push(push), legs_say(support, room))
    text = " ".join([*(part for part in said if part), STATIC])
    if moments.ratio < 1.0:
        margin = _down(moments.ratio - 1.0)
        return Finding(
            "statics", "halt", about, text, _heavier(support, bag), margin, 1.0, "times", safety=True
        )
    if moments.ratio < LEAST_RATIO:
        margin = _down(moments.ratio - LEAST_RATIO)
        return Finding(
            "statics", "look", about, text, _heavier(support, bag), margin, LEAST_RATIO, "times", True
        )
    margin = _down(push - LEAST_PUSH_N)
    if push < LEAST_PUSH_N:
        return Finding(
            "statics", "look", about, text, _heavier(support, bag), margin, LEAST_PUSH_N, "N", True
        )
    return Finding("statics", "pass", about, text, "", margin, LEAST_PUSH_N, "N", True)


def _down(value: float) -> float:
    return math.floor(value * 100 + 1e-9) / 100


def _held(item: Item, support: Support) -> str:
    bag = f"a {kilograms(support.bag_mass_kg)} bag" if support.bag_mass_kg > 0 else "no bag"
    where = f"on boom '{support.boom}'" if support.boom else "on its stand"
    at = "on the column" if support.bag_on == "column" or not support.bag_mass_kg else "half-way out on a leg"
    return (
        f"The {item.kind} '{item.name}' is {kilograms(support.load_mass_kg)} at "
        f"{length(float(support.load_m[2]))} {where}, with {bag} hanging {at}."
    )


def legs_say(support: Support, room: Room) -> str:
    """Where one of the three legs must point, as the plan draws it; empty where any way will do."""
    off, where = leg_off_load_deg(support, room), leg_points(support, room)
    if support.boom is None and off == 0:
        return ""
    if support.boom is None:
        return f"One leg {where}, so that all three stand in the room."
    if off == 0:
        return f"One leg goes under the load: it {where}."
    return f"The room turns the leg {degrees(off)} off the load: it {where}."


def leg_points(support: Support, room: Room) -> str:
    """'points 40° camera-left of the line toward the camera': where the first leg goes, as drawn."""
    bearing = leg_bearing_deg(support, room)
    if round(abs(bearing)) % 180 == 0:
        return f"points straight {'toward the camera' if abs(bearing) < 90 else 'to the backdrop'}"
    side = "right" if bearing > 0 else "left"
    return f"points {degrees(abs(bearing))} camera-{side} of the line toward the camera"


def _balance(masses: Masses, moments: Moments) -> str:
    if math.isinf(moments.ratio):
        return "Nothing lies beyond the line between two feet, even in the weakest direction."
    best = with_leg_under_load(masses)
    leg = "nothing lies beyond a line between two feet"
    if not math.isinf(best.ratio):
        leg = f"they are {minus(_down(best.ratio), 2)} times"
    verb = "tips by itself" if moments.ratio < 1 else "holds"
    return (
        f"In its weakest direction, the load between two legs, it {verb}: the moments that hold it are "
        f"{minus(_down(moments.ratio), 2)} times those that tip it ({LEAST_RATIO} wanted; with a leg under "
        f"the load {leg})."
    )


def _push(push: float) -> str:
    if push <= 0:
        return "No push is needed."
    return (
        f"A push of {minus(math.floor(push))} N at the load's height tips it; {minus(LEAST_PUSH_N)} N is "
        "wanted."
    )


def _heavier(support: Support, bag: float) -> str:
    if bag <= support.bag_mass_kg:
        return "Use a stand with a longer reach of its legs."
    text = f"Hang at least {kilograms(bag)} on the column, clear of the floor, before the load goes up"
    if support.boom is None:
        return f"{text}; or use a stand with longer legs, or a lower place."
    balanced = bag_with_balance_kg(support)
    if balanced is not None and balanced < bag:
        enough = f"{kilograms(balanced)} are" if balanced > 0 else "the bare stand is"
        text += f" ({enough} enough once the boom is balanced at its rear end)"
    return f"{text}; turn a leg under the load; or use a shorter boom or a stand with longer legs."


def bag_with_balance_kg(support: Support) -> float | None:
    """Bag that meets both limits with the boom's counterweight in place, and holds it until both are on; None
    where it can't be balanced.
    """
    balanced, mass = balanced_masses(support), counterweight_kg(support)
    if balanced is None or mass is None:
        return None
    at_rest = half_kg_up(bag_for_kg(balanced, float(support.load_m[2]), LEAST_RATIO, LEAST_PUSH_N))
    return max(at_rest, rigging_bag_kg(replace(support, counterweight_kg=mass)))


def rigging_bag_kg(support: Support) -> float:
    """Bag at the column that holds the stand while only the load, or only the counterweight, is on."""
    unbagged = while_rigging(replace(support, bag_mass_kg=0.0)).values()
    return half_kg_up(max(bag_for_kg(masses, 1.0, 1.0, 0.0) for masses in unbagged))


def _boom(item: Item, support: Support) -> Finding:
    moment = boom_moment_kg_m(support) * GRAVITY_M_S2
    mass = counterweight_kg(support)
    about = f"{item.name}: boom"
    end = "the load" if moment >= 0 else "its rear end"
    hung = (
        f", with {kilograms(support.counterweight_kg)} at its rear end," if support.counterweight_kg else ""
    )
    text = (
        f"Boom '{support.boom}'{hung} pulls down at {end} with {minus(abs(moment), 1)} N·m about its "
        f"knuckle; {minus(MOST_UNBALANCED_N_M, 1)} N·m is the limit."
    )
    if abs(moment) <= MOST_UNBALANCED_N_M:
        margin = _down(MOST_UNBALANCED_N_M - abs(moment))
        return Finding(
            "statics", "pass", about, f"{text} {STATIC}", "", margin, MOST_UNBALANCED_N_M, "N·m", True
        )
    margin = -math.ceil((abs(moment) - MOST_UNBALANCED_N_M) * 10 - 1e-9) / 10
    remedy = _balanced_by(support, mass)
    return Finding(
        "statics", "look", about, f"{text} {STATIC}", remedy, margin, MOST_UNBALANCED_N_M, "N·m", True
    )


def _balanced_by(support: Support, mass_kg: float | None) -> str:
    """What balances a boom, where anything at its rear end does."""
    if mass_kg is None:
        return "It has no rear end to balance it: use a boom that has one, or a straight stand."
    if half_kg_up(mass_kg) > 0:
        return (
            f"Balance it with {kilograms(half_kg_up(mass_kg))} at its rear end, "
            f"{length(support.boom_rear_m)} behind the knuckle, before it is raised; then tighten the "
            "knuckle so that the load's pull tightens it further."
        )
    farther = "let its load hang farther out, or use a straight stand"
    bare_n_m = boom_moment_kg_m(replace(support, counterweight_kg=0.0)) * GRAVITY_M_S2
    if abs(bare_n_m) > MOST_UNBALANCED_N_M:
        return f"Its rear end is too heavy with nothing on it: {farther}."
    return f"Hang nothing at its rear end: so near its knuckle the load needs no counterweight; or {farther}."


def _rigging(item: Item, support: Support) -> Finding:
    """Whether the stand holds while only the load or only the counterweight is on it."""
    states = {words: least_ratio(masses) for words, masses in while_rigging(support).items()}
    words, moments = min(states.items(), key=lambda state: state[1].ratio)
    about = f"{item.name}: rigging"
    both = "nothing lies beyond a line between two feet"
    if not math.isinf(moments.ratio):
        both = f"what holds it is {minus(_down(moments.ratio), 2)} times what tips it, and 1 is the least"
    text = f"While {words}, in the weakest direction {both}. {STATIC}"
    spare = _down(moments.ratio - 1.0) if math.isfinite(moments.ratio) else None
    if moments.ratio >= 1.0:
        return Finding("statics", "pass", about, text, "", spare, 1.0, "times", True)
    remedy = (
        f"Hang at least {kilograms(rigging_bag_kg(support))} on the column first; put load and "
        "counterweight on with the boom at its lowest, one person at each end; take them off the same way."
    )
    return Finding("statics", "look", about, text, remedy, spare, 1.0, "times", True)


CHECK = Check(
    "statics",
    "Stand and boom",
    run,
    "A static estimate. Three legs 120° apart, tipping edges half the leg reach from the column; the stand "
    "at the column, the boom's own mass at the middle of its length, the load where it hangs, the bag where "
    "the recipe hangs it: on the column, or half-way out on the leg under the load, where it holds nothing "
    "against tipping over an edge straight across that leg. Moments are compared about the edge in the "
    "weakest direction: under 1 the stand tips by itself (halt); under 1.5, or with a push of less than 15 "
    "N at the load's height, it is worth a look. The bag that is named meets both with what the recipe "
    "hangs at the boom's rear end; the counterweight that is named balances load and boom about the "
    "knuckle, which may hold 5 N·m beyond. A boom with a counterweight must also hold while only one of the "
    "two is on it. Plan and sentence say which way a leg must point: under a boom's load, turned by as "
    "little as keeps all feet in the room; the weakest direction counts all the same. Left out: sag and "
    "flex of column and boom, impacts, leads that are pulled, slope, wind, castors, legs not fully spread, "
    "a bag that touches the floor (it then holds nothing). The maker's rating, local codes and licensed "
    "practice come first.",
)
