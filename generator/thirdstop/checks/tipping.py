"""The balance of a three-legged stand about the edges it could tip over.

Three legs of reach R stand 120° apart, so each tipping edge, from one leg's end to the next, lies R/2 from
the column. With `outward` the edge's direction seen from the column, a mass m at x restores with
m·g·(R/2 − x·outward) and overturns where that is negative. Which way the legs point is not stated, so the
edge is turned through the full circle and the weakest direction counts.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from thirdstop.checks.parts import boom_ends_m
from thirdstop.constants import GRAVITY_M_S2
from thirdstop.staging.legs import wanted_leg_deg
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec
from thirdstop.typed import Array, Vec

_TURNS = 1440
"""Directions of the edge that are tried, besides the load's own."""


@dataclass(frozen=True, eq=False)
class Masses:
    """What stands on three legs: masses and where they are from the column, on the floor plan."""

    mass_kg: Array
    """Shape (n,); the load is the last."""
    place_m: Array
    """Shape (n, 2)."""
    leg_reach_m: float


@dataclass(frozen=True)
class Moments:
    """Moments about one edge, in N·m."""

    overturning: float
    restoring: float

    @property
    def ratio(self) -> float:
        """Restoring over overturning; infinity where nothing lies beyond the edge."""
        return self.restoring / self.overturning if self.overturning > 1e-9 else math.inf

    @property
    def net(self) -> float:
        """What is left to hold it; negative where it tips by itself."""
        return self.restoring - self.overturning


def masses_of(support: Support, with_bag: bool = True) -> Masses:
    """The stand at its column, the bag where it hangs, the boom at its middle, the load at its place."""
    rear, front = boom_ends_m(support) if support.boom else (support.column_top_m, support.column_top_m)
    rows = [
        (support.stand_mass_kg, support.base_m),
        (support.bag_mass_kg if with_bag else 0.0, bag_place_m(support)),
        (support.boom_mass_kg if support.boom else 0.0, (rear + front) / 2),
        (support.counterweight_kg, rear),
        (support.load_mass_kg, support.load_m),
    ]
    places = np.array([place[:2] - support.base_m[:2] for _, place in rows])
    return Masses(np.array([mass for mass, _ in rows]), places, support.leg_reach_m)


def bag_place_m(support: Support) -> Vec:
    """Where the bag hangs: at the column, or half-way out on the leg under the load.

    Where the load hangs over the column any leg will do: the edge goes round the full circle.
    """
    if support.bag_on == "column":
        return support.base_m
    angle = math.radians(wanted_leg_deg(support))
    place: Vec = support.base_m + support.leg_reach_m / 2 * vec(math.cos(angle), math.sin(angle), 0.0)
    return place


def about_edge(masses: Masses, outward_deg: float) -> Moments:
    """Moments about the edge whose outward direction has that angle on the plan (0 along +x)."""
    overturning, restoring = _moments(masses, np.array([math.radians(outward_deg)]))
    return Moments(float(overturning[0]), float(restoring[0]))


def _moments(masses: Masses, angles: Array) -> tuple[Array, Array]:
    """Overturning and restoring moments about the edges at these angles in radians, each shape (k,)."""
    outward = np.stack([np.cos(angles), np.sin(angles)])
    # axes: mass, edge
    arms = masses.leg_reach_m / 2 - masses.place_m @ outward
    moments = GRAVITY_M_S2 * masses.mass_kg[:, None] * arms
    return -np.minimum(moments, 0.0).sum(axis=0), np.maximum(moments, 0.0).sum(axis=0)


def _edges(masses: Masses) -> Array:
    """Angles of the edges that are tried, radians: toward the pull, toward each mass, and a full circle."""
    pull = masses.mass_kg @ masses.place_m
    own = np.vstack([pull[None, :], masses.place_m])
    return np.concatenate([np.arctan2(own[:, 1], own[:, 0]), 2 * np.pi * np.arange(_TURNS) / _TURNS])


def weakest(masses: Masses) -> Moments:
    """The edge with the least left to hold the stand: the one that the pull of all masses points to."""
    pull = masses.mass_kg @ masses.place_m
    return about_edge(masses, math.degrees(math.atan2(pull[1], pull[0])))


def least_ratio(masses: Masses) -> Moments:
    """The edge with the least ratio of restoring to overturning moments; `weakest` where nothing overturns.

    It may be another edge than the weakest: a balanced boom pulls nowhere, and still has its load far out.
    """
    angles = _edges(masses)
    overturning, restoring = _moments(masses, angles)
    if overturning.max() <= 1e-9:
        return weakest(masses)
    share = overturning / np.maximum(restoring, 1e-12)
    k = int(np.argmax(share))
    return Moments(float(overturning[k]), float(restoring[k]))


def with_leg_under_load(masses: Masses) -> Moments:
    """The worst of the three edges when a leg points to the load (the last mass): 60° to either side of it,
    and straight away from it.
    """
    x, y = masses.place_m[-1]
    start = math.degrees(math.atan2(y, x))
    turns = [about_edge(masses, start + turn) for turn in (-60.0, 60.0, 180.0)]
    return min(turns, key=lambda moments: (moments.ratio, moments.net))


def push_n(moments: Moments, height_m: float) -> float:
    """Sideways force at a height that just tips the stand over that edge, in N."""
    return max(0.0, moments.net) / height_m


def bag_for_kg(masses: Masses, height_m: float, ratio: float, least_push_n: float) -> float:
    """Mass at the column that gives, about every edge, at least the ratio and the push; ≥ 0.

    A mass m at the column restores m·g·R/2 about every edge. `masses` is to hold no bag.
    """
    overturning, restoring = _moments(masses, _edges(masses))
    tips = overturning > 1e-9
    for_ratio = float((ratio * overturning - restoring)[tips].max(initial=0.0))
    for_push = least_push_n * height_m - weakest(masses).net
    return max(0.0, for_ratio, for_push) / (GRAVITY_M_S2 * masses.leg_reach_m / 2)


def boom_moment_kg_m(support: Support) -> float:
    """Pull about the knuckle of load, arm and what hangs at the rear, in kg·m on the plan; positive where the
    load goes down.
    """
    rear, front = boom_ends_m(support)
    along = front[:2] - support.column_top_m[:2]
    reach_m = float(np.linalg.norm(along))
    if reach_m < 1e-9:
        return 0.0
    arm_m = float(((rear + front)[:2] / 2 - support.column_top_m[:2]) @ along) / reach_m
    rear_m = float(np.linalg.norm(rear[:2] - support.column_top_m[:2]))
    return support.load_mass_kg * reach_m + support.boom_mass_kg * arm_m - support.counterweight_kg * rear_m


def counterweight_kg(support: Support) -> float | None:
    """Mass at the boom's rear end that balances load and arm about the knuckle; None without a rear end."""
    rear, _ = boom_ends_m(support)
    rear_m = float(np.linalg.norm(rear[:2] - support.column_top_m[:2]))
    if rear_m <= 0.01:
        return None
    return max(0.0, support.counterweight_kg + boom_moment_kg_m(support) / rear_m)


def balanced_masses(support: Support) -> Masses | None:
    """The stand without a bag, its boom balanced by the counterweight at the rear end; None without one."""
    mass = counterweight_kg(support)
    if mass is None:
        return None
    return masses_of(replace(support, counterweight_kg=mass), with_bag=False)


def while_rigging(support: Support) -> dict[str, Masses]:
    """The two states between bare and rigged of a boom with a counterweight, by what is already on."""
    return {
        "the load is on and the counterweight is off": masses_of(replace(support, counterweight_kg=0.0)),
        "the counterweight is on and the load is off": masses_of(replace(support, load_mass_kg=0.0)),
    }
