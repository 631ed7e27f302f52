"""A sitter of a recipe: pose, measures, where head and body turn, and what is worn, as far as light minds."""

from typing import Annotated, Literal

from thirdstop.book.fields import (
    DioptreField,
    NameField,
    SideField,
    TextField,
    TowardField,
    TurnField,
)
from thirdstop.book.model import Model, say
from thirdstop.book.quantities import (
    Angle,
    Dioptre,
    Length,
    Tilt,
    Turn,
)
from thirdstop.book.ranges import (
    BrimField,
    BrimHeightField,
    ChinField,
    CrownField,
    EyeHeightField,
    HandsForwardField,
    HandsHeightField,
    HeldField,
    LensLeanField,
    ReflectanceField,
    SeatHeightField,
)


class Brim(Model):
    """A hat's brim, measured on the sitter's head."""

    front: Annotated[
        BrimField, say("How far it reaches out over the brow, from the forehead.", examples=["7 cm"])
    ]
    side: Annotated[BrimField, say("How far it reaches out at the sides.", examples=["6 cm"])]
    above_eye: Annotated[
        BrimHeightField, say("Height of its front edge above the pupils.", examples=["5 cm"])
    ]


class Hat(Model):
    """A hat."""

    brim: Annotated[Brim, say("Its brim.")]
    crown: Annotated[CrownField, say("Height of the crown above the brim.")] = Length(0.11)
    reflectance: Annotated[ReflectanceField, say("Its cloth, by name or number.")] = "dark"


class Glasses(Model):
    """Glasses as they sit on the nose."""

    tilt: Annotated[LensLeanField, say("How far the lenses lean forward at the top.", examples=["8 deg"])] = (
        Angle(8.0)
    )
    curve: Annotated[DioptreField, say("Base curve of the front surface.")] = Dioptre(4.0)


class Wears(Model):
    """What the sitter wears, as far as light minds."""

    hat: Annotated[Hat | None, say("A hat with a brim.")] = None
    glasses: Annotated[Glasses | None, say("Glasses; an empty mapping {} takes the usual ones.")] = None
    clothes: Annotated[ReflectanceField, say("black, dark, mid, light, white, or a number.")] = "mid"
    hair: Annotated[
        ReflectanceField,
        say("black hair, brown hair, grey hair, blond hair, white hair, no hair, or a number."),
    ] = "brown hair"
    hair_length: Annotated[Literal["short", "long"], say("Long hair covers the neck.")] = "short"


class SitterOffset(Model):
    """Where a further sitter's nose stands from M."""

    along: Annotated[TowardField, say("Toward or away from the camera.")]
    across: Annotated[SideField, say("Camera-left or camera-right.")]


class Hands(Model):
    """Where the hands are, for a recipe that lights them."""

    forward: Annotated[HandsForwardField, say("In front of the chest.")] = Length(0.25)
    height: Annotated[HandsHeightField, say("Over the floor.")]
    holds: Annotated[TextField | None, say("What they hold, in words.")] = None
    object_size: Annotated[HeldField, say("Diameter of what they hold.")] = Length(0.12)


class Subject(Model):
    """A sitter."""

    name: Annotated[NameField, say("A role, never a client's name.")] = "sitter"
    pose: Annotated[Literal["seated", "standing"], say("Seated or standing.")]
    eye_height: Annotated[EyeHeightField, say("Floor to pupils, as posed.", examples=["1.22 m"])]
    build: Annotated[
        Literal["woman", "man", "child"], say("Whose mean body measures are used; a child's are assumed.")
    ] = "woman"
    seat_height: Annotated[
        SeatHeightField | None, say("Height of the seat; left out: from the body measures.")
    ] = None
    body: Annotated[TurnField, say("Where the chest looks, from the line to the camera.")] = Turn(0.0)
    head: Annotated[TurnField, say("Where the nose points, from the line to the camera.")] = Turn(0.0)
    chin: Annotated[ChinField, say("Chin up or down.")] = Tilt(0.0)
    gaze: Annotated[TurnField | None, say("Where the eyes look; left out: into the camera.")] = None
    skin: Annotated[ReflectanceField, say("light skin, medium skin, dark skin, or a number.")] = "medium skin"
    wears: Annotated[Wears, say("What the sitter wears.")] = Wears()
    at: Annotated[SitterOffset | None, say("A further sitter's place from M; the first sitter is at M.")] = (
        None
    )
    hands: Annotated[Hands | None, say("Where the hands are, when they matter.")] = None
