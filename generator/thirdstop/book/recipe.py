"""The recipe file: one set-up, as the photographer writes it down."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from thirdstop.book.fields import (
    ClickField,
    DateField,
    DioptreField,
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
from thirdstop.book.model import Model
from thirdstop.book.quantities import (
    Angle,
    Dioptre,
    Duration,
    Iso,
    Length,
    Roll,
    Side,
    Temperature,
    Tilt,
    Turn,
)
from thirdstop.book.ranges import (
    BrimField,
    BrimHeightField,
    CameraDistanceField,
    CameraHeightField,
    CameraTiltField,
    ChinField,
    CrownField,
    EyeHeightField,
    HandsForwardField,
    HandsHeightField,
    HeldField,
    LensLeanField,
    NearnessField,
    ReflectanceField,
    SeatHeightField,
    SheetDistanceField,
)

MOST_SITTERS, MOST_LIGHTS, MOST_PANELS = 4, 6, 6
"""Of one set-up: what a small room holds, and what is computed while somebody waits."""
MOST_TAGS, MOST_STEPS = 12, 20
"""A set-up card is one page."""


_HELD_BY = "Who or what holds it where it has no stand: 'an assistant', 'the sitter', 'a hook in the beam'."


def _of(text: str, **more: object) -> object:
    """A field's description for the schema and the nomenclature page."""
    return Field(description=text, **more)  # type: ignore[call-overload]


class Brim(Model):
    """A hat's brim, measured on the sitter's head."""

    front: Annotated[
        BrimField, _of("How far it reaches out over the brow, from the forehead.", examples=["7 cm"])
    ]
    side: Annotated[BrimField, _of("How far it reaches out at the sides.", examples=["6 cm"])]
    above_eye: Annotated[
        BrimHeightField, _of("Height of its front edge above the pupils.", examples=["5 cm"])
    ]


class Hat(Model):
    """A hat."""

    brim: Annotated[Brim, _of("Its brim.")]
    crown: Annotated[CrownField, _of("Height of the crown above the brim.")] = Length(0.11)
    reflectance: Annotated[ReflectanceField, _of("Its cloth, by name or number.")] = "dark"


class Glasses(Model):
    """Glasses as they sit on the nose."""

    tilt: Annotated[LensLeanField, _of("How far the lenses lean forward at the top.", examples=["8 deg"])] = (
        Angle(8.0)
    )
    curve: Annotated[DioptreField, _of("Base curve of the front surface.")] = Dioptre(4.0)


class Wears(Model):
    """What the sitter wears, as far as light minds."""

    hat: Annotated[Hat | None, _of("A hat with a brim.")] = None
    glasses: Annotated[Glasses | None, _of("Glasses; an empty mapping {} takes the usual ones.")] = None
    clothes: Annotated[ReflectanceField, _of("black, dark, mid, light, white, or a number.")] = "mid"
    hair: Annotated[
        ReflectanceField,
        _of("black hair, brown hair, grey hair, blond hair, white hair, no hair, or a number."),
    ] = "brown hair"
    hair_length: Annotated[Literal["short", "long"], _of("Long hair covers the neck.")] = "short"


class SitterOffset(Model):
    """Where a further sitter's nose stands from M."""

    along: Annotated[TowardField, _of("Toward or away from the camera.")]
    across: Annotated[SideField, _of("Camera-left or camera-right.")]


class Hands(Model):
    """Where the hands are, for a recipe that lights them."""

    forward: Annotated[HandsForwardField, _of("In front of the chest.")] = Length(0.25)
    height: Annotated[HandsHeightField, _of("Over the floor.")]
    holds: Annotated[TextField | None, _of("What they hold, in words.")] = None
    object_size: Annotated[HeldField, _of("Diameter of what they hold.")] = Length(0.12)


class Subject(Model):
    """A sitter."""

    name: Annotated[NameField, _of("A role, never a client's name.")] = "sitter"
    pose: Annotated[Literal["seated", "standing"], _of("Seated or standing.")]
    eye_height: Annotated[EyeHeightField, _of("Floor to pupils, as posed.", examples=["1.22 m"])]
    build: Annotated[
        Literal["woman", "man", "child"], _of("Whose mean body measures are used; a child's are assumed.")
    ] = "woman"
    seat_height: Annotated[
        SeatHeightField | None, _of("Height of the seat; left out: from the body measures.")
    ] = None
    body: Annotated[TurnField, _of("Where the chest looks, from the line to the camera.")] = Turn(0.0)
    head: Annotated[TurnField, _of("Where the nose points, from the line to the camera.")] = Turn(0.0)
    chin: Annotated[ChinField, _of("Chin up or down.")] = Tilt(0.0)
    gaze: Annotated[TurnField | None, _of("Where the eyes look; left out: into the camera.")] = None
    skin: Annotated[ReflectanceField, _of("light skin, medium skin, dark skin, or a number.")] = "medium skin"
    wears: Annotated[Wears, _of("What the sitter wears.")] = Wears()
    at: Annotated[SitterOffset | None, _of("A further sitter's place from M; the first sitter is at M.")] = (
        None
    )
    hands: Annotated[Hands | None, _of("Where the hands are, when they matter.")] = None


class Camera(Model):
    """The camera. It looks straight at the backdrop, from the line M toward the front wall or beside it."""

    body: Annotated[NameField, _of("A camera of the studio file.")]
    lens: Annotated[FocalLengthField, _of("Focal length.")]
    distance: Annotated[CameraDistanceField, _of("From the focal-plane mark to the nose.", examples=["2 m"])]
    height: Annotated[CameraHeightField, _of("Floor to the middle of the lens.", examples=["1.2 m"])]
    across: Annotated[
        SideField, _of("To one side of the line from M; the camera still looks straight at the backdrop.")
    ] = Side(0.0)
    hold: Annotated[Literal["upright", "level"], _of("Upright: the long side of the picture stands.")] = (
        "upright"
    )
    tilt: Annotated[CameraTiltField, _of("Of the lens, up or down.")] = Tilt(0.0)
    framing: Annotated[
        Literal["head", "head and shoulders", "half length", "three-quarter length", "full length", "hands"],
        _of("What the picture holds, in the trade's words."),
    ] = "head and shoulders"


class Exposure(Model):
    """The camera's settings."""

    aperture: Annotated[FNumberField, _of("The aperture that the key reading must give.")]
    shutter: Annotated[DurationField, _of("Shutter time.")] = Duration(1 / 160)
    iso: Annotated[IsoField, _of("Speed.")] = Iso(100)
    white_balance: Annotated[TemperatureField, _of("The camera's white balance.")] = Temperature(5500.0)


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
        _of("Straight from the nose tip to the middle of the face; also 'to be found'."),
    ] = None
    bearing: Annotated[
        TurnOrToBeFound | None,
        _of("At the mark, from the line M to camera; with a string also 'to be found'."),
    ] = None
    along: Annotated[TowardField | None, _of("Floor point: toward the camera or away from it, from M.")] = (
        None
    )
    across: Annotated[SideField | None, _of("Floor point: camera-left or camera-right of M.")] = None
    from_backdrop: Annotated[
        LengthField | None, _of("Floor point: in front of the backdrop; stands in for 'along'.")
    ] = None
    left_wall: Annotated[LengthField | None, _of("From the left wall.")] = None
    right_wall: Annotated[LengthField | None, _of("From the right wall.")] = None
    back_wall: Annotated[LengthField | None, _of("From the back wall.")] = None
    front_wall: Annotated[LengthField | None, _of("From the front wall.")] = None
    height: Annotated[
        LengthOrToBeFound,
        _of("Floor to the middle of the face; also 'to be found'.", examples=["1.5 m", "to be found"]),
    ]


class Aim(Model):
    """Where a face looks: a target with offsets, or lean and swing."""

    at: Annotated[
        TextField | None,
        _of("A target: nose, chin, chest, backdrop, ceiling, left wall, between key and face."),
    ] = None
    off: Annotated[
        OffsetsField | None, _of("Moves the target: '10 cm toward camera' feathers the light.")
    ] = None
    lean: Annotated[TiltField | None, _of("From upright, up or down, where no target is given.")] = None
    swing: Annotated[
        TurnField | None, _of("Plan direction of the face, from the line toward the camera.")
    ] = None


class Base(Model):
    """A stand's own floor point."""

    along: Annotated[TowardField, _of("Toward or away from the camera, from M.")]
    across: Annotated[SideField, _of("Camera-left or camera-right of M.")]


class Holder(Model):
    """What holds a thing up."""

    with_: Annotated[NameField, _of("A stand or a boom of the studio file.", alias="with")]
    base: Annotated[
        Base | None, _of("The stand's floor point; left out: plumb under the thing, or by the boom.")
    ] = None
    reach: Annotated[LengthField | None, _of("A boom: from the knuckle to the load, on the floor plan.")] = (
        None
    )
    from_: Annotated[
        TurnField | Literal["camera-left", "camera-right", "behind", "camera"] | None,
        _of("A boom: the side its stand is on.", alias="from"),
    ] = None
    bag: Annotated[NameField | None, _of("The sandbag that hangs on it, clear of the floor.")] = None
    bag_on: Annotated[
        Literal["column", "leg"],
        _of("Where the bag hangs: on the column, or half-way out on the leg under the load."),
    ] = "column"
    counterweight: Annotated[MassField | None, _of("A boom: what hangs at its rear end.")] = None


class Light(Model):
    """A lamp with its shaper. The first light of a recipe is its key."""

    name: Annotated[NameField, _of("Its name in this recipe.")]
    lamp: Annotated[NameField, _of("A lamp of the studio file.")]
    shaper: Annotated[NameField, _of("A shaper of the studio file.")]
    grid: Annotated[NameField | None, _of("A grid of the studio file.")] = None
    gel: Annotated[NameField | None, _of("A gel of the studio file.")] = None
    group: Annotated[NameField | None, _of("Its flash group.")] = None
    modelling: Annotated[bool, _of("Whether the modelling lamp is on.")] = False
    power: Annotated[ClickField | ToBeFound, _of("'click 14', or 'to be found'.")] = "to be found"
    level: Annotated[
        StopsFromKeyField | None,
        _of("What this light must bring the backdrop to, for a power to be found: '+0.5 stops from key'."),
    ] = None
    stand: Annotated[NameField | Holder | None, _of("A stand's name, or a mapping with a boom.")] = None
    held_by: Annotated[NameField | None, _of(_HELD_BY)] = None
    at: Annotated[Place, _of("Where the middle of its face is.")]
    aim: Annotated[TextField | Aim, _of("Where it looks.")] = "nose"
    roll: Annotated[RollField, _of("Turn of the face about its own axis, as seen from in front.")] = Roll(0.0)


class Card(Model):
    """A bounce card in use."""

    name: Annotated[NameField, _of("Its name in this recipe.")]
    card: Annotated[NameField, _of("A card of the studio file.")]
    surface: Annotated[NameField, _of("The surface in use; also 'to be found'.")]
    at: Annotated[Place, _of("Where the middle of its face is.")]
    aim: Annotated[TextField | Aim, _of("Where it looks.")] = "between key and face"
    edge: Annotated[Literal["long side level", "long side upright"], _of("Which edge is held level.")] = (
        "long side level"
    )
    roll: Annotated[RollField, _of("Further turn about its own axis, as seen from in front.")] = Roll(0.0)
    stand: Annotated[NameField | Holder | None, _of("What holds it; left out: by hand, or on the lap.")] = (
        None
    )
    held_by: Annotated[NameField | None, _of(_HELD_BY)] = None


class Blocker(Model):
    """A panel that stops light: a flag, a net, negative fill."""

    name: Annotated[NameField, _of("Its name in this recipe.")]
    card: Annotated[NameField, _of("A panel of the studio file.")]
    surface: Annotated[NameField, _of("The surface in use.")] = "black"
    at: Annotated[Place, _of("Where the middle of its face is.")]
    aim: Annotated[TextField | Aim, _of("Where it looks.")] = "nose"
    edge: Annotated[Literal["long side level", "long side upright"], _of("Which edge is held level.")] = (
        "long side upright"
    )
    roll: Annotated[RollField, _of("Further turn about its own axis, as seen from in front.")] = Roll(0.0)
    stand: Annotated[NameField | Holder | None, _of("What holds it.")] = None
    held_by: Annotated[NameField | None, _of(_HELD_BY)] = None


class Backdrop(Model):
    """What is behind the sitter."""

    sheet: Annotated[NameField | None, _of("A sheet of the studio file; left out: the back wall itself.")] = (
        None
    )
    distance: Annotated[
        SheetDistanceField | None, _of("From M back to the sheet; with the wall itself it follows.")
    ] = None
    across: Annotated[SideField | None, _of("Where its middle hangs; left out: behind M.")] = None
    sweep: Annotated[LengthField | None, _of("How far the sheet runs forward over the floor.")] = None


class MarkPlace(Model):
    """Where M is taped, from two walls of the back left or back right corner."""

    left_wall: Annotated[LengthField | None, _of("From the left wall.")] = None
    right_wall: Annotated[LengthField | None, _of("From the right wall.")] = None
    back_wall: Annotated[LengthField, _of("From the back wall.", examples=["1.5 m"])]


class Target(Model):
    """What the set-up must give."""

    ratio: Annotated[RatioField | None, _of("Wanted; left out where a ratio should not be quoted.")] = None
    convention: Annotated[Literal["lit to shadow", "key to fill"] | None, _of("Left out: the house's.")] = (
        None
    )
    within: Annotated[NearnessField | None, _of("How near it must come; left out: the house's.")] = None
    between: Annotated[
        list[TextField] | None,
        _of("The two measuring points compared; left out: the two cheeks.", min_length=2, max_length=2),
    ] = None
    backdrop_light: Annotated[
        StopsFromKeyField | None, _of("Light on the backdrop: '-1.5 stops from key'.")
    ] = None
    backdrop_tone: Annotated[
        StopsFromMidGreyField | None, _of("Its tone in the picture: '-1 stop from mid-grey'.")
    ] = None


Sitters = Annotated[list[Subject], Field(min_length=1, max_length=MOST_SITTERS)]


class Recipe(Model):
    """The recipe file."""

    title: Annotated[TitleField, _of("What the house calls it.")]
    purpose: Annotated[TextField, _of("What it is for and looks like, in a sentence or two.")]
    tags: Annotated[list[NameField], _of("Words to find it by.", max_length=MOST_TAGS)] = []
    revised: Annotated[DateField | None, _of("The day it was last changed.")] = None
    meant_to_halt: Annotated[
        bool | None,
        _of(
            "Whether this set-up is shown because it must not be built: its halt then changes no exit status "
            "of 'proof' and 'publish'."
        ),
    ] = None
    mark: Annotated[
        MarkPlace | None,
        _of(
            "Where M is taped; left out: in the middle of the width, and 30 cm more than the backdrop's "
            "distance from the back wall."
        ),
    ] = None
    subject: Annotated[Subject | Sitters, _of("The sitter, or a list of sitters; the first is at M.")]
    camera: Annotated[Camera, _of("The camera.")]
    exposure: Annotated[Exposure, _of("The camera's settings.")]
    lights: Annotated[list[Light], _of("Lamps; the first is the key.", min_length=1, max_length=MOST_LIGHTS)]
    cards: Annotated[list[Card], _of("Bounce cards.", max_length=MOST_PANELS)] = []
    blockers: Annotated[list[Blocker], _of("Flags, nets, negative fill.", max_length=MOST_PANELS)] = []
    backdrop: Annotated[Backdrop, _of("What is behind.")] = Backdrop()
    target: Annotated[Target, _of("What it must give.")] = Target()
    measure: Annotated[
        list[TextField], _of("Further points to show: chest, hands, feet.", max_length=MOST_TAGS)
    ] = []
    steps: Annotated[list[TextField], _of("Placing steps; left out: generated.", max_length=MOST_STEPS)] = []
    notes: Annotated[MarkdownField, _of("Markdown.")] = ""

    @property
    def sitters(self) -> tuple[Subject, ...]:
        """The sitters as a tuple, the first one at M."""
        return tuple(self.subject) if isinstance(self.subject, list) else (self.subject,)
