"""Whether everything fits the room: walls, ceiling, floor, fixed things, a way to walk, the camera run."""

from dataclasses import dataclass, replace

import numpy as np

from thirdstop.checks import in_frame, overhead
from thirdstop.checks.booms import boom_through
from thirdstop.checks.columns import through
from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.parts import Part, called, parts_of, placed
from thirdstop.checks.polygons import HalfSpace, clip, clip_all, plan_gap_m
from thirdstop.checks.statics import leg_points
from thirdstop.checks.walkway import HEAD_ROOM_M, Way, widest_way
from thirdstop.checks.wording import clearance, floor_cm, length, needed
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import Fixed, Item, Room, Staging, Support
from thirdstop.staging.vectors import vec
from thirdstop.typed import Array

NEAR_M = 0.05
"""Clear of a wall, the ceiling or a fixed thing by less than this is worth a look."""
_PERSON_HALF_M = 0.30
_STEP_M = 0.10


@dataclass(frozen=True)
class Gap:
    """How far a part of a thing is from a surface of the room."""

    gap_m: float
    what: str
    """'the ceiling', 'the left wall', a fixed thing's name."""
    part: str
    wanted_m: float


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding a thing, one for legs near a wall, one for a column or a boom that can't be there, the
    walkway, the camera run.
    """
    found = []
    for item in placed(staging):
        found.append(_fits(staging, item))
        if item.support is not None and (legs := _legs(staging.room, item, item.support)) is not None:
            found.append(legs)
        if (column := _column(staging, item)) is not None:
            found.append(column)
        if (boom := _boom(staging, readings, item)) is not None:
            found.append(boom)
    return [*found, _walkway(staging), _behind_camera(staging)]


def gaps(staging: Staging, item: Item) -> list[Gap]:
    """Every clearance of a thing: to walls and ceiling (5 cm wanted), to the floor (0), to fixed things."""
    found = []
    for part in parts_of(item):
        if part.name != "legs":
            found += _to_room(staging.room, part)
        found += [
            Gap(_to_fixed_m(part, thing), f"'{thing.name}'", part.words, NEAR_M)
            for thing in staging.room.fixed
            if part.name != "legs"
        ]
    return found


def _to_room(room: Room, part: Part) -> list[Gap]:
    low, high = part.polygon.min(axis=0), part.polygon.max(axis=0)
    rows = [
        ("the left wall", low[0] - room.left_m),
        ("the right wall", room.right_m - high[0]),
        ("the front wall", low[1] - room.front_m),
        ("the back wall", room.back_m - high[1]),
        ("the ceiling", room.height_m - high[2]),
    ]
    found = [Gap(float(gap) - part.half_m, what, part.words, NEAR_M) for what, gap in rows]
    if part.name in ("face", "body"):
        found.append(Gap(float(low[2]), "the floor", part.words, 0.0))
    return found


def _to_fixed_m(part: Part, thing: Fixed) -> float:
    """Distance from a part to an upright box: on the plan where their heights meet; elsewhere no less than
    the larger of the gap on the plan and the gap in height.
    """
    box = np.asarray(thing.footprint_m)
    slab = [HalfSpace(vec(0, 0, 1), thing.top_m), HalfSpace(vec(0, 0, -1), -thing.bottom_m)]
    level = clip_all(part.polygon, slab)
    if len(level):
        return plan_gap_m(level, box) - part.half_m
    low, high = float(part.polygon[:, 2].min()), float(part.polygon[:, 2].max())
    apart = max(plan_gap_m(part.polygon, box), low - thing.top_m, thing.bottom_m - high)
    return apart - part.half_m


def _fits(staging: Staging, item: Item) -> Finding:
    nearest = min(gaps(staging, item), key=lambda gap: gap.gap_m - gap.wanted_m)
    spare = floor_cm(nearest.gap_m - nearest.wanted_m)
    if nearest.gap_m < 0:
        text = (
            f"{called(item)} goes {needed(-nearest.gap_m)} into {nearest.what} with {nearest.part}; "
            f"{length(nearest.wanted_m)} of clearance is wanted."
        )
        remedy = _away(nearest)
        return Finding("room-fit", "halt", item.name, text, remedy, spare, nearest.wanted_m, "m")
    text = (
        f"{called(item)} clears {nearest.what} by {clearance(nearest.gap_m)} with {nearest.part}, its least; "
        f"{length(nearest.wanted_m)} is wanted."
    )
    if spare >= 0:
        return Finding("room-fit", "pass", item.name, text, "", spare, nearest.wanted_m, "m")
    return Finding("room-fit", "look", item.name, text, _away(nearest), spare, nearest.wanted_m, "m")


def _away(gap: Gap) -> str:
    move = needed(gap.wanted_m - gap.gap_m)
    if gap.what == "the ceiling":
        return f"Lower it by {move}, use a smaller shaper, or seat the sitter."
    if gap.what == "the floor":
        return f"Raise it by {move}, or use a smaller one."
    return f"Move it {move} away from {gap.what}."


def _legs(room: Room, item: Item, support: Support) -> Finding | None:
    """Legs of reach R need R to a wall, or R/2 with two of them along it; None where R is free all round."""
    x, y = float(support.base_m[0]), float(support.base_m[1])
    reach = support.leg_reach_m
    rows = [
        (x - room.left_m, "the left wall"),
        (room.right_m - x, "the right wall"),
        (y - room.front_m, "the front wall"),
        (room.back_m - y, "the back wall"),
    ]
    for thing in room.fixed:
        if thing.bottom_m < 0.3:
            rows.append(
                (plan_gap_m(support.base_m[None, :], np.asarray(thing.footprint_m)), f"'{thing.name}'")
            )
    gap_m, what = min(rows)
    if gap_m >= reach:
        return None
    about = f"{item.name}: legs"
    where = f"{clearance(gap_m)} from" if gap_m >= 0 else f"{needed(-gap_m)} beyond"
    text = (
        f"The column of the stand of '{item.name}' is {where} {what}; its legs reach "
        f"{length(reach)}, and need half of that, {needed(reach / 2)}, with two of them along it."
    )
    spare = floor_cm(gap_m - reach / 2)
    if spare < 0:
        remedy = f"Move the stand {needed(reach / 2 - gap_m)} away from {what}, or use a smaller stand."
        return Finding("room-fit", "halt", about, text, remedy, spare, reach / 2, "m")
    remedy = (
        f"Turn the stand as the plan draws it, all legs fully spread, so that all three are clear of {what}: "
        f"one leg {leg_points(support, room)}."
    )
    return Finding("room-fit", "look", about, text, remedy, spare, reach / 2, "m")


def _column(staging: Staging, item: Item) -> Finding | None:
    """None where it stands free."""
    hit = through(staging, item)
    if hit is None or item.support is None:
        return None
    margin = -hit.move_m if hit.move_m is not None else None
    top = length(float(item.support.column_top_m[2]))
    text = f"The column of the stand of '{item.name}', up to {top}, goes through {hit.what}."
    unit = "m" if margin is not None else ""
    return Finding("room-fit", "halt", f"{item.name}: column", text, hit.remedy, margin, None, unit)


def _boom(staging: Staging, readings: Readings, item: Item) -> Finding | None:
    """None where it is free."""
    hit = boom_through(staging, item, lambda turned: _suits(staging, readings, item, turned))
    if hit is None or item.support is None:
        return None
    margin = -hit.turn_deg if hit.from_deg is not None else None
    height = length(float(item.support.load_m[2]))
    text = f"The boom '{item.support.boom}' of '{item.name}', {height} high, goes through {hit.what}."
    unit = "deg" if margin is not None else ""
    return Finding("room-fit", "halt", f"{item.name}: boom", text, hit.remedy, margin, None, unit)


def _suits(staging: Staging, readings: Readings, item: Item, turned: Item) -> bool:
    """Whether a thing whose boom comes from another side has its room and its legs', and stands no worse over
    heads and in the picture.
    """
    legs = _legs(staging.room, turned, turned.support) if turned.support is not None else None
    if _fits(staging, turned).verdict != "pass" or (legs is not None and legs.verdict == "halt"):
        return False
    return all(
        _worst(check, staging, readings, turned) <= _worst(check, staging, readings, item)
        for check in (overhead.CHECK, in_frame.CHECK)
    )


_WORSE = ("pass", "look", "halt")


def _worst(check: Check, staging: Staging, readings: Readings, item: Item) -> int:
    """The worst verdict on a thing by itself, as its place in the order of how bad it is."""
    found = check.run(replace(staging, items=(item,)), readings)
    return max((_WORSE.index(one.verdict) for one in found if one.about == item.name), default=0)


def _walkway(staging: Staging) -> Finding:
    wanted = staging.walkway_m
    if not staging.room.doors or not staging.sitters:
        text = f"The room states no door, so a way of {length(wanted)} to the sitter can't be told."
        remedy = "State the door in the studio file, and keep the way to it free."
        return Finding("room-fit", "look", "walkway", text, remedy, None, wanted, "m", safety=True)
    way = max((widest_way(staging, door) for door in staging.room.doors), key=lambda one: one.width_m)
    spare = floor_cm(way.width_m - wanted)
    text = (
        f"The widest way from the door to the sitter is {clearance(way.width_m)}{_where(way)}; "
        f"{length(wanted)} is wanted."
    )
    if spare >= 0:
        return Finding("room-fit", "pass", "walkway", text, "", spare, wanted, "m", safety=True)
    remedy = (
        "Move the nearer of the two, or put the set on the other side of the room: the way out stays free."
    )
    return Finding("room-fit", "look", "walkway", text, remedy, spare, wanted, "m", safety=True)


def _where(way: Way) -> str:
    if way.between[0] == "":
        return ""
    if way.between[0] == way.between[1]:
        return f", at the opening in {way.between[0]}"
    return f", between {way.between[0]} and {way.between[1]}"


def _behind_camera(staging: Staging) -> Finding:
    wanted = staging.behind_camera_m
    gap_m, what = min(_behind(staging))
    text = (
        f"Behind the focal plane there is {clearance(gap_m)} to {what}; {length(wanted)} is wanted "
        "for whoever photographs."
    )
    spare = floor_cm(gap_m - wanted)
    if spare >= 0:
        return Finding("room-fit", "pass", "camera", text, "", spare, wanted, "m")
    remedy = f"Bring camera and set {needed(wanted - gap_m)} forward, or use a shorter lens nearer by."
    if wanted - gap_m >= staging.room.back_m:
        # there the mark itself would be in the back wall
        remedy = (
            "The room is too short for that: use a shorter lens nearer by, or let 'behind_camera' be less."
        )
    return Finding("room-fit", "look", "camera", text, remedy, spare, wanted, "m")


def forward_m(staging: Staging, most_m: float) -> float:
    """How far all but the backdrop can come toward the front wall, in steps of 10 cm up to `most_m`.

    Nothing then comes nearer to a wall or a fixed thing than the limits here allow, or than it is already.
    """
    here = [_spare_m(staging, item) for item in placed(staging)]
    free_m = 0.0
    for step in range(1, round(most_m / _STEP_M) + 1):
        moved = replace(staging, room=_room_moved(staging.room, step * _STEP_M))
        there = [_spare_m(moved, item) for item in placed(staging)]
        worse = any(now < min(was, 0.0) for now, was in zip(there, here, strict=True))
        if worse or room_behind_m(moved) < staging.behind_camera_m:
            break
        free_m = step * _STEP_M
    return free_m


def _spare_m(staging: Staging, item: Item) -> float:
    """Of all clearances of a thing, and of its stand's legs, the least over what is wanted."""
    spare_m = min(gap.gap_m - gap.wanted_m for gap in gaps(staging, item))
    legs = None if item.support is None else _legs(staging.room, item, item.support)
    return spare_m if legs is None or legs.margin is None else min(spare_m, legs.margin)


def _room_moved(room: Room, by_m: float) -> Room:
    """The room as a set has it about it that came so far toward the front wall."""
    away = vec(0.0, by_m, 0.0)
    fixed = tuple(
        replace(thing, footprint_m=np.asarray(thing.footprint_m) + away[: np.shape(thing.footprint_m)[1]])
        for thing in room.fixed
    )
    return replace(room, front_m=room.front_m + by_m, back_m=room.back_m + by_m, fixed=fixed)


def room_behind_m(staging: Staging) -> float:
    """From the focal plane straight back to the nearest that is in the way of whoever photographs."""
    return min(_behind(staging))[0]


def _behind(staging: Staging) -> list[tuple[float, str]]:
    """From the focal plane straight back, 60 cm wide: to the front wall and to fixed things."""
    x, y = float(staging.camera.focal_plane_m[0]), float(staging.camera.focal_plane_m[1])
    found = [(y - staging.room.front_m, "the front wall")]
    for thing in staging.room.fixed:
        strip: Array = np.asarray(thing.footprint_m, dtype=float)
        strip = np.column_stack([strip[:, :2], np.zeros(len(strip))])
        strip = clip(strip, HalfSpace(vec(1, 0, 0), x + _PERSON_HALF_M))
        strip = clip(strip, HalfSpace(vec(-1, 0, 0), _PERSON_HALF_M - x))
        strip = clip(strip, HalfSpace(vec(0, 1, 0), y))
        if len(strip) and thing.bottom_m < HEAD_ROOM_M:
            found.append((y - float(strip[:, 1].max()), f"'{thing.name}'"))
    return found


CHECK = Check(
    "room-fit",
    "Fits the room",
    run,
    "Face, body, column and boom of each thing keep 5 cm from walls, ceiling and fixed things, and stay "
    "above the floor; through one of them is a halt. A stand's legs need their reach to a wall, or half of "
    "it with two legs along the wall, and may reach under a seat. Its column stands clear of bodies, of "
    "seats (a stool of 36 cm, assumed), of other columns, and of the camera with what carries it (14 × 10 "
    "cm, from 4 cm behind the focal plane to 3 cm before the lens's middle, assumed), and its boom, a "
    "straight arm of 4 cm from its rear end to its load, of bodies, hats and their brims, of other things "
    "with their columns and booms, of the backdrop, and of the camera unless it passes over it: through one "
    "of them is a halt. The side that is named for a boom is the nearest, in steps of 5°, from which it and "
    "its column are free, have their room, and stand no worse over heads or in the picture. The walkway is "
    "the widest line on the floor plan from a door to 60 cm from the mark, past everything lower than 2 m "
    "(walls, fixed things, backdrop, camera, stands with the full circle of their legs); its width is the "
    "gap at its narrowest place. Behind the focal plane the house's room stays free over 60 cm of width. "
    "Leads, bags and chairs for waiting are not known here.",
)
