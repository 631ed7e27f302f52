"""What holds a thing up: stands, booms, bags, from the recipe's words and the studio's gear."""

from dataclasses import dataclass

import numpy as np

from thirdstop.book.quantities import Turn
from thirdstop.book.recipe import Blocker, Card, Holder, Light
from thirdstop.book.studio import BoomModel, StandModel, Studio
from thirdstop.staging.lookup import find
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import bearing_direction, vec
from thirdstop.typed import Vec

_SIDES: dict[str, float] = {"camera-right": 90.0, "camera-left": -90.0, "camera": 0.0, "behind": 180.0}


ASIDE_M = 0.30
"""How far a stand's column may be beside what it holds without a boom; house limit."""


LEAST_REACH_M = 0.05
"""A boom that reaches less holds its load over its own stand, where nothing says which way its rear end
points; house limit."""


@dataclass(frozen=True, eq=False)
class Load:
    """What is to be held: where it is taken hold of, and its mass."""

    mount_m: Vec
    mass_kg: float


def support_of(
    holder: str | Holder | None, load: Load, studio: Studio, problems: Problems, path: Path
) -> Support | None:
    """The stand under a load, or None where it is held by hand or lies on the lap."""
    if holder is None:
        return None
    if isinstance(holder, str):
        holder = Holder.model_validate({"with": holder})
        name_path = path
    else:
        name_path = (*path, "with")
    bag_kg = _bag(holder, studio, problems, path)
    boom = next((boom for boom in studio.booms if boom.name == holder.with_), None)
    if boom is not None:
        return _on_boom(holder, boom, load, bag_kg, studio, problems, path)
    gear: list[StandModel | BoomModel] = [*studio.stands, *studio.booms]
    stand = find(gear, holder.with_, "stand or boom", problems, name_path)
    if not isinstance(stand, StandModel):
        return None
    usual = vec(float(load.mount_m[0]), float(load.mount_m[1]), 0.0)
    base = _base(holder, usual)
    _refuse_stand_alone(holder, stand, float(np.linalg.norm(base - usual)), problems, path)
    return Support(
        stand=stand.name,
        base_m=base,
        column_top_m=vec(float(base[0]), float(base[1]), float(load.mount_m[2])),
        leg_reach_m=stand.leg_reach.m,
        stand_mass_kg=stand.mass.kg,
        load_m=load.mount_m,
        load_mass_kg=load.mass_kg,
        bag_mass_kg=bag_kg,
        bag_on=holder.bag_on,
        stand_max_m=stand.highest.m,
        stand_min_m=stand.lowest.m,
    )


def refuse_held_twice(thing: Light | Card | Blocker, problems: Problems, path: Path) -> None:
    """Notes who holds a thing that a stand holds."""
    if thing.stand is not None and thing.held_by is not None:
        wrong = f"'{thing.name}' has a stand; 'held_by' is for what has none"
        problems.add((*path, "held_by"), wrong, thing.held_by, "no 'held_by', or no 'stand'")


def _refuse_stand_alone(
    holder: Holder, stand: StandModel, aside_m: float, problems: Problems, path: Path
) -> None:
    """Notes what only a boom does: to reach aside, from a side, against a counterweight."""
    for key, value in (
        ("reach", holder.reach),
        ("from", holder.from_),
        ("counterweight", holder.counterweight),
    ):
        if value is not None:
            wrong = f"'{key}' is for a boom; '{stand.name}' is a stand"
            problems.add((*path, key), wrong, str(value), f"no '{key}', or 'with' a boom")
    if aside_m > ASIDE_M:
        problems.add(
            (*path, "base"),
            f"the stand would stand {aside_m:.2f} m aside of what it holds; without a boom "
            f"{ASIDE_M:.2f} m is the most",
            "",
            "no 'base', or 'with' a boom",
        )


def _bag(holder: Holder, studio: Studio, problems: Problems, path: Path) -> float:
    if holder.bag is None:
        return 0.0
    bag = find(studio.bags, holder.bag, "bag", problems, (*path, "bag"))
    return bag.mass.kg if bag is not None else 0.0


def _base(holder: Holder, usual: Vec) -> Vec:
    if holder.base is None:
        return usual
    return vec(holder.base.across.m, -holder.base.along.m, 0.0)


def _on_boom(
    holder: Holder, boom: BoomModel, load: Load, bag_kg: float, studio: Studio, problems: Problems, path: Path
) -> Support | None:
    stand = find(studio.stands, boom.stand, "stand", Problems(problems.marks), path)
    if stand is None:
        return None
    reach_m = holder.reach.m if holder.reach is not None else boom.longest.m
    if holder.base is not None and (holder.reach is not None or holder.from_ is not None):
        wrong = "a boom's stand is placed by its 'base', or by 'reach' and 'from', not both"
        problems.add((*path, "base"), wrong, "", "one of the two")
    side_deg, words = _side(holder)
    usual: Vec = vec(float(load.mount_m[0]), float(load.mount_m[1]), 0.0) + reach_m * bearing_direction(
        side_deg
    )
    base = _base(holder, usual)
    if holder.base is not None:
        reach_m = float(np.hypot(*(base - load.mount_m)[:2]))
        _refuse_far_base(reach_m, boom, problems, (*path, "base"))
    _refuse_no_reach(reach_m, boom, problems, (*path, "reach" if holder.base is None else "base"))
    return Support(
        stand=stand.name,
        base_m=base,
        column_top_m=vec(float(base[0]), float(base[1]), float(load.mount_m[2])),
        leg_reach_m=stand.leg_reach.m,
        stand_mass_kg=stand.mass.kg,
        load_m=load.mount_m,
        load_mass_kg=load.mass_kg,
        boom=boom.name,
        boom_mass_kg=boom.mass.kg,
        boom_reach_m=reach_m,
        boom_rear_m=boom.rear.m,
        counterweight_kg=holder.counterweight.kg if holder.counterweight is not None else 0.0,
        boom_side=words,
        bag_mass_kg=bag_kg,
        bag_on=holder.bag_on,
        stand_max_m=stand.highest.m,
        stand_min_m=stand.lowest.m,
    )


def _refuse_far_base(reach_m: float, boom: BoomModel, problems: Problems, path: Path) -> None:
    longest_m = boom.longest.m
    if reach_m > longest_m + 1e-9:
        wrong = f"the boom '{boom.name}' reaches {longest_m:.2f} m at most"
        problems.add(path, wrong, f"{reach_m:.2f} m", f"a base {longest_m:.2f} m or less from the load")


def _refuse_no_reach(reach_m: float, boom: BoomModel, problems: Problems, path: Path) -> None:
    if reach_m < LEAST_REACH_M - 1e-9:
        wrong = f"the boom '{boom.name}' would hold its load straight over its own stand"
        right = f"a reach of {LEAST_REACH_M:.2f} m or more, or 'with' a stand instead of the boom"
        problems.add(path, wrong, f"{reach_m:.2f} m", right)


def _side(holder: Holder) -> tuple[float, str]:
    if holder.from_ is None:
        return 90.0, "camera-right"
    if isinstance(holder.from_, Turn):
        return holder.from_.deg, str(holder.from_)
    return _SIDES[holder.from_], holder.from_
