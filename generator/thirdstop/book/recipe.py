"""The recipe file: one set-up, as the photographer writes it down."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from thirdstop.book.fields import (
    ClickField,
    DateField,
    DurationField,
    FNumberField,
    FocalLengthField,
    IsoField,
    LengthField,
    LengthOrToBeFound,
    MarkdownField,
    MassField,
    NameField,
    OffsetsField,
    RatioField,
    RollField,
    SideField,
    StopsFromKeyField,
    StopsFromMidGreyField,
    TemperatureField,
    TextField,
    TiltField,
    TitleField,
    ToBeFound,
    TowardField,
    TurnField,
    TurnOrToBeFound,
)
from thirdstop.book.model import Model, say
from thirdstop.book.quantities import (
    Duration,
    Iso,
    Roll,
    Side,
    Temperature,
    Tilt,
)
from thirdstop.book.ranges import (
    CameraDistanceField,
    CameraHeightField,
    CameraTiltField,
    NearnessField,
    SheetDistanceField,
)
from thirdstop.book.subject import Subject

MOST_SITTERS, MOST_LIGHTS, MOST_PANELS = 4, 6, 6
"""Of one set-up: what a small room holds, and what is computed while somebody waits."""
MOST_TAGS, MOST_STEPS = 12, 20
"""A set-up card is one page."""


_HELD_BY = "Who or what holds it where it has no stand: 'an assistant', 'the sitter', 'a hook in the beam'."


class Camera(Model):
    """The camera. It looks straight at the backdrop, from the line M toward the front wall or beside it."""

    body: Annotated[NameField, say("A camera of the studio file.")]
    lens: Annotated[FocalLengthField, say("Focal length.")]
    distance: Annotated[CameraDistanceField, say("From the focal-plane mark to the nose.", examples=["2 m"])]
    height: Annotated[CameraHeightField, say("Floor to the middle of the lens.", examples=["1.2 m"])]
    across: Annotated[
        SideField, say("To one side of the line from M; the camera still looks straight at the backdrop.")
    ] = Side(0.0)
    hold: Annotated[Literal["upright", "level"], say("Upright: the long side of the picture stands.")] = (
        "upright"
    )
    tilt: Annotated[CameraTiltField, say("Of the lens, up or down.")] = Tilt(0.0)
    framing: Annotated[
        Literal["head", "head and shoulders", "half length", "three-quarter length", "full length", "hands"],
        say("What the picture holds, in the trade's words."),
    ] = "head and shoulders"


class Exposure(Model):
    """The camera's settings."""

    aperture: Annotated[FNumberField, say("The aperture that the key reading must give.")]
    shutter: Annotated[DurationField, say("Shutter time.")] = Duration(1 / 160)
    iso: Annotated[IsoField, say("Speed.")] = Iso(100)
    white_balance: Annotated[TemperatureField, say("The camera's white balance.")] = Temperature(5500.0)


class Place(Model):
    """Where the middle of a face is, in one of three forms, each with a height: string and bearing; along and
    across; two walls.
    """

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"string": "1.2 m", "bearing": "40 deg camera-right", "height": "1.5 m"}]
        }
    )

    string: Annotated[
        LengthOrToBeFound | None,
        say("Straight from the nose tip to the middle of the face; also 'to be found'."),
    ] = None
    bearing: Annotated[
        TurnOrToBeFound | None,
        say("At the mark, from the line M to camera; with a string also 'to be found'."),
    ] = None
    along: Annotated[TowardField | None, say("Floor point: toward the camera or away from it, from M.")] = (
        None
    )
    across: Annotated[SideField | None, say("Floor point: camera-left or camera-right of M.")] = None
    from_backdrop: Annotated[
        LengthField | None, say("Floor point: in front of the backdrop; stands in for 'along'.")
    ] = None
    left_wall: Annotated[LengthField | None, say("From the left wall.")] = None
    right_wall: Annotated[LengthField | None, say("From the right wall.")] = None
    back_wall: Annotated[LengthField | None, say("From the back wall.")] = None
    front_wall: Annotated[LengthField | None, say("From the front wall.")] = None
    height: Annotated[
        LengthOrToBeFound,
        say("Floor to the middle of the face; also 'to be found'.", examples=["1.5 m", "to be found"]),
    ]


class Aim(Model):
    """Where a face looks: a target with offsets, or lean and swing."""

    at: Annotated[
        TextField | None,
        say("A target: nose, chin, chest, backdrop, ceiling, left wall, between key and face."),
    ] = None
    off: Annotated[
        OffsetsField | None, say("Moves the target: '10 cm toward camera' feathers the light.")
    ] = None
    lean: Annotated[TiltField | None, say("From upright, up or down, where no target is given.")] = None
    swing: Annotated[
        TurnField | None, say("Plan direction of the face, from the line toward the camera.")
    ] = None


class Base(Model):
    """A stand's own floor point."""

    along: Annotated[TowardField, say("Toward or away from the camera, from M.")]
    across: Annotated[SideField, say("Camera-left or camera-right of M.")]


class Holder(Model):
    """What holds a thing up."""

    with_: Annotated[NameField, say("A stand or a boom of the studio file.", alias="with")]
    base: Annotated[
        Base | None, say("The stand's floor point; left out: plumb under the thing, or by the boom.")
    ] = None
    reach: Annotated[LengthField | None, say("A boom: from the knuckle to the load, on the floor plan.")] = (
        None
    )
    from_: Annotated[
        TurnField | Literal["camera-left", "camera-right", "behind", "camera"] | None,
        say("A boom: the side its stand is on.", alias="from"),
    ] = None
    bag: Annotated[NameField | None, say("The sandbag that hangs on it, clear of the floor.")] = None
    bag_on: Annotated[
        Literal["column", "leg"],
        say("Where the bag hangs: on the column, or half-way out on the leg under the load."),
    ] = "column"
    counterweight: Annotated[MassField | None, say("A boom: what hangs at its rear end.")] = None


class Light(Model):
    """A lamp with its shaper. The first light of a recipe is its key."""

    name: Annotated[NameField, say("Its name in this recipe.")]
    lamp: Annotated[NameField, say("A lamp of the studio file.")]
    shaper: Annotated[NameField, say("A shaper of the studio file.")]
    grid: Annotated[NameField | None, say("A grid of the studio file.")] = None
    gel: Annotated[NameField | None, say("A gel of the studio file.")] = None
    group: Annotated[NameField | None, say("Its flash group.")] = None
    modelling: Annotated[bool, say("Whether the modelling lamp is on.")] = False
    power: Annotated[ClickField | ToBeFound, say("'click 14', or 'to be found'.")] = "to be found"
    level: Annotated[
        StopsFromKeyField | None,
        say("What this light must bring the backdrop to, for a power to be found: '+0.5 stops from key'."),
    ] = None
    stand: Annotated[NameField | Holder | None, say("A stand's name, or a mapping with a boom.")] = None
    held_by: Annotated[NameField | None, say(_HELD_BY)] = None
    at: Annotated[Place, say("Where the middle of its face is.")]
    aim: Annotated[TextField | Aim, say("Where it looks.")] = "nose"
    roll: Annotated[RollField, say("Turn of the face about its own axis, as seen from in front.")] = Roll(0.0)


class Card(Model):
    """A bounce card in use."""

    name: Annotated[NameField, say("Its name in this recipe.")]
    card: Annotated[NameField, say("A card of the studio file.")]
    surface: Annotated[NameField, say("The surface in use; also 'to be found'.")]
    at: Annotated[Place, say("Where the middle of its face is.")]
    aim: Annotated[TextField | Aim, say("Where it looks.")] = "between key and face"
    edge: Annotated[Literal["long side level", "long side upright"], say("Which edge is held level.")] = (
        "long side level"
    )
    roll: Annotated[RollField, say("Further turn about its own axis, as seen from in front.")] = Roll(0.0)
    stand: Annotated[NameField | Holder | None, say("What holds it; left out: by hand, or on the lap.")] = (
        None
    )
    held_by: Annotated[NameField | None, say(_HELD_BY)] = None


class Blocker(Model):
    """A panel that stops light: a flag, a net, negative fill."""

    name: Annotated[NameField, say("Its name in this recipe.")]
    card: Annotated[NameField, say("A panel of the studio file.")]
    surface: Annotated[NameField, say("The surface in use.")] = "black"
    at: Annotated[Place, say("Where the middle of its face is.")]
    aim: Annotated[TextField | Aim, say("Where it looks.")] = "nose"
    edge: Annotated[Literal["long side level", "long side upright"], say("Which edge is held level.")] = (
        "long side upright"
    )
    roll: Annotated[RollField, say("Further turn about its own axis, as seen from in front.")] = Roll(0.0)
    stand: Annotated[NameField | Holder | None, say("What holds it.")] = None
    held_by: Annotated[NameField | None, say(_HELD_BY)] = None


class Backdrop(Model):
    """What is behind the sitter."""

    sheet: Annotated[NameField | None, say("A sheet of the studio file; left out: the back wall itself.")] = (
        None
    )
    distance: Annotated[
        SheetDistanceField | None, say("From M back to the sheet; with the wall itself it follows.")
    ] = None
    across: Annotated[SideField | None, say("Where its middle hangs; left out: behind M.")] = None
    sweep: Annotated[LengthField | None, say("How far the sheet runs forward over the floor.")] = None


class MarkPlace(Model):
    """Where M is taped, from two walls of the back left or back right corner."""

    left_wall: Annotated[LengthField | None, say("From the left wall.")] = None
    right_wall: Annotated[LengthField | None, say("From the right wall.")] = None
    back_wall: Annotated[LengthField, say("From the back wall.", examples=["1.5 m"])]


class Target(Model):
    """What the set-up must give."""

    ratio: Annotated[RatioField | None, say("Wanted; left out where a ratio should not be quoted.")] = None
    convention: Annotated[Literal["lit to shadow", "key to fill"] | None, say("Left out: the house's.")] = (
        None
    )
    within: Annotated[NearnessField | None, say("How near it must come; left out: the house's.")] = None
    between: Annotated[
        list[TextField] | None,
        say("The two measuring points compared; left out: the two cheeks.", min_length=2, max_length=2),
    ] = None
    backdrop_light: Annotated[
        StopsFromKeyField | None, say("Light on the backdrop: '-1.5 stops from key'.")
    ] = None
    backdrop_tone: Annotated[
        StopsFromMidGreyField | None, say("Its tone in the picture: '-1 stop from mid-grey'.")
    ] = None


Sitters = Annotated[list[Subject], Field(min_length=1, max_length=MOST_SITTERS)]


class Recipe(Model):
    """The recipe file."""

    title: Annotated[TitleField, say("What the house calls it.")]
    purpose: Annotated[TextField, say("What it is for and looks like, in a sentence or two.")]
    tags: Annotated[list[NameField], say("Words to find it by.", max_length=MOST_TAGS)] = []
    revised: Annotated[DateField | None, say("The day it was last changed.")] = None
    meant_to_halt: Annotated[
        bool | None,
        say(
            "Whether this set-up is shown because it must not be built: its halt then changes no exit status "
            "of 'proof' and 'publish'."
        ),
    ] = None
    mark: Annotated[
        MarkPlace | None,
        say(
            "Where M is taped; left out: in the middle of the width, and 30 cm more than the backdrop's "
            "distance from the back wall."
        ),
    ] = None
    subject: Annotated[Subject | Sitters, say("The sitter, or a list of sitters; the first is at M.")]
    camera: Annotated[Camera, say("The camera.")]
    exposure: Annotated[Exposure, say("The camera's settings.")]
    lights: Annotated[list[Light], say("Lamps; the first is the key.", min_length=1, max_length=MOST_LIGHTS)]
    cards: Annotated[list[Card], say("Bounce cards.", max_length=MOST_PANELS)] = []
    blockers: Annotated[list[Blocker], say("Flags, nets, negative fill.", max_length=MOST_PANELS)] = []
    backdrop: Annotated[Backdrop, say("What is behind.")] = Backdrop()
    target: Annotated[Target, say("What it must give.")] = Target()
    measure: Annotated[
        list[TextField], say("Further points to show: chest, hands, feet.", max_length=MOST_TAGS)
    ] = []
    steps: Annotated[list[TextField], say("Placing steps; left out: generated.", max_length=MOST_STEPS)] = []
    notes: Annotated[MarkdownField, say("Markdown.")] = ""

    @property
    def sitters(self) -> tuple[Subject, ...]:
        """The sitters as a tuple, the first one at M."""
        return tuple(self.subject) if isinstance(self.subject, list) else (self.subject,)
