"""The log: one small file a shoot, of what was set otherwise than the recipe says, and what was read."""

from typing import Annotated

from thirdstop.book.fields import (
    ApertureField,
    ClickField,
    DateField,
    IsoField,
    LengthField,
    NameField,
    SlugField,
    TextField,
    TurnField,
)
from thirdstop.book.metering import InitialsField
from thirdstop.book.model import Model, say
from thirdstop.book.ranges import EyeHeightField
from thirdstop.book.recipe import Recipe

MOST_SET, MOST_READ = 18, 24
"""Of one shoot."""


class SetModel(Model):
    """One thing that was set otherwise than the recipe says."""

    name: Annotated[NameField, say("A light, card or blocker of the recipe.")]
    power: Annotated[ClickField | None, say("A light's click.")] = None
    string: Annotated[LengthField | None, say("Its string, where its place is given by one.")] = None
    bearing: Annotated[TurnField | None, say("Its bearing, where its place is given by one.")] = None
    height: Annotated[LengthField | None, say("Its height.")] = None
    surface: Annotated[NameField | None, say("A card's side.")] = None


class ReadModel(Model):
    """One reading of the shoot."""

    at: Annotated[TextField, say("A measuring point of the recipe: 'chin dome', 'left cheek'.")]
    reads: Annotated[ApertureField, say("What the meter showed.")]
    iso: Annotated[IsoField | None, say("What the meter was set to; left out: the recipe's.")] = None


class Shoot(Model):
    """The log file of one shoot. Nothing of the sitter but the eye height: no name, no face."""

    recipe: Annotated[SlugField, say("The recipe, by its file's name.")]
    date: Annotated[DateField, say("The day.")]
    by: Annotated[InitialsField | None, say("Who set it, by initials; may be left out.")] = None
    eye_height: Annotated[
        EyeHeightField | None, say("The first sitter's, as posed; left out: as in the recipe.")
    ] = None
    set: Annotated[
        list[SetModel], say("What was set otherwise than the recipe says.", max_length=MOST_SET)
    ] = []
    read: Annotated[list[ReadModel], say("What was read.", max_length=MOST_READ)] = []
    notes: Annotated[TextField | None, say("A line on the light, never on the sitter.")] = None


_THINGS = ("lights", "cards", "blockers")


def as_shot(recipe: Recipe, shoot: Shoot) -> Recipe:
    """The recipe as it was set that day; what the log doesn't say is as the recipe says.

    Names and keys that the recipe lacks are left out: `check_log` tells them.
    """
    if shoot.eye_height is not None:
        first = recipe.sitters[0].model_copy(update={"eye_height": shoot.eye_height})
        rest = list(recipe.sitters[1:])
        subject = [first, *rest] if isinstance(recipe.subject, list) else first
        recipe = recipe.model_copy(update={"subject": subject})
    for one in shoot.set:
        for key in _THINGS:
            things = [_set(thing, one) if thing.name == one.name else thing for thing in getattr(recipe, key)]
            recipe = recipe.model_copy(update={key: things})
    return recipe


def _set(thing: Model, one: SetModel) -> Model:
    update: dict[str, object] = {}
    place = {
        key: value
        for key in ("string", "bearing", "height")
        if (value := getattr(one, key)) is not None
        and (key == "height" or getattr(getattr(thing, "at"), key) is not None)  # noqa: B009
    }
    if place:
        update["at"] = getattr(thing, "at").model_copy(update=place)  # noqa: B009
    for key in ("power", "surface"):
        if getattr(one, key) is not None and hasattr(thing, key):
            update[key] = getattr(one, key)
    return thing.model_copy(update=update)
