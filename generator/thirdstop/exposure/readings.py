"""What the engine returns: light by emitter, point and last bounce; readings, ratio, bands."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from thirdstop.typed import Array

Convention: TypeAlias = Literal["lit to shadow", "key to fill"]


@dataclass(frozen=True, eq=False)
class Transport:
    """Luminous exposure at every measuring point from every emitter at full power.

    Axes: e emitters, p points, s surfaces (panels and solids of the scene, in that order, by name).
    """

    emitters: tuple[str, ...]
    points: tuple[str, ...]
    surfaces: tuple[str, ...]
    direct_lx_s: Array
    """Shape (e, p)."""
    bounced_lx_s: Array
    """Shape (e, p, s): what reached the point with its last bounce at that surface."""

    @property
    def total_lx_s(self) -> Array:
        """Shape (e, p)."""
        total: Array = self.direct_lx_s + self.bounced_lx_s.sum(axis=2)
        return total


@dataclass(frozen=True)
class Reading:
    """What the meter would show at one point."""

    point: str
    receptor: Literal["flat", "dome"]
    lux_seconds: float
    f_number: float
    """Exact, at the staging's ISO and the receptor's constant."""
    stops_from_key: float
    """From the key reading; 0 at the key reading itself."""
    band_stops: float
    """Half-width of the 90 % band of the reading."""
    band_from_key_stops: float
    """Half-width of the 90 % band of `stops_from_key`."""
    budget: dict[str, float]
    """Share (0 to 1, summing to 1) by where the light last came from: 'key', other lamps by name, cards by
    name, 'walls', 'ceiling', 'floor', 'backdrop', 'body', 'blockers', 'other'."""


@dataclass(frozen=True)
class RatioReading:
    """A ratio, always with its convention and the difference in stops."""

    convention: Convention
    ratio: float
    stops: float
    lit_point: str
    shadow_point: str
    band_stops: float
    """Half-width of the 90 % band."""
    causes: tuple[tuple[str, float], ...] = ()
    """The two largest causes of the band, in words, with what each moves the ratio, in stops."""

    @property
    def low(self) -> float:
        """Lower end of the 90 % band."""
        return float(self.ratio * 2.0**-self.band_stops)

    @property
    def high(self) -> float:
        """Upper end of the 90 % band."""
        return float(self.ratio * 2.0**self.band_stops)


@dataclass(frozen=True)
class LampReading:
    """The click of a lamp, as stated or as predicted."""

    emitter: str
    click: int
    """1 is the lowest; may lie outside 1..clicks when the lamp can't do what is asked."""
    clicks: int
    shown: str
    """What the trigger shows, or '' when out of range."""
    predicted: bool
    """True where the click was found here, False where the recipe states it."""
    exact_click: float
    """Before rounding to a whole click."""


@dataclass(frozen=True)
class Readings:
    """Everything that the engine says of one staging."""

    key_point: str
    readings: dict[str, Reading]
    """By the measuring point's name, in the scene's order."""
    ratio: RatioReading
    lamps: tuple[LampReading, ...]
    ambient_stops_under: float | None
    """How far the room's own light is under the key reading at this shutter; None if not known."""
    key_causes: tuple[tuple[str, float], ...] = ()

    def __getitem__(self, point: str) -> Reading:
        return self.readings[point]
