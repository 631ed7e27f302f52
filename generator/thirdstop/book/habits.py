"""The meter, and what a house does unless a recipe says otherwise."""

from typing import Annotated, Literal

from thirdstop.book.fields import (
    DateField,
    LengthField,
)
from thirdstop.book.model import Model, say
from thirdstop.book.quantities import (
    Duration,
    Length,
    Stops,
)
from thirdstop.book.ranges import (
    FramesField,
    MeterConstantField,
    MeterOffsetField,
    MeterStepField,
    NearnessField,
    PopIntervalField,
)
from thirdstop.constants import METER_CONSTANT_DOME, METER_CONSTANT_FLAT, Units


class MeterModel(Model):
    """The incident meter."""

    flat_constant: Annotated[
        MeterConstantField, say("Incident constant C of the flat receptor, lx·s (ISO 2720).")
    ] = METER_CONSTANT_FLAT
    dome_constant: Annotated[MeterConstantField, say("Incident constant C of the dome, lx·s (ISO 2720).")] = (
        METER_CONSTANT_DOME
    )
    step: Annotated[MeterStepField, say("The step it shows.")] = Stops(0.1)
    offset: Annotated[MeterOffsetField, say("What to add to its readings so that the camera agrees.")] = (
        Stops(0.0)
    )
    measured: Annotated[DateField | None, say("The day the offset was found.")] = None


class HabitsModel(Model):
    """What this house does unless a recipe says otherwise."""

    convention: Annotated[Literal["lit to shadow", "key to fill"], say("How ratios are said.")] = (
        "lit to shadow"
    )
    within: Annotated[NearnessField, say("How near a ratio must come to its target.")] = Stops(1 / 3)
    exposure_by: Annotated[
        Literal["dome toward camera", "dome toward lamp", "flat toward lamp"],
        say("How the aperture is metered, under the chin."),
    ] = "dome toward camera"
    walkway: Annotated[LengthField, say("Width kept free for people.")] = Length(0.6)
    behind_camera: Annotated[LengthField, say("Room kept free behind the camera.")] = Length(0.5)
    units: Annotated[Units, say("Units shown first.")] = "metric"
    both_units: Annotated[
        bool, say("Whether pages can be switched to the other units; without, drawings are made in one.")
    ] = True
    sides: Annotated[
        Literal["camera", "camera and sitter"],
        say("Whether left and right are said as the camera sees them, or also as the sitter's own."),
    ] = "camera and sitter"
    fastest: Annotated[PopIntervalField, say("Shortest time between two pops.")] = Duration(1.0)
    frames: Annotated[FramesField, say("Frames of one session, for which a charge must last.")] = 300

    @property
    def units_alone(self) -> Units | None:
        """The units of a house that reads no others; None where pages hold both."""
        return None if self.both_units else self.units
