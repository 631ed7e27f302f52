"""Measuring points: a named place with a direction and a receptor."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from thirdstop.typed import Vec

Receptor: TypeAlias = Literal["flat", "dome"]


@dataclass(frozen=True, eq=False)
class MeasuringPoint:
    """Where the meter is held, which way it looks and with which receptor.

    A flat receptor follows the cosine law; a dome follows the cardioid (1 + cos θ)/2 over all directions.
    """

    name: str
    """Unique in a staging, in words: 'left cheek', 'under chin', 'backdrop behind head'."""
    place_m: Vec
    direction: Vec
    """Unit vector out of the receptor."""
    receptor: Receptor
    sitter: int | None = None
