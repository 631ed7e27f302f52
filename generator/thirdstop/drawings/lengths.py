"""How a drawing writes lengths: in metres to a centimetre, or in feet and inches to half an inch."""

from dataclasses import dataclass

from thirdstop.book.feet import FOOT_M, HALF_INCH_M, feet, half_inches
from thirdstop.constants import Units

_CM_M = 0.01


@dataclass(frozen=True)
class System:
    """A way to write lengths, and the words for it."""

    units: Units
    step_m: float
    """What lengths are rounded to."""
    bar_step_m: float
    bar_steps: int
    """The scale bar: so many steps of this length."""
    name: str
    short: str
    """Where there is little room."""
    suffix: str
    """What tells the drawing's ids from those of the same drawing in metres."""

    def steps(self, length_m: float) -> int:
        """The length in whole steps, signed: what prints alike has the same number."""
        if self.units == "metric":
            return round(round(length_m, 2) / _CM_M)
        return half_inches(length_m) * (-1 if length_m < 0 else 1)

    def text(self, length_m: float) -> str:
        """The bare figure of a dimension, unsigned: '1.25', whose unit the caption has, or '4 ft 1 in'."""
        return f"{abs(length_m):.2f}" if self.units == "metric" else feet(length_m)

    def said(self, length_m: float) -> str:
        """The length in a sentence, unsigned: '1.25 m' or '4 ft 1 in'."""
        return f"{self.text(length_m)} m" if self.units == "metric" else feet(length_m)

    def round_text(self, length_m: float) -> str:
        """A round length at a tick of an axis: '0.4' or '1 ft 6 in'."""
        return f"{length_m:.1f}" if self.units == "metric" else feet(length_m)

    def stated_m(self, length_m: float) -> float:
        """What the figure says, in metres, unsigned."""
        return abs(self.steps(length_m)) * self.step_m

    @property
    def bar_end(self) -> str:
        """The number at the end of the scale bar."""
        length_m = self.bar_step_m * self.bar_steps
        return f"{length_m:g} m" if self.units == "metric" else feet(length_m)


METRIC = System("metric", _CM_M, 0.5, 2, "metres", "metres", "")
IMPERIAL = System("imperial", HALF_INCH_M, FOOT_M, 3, "feet and inches", "feet", "-feet")
SYSTEMS: dict[Units, System] = {"metric": METRIC, "imperial": IMPERIAL}
