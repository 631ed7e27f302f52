"""Placing steps in the order in which a set-up is built; a recipe's own steps win."""

from thirdstop.checks.statics import legs_say
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.headline import aperture, mark_place, powers
from thirdstop.pages.views.metering import metered
from thirdstop.staging.staging import Item, Staging

_ORDER = ("backdrop", "camera", "lamp", "card", "blocker")


def steps(evaluated: Evaluated) -> tuple[str, ...]:
    """The recipe's steps, or steps made from its staging."""
    if evaluated.recipe.steps:
        return tuple(evaluated.recipe.steps)
    staging = evaluated.staging
    things = [item for kind in _ORDER for item in staging.items if item.kind == kind]
    return (
        f"Tape the mark M: {mark_place(staging)}. Every place below is from it.",
        *(_placed(staging, item) for item in things if item.kind in ("backdrop", "camera")),
        *_seated(staging),
        *(_placed(staging, item) for item in things if item.kind not in ("backdrop", "camera")),
        *_power(evaluated),
        _meter(evaluated),
    )


def _seated(staging: Staging) -> list[str]:
    found = []
    for sitter in staging.sitters:
        where = "over M" if sitter.index == 0 else "over its own mark"
        nose, eyes = figures.length(float(sitter.nose_m[2])), figures.length(sitter.eye_height_m)
        verb = "Seat" if sitter.pose == "seated" else "Stand"
        found.append(f"{verb} the {sitter.name}: nose {where} at {nose}, eyes at {eyes}.")
    return found


def _placed(staging: Staging, item: Item) -> str:
    where = _from_mark(item.toward_m, item.side_m)
    if item.kind == "backdrop":
        return f"Hang the backdrop ({item.number}), {item.gear}: {where}."
    if item.kind == "camera":
        height = figures.length(item.height_m)
        return f"Set the camera ({item.number}): focal-plane mark {where}, {height} high."
    parts = []
    if item.support is not None:
        base = item.support.base_m
        at = _from_mark(-float(base[1]), float(base[0]))
        bag = (
            f", hang {figures.kilograms(item.support.bag_mass_kg)} on it" if item.support.bag_mass_kg else ""
        )
        parts.append(f"stand {at}{bag}")
    lean = figures.lean(item.lean_deg, item.lean_way)
    parts += [
        f"middle of the face {where}",
        f"{figures.length(item.height_m)} high",
        f"lean {lean}",
        f"aim {item.aim}",
        f"string from the {item.string_from} {figures.length(item.string_m)}",
    ]
    legs = legs_say(item.support, staging.room) if item.support is not None else ""
    said = f"{item.name.capitalize()} ({item.number}), {item.gear}: {'; '.join(parts)}."
    return figures.together(f"{said} {legs}".strip())


def _from_mark(toward_m: float, side_m: float) -> str:
    """A floor point as it is said: '0.81 m toward, 0.68 m R', '1.20 m away, on the camera line'."""
    along, across = figures.along(toward_m), figures.across(side_m)
    return f"{along if along.word else 'level with M'}, {across if across.word else 'on the camera line'}"


def _power(evaluated: Evaluated) -> list[str]:
    return [f"Set {power.name} to {power.click} {power.says}." for power in powers(evaluated)]


def _meter(evaluated: Evaluated) -> str:
    key = metered(evaluated, evaluated.readings.key_point)
    wanted = aperture(evaluated.staging)
    return (
        f"Meter at {key.iso}, {key.receptor} {key.where}: {key.reads} is predicted, {wanted} is what the "
        "camera is set to."
    )
