"""The usual cautions for the rig at hand, in short sentences for the set-up card and the safety page."""

from typing import Literal

from thirdstop.checks.overhead import NEAR_M, is_child, plan_gap_to_head_m
from thirdstop.checks.parts import parts_of, placed
from thirdstop.checks.polygons import distance_m
from thirdstop.checks.weights import needed_bag_kg, needed_counterweight_kg
from thirdstop.checks.wording import kilograms
from thirdstop.staging.materials import Metallised
from thirdstop.staging.shapes import Beam
from thirdstop.staging.staging import Item, LampPlace, Staging, Support

NEAR_FACE_M = 0.60
"""A card's edge nearer to an eye than this is near a face."""
HEAVY_KG = 8.0
"""From here on a bag or counterweight gets its caution on lifting (house value)."""
REACH_M = 2.0
"""What is fixed higher than this is reached from steps (house value)."""

DEFER = (
    "The numbers here are static estimates. The maker's rating, local codes and licensed practice come first."
)
"""Closes every list of cautions."""


def cautions(staging: Staging) -> tuple[str, ...]:
    """Cautions for what is in this staging, most urgent first; `DEFER` is always the last."""
    return (
        *_people(staging),
        *_stands(staging),
        *_lifting(staging),
        *_booms(staging),
        *_reaching(staging),
        *_faces(staging),
        *_power(staging),
        *_sun(staging),
        *_floor(),
        DEFER,
    )


def _people(staging: Staging) -> list[str]:
    lines = [
        "Agree on the stop word; anyone may say it, and all work ends at once.",
        "Ask every sitter about sensitivity to flashing light, migraine and seizures before the first frame; "
        "stop when anyone asks (Epilepsy Society).",
        "Fire no more than one flash a second. No bursts: most photosensitive seizures are set off by 3 to "
        "30 a second (Epilepsy Society).",
    ]
    if any(is_child(sitter) for sitter in staging.sitters):
        lines += [
            "A carer stays in the room with a child the whole time.",
            "Keep every stand, lead and bag out of a child's reach, and no boom over a child.",
            "Keep the flash soft and well away from a child's eyes; stop when the carer asks.",
        ]
    return lines


def _supports(staging: Staging) -> list[tuple[Item, Support]]:
    return [(item, item.support) for item in placed(staging) if item.support is not None]


def _stands(staging: Staging) -> list[str]:
    supports = _supports(staging)
    if not supports:
        return []
    lines = [
        "Spread the legs fully, with one leg under the load. Change heights with two hands.",
        f"Hang bags {_hung(supports)}, clear of the floor: a bag that rests on the floor holds nothing.",
    ]
    for item, support in supports:
        bag = needed_bag_kg(support)
        if bag > 0:
            which = (
                f"at least {kilograms(bag)}" if bag > support.bag_mass_kg else f"its bag of {kilograms(bag)}"
            )
            lines.append(f"'{item.name}': {which} {_BAG[support.bag_on]} before the load goes up.")
    return lines


_BAG = {"column": "on the column", "leg": "half-way out on the leg under the load"}


def _hung(supports: list[tuple[Item, Support]]) -> str:
    on_leg = any(support.bag_on == "leg" for _, support in supports)
    return "on the column, or on a leg where it is said" if on_leg else "on the column"


def _booms(staging: Staging) -> list[str]:
    booms = [(item, support) for item, support in _supports(staging) if support.boom is not None]
    if not booms:
        return []
    lines = [
        "Balance the boom before raising it; the load must tighten the knuckle, not loosen it.",
        *(
            f"'{item.name}': {kilograms(mass_kg)} at the boom's rear end."
            for item, support in booms
            if (mass_kg := needed_counterweight_kg(support)) > 0
        ),
        "Put load and counterweight on, and take them off, with the boom at its lowest and someone at each "
        "end.",
        "Pad the boom's rear end and keep people clear of both ends while it moves.",
    ]
    near = any(
        plan_gap_to_head_m(item, support, sitter) <= NEAR_M
        for item, support in booms
        for sitter in staging.sitters
    )
    lines.append(
        "This boom comes over or near a head: look for another way first; if there is none, fit a rated "
        "safety line to lamp and shaper before anyone sits."
        if near
        else "Nothing hangs over a head without a rated safety line; nobody walks under the boom."
    )
    return lines


def needs_lifting(staging: Staging) -> bool:
    """Whether the rig has a bag or a counterweight of 8 kg or more, stated or asked for."""
    masses = [
        max(needed_bag_kg(support), needed_counterweight_kg(support)) for _, support in _supports(staging)
    ]
    return max(masses, default=0.0) >= HEAVY_KG


def _lifting(staging: Staging) -> list[str]:
    if not needs_lifting(staging):
        return []
    return [
        "Lift bags one at a time, close to the body, knees bent, without a twist; who can't do it easily "
        "asks for help (HSE INDG143)."
    ]


def needs_steps(staging: Staging) -> bool:
    """Whether the backdrop's upper edge or a face's middle is higher than 2 m."""
    return any(
        item.height_m + (float(abs(item.half_v_m[2])) if item.kind == "backdrop" else 0.0) > REACH_M
        for item in staging.items
        if item.kind in ("lamp", "card", "blocker", "backdrop")
    )


def _reaching(staging: Staging) -> list[str]:
    if not needs_steps(staging):
        return []
    return [
        "Lower a stand to work on it. What can only be reached from steps: firm floor, three points of "
        "contact, no reaching aside, somebody beside them (HSE INDG455)."
    ]


def has_shiny(staging: Staging) -> bool:
    """Whether the rig has a silver or gold side, or a dish or bare head with its reflector."""
    sides = [side for panel in staging.scene.panels for side in (panel.front, panel.back)]
    return any(isinstance(side, Metallised) for side in sides) or any(
        isinstance(emitter.emission, Beam) for emitter in staging.scene.emitters
    )


def _sun(staging: Staging) -> list[str]:
    if not has_shiny(staging):
        return []
    return [
        "Silver, gold and dishes: cover them or turn them to the wall when not in use. Hollow and shiny, "
        "they gather sunlight, which can burn and start a fire (fire services)."
    ]


def _faces(staging: Staging) -> list[str]:
    lines = []
    if any(near_face(staging, item) for item in placed(staging) if item.kind in ("card", "blocker")):
        lines.append(
            "Mind the edge of a card near a face: bring it in slowly, from below eye level, and say so."
        )
    lines.append(
        "Nobody looks into a lamp from close by; point lamps away from faces while working on them. No safe "
        "dose is computed (IEC 62471, ICNIRP)."
    )
    return lines


def near_face(staging: Staging, item: Item) -> bool:
    """Whether an edge of this thing's face is nearer to an eye than 60 cm."""
    face = parts_of(item)[0].polygon
    return any(distance_m(face, eye) < NEAR_FACE_M for sitter in staging.sitters for eye in sitter.eyes_m)


def _power(staging: Staging) -> list[str]:
    lines = [
        "Switch the lamp off, and let it cool, before changing a shaper: tubes and bulbs stay hot "
        "(ISO 13732-1). Never open one: its capacitor keeps its charge."
    ]
    if any(lamp.modelling for lamp in staging.lamps):
        lines.append(
            "The modelling lamp is hot: nothing draped over it, cloth and gels clear, hands on the handle."
        )
    if any(may_be(lamp, "mains") for lamp in staging.lamps):
        lines.append(
            "Mains lamps: earthed socket behind a residual-current device, sound leads, dry hands (HSE GS50)."
        )
    if any(may_be(lamp, "battery") for lamp in staging.lamps):
        lines.append(
            "Batteries: the maker's charger, on a hard surface, off the way out, somebody near. Swollen or "
            "hot: out of use (NFPA, USFA)."
        )
    return lines


def may_be(lamp: LampPlace, kind: Literal["mains", "battery"]) -> bool:
    """Whether a lamp runs on that, by what is stated or else by its name; both where neither tells."""
    if lamp.mains is not None:
        return lamp.mains == (kind == "mains")
    named = [word for word in ("mains", "battery") if word in lamp.lamp.lower()]
    return kind in named or not named


def _floor() -> list[str]:
    return [
        "Tape leads flat or run them along the wall; none across the walkway.",
        "Keep the walkway to the door free. When the lights go down, wait until eyes are used to the dark.",
    ]
