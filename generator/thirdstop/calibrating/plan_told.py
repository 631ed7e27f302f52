"""A plan of readings in words, and as a file of readings to fill in."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from thirdstop.book.metering import ReadingModel, ReadingSetup
from thirdstop.book.recipe import Light, Place
from thirdstop.book.rewriting import quoted
from thirdstop.calibrating.planning import Plan

BEFORE = (
    "Nobody sits. A mark at nose height over M (tape on a spare stand, taken away for the reading) is what "
    "strings are held to.",
    "The room's own lights off, curtains drawn, the door as for a shoot; the meter on flash, ISO 100.",
    "Measure with a tape to the middle of each face; write down what the meter shows, its tenths too, and "
    "the click.",
    "Stand where you throw no shadow and return no light: behind the receptor, an arm’s length away.",
)
CAUTIONS = (
    "Legs fully spread, one leg under the load; the bag on the column, clear of the floor, before the lamp "
    "goes up.",
    "Lower a stand to work on it. Nobody walks or stands under a lamp that is being moved.",
    "Lamp off and cool before a shaper is changed; nothing is draped over it.",
    "Fire only when nobody looks into the lamp: whoever holds the meter looks away from it. "
    "No more than one flash a second; ask the helper about sensitivity to flashing light first.",
    "Leads along the wall, never across the walkway.",
    "The maker’s ratings, local codes and licensed practice come first.",
)
"""Usual cautions of a lamp on a stand and a card; common practice, as on the page on safety."""


@dataclass(frozen=True)
class PlanSetup:
    """One set-up of a plan, in words."""

    title: str
    things: tuple[str, ...]
    """What stands where."""
    readings: tuple[str, ...]


@dataclass(frozen=True)
class PlanWords:
    """A plan in words."""

    title: str
    mark: str
    setups: tuple[PlanSetup, ...]
    gain: str


def plan_words(plan: Plan) -> PlanWords:
    """The plan in words, set-ups in the order in which they are built."""
    count = len(plan.chosen)
    mark, height = plan.metering.mark, plan.metering.nose_height
    last = plan.chosen[-1] if plan.chosen else None
    gain = "No reading would narrow anything."
    if last is not None:
        gain = (
            f"Mean over the recipes, what is the studio’s own in the 90 % bands: key reading from "
            f"±{plan.key_band_stops:.2f} to ±{last.key_band_stops:.2f} stop, ratio from "
            f"±{plan.ratio_band_stops:.2f} to ±{last.ratio_band_stops:.2f}. How sets are built by tape comes "
            "on top."
        )
    return PlanWords(
        title=f"{plan.minutes:.0f} minutes: {count} readings in {len(plan.setups)} set-ups",
        mark=(
            f"M: {mark.left_wall} from the left wall, {mark.back_wall} from the back wall. "
            f"Nose height {height}."
        ),
        setups=tuple(_setup(setup) for setup in plan.setups),
        gain=gain,
    )


def _setup(setup: ReadingSetup) -> PlanSetup:
    things = [_light(light) for light in setup.lights]
    things += [
        f"{card.card}, {card.surface} side: {_place(card.at)}, {card.edge}, aimed {card.aim}"
        for card in setup.cards
    ]
    if setup.backdrop.sheet is not None:
        things.append(f"{setup.backdrop.sheet}: {setup.backdrop.distance} behind M")
    return PlanSetup(setup.name, tuple(things), tuple(_reading(reading) for reading in setup.readings))


def _light(light: Light) -> str:
    return f"{light.shaper} on {light.lamp}, {light.power}: {_place(light.at)}, aimed at the {light.aim}"


def _place(place: Place) -> str:
    if place.string is not None:
        return f"string {place.string}, bearing {_angle(place.bearing)}, height {place.height}"
    if place.along is None or not place.along.m:
        return f"over M, height {place.height}"
    return f"{place.along} of M, height {place.height}"


def _angle(turn: object) -> str:
    return str(turn).replace(" deg", "°")


def _reading(reading: ReadingModel) -> str:
    where = "at the nose mark" if isinstance(reading.at, str) else _place(reading.at)
    power = f", {reading.power}" if reading.power is not None else ""
    return f"{reading.receptor} {where}, toward {_way(reading)}{power}"


def _way(reading: ReadingModel) -> str:
    toward = str(reading.toward)
    return {"key": "the lamp", "card": "the card"}.get(toward, f"the {toward}")


def told(plans: Sequence[Plan], rig: Sequence[str] = ()) -> str:
    """For the terminal: one page. `rig` is what the stands need to hold a planned lamp."""
    return "\n".join(_lines(plans, rig))


def _lines(plans: Sequence[Plan], rig: Sequence[str]) -> Iterator[str]:
    yield "Readings that narrow this book's bands most."
    yield from (f"  {line}" for line in BEFORE)
    yield "Safety"
    yield from (f"  {line}" for line in (*rig, *CAUTIONS))
    for plan in plans:
        words = plan_words(plan)
        yield ""
        yield words.title
        yield words.mark
        for number, setup in enumerate(words.setups, 1):
            yield f"{number}. {setup.title}"
            yield from (f"   {thing}" for thing in setup.things)
            yield from (f"   - {line}" for line in setup.readings)
        yield words.gain


def to_fill_in(plan: Plan, title: str, day: str) -> str:
    """The plan as a file of readings in which only what the meter showed is missing: 'reads: f/'."""
    mark = plan.metering.mark
    lines = [
        "# Put in what the meter showed: reads: f/5.6 + 7/10",
        f"title: {quoted(title)}",
        f"date: {day}",
        f"mark: {{left_wall: {mark.left_wall}, back_wall: {mark.back_wall}}}",
        f"nose_height: {plan.metering.nose_height}",
        "setups:",
    ]
    for setup in plan.setups:
        lines += [f"  - name: {quoted(setup.name)}", "    lights:"]
        lines += [_light_line(light) for light in setup.lights]
        if setup.cards:
            lines.append("    cards:")
            for card in setup.cards:
                inside = f"name: {card.name}, card: {card.card}, surface: {card.surface}, {_at(card.at)}"
                lines.append(f"      - {{{inside}, aim: {card.aim}, edge: {card.edge}}}")
        if setup.backdrop.sheet is not None:
            lines.append(
                f"    backdrop: {{sheet: {setup.backdrop.sheet}, distance: {setup.backdrop.distance}}}"
            )
        lines.append("    readings:")
        lines += [_reading_line(reading) for reading in setup.readings]
    return "\n".join(lines) + "\n"


def _light_line(light: Light) -> str:
    gear = f"lamp: {quoted(light.lamp)}, shaper: {quoted(light.shaper)}"
    return f"      - {{name: {light.name}, {gear}, power: {light.power}, {_at(light.at)}, aim: {light.aim}}}"


def _at(place: Place) -> str:
    keys = ("string", "bearing", "along", "across", "height")
    inside = ", ".join(f"{key}: {getattr(place, key)}" for key in keys if getattr(place, key) is not None)
    return f"at: {{{inside}}}"


def _reading_line(reading: ReadingModel) -> str:
    at = "at: nose" if isinstance(reading.at, str) else _at(reading.at)
    power = f", power: {reading.power}" if reading.power is not None else ""
    name = quoted((reading.name or "").replace(",", ""))
    return (
        f"      - {{name: {name}, {at}, toward: {reading.toward}, "
        f"receptor: {reading.receptor}{power}, reads: f/}}"
    )
