"""Stagings built by hand: a seated sitter in a small room with one lamp, to be varied one thing at a time."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from thirdstop.exposure.readings import LampReading, RatioReading, Reading, Readings
from thirdstop.staging.faces import lean_of, make_face, swing_of
from thirdstop.staging.materials import Material, Matte
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Ellipsoid, Emission, Emitter, Lambertian, Outline, Panel, Role
from thirdstop.staging.staging import (
    CameraView,
    Door,
    GuideNumberOutput,
    Item,
    Kind,
    LampPlace,
    MeterPlace,
    Room,
    Scene,
    SitterPlace,
    Staging,
    Support,
    TargetPlace,
)
from thirdstop.staging.vectors import UP, bearing_of, tilt_axes, turn_axes, unit, vec
from thirdstop.typed import Array, Vec

WHITE = Matte(0.8)
GREY = Matte(0.18)
ROOM = Room(-1.5, 1.5, -3.0, 1.5, 2.4, doors=(Door("front wall", -1.4, -0.5),))
NOSE = vec(0.0, 0.0, 1.2)


def camera(
    distance_m: float = 2.0,
    height_m: float = 1.2,
    focal_length_m: float = 0.085,
    across_m: float = 0.024,
    upright_m: float = 0.036,
) -> CameraView:
    """A level full-frame camera on the line to the mark, focused on the nose by the thin-lens equation."""
    # lens to image v and lens to nose u: u + v = distance, 1/u + 1/v = 1/f
    image_m = 0.5 * (distance_m - np.sqrt(distance_m**2 - 4 * focal_length_m * distance_m))
    return CameraView(
        focal_plane_m=vec(0.0, -distance_m, height_m),
        forward=vec(0.0, 1.0, 0.0),
        right=vec(1.0, 0.0, 0.0),
        up=UP,
        focal_length_m=focal_length_m,
        sensor_across_m=across_m,
        sensor_upright_m=upright_m,
        tan_half_across=across_m / 2 / image_m,
        tan_half_upright=upright_m / 2 / image_m,
        distance_m=distance_m,
        image_distance_m=image_m,
    )


def sitter(
    index: int = 0,
    nose_m: Vec = NOSE,
    turn_deg: float = 0.0,
    chin_deg: float = 0.0,
    gaze: Vec | None = None,
    pose: str = "seated",
    eye_height_m: float = 1.22,
    hat: str | None = None,
    glasses: str | None = None,
    tilt_deg: float = 8.0,
    dioptre: float = 4.0,
) -> SitterPlace:
    """A sitter whose pupils are 2 cm above, 2 cm behind and 31 mm to the sides of the nose tip."""
    axes = turn_axes(turn_deg) @ tilt_axes(chin_deg)
    forward, right = axes @ vec(0.0, -1.0, 0.0), axes @ vec(-1.0, 0.0, 0.0)
    up = axes @ UP
    between = nose_m - 0.02 * forward + 0.02 * up
    eyes = np.array([between + 0.031 * right, between - 0.031 * right])
    centre = nose_m - 0.12 * forward
    return SitterPlace(
        index=index,
        name="sitter" if index == 0 else f"sitter {index + 1}",
        pose="seated" if pose == "seated" else "standing",
        eye_height_m=eye_height_m,
        nose_m=nose_m,
        forward=forward,
        sitter_right=right,
        up=up,
        gaze=forward if gaze is None else gaze,
        eyes_m=eyes,
        head_centre_m=centre,
        crown_m=centre + 0.13 * up,
        body_turn_deg=turn_deg,
        head_turn_deg=turn_deg,
        chin_deg=chin_deg,
        seat_height_m=0.47 if pose == "seated" else None,
        hat=hat,
        glasses=glasses,
        mark_m=vec(float(nose_m[0]), float(nose_m[1]), 0.0),
        glasses_tilt_deg=tilt_deg,
        glasses_base_dioptre=dioptre,
    )


def head(of: SitterPlace) -> Ellipsoid:
    """That sitter's head solid."""
    axes = np.stack([-of.sitter_right, -of.forward, of.up], axis=1)
    size = vec(0.075, 0.095, 0.115)
    return Ellipsoid("head", "head", of.index, of.head_centre_m, size, axes, Matte(0.35))


@dataclass(frozen=True, eq=False)
class Thing:
    """A numbered thing with what the scene holds of it."""

    item: Item
    panel: Panel | None = None
    emitter: Emitter | None = None
    lamp: LampPlace | None = None


def item(
    kind: Kind,
    name: str,
    centre_m: Vec,
    normal: Vec,
    width_m: float,
    height_m: float,
    outline: Outline = "rectangle",
    support: Support | None = None,
    body: Sequence[Array] = (),
    role: str = "",
) -> Item:
    """A thing with a face; what people read off it follows from where it is."""
    face = make_face(centre_m, normal, width_m / 2, height_m / 2)
    lean_deg, way = lean_of(face.normal)
    return Item(
        number=1,
        kind=kind,
        name=name,
        gear=name,
        centre_m=centre_m,
        normal=face.normal,
        half_u_m=face.half_u_m,
        half_v_m=face.half_v_m,
        outline=outline,
        toward_m=float(-centre_m[1]),
        side_m=float(centre_m[0]),
        height_m=float(centre_m[2]),
        lean_deg=lean_deg,
        lean_way=way,
        swing_deg=swing_of(face.normal),
        roll_deg=0.0,
        string_m=float(np.linalg.norm(centre_m - NOSE)),
        string_from="nose",
        bearing_deg=bearing_of(centre_m),
        aim="nose",
        support=support,
        body=tuple(body),
        role=role,
    )


def lamp(
    name: str = "key",
    centre_m: Vec | None = None,
    normal: Vec | None = None,
    width_m: float = 0.9,
    height_m: float = 0.9,
    outline: Outline = "ellipse",
    emission: Emission | None = None,
    role: str = "key",
    support: Support | None = None,
    body: Sequence[Array] = (),
    modelling: bool = False,
    group: str = "battery 400",
) -> Thing:
    """A lamp; left alone a 0.9 m round box, camera-right and high, aimed at the nose."""
    centre = vec(0.7, -0.8, 1.8) if centre_m is None else centre_m
    toward = unit(NOSE - centre) if normal is None else normal
    thing = item("lamp", name, centre, toward, width_m, height_m, outline, support, body, role)
    emitter = Emitter(name, centre, thing.half_u_m, thing.half_v_m, outline, emission or Lambertian(), 1000.0)
    place = LampPlace(
        emitter=name,
        lamp=group,
        clicks=25,
        display=tuple(str(k) for k in range(1, 26)),
        click=None,
        level_stops=None,
        output=GuideNumberOutput(40.0, 100.0),
        bare_emission=emission or Lambertian(),
        axial_loss_stops=0.0,
        energy_j=400.0,
        output_known_by="guide number",
        output_spread_stops=0.5,
        role=role,
        modelling=modelling,
    )
    return Thing(thing, emitter=emitter, lamp=place)


def panel(
    kind: Kind = "card",
    name: str = "card",
    centre_m: Vec | None = None,
    normal: Vec | None = None,
    width_m: float = 0.8,
    height_m: float = 1.2,
    material: Material = WHITE,
    role: Role | None = None,
    support: Support | None = None,
    straight: float = 0.0,
) -> Thing:
    """A card or blocker; left alone a white card at camera-left, aimed at the nose."""
    centre = vec(-0.75, -0.1, 1.15) if centre_m is None else centre_m
    toward = unit(NOSE - centre) if normal is None else normal
    thing = item(kind, name, centre, toward, width_m, height_m, support=support)
    job: Role = role or ("blocker" if kind == "blocker" else "card")
    flat = Panel(name, job, centre, thing.half_u_m, thing.half_v_m, material, material, straight=straight)
    return Thing(thing, panel=flat)


def sheet(
    distance_m: float = 1.2, width_m: float = 2.7, top_m: float = 2.3, reflectance: float = 0.18
) -> Panel:
    """An upright backdrop sheet behind the mark, down to the floor."""
    centre = vec(0.0, distance_m, top_m / 2)
    grey = Matte(reflectance)
    return Panel("backdrop", "backdrop", centre, vec(width_m / 2, 0, 0), vec(0, 0, top_m / 2), grey, grey)


def room_panels(room: Room = ROOM) -> list[Panel]:
    """The room's six surfaces, fronts inward."""
    cx, cy, cz = (room.left_m + room.right_m) / 2, (room.front_m + room.back_m) / 2, room.height_m / 2
    x, y, z = vec(room.width_m / 2, 0, 0), vec(0, room.length_m / 2, 0), vec(0, 0, cz)
    rows: list[tuple[str, Role, Vec, Vec, Vec]] = [
        ("left wall", "wall", vec(room.left_m, cy, cz), y, z),
        ("right wall", "wall", vec(room.right_m, cy, cz), z, y),
        ("back wall", "wall", vec(cx, room.back_m, cz), x, z),
        ("front wall", "wall", vec(cx, room.front_m, cz), z, x),
        ("floor", "floor", vec(cx, cy, 0), x, y),
        ("ceiling", "ceiling", vec(cx, cy, room.height_m), y, x),
    ]
    return [Panel(name, role, centre, u, v, Matte(0.5), Matte(0.5)) for name, role, centre, u, v in rows]


def points(of: SitterPlace) -> list[MeasuringPoint]:
    """The face's measuring points as the stagings name them, and the backdrop's."""
    prefix = "" if of.index == 0 else f"sitter {of.index + 1} "
    names = ("left cheek", "right cheek", "forehead", "right eye", "left eye", "under chin", "chin dome")
    here = of.nose_m + 0.03 * of.forward
    return [MeasuringPoint(prefix + name, here, of.forward, "flat", of.index) for name in names]


def staging(
    *things: Thing,
    sitters: Sequence[SitterPlace] | None = None,
    view: CameraView | None = None,
    room: Room = ROOM,
    sheets: Sequence[Panel] | None = None,
    more_panels: Sequence[Panel] = (),
    solids: Sequence[Ellipsoid] = (),
    extra_points: Sequence[MeasuringPoint] = (),
    target: TargetPlace | None = None,
    meter: MeterPlace | None = None,
    walkway_m: float = 0.6,
    behind_camera_m: float = 0.5,
    framing: str = "head and shoulders",
) -> Staging:
    """A staging of those things; the first lamp is the key (a usual one is added where there is none)."""
    all_things = list(things) if any(one.lamp for one in things) else [lamp(), *things]
    people = [sitter()] if sitters is None else list(sitters)
    hung = [sheet()] if sheets is None else list(sheets)
    scene = Scene(
        panels=(
            *room_panels(room),
            *hung,
            *(one.panel for one in all_things if one.panel is not None),
            *more_panels,
        ),
        solids=tuple(solids),
        emitters=tuple(one.emitter for one in all_things if one.emitter is not None),
        points=(
            *(point for person in people for point in points(person)),
            MeasuringPoint("backdrop behind head", vec(0.0, 1.165, 1.2), vec(0, -1, 0), "flat"),
            *extra_points,
        ),
    )
    items = [replace(one.item, number=k + 1) for k, one in enumerate(all_things)]
    return Staging(
        title="Sample",
        slug="sample",
        scene=scene,
        room=room,
        camera=view or camera(),
        sitters=tuple(people),
        items=tuple(items),
        lamps=tuple(one.lamp for one in all_things if one.lamp is not None),
        meter=meter or MeterPlace(100.0, 8.0, 1 / 160, 250.0, 340.0, 0.1, "chin dome"),
        target=target or TargetPlace(4.0, "lit to shadow", 1 / 3, None),
        walkway_m=walkway_m,
        behind_camera_m=behind_camera_m,
        framing=framing,
    )


def reading(point: str, stops_from_key: float = 0.0, **budget: float) -> Reading:
    """A reading so many stops from a key reading of f/8; the budget's shares as given."""
    f_number = 8.0 * 2 ** (stops_from_key / 2)
    shares = {name.replace("_", " "): share for name, share in budget.items()}
    return Reading(
        point, "flat", 160.0 * 2**stops_from_key, f_number, stops_from_key, 0.7, 0.7, shares or {"key": 1.0}
    )


def readings(
    *given: Reading,
    ratio: float = 4.0,
    lamps: Sequence[LampReading] | None = None,
    ambient_stops_under: float | None = 7.0,
    band_stops: float = 0.3,
) -> Readings:
    """Readings of a sample: cheeks, chin and backdrop as usual, then those given."""
    usual = [
        reading("left cheek"),
        reading("right cheek", -2.0, key=0.1, card=0.6, walls=0.2, ceiling=0.05, floor=0.05),
        reading("chin dome"),
        reading("backdrop behind head", -1.6),
    ]
    found = {one.point: one for one in [*usual, *given]}
    shown = RatioReading(
        "lit to shadow", ratio, float(np.log2(ratio)), "left cheek", "right cheek", band_stops
    )
    clicks = (LampReading("key", 14, 25, "1/16", True, 14.2),) if lamps is None else tuple(lamps)
    return Readings("chin dome", found, shown, clicks, ambient_stops_under)
