"""Placing steps in the order in which a set-up is built; a recipe's own steps win."""

from collections.abc import Iterator

from thirdstop.checks.statics import legs_say
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import order, weights, whose
from thirdstop.pages.views.headline import aperture, mark_place, powers
from thirdstop.pages.views.metering import metered, person
from thirdstop.staging.staging import Item, SitterPlace, Staging, Support


def steps(evaluated: Evaluated) -> tuple[str, ...]:
    """The recipe's steps, or steps made from its staging: all goes up before the sitters come."""
    if evaluated.recipe.steps:
        return tuple(evaluated.recipe.steps)
    staging = evaluated.staging
    return (
        f"Tape the mark M: {mark_place(staging)}. Every place below is from it.",
        _noses(staging),
        *(_placed(staging, item) for item in order.before_sitters(staging)),
        *_power(evaluated),
        order.check_says(staging),
        *_seated(staging),
        *(_placed(staging, item) for item in order.after_sitters(staging)),
        f"Check the strings on the sitter{'s' if len(staging.sitters) > 1 else ''}. {order.MOVED}",
        _meter(evaluated),
    )


def _noses(staging: Staging) -> str:
    """Where the noses will be: what strings and aims go to while nobody sits there."""
    places = [
        f"the {person(place.name)}’s nose will be "
        f"{figures.told(figures.length(float(place.nose_m[2])))} high over "
        f"{'M' if place.index == 0 else f'its own mark, {_mark_of(place)}'}"
        for place in staging.sitters
    ]
    come = "sitter comes" if len(places) == 1 else "sitters come"
    return f"Hold a rule upright: {'; '.join(places)}. Strings and aims go there until the {come}."


def _mark_of(place: SitterPlace) -> str:
    return _from_mark(-float(place.mark_m[1]), float(place.mark_m[0]))


def _seated(staging: Staging) -> Iterator[str]:
    for place in staging.sitters:
        where = "over M" if place.index == 0 else f"over its own mark, {_mark_of(place)},"
        nose, eyes = (figures.told(figures.length(m)) for m in (float(place.nose_m[2]), place.eye_height_m))
        verb = "seat" if place.pose == "seated" else "stand"
        yield f"Only now {verb} the {person(place.name)}: nose {where} at {nose}, eyes at {eyes}."


def _placed(staging: Staging, item: Item) -> str:
    where, height = _from_mark(item.toward_m, item.side_m), figures.told(figures.length(item.height_m))
    if item.kind == "backdrop":
        return f"Hang the backdrop ({item.number}), {item.gear}: {where}."
    if item.kind == "camera":
        return f"Set the camera ({item.number}): focal-plane mark {where}, {height} high."
    several = item.string_from == "nose" and len(staging.sitters) > 1
    string_from = f"{whose.told(staging, 'nose')} over M" if several else f"the {item.string_from}"
    parts = [
        *(_support(item.support) if item.support is not None else ()),
        f"middle of the face {where}",
        f"{height} high",
        f"lean {figures.lean(item.lean_deg, item.lean_way)}",
        f"aim {whose.told(staging, item.aim)}",
        f"string from {string_from} {figures.told(figures.length(item.string_m))}",
    ]
    legs = legs_say(item.support, staging.room) if item.support is not None else ""
    said = f"{item.name.capitalize()} ({item.number}), {item.gear}: {'; '.join(parts)}."
    return figures.together(f"{said} {legs}".strip())


def _support(support: Support) -> Iterator[str]:
    """Where the stand's foot is, then what must hang on it before the load goes up."""
    yield f"stand {_from_mark(-float(support.base_m[1]), float(support.base_m[0]))}"
    bag, rear = weights.bag(support), weights.counterweight(support)
    if bag:
        on = "the leg under the load" if weights.bag_on_leg(support) else "its column"
        yield f"first {bag} on {on}"
    if support.boom:
        side = f" from {support.boom_side.replace(' deg', '°')}" if support.boom_side else ""
        reach = figures.told(figures.length(support.boom_reach_m))
        yield f"{support.boom}{side}, reach {reach}{f', {rear} at its rear' if rear else ''}, raised last"


def _from_mark(toward_m: float, side_m: float) -> str:
    """A floor point as it is said: '0.81 m toward, 0.68 m R', '1.20 m away, on the camera line'."""
    along, across = figures.along(toward_m), figures.across(side_m)
    parts = (
        figures.told(along) if along.word else "level with M",
        figures.told(across) if across.word else "on the camera line",
    )
    return ", ".join(parts)


def _power(evaluated: Evaluated) -> list[str]:
    return [f"Set {power.name} to {power.click} {power.says}." for power in powers(evaluated)]


def _meter(evaluated: Evaluated) -> str:
    key = metered(evaluated, evaluated.readings.key_point)
    wanted = aperture(evaluated.staging)
    return (
        f"Meter at {key.iso}, {key.receptor} {key.where}: {key.reads} is predicted, {wanted} is what the "
        "camera is set to."
    )
