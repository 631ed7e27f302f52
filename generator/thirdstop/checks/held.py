"""Whether something holds what has no stand."""

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.parts import called, placed
from thirdstop.checks.wording import clearance, floor_cm, length
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Item, SitterPlace, Staging

LAP_OVER_SEAT_M = 0.17
"""How high hands lie on the lap, as the engine has them (a thigh's thickness, ANSUR II: 0.16 to 0.18 m)."""
ABOVE_LAP_M = 0.15
"""A panel's lower edge this far over the lap still rests in the hands that lie there; house limit."""
REACH_M = 0.75
"""From the sitter's mark to a panel's middle on the plan: about an arm's length; house limit."""
FLAT_M = 0.10
"""What is nowhere higher lies on the floor."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding for each lamp, card and blocker that has no stand."""
    return [_finding(staging, item) for item in placed(staging) if item.support is None]


def _finding(staging: Staging, item: Item) -> Finding:
    if item.held_by:
        return _held(item, f"has no stand; the recipe says what holds it: {item.held_by}")
    if item.kind == "lamp":
        return _nothing(item, "a lamp has a stand")
    if edges_m(item)[1] <= FLAT_M:
        return _held(item, f"lies on the floor, under {length(FLAT_M)}")
    laps = _laps(staging, item)
    if not laps:
        return _nothing(item, f"nobody sits within {length(REACH_M)} of it, an arm's length")
    return _on_lap(item, max(laps, key=_lap_m))


def _on_lap(item: Item, sitter: SitterPlace) -> Finding:
    low_m, nose_m = edges_m(item)[0], float(sitter.nose_m[2])
    most_m = _lap_m(sitter) + ABOVE_LAP_M
    spare_m = min(most_m - low_m, nose_m - item.height_m)
    limit = (
        f"to lie on a lap its lower edge, at {length(low_m)}, is at most {clearance(most_m)} high and its "
        f"middle under {clearance(nose_m)}, the nose"
    )
    if spare_m < 0:
        return _nothing(item, limit, floor_cm(spare_m), most_m)
    text = f"{called(item)} has no stand and lies on the lap: {limit.removeprefix('to lie on a lap ')}."
    return Finding("held", "pass", item.name, text, "", floor_cm(spare_m), most_m, "m", safety=True)


def _held(item: Item, how: str) -> Finding:
    return Finding("held", "pass", item.name, f"{called(item)}, {length(item.height_m)} high, {how}.")


def _nothing(item: Item, why: str, margin_m: float | None = None, limit_m: float | None = None) -> Finding:
    text = f"Nothing holds the {item.kind} '{item.name}', {length(item.height_m)} high: {why}."
    remedy = "Give it a 'stand' in the recipe, or say who or what holds it with 'held_by'."
    unit = "" if margin_m is None else "m"
    return Finding("held", "look", item.name, text, remedy, margin_m, limit_m, unit, safety=True)


def edges_m(item: Item) -> tuple[float, float]:
    """Heights of a face's lowest and highest corner."""
    half_m = abs(float(item.half_u_m[2])) + abs(float(item.half_v_m[2]))
    return item.height_m - half_m, item.height_m + half_m


def _laps(staging: Staging, item: Item) -> list[SitterPlace]:
    """Those who sit with a thing's middle within an arm's length of their mark."""
    return [
        sitter
        for sitter in staging.sitters
        if sitter.seat_height_m is not None
        and float(((item.centre_m - sitter.mark_m)[:2] ** 2).sum()) <= REACH_M**2
    ]


def _lap_m(sitter: SitterPlace) -> float:
    return (sitter.seat_height_m or 0.0) + LAP_OVER_SEAT_M


CHECK = Check(
    "held",
    "Something holds it",
    run,
    "What has no stand must be held by somebody or something. A card or blocker is taken to lie on the "
    "lap of whoever sits within an arm's length, 75 cm on the floor plan from their mark to its middle, "
    "if its lower edge is at most 15 cm over the lap (17 cm over the seat) and its middle under their "
    "nose; or to lie on the floor, if no part is higher than 10 cm. Of anything else, and of every lamp, "
    "the recipe says who or what holds it ('held_by'). Whether they can hold it for so long is not "
    "computed.",
)
