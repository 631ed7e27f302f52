"""What a numbered thing is made of in space: its face, its body, what holds it up."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.checks.polygons import circle_on_floor, outer_outline
from thirdstop.staging.staging import Item, Staging, Support
from thirdstop.staging.vectors import UP
from thirdstop.typed import Array, Vec

PartName: TypeAlias = Literal["face", "body", "column", "boom", "legs"]

TUBE_HALF_M = 0.02
"""Half the thickness allowed for a stand's column or a boom (house value: tubes are 25 to 40 mm)."""

PLACED = ("lamp", "card", "blocker")
"""Kinds of thing that people carry in and could put elsewhere."""


@dataclass(frozen=True, eq=False)
class Part:
    """One convex polygon or segment of a thing."""

    name: PartName
    polygon: Array
    """Shape (n, 3), metres."""
    half_m: float = 0.0
    """Thickness to allow on every side of it."""

    @property
    def words(self) -> str:
        """As in a sentence: 'its stand's legs'."""
        return {
            "face": "its face",
            "body": "its body",
            "column": "its stand's column",
            "boom": "its boom",
            "legs": "its stand's legs",
        }[self.name]


def placed(staging: Staging) -> list[Item]:
    """Lamps, cards and blockers, in their order."""
    return [item for item in staging.items if item.kind in PLACED]


def parts_of(item: Item) -> list[Part]:
    """Face, body, column, boom and legs of a thing, those that it has."""
    parts = [Part("face", outer_outline(item.outline, item.centre_m, item.half_u_m, item.half_v_m))]
    parts += [Part("body", np.asarray(polygon)) for polygon in item.body if len(polygon) > 1]
    return parts + (support_parts(item.support) if item.support else [])


def support_parts(support: Support) -> list[Part]:
    """Column, boom and the circle of the legs' ends; which way the legs point is not stated."""
    parts = [Part("column", np.array([support.base_m, support.column_top_m]), TUBE_HALF_M)]
    if support.boom is not None:
        parts.append(Part("boom", np.array(boom_ends_m(support)), TUBE_HALF_M))
    if support.leg_reach_m > 0:
        parts.append(Part("legs", circle_on_floor(support.base_m, support.leg_reach_m)))
    return parts


def boom_ends_m(support: Support) -> tuple[Vec, Vec]:
    """The boom's rear end and its load end: a straight arm through the knuckle at the column's top."""
    forward = support.load_m - support.column_top_m
    length_m = float(np.linalg.norm(forward))
    direction = forward / length_m if length_m > 1e-9 else UP
    return support.column_top_m - support.boom_rear_m * direction, support.load_m


def called(item: Item) -> str:
    """A thing in a sentence: 'The card 'lap card''."""
    return f"The {item.kind} '{item.name}'"
