"""Whether anything heavy hangs over or close to a head."""

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.parts import boom_ends_m, parts_of, placed
from thirdstop.checks.polygons import circle_on_floor, plan_gap_m
from thirdstop.checks.wording import STATIC, clearance, floor_cm, length
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Item, SitterPlace, Staging, Support

NEAR_M = 0.30
"""A load nearer to a head than this on the floor plan counts as over it."""
HEAD_RADIUS_M = 0.12
"""Of the circle that stands for a head on the plan (ANSUR II: mean head length 0.19 to 0.20 m)."""
CHILD_EYE_M = 1.0
"""A seated sitter with lower eyes than this is taken for a child."""
CHILD_STANDING_EYE_M = 1.35
"""The same for a standing one (ANSUR II: a woman's mean is 1.52 m, 1.42 m for one in twenty)."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding for each pair of a raised thing and a sitter that it could fall on; one pass where none."""
    found = [
        finding
        for item in placed(staging)
        for sitter in staging.sitters
        if (finding := _over(item, sitter)) is not None
    ]
    if found:
        return found
    return [_clear(staging)]


def _clear(staging: Staging) -> Finding:
    text = f"Nothing on a stand or boom hangs over a head or within {length(NEAR_M)} of one on the floor plan"
    gaps = [
        (plan_gap_to_head_m(item, item.support, sitter), item.name)
        for item in placed(staging)
        for sitter in staging.sitters
        if item.support is not None and _counts(item, item.support)
    ]
    gap_m, name = min(gaps, default=(float("inf"), ""))
    if gap_m == float("inf"):
        return Finding("overhead", "pass", "recipe", f"{text}.", safety=True)
    text = f"{text}; the nearest, '{name}', keeps {clearance(gap_m)}."
    margin = floor_cm(gap_m - NEAR_M)
    return Finding("overhead", "pass", "recipe", text, "", margin, NEAR_M, "m", safety=True)


def _counts(item: Item, support: Support) -> bool:
    """A card on its own stand is meant to stand beside the face; it counts only where it is over the head."""
    return item.kind == "lamp" or support.boom is not None


def is_child(sitter: SitterPlace) -> bool:
    """Whether the checks treat a sitter as a child: eyes under 1 m seated, under 1.35 m standing."""
    return sitter.eye_height_m < (CHILD_EYE_M if sitter.pose == "seated" else CHILD_STANDING_EYE_M)


def plan_gap_to_head_m(item: Item, support: Support, sitter: SitterPlace) -> float:
    """Distance on the plan from a head to the nearest of the load's outline and the boom over it."""
    crown_m = float(sitter.crown_m[2])
    ring = circle_on_floor(sitter.head_centre_m, HEAD_RADIUS_M)
    shapes = [part.polygon for part in parts_of(item) if part.name in ("face", "body")]
    if support.boom is not None:
        shapes.append(np.array(boom_ends_m(support)))
    above = [shape for shape in shapes if float(shape[:, 2].max()) > crown_m]
    return min((plan_gap_m(shape, ring) for shape in above), default=float("inf"))


def _over(item: Item, sitter: SitterPlace) -> Finding | None:
    support = item.support
    if support is None:
        return None
    gap_m = plan_gap_to_head_m(item, support, sitter)
    near_m = NEAR_M if _counts(item, support) else 0.0
    if gap_m > near_m:
        return None
    # less than 2 cm may be told as '0 in'
    head = f"the head of '{sitter.name}'"
    where = f"over {head}" if gap_m < 0.02 else f"within {clearance(gap_m)} of {head} on the floor plan"
    what = f"boom '{support.boom}' or its load" if support.boom else f"the {item.kind}"
    text = f"With '{item.name}', {what} hangs {where}; {length(NEAR_M)} is the limit. {STATIC}"
    margin = floor_cm(gap_m - NEAR_M)
    if support.boom is not None and is_child(sitter):
        remedy = "No boom over a child: use a stand well out of reach, or work with the child elsewhere."
        return Finding("overhead", "halt", item.name, text, remedy, margin, NEAR_M, "m", safety=True)
    remedy = (
        f"First look for another way: {_other_way(item, support)}, until {length(NEAR_M)} is clear. If it "
        "must hang there, secure lamp and shaper with a rated safety line to the boom or stand before anyone "
        "sits, and have nobody under it while it is moved."
    )
    return Finding("overhead", "look", item.name, text, remedy, margin, NEAR_M, "m", safety=True)


def _other_way(item: Item, support: Support) -> str:
    """What to try before weight hangs over a head."""
    if item.kind != "lamp":
        return "hold it from the side, or lay it on the lap"
    if support.boom is None:
        return "stand it farther to the side or farther off"
    return "a stand beside the picture, the boom from behind the camera, or the sitter farther forward"


CHECK = Check(
    "overhead",
    "Loads over heads",
    run,
    "On the floor plan, the outline of each raised thing (face, body, boom with its rear end) must keep 30 "
    "cm from a circle of 12 cm radius about each head, where any of it is higher than the crown. Nearer "
    "asks for another way first, and for a safety line where there is none; a boom there over a seated "
    "child (eyes under 1 m seated, under 1.35 m standing) is a halt. This is a static estimate from the "
    "plan: how a thing falls, swings or is knocked is not computed.",
)
