"""Lamps with their shapers: the luminous face, how its output is known, and the body behind it."""

from dataclasses import dataclass

import numpy as np

from thirdstop.book.quantities import Click
from thirdstop.book.recipe import Light
from thirdstop.book.studio import InRoom, LampModel, OutputReading, ShaperModel, Studio
from thirdstop.constants import CLICKS_PER_STOP
from thirdstop.staging.faces import Face, make_face
from thirdstop.staging.lookup import find
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.rooms import fixed_panels, room_panels
from thirdstop.staging.shapes import Beam, Emission, Emitter, Gridded, Lambertian, Outline, outline_points
from thirdstop.staging.staging import (
    EnergyOutput,
    GuideNumberOutput,
    LampPlace,
    MeteredOutput,
    Output,
    Room,
    Scene,
)
from thirdstop.staging.vectors import unit, vec
from thirdstop.typed import Array, Vec

HEAD_RADIUS_M = 0.06
"""Of a lamp's own body behind the shaper, for drawings and for what fits; assumed."""

SPREAD_STOPS = {"metered": 0.15, "guide number": 0.5, "energy": 1.0}
"""Half-width of the 90 % band of an output by how it is known; common practice, no source."""

GUIDE_NUMBER_ISO = 100.0
"""For which the guide number of a calibration holds."""

USUAL_HALF_ANGLES_DEG = {"dish": 50.0, "bare": 75.0}


@dataclass(frozen=True, eq=False)
class PlacedLamp:
    """One lamp, resolved."""

    emitter: Emitter
    lamp: LampPlace
    face: Face
    outline: Outline
    body: tuple[Array, ...]
    mount_m: Vec
    mass_kg: float
    gear: str
    depth_m: float


def face_size(shaper: ShaperModel, problems: Problems, path: Path) -> tuple[float, float, Outline]:
    """Half width, half height and outline of a shaper's face, metres."""
    if shaper.form in ("square", "strip"):
        if shaper.size is None:
            problems.add(
                path,
                f"a shaper of the form '{shaper.form}' needs its 'size'",
                shaper.name,
                "size: 60 x 60 cm",
            )
            return 0.3, 0.3, "rectangle"
        return shaper.size.first_m / 2, shaper.size.second_m / 2, "rectangle"
    if shaper.form == "octagon":
        across = shaper.across or shaper.diameter
        outline: Outline = "octagon"
    else:
        across = shaper.diameter or shaper.across
        outline = "ellipse"
    if across is None:
        key = "across" if shaper.form == "octagon" else "diameter"
        problems.add(
            path, f"a shaper of the form '{shaper.form}' needs its '{key}'", shaper.name, f"{key}: 90 cm"
        )
        return 0.3, 0.3, outline
    return across.m / 2, across.m / 2, outline


def emission_of(shaper: ShaperModel, cutoff_deg: float | None) -> Emission:
    """How the face throws its light."""
    if cutoff_deg is not None:
        return Gridded(cutoff_deg)
    if shaper.form in USUAL_HALF_ANGLES_DEG:
        usual = USUAL_HALF_ANGLES_DEG[shaper.form]
        return Beam(shaper.half_angle.deg if shaper.half_angle is not None else usual)
    return Lambertian()


def place_lamp(
    light: Light,
    is_key: bool,
    centre_m: Vec,
    normal: Vec,
    studio: Studio,
    room: Room,
    problems: Problems,
    path: Path,
) -> PlacedLamp | None:
    """One light of the recipe at its place; None with faults where its gear is unknown."""
    lamp = find(studio.lamps, light.lamp, "lamp", problems, (*path, "lamp"))
    shaper = find(studio.shapers, light.shaper, "shaper", problems, (*path, "shaper"))
    grid = find(studio.grids, light.grid, "grid", problems, (*path, "grid")) if light.grid else None
    gel = find(studio.gels, light.gel, "gel", problems, (*path, "gel")) if light.gel else None
    if lamp is None or shaper is None:
        return None
    # a face without its size is a fault of the studio file, told there once
    half_width_m, half_height_m, outline = face_size(shaper, Problems(problems.marks), path)
    face = make_face(centre_m, normal, half_width_m, half_height_m, light.roll.deg)
    emission = emission_of(shaper, grid.cutoff.deg if grid else None)
    emitter = Emitter(light.name, face.centre_m, face.half_u_m, face.half_v_m, outline, emission, 1.0)
    output, known_by, spread = output_of(lamp, shaper, outline, studio, room, (half_width_m, half_height_m))
    click = light.power.number if isinstance(light.power, Click) else None
    if click is not None and not 1 <= click <= lamp.clicks:
        problems.add(
            (*path, "power"),
            f"'{lamp.name}' has the clicks 1 to {lamp.clicks}",
            f"click {click}",
            f"click {lamp.clicks}",
        )
        click = None
    losses = (grid.loss.value if grid else 0.0) + (gel.loss.value if gel else 0.0)
    place = LampPlace(
        emitter=light.name,
        lamp=lamp.name,
        clicks=lamp.clicks,
        display=display_of(lamp),
        click=click,
        level_stops=light.level.value if light.level is not None else None,
        output=output,
        bare_emission=emission_of(shaper, None),
        axial_loss_stops=losses,
        energy_j=lamp.energy.j,
        output_known_by=known_by,
        output_spread_stops=spread,
        role="key" if is_key else "backdrop light" if light.level is not None else "accent",
        group=light.group,
        modelling=light.modelling,
        gel=light.gel,
        mains=lamp.mains,
        recycle_s=lamp.recycle.s if lamp.recycle is not None else None,
        pops=lamp.pops,
    )
    back_m = centre_m - shaper.depth.m * face.normal
    body = box_body(face, outline, shaper.depth.m, lamp.length.m)
    words = (
        f"{shaper.name} on {lamp.name}"
        + (f", {grid.name}" if grid else "")
        + (f", {gel.name}" if gel else "")
    )
    mass_kg = lamp.mass.kg + shaper.mass.kg
    return PlacedLamp(emitter, place, face, outline, body, back_m, mass_kg, words, shaper.depth.m)


def box_body(face: Face, outline: Outline, depth_m: float, head_length_m: float) -> tuple[Array, ...]:
    """Polygons of the shell from the face back to the mount, and of the lamp's head behind it."""
    front = outline_points(outline, face.centre_m, face.half_u_m, face.half_v_m, segments=24)
    u, v, n = unit(face.half_u_m), unit(face.half_v_m), face.normal
    mount = face.centre_m - depth_m * n
    small_m = min(HEAD_RADIUS_M, float(np.linalg.norm(face.half_u_m)))
    shrink = small_m / max(float(np.linalg.norm(face.half_u_m)), float(np.linalg.norm(face.half_v_m)))
    rear = mount + (front - face.centre_m) * shrink
    shell = [np.stack([front[i], front[i - 1], rear[i - 1], rear[i]]) for i in range(len(front))]
    near_ring = outline_points("rectangle", mount, small_m * u, small_m * v)
    far_ring = near_ring - head_length_m * n
    head = [np.stack([near_ring[i], near_ring[i - 1], far_ring[i - 1], far_ring[i]]) for i in range(4)]
    return (*shell, *head, far_ring)


def display_of(lamp: LampModel) -> tuple[str, ...]:
    """What the trigger shows at each click, lowest first; a list of another length is the studio's fault."""
    if isinstance(lamp.display, list):
        return tuple(lamp.display)
    return tuple(fraction_of(lamp.clicks - click) for click in range(1, lamp.clicks + 1))


def fraction_of(clicks_under_full: int) -> str:
    """Power as a fraction with thirds: 0 → '1/1', 1 → '1/2 + 2/3', 3 → '1/2'."""
    stops, thirds = divmod(clicks_under_full + CLICKS_PER_STOP - 1, CLICKS_PER_STOP)
    up = CLICKS_PER_STOP - 1 - thirds
    base = f"1/{2**stops}"
    return base if up == 0 else f"{base} + {up}/3"


def output_of(
    lamp: LampModel,
    shaper: ShaperModel,
    outline: Outline,
    studio: Studio,
    room: Room,
    half_m: tuple[float, float],
) -> tuple[Output, str, float]:
    """The best that is known of a lamp's output with a shaper: what a calibration found, a reading, a guide
    number, or its energy.
    """
    for found in lamp.calibrated:
        if found.shaper == shaper.name:
            output = GuideNumberOutput(found.guide_number.m, GUIDE_NUMBER_ISO)
            return output, f"calibrated on {found.measured.isoformat()}", found.spread.value
    for reading in lamp.readings:
        if reading.shaper == shaper.name:
            scene = _open_room(reading, shaper, outline, studio, room, half_m)
            metered = MeteredOutput(
                f_number=reading.reads.exact,
                iso=reading.iso.value,
                receptor=reading.receptor,
                distance_m=reading.distance.m,
                click=reading.click,
                room=scene,
            )
            return metered, "metered", SPREAD_STOPS["metered"]
    for number in lamp.guide_numbers:
        if number.shaper == shaper.name:
            known = GuideNumberOutput(number.guide_number.m, number.iso.value)
            return known, "guide number", SPREAD_STOPS["guide number"]
    energy = EnergyOutput(lamp.energy.j, lamp.efficacy.lm_s_j, shaper.passes.value)
    return energy, f"{lamp.energy} at {lamp.efficacy}, assumed", SPREAD_STOPS["energy"]


def _open_room(
    reading: OutputReading,
    shaper: ShaperModel,
    outline: Outline,
    studio: Studio,
    room: Room,
    half_m: tuple[float, float],
) -> Scene | None:
    """The empty room with the face at unit luminance and the meter on its axis, for an unmasked reading."""
    if reading.masking != "open room" or reading.in_room is None:
        return None
    where: InRoom = reading.in_room
    centre = vec(room.left_m + where.left_wall.m, room.back_m - where.back_wall.m, where.height.m)
    normal = {"left wall": vec(-1, 0, 0), "right wall": vec(1, 0, 0), "back wall": vec(0, 1, 0)}.get(
        where.facing, vec(0, -1, 0)
    )
    face = make_face(centre, normal, *half_m)
    emitter = Emitter(
        "lamp", face.centre_m, face.half_u_m, face.half_v_m, outline, emission_of(shaper, None), 1.0
    )
    place = centre + reading.distance.m * normal
    point = MeasuringPoint("meter", place, -normal, reading.receptor)
    panels = (*room_panels(room, studio), *fixed_panels(room, studio))
    return Scene(panels, (), (emitter,), (point,))
