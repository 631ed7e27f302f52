"""The parts table: a row for the sitter and for every numbered thing, with all that it takes to set it."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from thirdstop.book.recipe import Recipe
from thirdstop.book.subject import Hat, Subject
from thirdstop.pages import figures
from thirdstop.pages.figures import NONE, Figure
from thirdstop.pages.views import weights, whose
from thirdstop.staging.shapes import BodyPart
from thirdstop.staging.staging import Item, SitterPlace, Staging, Support

COLUMNS = ("along", "across", "height", "lean", "swing", "string")
"""What the figures of a row are, in their order."""

LEGEND = (
    "All from the mark M. Along: toward the camera or away from it. Across: R camera-right, L "
    "camera-left. Height, along and across are of the middle of the face. Lean: how far the face "
    "looks up or down from level; an upright one has 0°. Swing: 0° faces the camera, 180° the backdrop, R "
    "and L as the camera sees them. String: a check, straight from the nose."
)


@dataclass(frozen=True)
class Row:
    """A row of the parts table: one numbered thing of the set-up, with its figures."""

    number: str
    """As on the drawings; 'M' for the sitter at the mark, empty for a further one."""
    name: str
    kind: str
    figures: tuple[Figure, ...]
    """In the order of COLUMNS."""
    details: tuple[str, ...]
    """What else is needed to build it, each a phrase; a value that nobody measured says 'assumed'."""
    holding: int = 0
    """How many of the details, at their end, say what holds it up, where, and with which bag."""

    @property
    def cells(self) -> tuple[tuple[str, Figure], ...]:
        """Column name and figure."""
        return tuple(zip(COLUMNS, self.figures, strict=True))

    @property
    def parted(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The details of the thing itself, and those of what holds it."""
        at = len(self.details) - self.holding
        return self.details[:at], self.details[at:]


def rows(staging: Staging, recipe: Recipe) -> tuple[Row, ...]:
    """Sitters first, then the numbered things in their order."""
    sitters = zip(staging.sitters, recipe.sitters, strict=True)
    return (
        *(_sitter(staging, place, subject) for place, subject in sitters),
        *(_item(staging, recipe, item) for item in staging.items if item.kind != "sitter"),
    )


def _sitter(staging: Staging, place: SitterPlace, subject: Subject) -> Row:
    mark_m = place.mark_m
    found = (
        figures.along(-float(mark_m[1])),
        figures.across(float(mark_m[0])),
        figures.length(float(place.nose_m[2])),
        figures.tilt(place.chin_deg),
        figures.turn(place.head_turn_deg),
        NONE,
    )
    details = tuple(_posed(staging, place, subject))
    return Row("M" if place.index == 0 else "", place.name, "sitter", found, details)


def _posed(staging: Staging, place: SitterPlace, subject: Subject) -> Iterator[str]:
    """What the sitter's figures don't say: they are the nose's height, the chin's lean, the face's swing."""
    seat = f", seat {figures.told(figures.length(place.seat_height_m))}" if place.seat_height_m else ""
    yield f"{place.pose}{seat}"
    yield f"eyes {figures.told(figures.length(place.eye_height_m))}"
    yield f"chest turned {figures.turn(place.body_turn_deg)}"
    assumed = " of assumed measures" if subject.build == "child" else ""
    shades = _shades(staging, place.index, subject)
    yield f"average {subject.build}{assumed}, {shades}"
    if subject.wears.hat:
        yield _hat(subject.wears.hat)
    if place.glasses:
        glasses = subject.wears.glasses
        yield f"glasses leaning {glasses.tilt.deg:g}°, curve {glasses.curve}" if glasses else "glasses"
    if subject.hands is not None:
        held = f", holding {subject.hands.holds}" if subject.hands.holds else ""
        forward, height = (
            figures.told(figures.length(part.m)) for part in (subject.hands.forward, subject.hands.height)
        )
        yield f"hands {forward} in front of the chest at {height}{held}"


_PARTS: dict[str, BodyPart] = {"skin": "head", "hair": "hair", "clothes": "torso"}


def _shades(staging: Staging, index: int, subject: Subject) -> str:
    """Skin, hair and clothes, each with what stands behind its reflectance; once where it is the same."""
    solids = [solid for solid in staging.scene.solids if solid.sitter == index]
    known = {solid.part: _known(solid.material.provenance) for solid in solids}
    words = {
        "skin": str(subject.skin),
        "hair": _hair(subject),
        "clothes": f"{subject.wears.clothes} clothes",
    }
    behind = {what: known.get(part, "") for what, part in _PARTS.items()}
    if len(set(behind.values())) == 1:
        return ", ".join(words.values()) + behind["skin"]
    return ", ".join(f"{words[what]}{behind[what]}" for what in words)


def _hair(subject: Subject) -> str:
    hair = str(subject.wears.hair)
    return hair if hair == "no hair" else f"{subject.wears.hair_length} {hair}"


def _hat(hat: Hat) -> str:
    brim = hat.brim
    return f"hat: brim {brim.front} in front, {brim.side} at the sides, {brim.above_eye} above the eyes"


def _item(staging: Staging, recipe: Recipe, item: Item) -> Row:
    if item.kind == "camera":
        found = _camera_figures(staging, item)
    else:
        string = NONE if item.kind == "backdrop" else figures.length(item.string_m)
        found = (
            *_place(item),
            figures.lean(item.lean_deg, item.lean_way),
            figures.turn(item.swing_deg),
            string,
        )
    details = {
        "lamp": _lamp,
        "card": _panel,
        "blocker": _panel,
        "backdrop": _backdrop,
        "camera": _camera,
    }[item.kind](staging, recipe, item)
    holding = len(tuple(_held(item))) if item.kind in ("lamp", "card", "blocker") else 0
    return Row(str(item.number), item.name, item.kind, found, tuple(details), holding)


def _place(item: Item) -> tuple[Figure, Figure, Figure]:
    return figures.along(item.toward_m), figures.across(item.side_m), figures.length(item.height_m)


def _camera_figures(staging: Staging, item: Item) -> tuple[Figure, ...]:
    up = float(np.clip(staging.camera.forward[2], -1.0, 1.0))
    tilt_deg = float(np.degrees(np.arcsin(up)))
    return (
        *_place(item),
        figures.tilt(tilt_deg),
        figures.turn(item.swing_deg),
        figures.length(item.string_m),
    )


def _lamp(staging: Staging, recipe: Recipe, item: Item) -> Iterator[str]:
    lamp = next(one for one in staging.lamps if one.emitter == item.name)
    role = f"{lamp.role}: " if lamp.role == "key" and item.name != "key" else ""
    output = ", output assumed" if "assumed" in lamp.output_known_by else ""
    yield f"{role}{item.gear}{output}"
    yield _face(item)
    yield f"aim {whose.told(staging, item.aim)}"
    if item.string_from != "nose":
        yield f"string from the {item.string_from}"
    yield from _common(item)


def _panel(staging: Staging, recipe: Recipe, item: Item) -> Iterator[str]:
    panel = next(one for one in staging.scene.panels if one.name == item.name)
    back = f", {item.back_surface} behind" if item.back_surface not in (None, item.surface) else ""
    yield f"{item.gear}, {item.surface} side{_known(panel.front.provenance)}{back}"
    if panel.straight:
        yield f"passes {figures.percent(panel.straight)}"
    yield f"{_face(item)}"
    yield f"aim {whose.told(staging, item.aim)}"
    yield from _common(item)


def _common(item: Item) -> Iterator[str]:
    if abs(item.roll_deg) >= 0.5:
        way = "clockwise" if item.roll_deg > 0 else "anticlockwise"
        yield f"rolled {abs(item.roll_deg):.0f}° {way}"
    yield from _held(item)


def _held(item: Item) -> Iterator[str]:
    hands = f"held by {item.held_by}" if item.held_by else "by hand or on the lap"
    yield from _support(item, item.support) if item.support else [hands]


def _support(item: Item, support: Support) -> Iterator[str]:
    along, across = figures.along(-float(support.base_m[1])), figures.across(float(support.base_m[0]))
    plumb = (along, across) == (figures.along(item.toward_m), figures.across(item.side_m))
    at = f"at {figures.told(along)}, {figures.told(across)}"
    yield f"{support.stand} " + ("plumb below" if plumb else at)
    if support.boom:
        side = f" from {support.boom_side.replace(' deg', '°')}" if support.boom_side else ""
        rear = weights.counterweight(support)
        weight = f", {rear} at its rear" if rear else ""
        reach = figures.told(figures.length(support.boom_reach_m))
        yield f"{support.boom}{side}, reach {reach}{weight}"
    where = " on the leg under the load" if weights.bag_on_leg(support) else ""
    hung = weights.bag(support)
    yield f"bag {hung}{where}" if hung else "no bag"


def _face(item: Item) -> str:
    """Size of a face as it hangs: '0.90 m round', '1.20 m level × 0.90 m' (the level side first)."""
    u, v = (2 * float(np.linalg.norm(half)) for half in (item.half_u_m, item.half_v_m))
    if item.outline != "rectangle":
        return f"{figures.told(figures.length(u))} {'round' if item.outline == 'ellipse' else 'octagon'}"
    return " level × ".join(figures.told(figures.length(side_m)) for side_m in (u, v))


def _backdrop(staging: Staging, recipe: Recipe, item: Item) -> Iterator[str]:
    panels = {one.name: one for one in staging.scene.panels}
    panel = panels.get("backdrop", panels["back wall"])
    yield f"{item.gear}{_known(panel.front.provenance)}"
    top_m = item.height_m + float(abs(item.half_v_m[2]))
    wide, top = (figures.told(figures.length(m)) for m in (2 * float(np.linalg.norm(item.half_u_m)), top_m))
    yield f"{wide} wide, top {top}"
    if recipe.backdrop.sweep is not None:
        yield f"{recipe.backdrop.sweep} forward over the floor"


_FORMATS = {"upright": "portrait", "level": "landscape"}


def _camera(staging: Staging, recipe: Recipe, item: Item) -> Iterator[str]:
    camera = staging.camera
    long_m = max(camera.sensor_across_m, camera.sensor_upright_m)
    short_m = min(camera.sensor_across_m, camera.sensor_upright_m)
    yield f"{recipe.camera.body} {long_m * 1000:g} × {short_m * 1000:g} mm, {recipe.camera.lens}"
    yield f"{_FORMATS[recipe.camera.hold]} format, {staging.framing}"
    yield "at the focal-plane mark"


def _known(provenance: str) -> str:
    """What stands behind a value that nobody measured."""
    return {"measured": "", "published": " (published value)", "assumed": " (assumed)"}[provenance]
