"""Set-ups worth reading in any studio: each lamp with its shaper, each card surface, each sheet.

Nobody is in the room. They are files of readings like a person's own, so that a plan can be filled in.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from thirdstop.book.marks import Marks
from thirdstop.book.metering import Metering, ReadingModel, ReadingSetup
from thirdstop.book.parsing import parse_length, parse_side, parse_toward, parse_turn
from thirdstop.book.quantities import Aperture, Click, Length
from thirdstop.book.recipe import Backdrop, Card, Light, MarkPlace, Place, Recipe
from thirdstop.book.studio import CardModel, Studio
from thirdstop.calibrating.setups import StagedSetup, stage_setups
from thirdstop.staging.points import Receptor

KEY_SHARE = 2 / 3
"""Of the clicks: where a lamp is read, with room above and below."""
FEWER_CLICKS = 6
LAMP_HEIGHT_M = 1.6
_UNREAD = Aperture(8.0)
"""Stands where nothing was read yet."""
_DAY = date(2000, 1, 1)
WAYS = ("left wall", "right wall", "back wall", "front wall", "ceiling", "floor")


@dataclass(frozen=True)
class Used:
    """What a book's recipes use, each once, in their order."""

    lamps: tuple[tuple[str, str], ...]
    """Lamp and shaper."""
    surfaces: tuple[str, ...]
    """Of cards that return light."""
    sheets: tuple[str, ...]


def used_by(recipes: Iterable[Recipe]) -> Used:
    """Lamps with shapers, card surfaces and sheets of these recipes."""
    every = list(recipes)
    return Used(
        tuple(dict.fromkeys((light.lamp, light.shaper) for one in every for light in one.lights)),
        tuple(dict.fromkeys(card.surface for one in every for card in one.cards)),
        tuple(dict.fromkeys(one.backdrop.sheet for one in every if one.backdrop.sheet is not None)),
    )


def candidates(studio: Studio, used: Used) -> tuple[Metering, list[StagedSetup]]:
    """Every set-up that fits this room, as a file of readings and staged; what doesn't fit is left out."""
    room = studio.room
    mark = MarkPlace(
        left_wall=Length(round(room.width.m / 2, 2)), back_wall=Length(round(min(1.5, room.length.m / 2), 2))
    )
    setups, staged = [], []
    for setup in _setups(studio, used):
        alone = Metering(title="Plan", date=_DAY, mark=mark, setups=[setup])
        found, faults = stage_setups(alone, studio, Marks())
        if not faults:
            setups.append(setup)
            staged += found
    return Metering(title="Plan", date=_DAY, mark=mark, setups=setups), staged


def _setups(studio: Studio, used: Used) -> Iterator[ReadingSetup]:
    for lamp, shaper in used.lamps:
        yield _lamp_alone(studio, lamp, shaper)
    if not used.lamps:
        return
    for surface in used.surfaces:
        card = _card_with(studio.cards, surface)
        if card is not None:
            yield _with_card(studio, used.lamps[0], card, surface)
    for sheet in used.sheets:
        yield _with_sheet(studio, used.lamps[0], sheet)


def _lamp_alone(studio: Studio, lamp: str, shaper: str) -> ReadingSetup:
    """A lamp from the side, read toward it, toward the camera, and from every side of the room."""
    light = _light(studio, lamp, shaper)
    assert isinstance(light.power, Click)
    lower = Click(max(1, light.power.number - FEWER_CLICKS))
    readings = [
        _reading("toward the lamp", "key"),
        _reading("dome toward the camera", "camera", receptor="dome"),
        _reading(f"toward the lamp, {lower}", "key", power=lower),
        *(_reading(f"toward the {way}", way) for way in WAYS),
    ]
    return ReadingSetup(name=f"{shaper} on {lamp}", lights=[light], readings=readings)


def _with_card(studio: Studio, lamp: tuple[str, str], card: CardModel, surface: str) -> ReadingSetup:
    panel = Card(
        name="card",
        card=card.name,
        surface=surface,
        at=Place(string=parse_length("60 cm"), bearing=parse_turn("80 deg camera-left"), height=Length(1.2)),
        aim="between key and nose",
        edge="long side upright",
    )
    readings = [_reading("toward the card", "card"), _reading("30 cm lower", "card", at=_at_mark(0.9))]
    light = _light(studio, *lamp)
    return ReadingSetup(name=f"{card.name}, {surface}", lights=[light], cards=[panel], readings=readings)


def _with_sheet(studio: Studio, lamp: tuple[str, str], sheet: str) -> ReadingSetup:
    backdrop = Backdrop(sheet=sheet, distance=Length(1.2))
    at = Place(along=parse_toward("80 cm away from camera"), across=parse_side("0 cm"), height=Length(1.2))
    light = _light(studio, *lamp)
    readings = [_reading("toward the sheet, 40 cm off it", "back wall", at=at)]
    return ReadingSetup(name=sheet, lights=[light], backdrop=backdrop, readings=readings)


def _light(studio: Studio, lamp: str, shaper: str) -> Light:
    clicks = next((one.clicks for one in studio.lamps if one.name == lamp), 1)
    return Light(
        name="key",
        lamp=lamp,
        shaper=shaper,
        power=Click(key_click(clicks)),
        at=Place(string=Length(1.2), bearing=parse_turn("40 deg camera-right"), height=Length(LAMP_HEIGHT_M)),
        aim="nose",
    )


def key_click(clicks: int) -> int:
    """At which of its clicks a lamp is read."""
    return max(1, round(clicks * KEY_SHARE))


def _reading(
    name: str, toward: str, receptor: Receptor = "flat", power: Click | None = None, at: Place | None = None
) -> ReadingModel:
    return ReadingModel(
        name=name, at=at or "nose", toward=toward, receptor=receptor, power=power, reads=_UNREAD
    )


def _at_mark(height_m: float) -> Place:
    return Place(along=parse_toward("0 cm"), across=parse_side("0 cm"), height=Length(height_m))


def _card_with(cards: Sequence[CardModel], surface: str) -> CardModel | None:
    """The largest panel with that surface that is no net."""
    having = [card for card in cards if surface in card.surfaces and not card.passes.value]
    return max(having, key=lambda card: card.size.first_m * card.size.second_m, default=None)
