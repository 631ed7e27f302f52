"""Stand tags: a small sheet to hang on each stand: what goes onto it, where it stands, what to mind."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from thirdstop.checks.cautions import HEAVY_KG, REACH_M, may_be, near_face
from thirdstop.checks.overhead import NEAR_M, is_child, plan_gap_to_head_m
from thirdstop.checks.places import lamp_place
from thirdstop.checks.statics import legs_say
from thirdstop.checks.weights import needed_bag_kg, needed_counterweight_kg
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.pages.views import headline, whose
from thirdstop.pages.views.card import number_of
from thirdstop.pages.views.verdicts import Shown, verdicts
from thirdstop.pages.views.weights import bag_figure, bag_on_leg
from thirdstop.staging.materials import Metallised
from thirdstop.staging.shapes import Beam
from thirdstop.staging.staging import Item, Staging, Support


@dataclass(frozen=True)
class Block:
    """Figures that belong together, under a heading of their own."""

    title: str
    figures: tuple[tuple[str, Figure], ...]
    """Each with its label, which also says the direction."""
    says: tuple[str, ...] = ()

    @property
    def columns(self) -> int:
        """Side by side on the tag."""
        return 2 if len(self.figures) in (1, 2, 4) else 3


@dataclass(frozen=True)
class Tag:
    """One stand."""

    recipe: str
    """Number and title of the recipe."""
    place: str
    """'stand 1 of 2'."""
    number: str
    """As on the drawings."""
    name: str
    carries: str
    """What sits on it, with a lamp's click."""
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...]
    halts: tuple[Shown, ...] = ()
    """Where there are any, they stand alone: one sheet for the recipe, nothing to build from."""


def tags(evaluated: Evaluated) -> tuple[Tag, ...]:
    """A tag for each stand of the set-up in the order of its items; for a halted one the halt alone."""
    recipe = " ".join(filter(None, (number_of(evaluated.slug), evaluated.title)))
    if evaluated.safety_halts:
        return (Tag(recipe, "", "", "", "", (), (), verdicts(evaluated).safety_halts),)
    held = [(item, item.support) for item in evaluated.staging.items if item.support is not None]
    return tuple(
        Tag(
            recipe=recipe,
            place=f"stand {place} of {len(held)}",
            number=str(item.number),
            name=item.name,
            carries=_carries(evaluated, item),
            blocks=(
                _base(evaluated.staging, support),
                _face(evaluated.staging, item, support),
                _weights(support),
            ),
            cautions=tuple(map(figures.together, _cautions(evaluated, item, support))),
        )
        for place, (item, support) in enumerate(held, start=1)
    )


def _carries(evaluated: Evaluated, item: Item) -> str:
    side = f", {item.surface} side" if item.surface and item.kind != "lamp" else ""
    power = next((one for one in headline.powers(evaluated) if one.name == item.name), None)
    click = f"; {power.click}, {power.says.rpartition('; ')[2]}" if power is not None else ""
    return f"{item.gear}{side}{click}"


def _base(staging: Staging, support: Support) -> Block:
    """The foot of the column, from M and from the two walls that M is measured from."""
    room = staging.room
    x_m, y_m = float(support.base_m[0]), float(support.base_m[1])
    side, end = ("left" if "left" in room.corner else "right"), ("back" if "back" in room.corner else "front")
    across_m = x_m - room.left_m if side == "left" else room.right_m - x_m
    along_m = room.back_m - y_m if end == "back" else y_m - room.front_m
    found = (
        *_from_mark(-y_m, x_m),
        (f"from the {side} wall", figures.length(across_m)),
        (f"from the {end} wall", figures.length(along_m)),
    )
    return Block(
        f"{support.stand}: foot of the column, from M and from two walls",
        found,
        tuple(filter(None, [legs_say(support, room)])),
    )


_ZERO = "Swing: 0° faces the camera, 180° the backdrop. Lean: the face up or down from level."


def _face(staging: Staging, item: Item, support: Support) -> Block:
    """Middle of the face: its height and how it is turned; with a boom also where it hangs over the floor."""
    found = (
        *(_from_mark(item.toward_m, item.side_m) if support.boom else ()),
        ("height", figures.length(item.height_m)),
        _lean(figures.lean(item.lean_deg, item.lean_way)),
        _swing(figures.turn(item.swing_deg)),
        (f"string from {whose.told(staging, item.string_from)}", figures.length(item.string_m)),
    )
    rolled = f"; rolled {abs(item.roll_deg):.0f}° {'clockwise' if item.roll_deg > 0 else 'anticlockwise'}"
    aim = f"Aim {whose.told(staging, item.aim)}{rolled if abs(item.roll_deg) >= 0.5 else ''}."
    return Block("Middle of the face", found, (aim, _ZERO))


def _from_mark(toward_m: float, side_m: float) -> tuple[tuple[str, Figure], ...]:
    along, across = figures.along(toward_m), figures.across(side_m)
    way = {"toward": "toward the camera", "away": "away from camera", "": "along, from M"}[along.word]
    side = {"R": "to camera-right", "L": "to camera-left", "": "across, from M"}[across.word]
    return (way, replace(along, word="")), (side, replace(across, word=""))


def _lean(figure: Figure) -> tuple[str, Figure]:
    return (f"lean, facing {figure.word}" if figure.word else "lean: upright"), replace(figure, word="")


def _swing(figure: Figure) -> tuple[str, Figure]:
    side = {"R": "swing, camera-right", "L": "swing, camera-left", "": "swing"}[figure.word]
    return side, replace(figure, word="")


def _weights(support: Support) -> Block:
    """Bag, and what a boom has: reach, side, weight at its rear."""
    least_kg, rear_kg = needed_bag_kg(support), needed_counterweight_kg(support)
    found = []
    if least_kg:
        found.append(("bag, at least", bag_figure(support)))
    if support.boom:
        found.append(("boom’s reach", figures.length(support.boom_reach_m)))
    if rear_kg:
        found.append(("at its rear", figures.kilograms(rear_kg)))
    return Block(
        "Weights" if not support.boom else f"Weights and {support.boom}", tuple(found), _hung(support)
    )


def _hung(support: Support) -> tuple[str, ...]:
    boom_from = f"Boom from {support.boom_side.replace(' deg', '°')}." if support.boom_side else ""
    rear = _more("weight at its rear", needed_counterweight_kg(support), support.counterweight_kg)
    if not needed_bag_kg(support):
        return tuple(filter(None, ("No bag.", boom_from, rear)))
    where = "half-way out on the leg under the load" if bag_on_leg(support) else "on the column"
    bag = f"Bag {where}, clear of the floor, before the load goes up."
    short = _more("bag", needed_bag_kg(support), support.bag_mass_kg)
    return tuple(filter(None, (bag, short, boom_from, rear)))


def _more(what: str, needed_kg: float, own_kg: float) -> str:
    """Why the number is not the recipe's; empty where it is."""
    if needed_kg == own_kg:
        return ""
    wrong = "too little" if needed_kg > own_kg else "too much"
    own = f"its {figures.told(figures.kilograms(own_kg))} is {wrong}" if own_kg else "it has none"
    return f"Not the recipe’s {what}: {own}."


_ONCE_BALANCED = re.compile(r" \([^()]* enough once [^()]*\)")
"""A tag has one number for its bag."""


def _cautions(evaluated: Evaluated, item: Item, support: Support) -> Iterator[str]:
    staging = evaluated.staging
    yield "Legs fully spread. Change heights with two hands."
    # two heads under one boom ask for the same
    yield from dict.fromkeys(
        _ONCE_BALANCED.sub("", finding.remedy)
        for finding in evaluated.findings
        if finding.safety and finding.verdict == "look" and finding.about.partition(":")[0] == item.name
    )
    if any(is_child(sitter) for sitter in staging.sitters):
        yield "A child is in the set: stand, lead and bag out of reach."
    yield from _boom(staging, item, support)
    heaviest_kg = max(needed_bag_kg(support), needed_counterweight_kg(support))
    if heaviest_kg >= HEAVY_KG:
        yield "Lift bags one at a time, close to the body."
    if item.height_m > REACH_M:
        yield "Lower the stand to work on it."
    if item.kind == "lamp":
        yield from _lamp(staging, item)
    elif near_face(staging, item):
        yield "An edge near a face: bring it in slowly, from below eye level, and say so."
    if _shiny(staging, item):
        yield "Shiny: out of the sun, covered or turned to the wall when not in use."


def _boom(staging: Staging, item: Item, support: Support) -> Iterator[str]:
    if support.boom is None:
        return
    yield (
        "Load and counterweight on and off with the boom at its lowest, someone at each end; balance it "
        "before it goes up. Rear end padded; nobody under it or at its ends as it moves."
    )
    if any(plan_gap_to_head_m(item, support, sitter) <= NEAR_M for sitter in staging.sitters):
        yield "Near a head: another way first, else a rated safety line before anyone sits."
    else:
        yield "Nothing over a head without a rated safety line."


def _lamp(staging: Staging, item: Item) -> Iterator[str]:
    place = lamp_place(staging, item.name)
    yield "Lamp off and cool before its shaper is changed; nobody looks into it."
    if place.modelling:
        yield "The modelling lamp is hot: nothing draped over it."
    if may_be(place, "mains"):
        yield "Mains: earthed socket behind a residual-current device, lead taped flat."
    if may_be(place, "battery"):
        yield "A swollen or hot battery is out of use."


def _shiny(staging: Staging, item: Item) -> bool:
    sides = [
        side
        for panel in staging.scene.panels
        if panel.name == item.name
        for side in (panel.front, panel.back)
    ]
    return any(isinstance(side, Metallised) for side in sides) or any(
        emitter.name == item.name and isinstance(emitter.emission, Beam) for emitter in staging.scene.emitters
    )
