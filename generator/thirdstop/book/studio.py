"""The studio file: the room, its surfaces, the gear, the meter and the house's habits."""

from typing import Annotated, Literal

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
from thirdstop.book.habits import HabitsModel, MeterModel
from thirdstop.book.model import Model, say
from thirdstop.book.quantities import (
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
    GearCountField,
    GearMassField,
    HalfAngleField,
    LossField,
    NetField,
    PanelSizeField,
    PassedField,
    PopsField,
    ReadingDistanceField,
    ReflectanceField,
    RoomSideField,
    RoughnessField,
    SensorField,
    SurfaceShareField,
)
from thirdstop.book.web import AddressField

MOST_GEAR = 60
"""Of one kind of gear, of paints, of surfaces, of readings of one lamp."""
MOST_FIXED = 8
"""Of doors and of fixed things, each of which has six sides that light meets."""

WallName = Literal["back wall", "front wall", "left wall", "right wall"]


class RoomSurfaces(Model):
    """Six reflectances, by paint name or as a number from 0 to 1. Walls are named as the camera sees them."""

    back_wall: Annotated[ReflectanceField, say("The wall behind the sitter.")]
    front_wall: Annotated[ReflectanceField, say("The wall behind the camera.")]
    left_wall: Annotated[ReflectanceField, say("The wall at camera-left.")]
    right_wall: Annotated[ReflectanceField, say("The wall at camera-right.")]
    ceiling: Annotated[ReflectanceField, say("The ceiling.")]
    floor: Annotated[ReflectanceField, say("The floor.")]
    measured: Annotated[DateField | None, say("The day these were measured; left out: assumed.")] = None


class DoorModel(Model):
    """A door, drawn on every plan."""

    wall: Annotated[WallName, say("The wall it is in.")]
    from_corner: Annotated[
        LengthField,
        say("Along that wall, from its left end as seen from inside the room, to the door's nearer edge."),
    ]
    width: Annotated[ExtentField, say("Clear width of the opening.", examples=["80 cm"])]


class FixedModel(Model):
    """A fixed thing that stands in the room: a cupboard, a radiator, a beam."""

    name: Annotated[NameField, say("What it is.")]
    left_wall: Annotated[LengthField, say("From the left wall to its nearer side.")]
    back_wall: Annotated[LengthField, say("From the back wall to its nearer side.")]
    width: Annotated[ExtentField, say("Its extent across the room.")]
    length: Annotated[ExtentField, say("Its extent along the room.")]
    bottom: Annotated[LengthField, say("Height of its underside; 0 cm where it stands on the floor.")] = (
        Length(0.0)
    )
    top: Annotated[ExtentField, say("Height of its top.")]
    reflectance: Annotated[ReflectanceField, say("By paint name or as a number.")]


class RoomModel(Model):
    """The room."""

    width: Annotated[RoomSideField, say("Between the left and the right wall.", examples=["3.2 m"])]
    length: Annotated[RoomSideField, say("Between the back and the front wall.", examples=["4.8 m"])]
    height: Annotated[RoomSideField, say("Floor to ceiling.", examples=["2.5 m"])]
    surfaces: Annotated[RoomSurfaces, say("Six reflectances.")]
    doors: Annotated[list[DoorModel], say("Doors, drawn on every plan.", max_length=MOST_FIXED)] = []
    fixed: Annotated[list[FixedModel], say("Fixed things.", max_length=MOST_FIXED)] = []
    ambient: Annotated[
        IlluminanceField | None,
        say("What the room's own lights give at the sitter, in lux; left out: not known."),
    ] = None


class PaintModel(Model):
    """A surface colour of the studio's own."""

    name: Annotated[NameField, say("Its name in this book.")]
    reflectance: Annotated[SurfaceShareField, say("Share of light returned, 0 to 1.")]
    measured: Annotated[DateField | None, say("The day it was measured; left out: assumed.")] = None


class SurfaceModel(Model):
    """A card's surface of the studio's own, or better values for a usual one."""

    name: Annotated[
        NameField, say("Its name on the card: white, silver, gold, translucent, black or your own.")
    ]
    kind: Annotated[Literal["matte", "metallised", "translucent"], say("How it returns light.")]
    reflectance: Annotated[SurfaceShareField, say("Total share of light returned, 0 to 1.")]
    roughness: Annotated[
        RoughnessField | None, say("Metallised only: GGX roughness, 0.2 smooth to 0.6 crinkled.")
    ] = None
    matte_share: Annotated[
        ShareField | None, say("Metallised only: the part of the returned light that is spread evenly.")
    ] = None
    transmittance: Annotated[SurfaceShareField | None, say("Translucent only: share of light passed.")] = None
    shift: Annotated[MiredField, say("What the returned light gains in warmth.")] = Mired(0.0)
    measured: Annotated[DateField | None, say("The day it was measured; left out: assumed.")] = None


class BackdropModel(Model):
    """A sheet to hang behind the sitter."""

    name: Annotated[NameField, say("Its name in this book.")]
    width: Annotated[ExtentField, say("Width of the sheet.", examples=["2.2 m"])]
    height: Annotated[ExtentField, say("Height of its upper edge over the floor.", examples=["2.3 m"])]
    reflectance: Annotated[ReflectanceField, say("By paint name or as a number.")]
    measured: Annotated[DateField | None, say("The day it was measured; left out: assumed.")] = None


class InRoom(Model):
    """Where a lamp stood for a reading taken in the open room, so that the room's share can be taken out."""

    left_wall: Annotated[LengthField, say("From the left wall to the middle of the face.")]
    back_wall: Annotated[LengthField, say("From the back wall to the middle of the face.")]
    height: Annotated[LengthField, say("Floor to the middle of the face.")]
    facing: Annotated[WallName, say("The wall it faced, held level.")]


class OutputReading(Model):
    """One metered reading of a lamp with a shaper, on its axis."""

    shaper: Annotated[NameField, say("The shaper that was on the lamp.")]
    reads: Annotated[ApertureField, say("What the meter showed.")]
    iso: Annotated[IsoField, say("What the meter was set to.")] = Iso(100)
    click: Annotated[CountField, say("The click the lamp stood at; 1 is the lowest.")]
    distance: Annotated[
        ReadingDistanceField, say("From the face to the receptor, straight out from its middle.")
    ]
    receptor: Annotated[Literal["flat", "dome"], say("The receptor, facing the lamp.")]
    masking: Annotated[
        Literal["black all round", "open room"],
        say("Whether the room's own return was kept off the meter; 'open room' needs 'in_room'."),
    ]
    in_room: Annotated[InRoom | None, say("Where the lamp stood, for a reading in the open room.")] = None
    measured: Annotated[DateField | None, say("The day it was read.")] = None


class OutputGuideNumber(Model):
    """A lamp's guide number with a shaper."""

    shaper: Annotated[NameField, say("The shaper it holds for.")]
    guide_number: Annotated[FlashGuideNumberField, say("f-number times distance, at full power.")]
    iso: Annotated[IsoField, say("The ISO it holds for.")] = Iso(100)


class CalibratedOutput(Model):
    """A lamp's output with a shaper as the studio's own readings have it. Written by `calibrate --write`."""

    shaper: Annotated[NameField, say("The shaper it holds for.")]
    guide_number: Annotated[
        FlashGuideNumberField, say("f-number times distance at full power and ISO 100, flat receptor.")
    ]
    spread: Annotated[ToleranceField, say("Half-width of its 90 % band, in stops.")]
    measured: Annotated[DateField, say("The day it was read.")]


class LampModel(Model):
    """A flash head."""

    name: Annotated[NameField, say("Its name in this book.")]
    energy: Annotated[FlashEnergyField, say("Stored energy at full power.")]
    clicks: Annotated[
        ClicksField, say("How many settings there are, a third of a stop apart; the last is full power.")
    ]
    display: Annotated[
        Literal["fractions"] | list[TextField],
        say("What the trigger shows for each click, lowest first; 'fractions' writes 1/256, 1/256 + 1/3 …"),
    ] = "fractions"
    readings: Annotated[
        list[OutputReading], say("Metered readings: the best way to know its output.", max_length=MOST_GEAR)
    ] = []
    guide_numbers: Annotated[
        list[OutputGuideNumber], say("Guide numbers: the second best.", max_length=MOST_GEAR)
    ] = []
    calibrated: Annotated[
        list[CalibratedOutput],
        say("What a calibration found; it comes before everything else.", max_length=MOST_GEAR),
    ] = []
    efficacy: Annotated[
        FlashEfficacyField,
        say("Light per energy; used where there is neither a reading nor a guide number."),
    ] = Efficacy(40.0)
    mass: Annotated[GearMassField, say("Of the head with its battery.")]
    length: Annotated[DepthField, say("Of the head behind the shaper, for the drawings.")] = Length(0.25)
    mains: Annotated[bool, say("True where it hangs on a mains lead.")] = False
    recycle: Annotated[DurationField | None, say("Time to be ready again after a full pop.")] = None
    pops: Annotated[PopsField | None, say("Full pops from one charge.")] = None
    measured: Annotated[DateField | None, say("The day its output was last measured.")] = None
    count: Annotated[GearCountField, say("How many there are.")] = 1


class ShaperModel(Model):
    """What goes on the front of a lamp and makes its light."""

    name: Annotated[NameField, say("Its name in this book.")]
    form: Annotated[
        Literal["round", "octagon", "square", "strip", "umbrella", "dish", "bare"],
        say("Its face. Boxes, octagons and umbrellas glow evenly; a dish or bare head throws a beam."),
    ]
    diameter: Annotated[ExtentField | None, say("Round, umbrella, dish, bare: across the face.")] = None
    across: Annotated[ExtentField | None, say("Octagon: from flat to flat.")] = None
    size: Annotated[
        PanelSizeField | None, say("Square and strip: the two sides of the face, width first.")
    ] = None
    depth: Annotated[DepthField, say("From the face back to the lamp's mount.", examples=["30 cm"])]
    mass: Annotated[GearMassField, say("Its mass.")]
    half_angle: Annotated[
        HalfAngleField | None, say("Dish and bare: where the light has fallen to half, from the axis.")
    ] = None
    passes: Annotated[
        PassedField, say("Share of the lamp's light that leaves the face; used with a stated energy only.")
    ] = Share(0.5)
    count: Annotated[GearCountField, say("How many there are.")] = 1


class GridModel(Model):
    """A grid for the face of a shaper."""

    name: Annotated[NameField, say("Its name in this book.")]
    cutoff: Annotated[CutoffField, say("The angle from the axis beyond which it passes nothing.")]
    loss: Annotated[LossField, say("What it takes on the axis.")] = Stops(0.2)
    count: Annotated[GearCountField, say("How many there are.")] = 1


class GelModel(Model):
    """A gel or filter for a lamp."""

    name: Annotated[NameField, say("Its name in this book.")]
    loss: Annotated[LossField, say("What it takes.")]
    shift: Annotated[MiredField, say("What it adds to the light's warmth.")] = Mired(0.0)
    count: Annotated[GearCountField, say("How many there are.")] = 1


class CardModel(Model):
    """A panel: a bounce card, a black panel, a net. What it does depends on the side that is used."""

    name: Annotated[NameField, say("Its name in this book.")]
    size: Annotated[PanelSizeField, say("Its two sides.")]
    surfaces: Annotated[list[NameField], say("The surfaces it has.", min_length=1, max_length=MOST_GEAR)]
    back: Annotated[
        NameField | None,
        say("What the side away from the light shows; left out: the same surface as in use."),
    ] = None
    passes: Annotated[NetField, say("A net: share of light that goes straight through.")] = Share(0.0)
    mass: Annotated[GearMassField, say("Its mass.")]
    count: Annotated[GearCountField, say("How many there are.")] = 1


class StandModel(Model):
    """A three-legged stand."""

    name: Annotated[NameField, say("Its name in this book.")]
    mass: Annotated[GearMassField, say("Its mass.")]
    leg_reach: Annotated[
        ExtentField, say("From the column to the end of a leg, on the floor.", examples=["50 cm"])
    ]
    lowest: Annotated[ExtentField, say("Lowest height of its top.", examples=["80 cm"])]
    highest: Annotated[ExtentField, say("Highest height of its top.", examples=["2.4 m"])]
    count: Annotated[GearCountField, say("How many there are.")] = 1


class BoomModel(Model):
    """An arm on a stand."""

    name: Annotated[NameField, say("Its name in this book.")]
    stand: Annotated[NameField, say("The stand it is used with.")]
    mass: Annotated[GearMassField, say("Its mass.")]
    longest: Annotated[ExtentField, say("Longest reach from the knuckle to the load.")]
    rear: Annotated[DepthField, say("Length behind the knuckle, where the counterweight hangs.")]
    count: Annotated[GearCountField, say("How many there are.")] = 1


class BagModel(Model):
    """A sandbag."""

    name: Annotated[NameField, say("Its name in this book.")]
    mass: Annotated[GearMassField, say("Its mass.")]
    count: Annotated[GearCountField, say("How many there are.")] = 1


class CameraModel(Model):
    """A camera body."""

    name: Annotated[NameField, say("Its name in this book.")]
    sensor: Annotated[SensorField, say("Long side, short side.")]


class Studio(Model):
    """The studio file."""

    name: Annotated[NameField, say("The house's name.")]
    address: Annotated[AddressField | None, say("Where the book will stand on the web, if it will.")] = None
    theme: Annotated[SlugField, say("The theme of the pages.")] = "default"
    about: Annotated[TextField | None, say("One sentence for the first page.")] = None
    room: Annotated[RoomModel, say("The room.")]
    paints: Annotated[list[PaintModel], say("Colours of your own.", max_length=MOST_GEAR)] = []
    surfaces: Annotated[
        list[SurfaceModel],
        say("Card surfaces of your own, or better values for usual ones.", max_length=MOST_GEAR),
    ] = []
    backdrops: Annotated[list[BackdropModel], say("Sheets.", max_length=MOST_GEAR)] = []
    lamps: Annotated[list[LampModel], say("Flash heads.", min_length=1, max_length=MOST_GEAR)]
    shapers: Annotated[
        list[ShaperModel], say("Boxes, dishes, umbrellas.", min_length=1, max_length=MOST_GEAR)
    ]
    grids: Annotated[list[GridModel], say("Grids.", max_length=MOST_GEAR)] = []
    gels: Annotated[list[GelModel], say("Gels and filters.", max_length=MOST_GEAR)] = []
    cards: Annotated[
        list[CardModel], say("Panels: bounce cards, black panels, nets.", max_length=MOST_GEAR)
    ] = []
    stands: Annotated[list[StandModel], say("Stands.", max_length=MOST_GEAR)] = []
    booms: Annotated[list[BoomModel], say("Booms.", max_length=MOST_GEAR)] = []
    bags: Annotated[list[BagModel], say("Sandbags.", max_length=MOST_GEAR)] = []
    cameras: Annotated[list[CameraModel], say("Camera bodies.", min_length=1, max_length=MOST_GEAR)]
    meter: Annotated[MeterModel, say("The meter.")] = MeterModel()
    habits: Annotated[HabitsModel, say("House habits.")] = HabitsModel()
    calibration: Annotated[
        CalibrationModel | None, say("What was learned from readings; `calibrate --write` keeps it.")
    ] = None
