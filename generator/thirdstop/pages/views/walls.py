"""What this room's walls do to each recipe's ratio, as the room's page shows it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from thirdstop.exposure.black_walls import HALF
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.pages.house import Step
from thirdstop.pages.views import headline


@dataclass(frozen=True)
class Walls:
    """Of one recipe."""

    ratio: float
    convention: str
    lit_share: float
    """Of the lit point's light: what came off a wall last."""
    shadow_share: float
    black: float | None
    """The ratio in black walls; None where nobody computed it, or where the light itself comes off a wall."""


@dataclass(frozen=True)
class Row:
    """A line of the table."""

    recipe: Step
    ratio: str
    share: Figure
    black: str
    apart: Figure
    note: str


def walls_of(evaluated: Evaluated) -> Walls:
    """What the readings say of the walls."""
    readings, ratio = evaluated.readings, evaluated.readings.ratio
    lit, shadow = (readings[name].budget.get("walls", 0.0) for name in (ratio.lit_point, ratio.shadow_point))
    black = evaluated.black_walls
    return Walls(
        ratio.ratio, headline.SIGNS[ratio.convention], lit, shadow, black.ratio if black is not None else None
    )


def rows(recipes: Sequence[tuple[Step, Walls]]) -> tuple[Row, ...]:
    """The table, in the recipes' order."""
    return tuple(_row(step, walls) for step, walls in recipes)


def _row(step: Step, walls: Walls) -> Row:
    ratio = f"{figures.ratio(walls.ratio)} {walls.convention}"
    share = figures.percent(walls.shadow_share)
    if walls.black is None:
        note = "its own light comes off a wall" if walls.lit_share > HALF else ""
        return Row(step, ratio, share, "–", figures.NONE, note)
    return Row(step, ratio, share, figures.ratio(walls.black), figures.apart(_stops(walls)), "")


def _stops(walls: Walls) -> float:
    return math.log2((walls.black or walls.ratio) / walls.ratio)


def says(recipes: Sequence[tuple[Step, Walls]]) -> str:
    """The table in a sentence; empty where nothing was computed."""
    known = [(abs(_stops(walls)), step.title) for step, walls in recipes if walls.black is not None]
    if not known:
        return ""
    (least, _), (most, title) = min(known), max(known)
    if len(known) == 1:
        return f"The walls move the ratio of ‘{title}’ by {figures.apart(most)}."
    return (
        f"Between {figures.apart(least).value} and {figures.apart(most)} of ratio go to the walls; most in "
        f"‘{title}’."
    )
