"""The studio file: the room, its surfaces, the gear, the meter and the house's habits."""

from typing import Annotated, Literal

from pydantic import Field

from thirdstop.book.fields import (
    ApertureField,
    CountField,
    DateField,
    DurationField,
    IlluminanceField,
    IsoField,
    LengthField,
    MiredField,
    NameField,
    ShareField,
    SlugField,
    TextField,
    ToleranceField,
)
from thirdstop.book.found import CalibrationModel
from thirdstop.book.model import Model
from thirdstop.book.quantities import (
    Duration,
    Efficacy,
    Iso,
    Length,
    Mired,
    Share,
    Stops,
)
from thirdstop.book.ranges import (
    ClicksField,
    CutoffField,
    DepthField,
    ExtentField,
    FlashEfficacyField,
    FlashEnergyField,
    FlashGuideNumberField,
    FramesField,
    GearCountField,
    GearMassField,
    HalfAngleField,
    LossField,
    MeterConstantField,
    MeterOffsetField,
    MeterStepField,
    NearnessField,
    NetField,
    PanelSizeField,
    PassedField,
    PopIntervalField,
    PopsField,
    ReadingDistanceField,
    ReflectanceField,
    RoomSideField,
    RoughnessField,
    SensorField,
    SurfaceShareField,
)
from thirdstop.book.web import AddressField
from thirdstop.constants import METER_CONSTANT_DOME, METER_CONSTANT_FLAT, Units

MOST_GEAR = 60
"""Of one kind of gear, of paints, of surfaces, of readings of one lamp."""
MOST_FIXED = 8
"""Of doors and of fixed things, each of which has six sides that light meets."""

WallName = Literal["back wall", "front wall", "left wall", "right wall"]


def _of(text: str, **more: object) -> object:
    """A field's description for the schema and the nomenclature page."""
    return Field(description=text, **more)  # type: ignore[call-overload]


class RoomSurfaces(Model):
    """Six reflectances, by paint name or as a number from 0 to 1. Walls are named as the camera sees them."""

    back_wall: Annotated[ReflectanceField, _of("The wall behind the sitter.")]
    front_wall: Annotated[ReflectanceField, _of("The wall behind the camera.")]
    left_wall: Annotated[ReflectanceField, _of("The wall at camera-left.")]
    right_wall: Annotated[ReflectanceField, _of("The wall at camera-right.")]
    ceiling: Annotated[ReflectanceField, _of("The ceiling.")]
    floor: Annotated[ReflectanceField, _of("The floor.")]
    measured: Annotated[DateField | None, _of("The day these were measured; left out: assumed.")] = None


class DoorModel(Model):
    """A door, drawn on every plan."""

    wall: Annotated[WallName, _of("The wall it is in.")]
    from_corner: Annotated[
        LengthField,
        _of("Along that wall, from its left end as seen from inside the room, to the door's nearer edge."),
    ]
    width: Annotated[ExtentField, _of("Clear width of the opening.", examples=["80 cm"])]


class FixedModel(Model):
    """A fixed thing that stands in the room: a cupboard, a radiator, a beam."""

    name: Annotated[NameField, _of("What it is.")]
    left_wall: Annotated[LengthField, _of("From the left wall to its nearer side.")]
    back_wall: Annotated[LengthField, _of("From the back wall to its nearer side.")]
    width: Annotated[ExtentField, _of("Its extent across the room.")]
    length: Annotated[ExtentField, _of("Its extent along the room.")]
    bottom: Annotated[LengthField, _of("Height of its underside; 0 cm where it stands on the floor.")] = (
        Length(0.0)
    )
    top: Annotated[ExtentField, _of("Height of its top.")]
    reflectance: Annotated[ReflectanceField, _of("By paint name or as a number.")]


class RoomModel(Model):
    """The room."""

    width: Annotated[RoomSideField, _of("Between the left and the right wall.", examples=["3.2 m"])]
    length: Annotated[RoomSideField, _of("Between the back and the front wall.", examples=["4.8 m"])]
    height: Annotated[RoomSideField, _of("Floor to ceiling.", examples=["2.5 m"])]
    surfaces: Annotated[RoomSurfaces, _of("Six reflectances.")]
    doors: Annotated[list[DoorModel], _of("Doors, drawn on every plan.", max_length=MOST_FIXED)] = []
    fixed: Annotated[list[FixedModel], _of("Fixed things.", max_length=MOST_FIXED)] = []
    ambient: Annotated[
        IlluminanceField | None,
        _of("What the room's own lights give at the sitter, in lux; left out: not known."),
    ] = None


class PaintModel(Model):
    """A surface colour of the studio's own."""

    name: Annotated[NameField, _of("Its name in this book.")]
    reflectance: Annotated[SurfaceShareField, _of("Share of light returned, 0 to 1.")]
    measured: Annotated[DateField | None, _of("The day it was measured; left out: assumed.")] = None


class SurfaceModel(Model):
    """A card's surface of the studio's own, or better values for a usual one."""

    name: Annotated[
        NameField, _of("Its name on the card: white, silver, gold, translucent, black or your own.")
    ]
    kind: Annotated[Literal["matte", "metallised", "translucent"], _of("How it returns light.")]
    reflectance: Annotated[SurfaceShareField, _of("Total share of light returned, 0 to 1.")]
    roughness: Annotated[
        RoughnessField | None, _of("Metallised only: GGX roughness, 0.2 smooth to 0.6 crinkled.")
    ] = None
    matte_share: Annotated[
        ShareField | None, _of("Metallised only: the part of the returned light that is spread evenly.")
    ] = None
    transmittance: Annotated[SurfaceShareField | None, _of("Translucent only: share of light passed.")] = None
    shift: Annotated[MiredField, _of("What the returned light gains in warmth.")] = Mired(0.0)
    measured: Annotated[DateField | None, _of("The day it was measured; left out: assumed.")] = None


class BackdropModel(Model):
    """A sheet to hang behind the sitter."""

    name: Annotated[NameField, _of("Its name in this book.")]
    width: Annotated[ExtentField, _of("Width of the sheet.", examples=["2.2 m"])]
    height: Annotated[ExtentField, _of("Height of its upper edge over the floor.", examples=["2.3 m"])]
    reflectance: Annotated[ReflectanceField, _of("By paint name or as a number.")]
    measured: Annotated[DateField | None, _of("The day it was measured; left out: assumed.")] = None


class InRoom(Model):
    """Where a lamp stood for a reading taken in the open room, so that the room's share can be taken out."""

    left_wall: Annotated[LengthField, _of("From the left wall to the middle of the face.")]
    back_wall: Annotated[LengthField, _of("From the back wall to the middle of the face.")]
    height: Annotated[LengthField, _of("Floor to the middle of the face.")]
    facing: Annotated[WallName, _of("The wall it faced, held level.")]


class OutputReading(Model):
    """One metered reading of a lamp with a shaper, on its axis."""

    shaper: Annotated[NameField, _of("The shaper that was on the lamp.")]
    reads: Annotated[ApertureField, _of("What the meter showed.")]
    iso: Annotated[IsoField, _of("What the meter was set to.")] = Iso(100)
    click: Annotated[CountField, _of("The click the lamp stood at; 1 is the lowest.")]
    distance: Annotated[
        ReadingDistanceField, _of("From the face to the receptor, straight out from its middle.")
    ]
    receptor: Annotated[Literal["flat", "dome"], _of("The receptor, facing the lamp.")]
    masking: Annotated[
        Literal["black all round", "open room"],
        _of("Whether the room's own return was kept off the meter; 'open room' needs 'in_room'."),
    ]
    in_room: Annotated[InRoom | None, _of("Where the lamp stood, for a reading in the open room.")] = None
    measured: Annotated[DateField | None, _of("The day it was read.")] = None


class OutputGuideNumber(Model):
    """A lamp's guide number with a shaper."""

    shaper: Annotated[NameField, _of("The shaper it holds for.")]
    guide_number: Annotated[FlashGuideNumberField, _of("f-number times distance, at full power.")]
    iso: Annotated[IsoField, _of("The ISO it holds for.")] = Iso(100)


class CalibratedOutput(Model):
    """A lamp's output with a shaper as the studio's own readings have it. Written by `calibrate --write`."""

    shaper: Annotated[NameField, _of("The shaper it holds for.")]
    guide_number: Annotated[
        FlashGuideNumberField, _of("f-number times distance at full power and ISO 100, flat receptor.")
    ]
    spread: Annotated[ToleranceField, _of("Half-width of its 90 % band, in stops.")]
    measured: Annotated[DateField, _of("The day it was read.")]


class LampModel(Model):
    """A flash head."""

    name: Annotated[NameField, _of("Its name in this book.")]
    energy: Annotated[FlashEnergyField, _of("Stored energy at full power.")]
    clicks: Annotated[
        ClicksField, _of("How many settings there are, a third of a stop apart; the last is full power.")
    ]
    display: Annotated[
        Literal["fractions"] | list[TextField],
        _of("What the trigger shows for each click, lowest first; 'fractions' writes 1/256, 1/256 + 1/3 …"),
    ] = "fractions"
    readings: Annotated[
        list[OutputReading], _of("Metered readings: the best way to know its output.", max_length=MOST_GEAR)
    ] = []
    guide_numbers: Annotated[
        list[OutputGuideNumber], _of("Guide numbers: the second best.", max_length=MOST_GEAR)
    ] = []
    calibrated: Annotated[
        list[CalibratedOutput],
        _of("What a calibration found; it comes before everything else.", max_length=MOST_GEAR),
    ] = []
    efficacy: Annotated[
        FlashEfficacyField, _of("Light per energy; used where there is neither a reading nor a guide number.")
    ] = Efficacy(40.0)
    mass: Annotated[GearMassField, _of("Of the head with its battery.")]
    length: Annotated[DepthField, _of("Of the head behind the shaper, for the drawings.")] = Length(0.25)
    mains: Annotated[bool, _of("True where it hangs on a mains lead.")] = False
    recycle: Annotated[DurationField | None, _of("Time to be ready again after a full pop.")] = None
    pops: Annotated[PopsField | None, _of("Full pops from one charge.")] = None
    measured: Annotated[DateField | None, _of("The day its output was last measured.")] = None
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class ShaperModel(Model):
    """What goes on the front of a lamp and makes its light."""

    name: Annotated[NameField, _of("Its name in this book.")]
    form: Annotated[
        Literal["round", "octagon", "square", "strip", "umbrella", "dish", "bare"],
        _of("Its face. Boxes, octagons and umbrellas glow evenly; a dish or bare head throws a beam."),
    ]
    diameter: Annotated[ExtentField | None, _of("Round, umbrella, dish, bare: across the face.")] = None
    across: Annotated[ExtentField | None, _of("Octagon: from flat to flat.")] = None
    size: Annotated[
        PanelSizeField | None, _of("Square and strip: the two sides of the face, width first.")
    ] = None
    depth: Annotated[DepthField, _of("From the face back to the lamp's mount.", examples=["30 cm"])]
    mass: Annotated[GearMassField, _of("Its mass.")]
    half_angle: Annotated[
        HalfAngleField | None, _of("Dish and bare: where the light has fallen to half, from the axis.")
    ] = None
    passes: Annotated[
        PassedField, _of("Share of the lamp's light that leaves the face; used with a stated energy only.")
    ] = Share(0.5)
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class GridModel(Model):
    """A grid for the face of a shaper."""

    name: Annotated[NameField, _of("Its name in this book.")]
    cutoff: Annotated[CutoffField, _of("The angle from the axis beyond which it passes nothing.")]
    loss: Annotated[LossField, _of("What it takes on the axis.")] = Stops(0.2)
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class GelModel(Model):
    """A gel or filter for a lamp."""

    name: Annotated[NameField, _of("Its name in this book.")]
    loss: Annotated[LossField, _of("What it takes.")]
    shift: Annotated[MiredField, _of("What it adds to the light's warmth.")] = Mired(0.0)
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class CardModel(Model):
    """A panel: a bounce card, a black panel, a net. What it does depends on the side that is used."""

    name: Annotated[NameField, _of("Its name in this book.")]
    size: Annotated[PanelSizeField, _of("Its two sides.")]
    surfaces: Annotated[list[NameField], _of("The surfaces it has.", min_length=1, max_length=MOST_GEAR)]
    back: Annotated[
        NameField | None,
        _of("What the side away from the light shows; left out: the same surface as in use."),
    ] = None
    passes: Annotated[NetField, _of("A net: share of light that goes straight through.")] = Share(0.0)
    mass: Annotated[GearMassField, _of("Its mass.")]
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class StandModel(Model):
    """A three-legged stand."""

    name: Annotated[NameField, _of("Its name in this book.")]
    mass: Annotated[GearMassField, _of("Its mass.")]
    leg_reach: Annotated[
        ExtentField, _of("From the column to the end of a leg, on the floor.", examples=["50 cm"])
    ]
    lowest: Annotated[ExtentField, _of("Lowest height of its top.", examples=["80 cm"])]
    highest: Annotated[ExtentField, _of("Highest height of its top.", examples=["2.4 m"])]
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class BoomModel(Model):
    """An arm on a stand."""

    name: Annotated[NameField, _of("Its name in this book.")]
    stand: Annotated[NameField, _of("The stand it is used with.")]
    mass: Annotated[GearMassField, _of("Its mass.")]
    longest: Annotated[ExtentField, _of("Longest reach from the knuckle to the load.")]
    rear: Annotated[DepthField, _of("Length behind the knuckle, where the counterweight hangs.")]
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class BagModel(Model):
    """A sandbag."""

    name: Annotated[NameField, _of("Its name in this book.")]
    mass: Annotated[GearMassField, _of("Its mass.")]
    count: Annotated[GearCountField, _of("How many there are.")] = 1


class CameraModel(Model):
    """A camera body."""

    name: Annotated[NameField, _of("Its name in this book.")]
    sensor: Annotated[SensorField, _of("Long side, short side.")]


class MeterModel(Model):
    """The incident meter."""

    flat_constant: Annotated[
        MeterConstantField, _of("Incident constant C of the flat receptor, lx·s (ISO 2720).")
    ] = METER_CONSTANT_FLAT
    dome_constant: Annotated[MeterConstantField, _of("Incident constant C of the dome, lx·s (ISO 2720).")] = (
        METER_CONSTANT_DOME
    )
    step: Annotated[MeterStepField, _of("The step it shows.")] = Stops(0.1)
    offset: Annotated[MeterOffsetField, _of("What to add to its readings so that the camera agrees.")] = (
        Stops(0.0)
    )
    measured: Annotated[DateField | None, _of("The day the offset was found.")] = None


class HabitsModel(Model):
    """What this house does unless a recipe says otherwise."""

    convention: Annotated[Literal["lit to shadow", "key to fill"], _of("How ratios are said.")] = (
        "lit to shadow"
    )
    within: Annotated[NearnessField, _of("How near a ratio must come to its target.")] = Stops(1 / 3)
    exposure_by: Annotated[
        Literal["dome toward camera", "dome toward lamp", "flat toward lamp"],
        _of("How the aperture is metered, under the chin."),
    ] = "dome toward camera"
    walkway: Annotated[LengthField, _of("Width kept free for people.")] = Length(0.6)
    behind_camera: Annotated[LengthField, _of("Room kept free behind the camera.")] = Length(0.5)
    units: Annotated[Units, _of("Units shown first.")] = "metric"
    both_units: Annotated[
        bool, _of("Whether pages can be switched to the other units; without, drawings are made in one.")
    ] = True
    sides: Annotated[
        Literal["camera", "camera and sitter"],
        _of("Whether left and right are said as the camera sees them, or also as the sitter's own."),
    ] = "camera and sitter"
    fastest: Annotated[PopIntervalField, _of("Shortest time between two pops.")] = Duration(1.0)
    frames: Annotated[FramesField, _of("Frames of one session, for which a charge must last.")] = 300

    @property
    def units_alone(self) -> Units | None:
        """The units of a house that reads no others; None where pages hold both."""
        return None if self.both_units else self.units


class Studio(Model):
    """The studio file."""

    name: Annotated[NameField, _of("The house's name.")]
    address: Annotated[AddressField | None, _of("Where the book will stand on the web, if it will.")] = None
    theme: Annotated[SlugField, _of("The theme of the pages.")] = "default"
    about: Annotated[TextField | None, _of("One sentence for the first page.")] = None
    room: Annotated[RoomModel, _of("The room.")]
    paints: Annotated[list[PaintModel], _of("Colours of your own.", max_length=MOST_GEAR)] = []
    surfaces: Annotated[
        list[SurfaceModel],
        _of("Card surfaces of your own, or better values for usual ones.", max_length=MOST_GEAR),
    ] = []
    backdrops: Annotated[list[BackdropModel], _of("Sheets.", max_length=MOST_GEAR)] = []
    lamps: Annotated[list[LampModel], _of("Flash heads.", min_length=1, max_length=MOST_GEAR)]
    shapers: Annotated[
        list[ShaperModel], _of("Boxes, dishes, umbrellas.", min_length=1, max_length=MOST_GEAR)
    ]
    grids: Annotated[list[GridModel], _of("Grids.", max_length=MOST_GEAR)] = []
    gels: Annotated[list[GelModel], _of("Gels and filters.", max_length=MOST_GEAR)] = []
    cards: Annotated[
        list[CardModel], _of("Panels: bounce cards, black panels, nets.", max_length=MOST_GEAR)
    ] = []
    stands: Annotated[list[StandModel], _of("Stands.", max_length=MOST_GEAR)] = []
    booms: Annotated[list[BoomModel], _of("Booms.", max_length=MOST_GEAR)] = []
    bags: Annotated[list[BagModel], _of("Sandbags.", max_length=MOST_GEAR)] = []
    cameras: Annotated[list[CameraModel], _of("Camera bodies.", min_length=1, max_length=MOST_GEAR)]
    meter: Annotated[MeterModel, _of("The meter.")] = MeterModel()
    habits: Annotated[HabitsModel, _of("House habits.")] = HabitsModel()
    calibration: Annotated[
        CalibrationModel | None, _of("What was learned from readings; `calibrate --write` keeps it.")
    ] = None
