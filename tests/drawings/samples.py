"""Stagings made by hand for the drawings' tests, and any number of differing ones from a seed."""

import random
from dataclasses import dataclass, replace

import numpy as np

from thirdstop.book.book import open_book
from thirdstop.resources import shipped
from thirdstop.staging.materials import Material, Matte, Metallised, Translucent
from thirdstop.staging.resolve import stage as resolve
from thirdstop.staging.shapes import Ellipsoid, Outline, Panel, Role, outline_points
from thirdstop.staging.staging import (
    CameraView,
    Door,
    Fixed,
    Item,
    Kind,
    MeterPlace,
    Room,
    Scene,
    SitterPlace,
    Staging,
    Support,
    TargetPlace,
)
from thirdstop.typed import Array, Vec

UP = np.array([0.0, 0.0, 1.0])
SKIN = Matte(0.35)
SURFACES: dict[str, Material] = {
    "white": Matte(0.85),
    "black": Matte(0.03),
    "silver": Metallised(0.8, 0.3, 0.2),
    "gold": Metallised(0.7, 0.3, 0.2, 80.0),
    "translucent": Translucent(0.5, 0.3),
}


def vec(x: float, y: float, z: float) -> Vec:
    return np.array([x, y, z], dtype=float)


def unit(v: Vec) -> Vec:
    return v / float(np.linalg.norm(v))


def turned(deg: float) -> Array:
    """Rotation about z that turns what faces the camera to camera-right."""
    c, s = np.cos(np.radians(deg)), np.sin(np.radians(deg))
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def sitter_at(
    index: int, mark: Vec, eye_m: float, head_deg: float, body_deg: float, seated: bool = True
) -> tuple[SitterPlace, list[Ellipsoid]]:
    """A sitter with the nose over a mark: head, hair, neck, shoulders, torso and, seated, the thighs."""
    head, body = turned(head_deg), turned(body_deg)
    forward, nose_z = head @ vec(0, -1, 0), eye_m - 0.04
    nose = vec(float(mark[0]), float(mark[1]), nose_z)
    centre = nose - 0.12 * forward + vec(0, 0, 0.02)
    spine = centre + body @ vec(0, 0.025, 0)

    def at(x: float, y: float, z: float) -> Vec:
        place = body @ vec(x, y, 0)
        return vec(float(spine[0] + place[0]), float(spine[1] + place[1]), z)

    z = eye_m - 0.25
    solids = [
        Ellipsoid("head", "head", index, centre, vec(0.076, 0.098, 0.115), head, SKIN),
        Ellipsoid(
            "hair", "hair", index, centre + head @ vec(0, 0.02, 0.015), vec(0.08, 0.1, 0.12), head, SKIN
        ),
        Ellipsoid("neck", "neck", index, at(0, 0.01, z + 0.08), vec(0.054, 0.054, 0.1), body, SKIN),
        Ellipsoid("shoulders", "shoulders", index, at(0, 0.015, z), vec(0.2, 0.085, 0.075), body, SKIN),
        Ellipsoid("torso", "torso", index, at(0, 0, z - 0.3), vec(0.16, 0.11, 0.35), body, SKIN),
    ]
    if seated:
        for side in (-0.1, 0.1):
            solids.append(
                Ellipsoid("thigh", "thigh", index, at(side, -0.2, z - 0.5), vec(0.08, 0.27, 0.08), body, SKIN)
            )
    place = SitterPlace(
        index=index,
        name=f"sitter {index + 1}",
        pose="seated" if seated else "standing",
        eye_height_m=eye_m,
        nose_m=nose,
        forward=forward,
        sitter_right=head @ vec(-1, 0, 0),
        up=UP,
        gaze=forward,
        eyes_m=np.stack([centre + head @ vec(x, -0.09, 0.02) for x in (-0.031, 0.031)]),
        head_centre_m=centre,
        crown_m=centre + vec(0, 0, 0.12),
        body_turn_deg=body_deg,
        head_turn_deg=head_deg,
        chin_deg=0.0,
        seat_height_m=0.45 if seated else None,
        hat=None,
        glasses=None,
        mark_m=mark,
        glasses_tilt_deg=8.0,
        glasses_base_dioptre=4.0,
    )
    return place, solids


@dataclass(frozen=True)
class Thing:
    """A lamp, card or blocker as a test asks for it: string from the nose, bearing, height, size."""

    kind: Kind
    name: str
    string_m: float
    bearing_deg: float
    height_m: float
    size_m: tuple[float, float]
    surface: str = ""
    outline: Outline = "rectangle"
    aim: Vec | None = None
    stand: bool = True
    boom_m: float = 0.0
    boom_from_deg: float = 90.0
    bag_kg: float = 0.0


def bearing_way(deg: float) -> Vec:
    return vec(float(np.sin(np.radians(deg))), -float(np.cos(np.radians(deg))), 0)


def face(centre: Vec, normal: Vec, size_m: tuple[float, float]) -> tuple[Vec, Vec]:
    """Half-edges of a face with a level edge."""
    level = np.cross(UP, normal)
    u = unit(level) if np.linalg.norm(level) > 1e-6 else vec(1, 0, 0)
    return u * size_m[0] / 2, np.cross(normal, u) * size_m[1] / 2


def place(thing: Thing, number: int, nose: Vec, room: Room) -> tuple[Item, Panel | None]:
    """The numbered item of a thing, moved inside the room where its place would lie outside."""
    rise = thing.height_m - nose[2]
    run = float(np.sqrt(max(thing.string_m**2 - rise**2, 0.01)))
    x, y = (nose[:2] + run * bearing_way(thing.bearing_deg)[:2]).tolist()
    x = min(max(x, room.left_m + 0.1), room.right_m - 0.1)
    y = min(max(y, room.front_m + 0.1), room.back_m - 0.05)
    centre = vec(round(x, 2), round(y, 2), thing.height_m)
    normal = unit((nose if thing.aim is None else thing.aim) - centre)
    u, v = face(centre, normal, thing.size_m)
    body: tuple[Array, ...] = ()
    if thing.kind == "lamp":
        rim = outline_points(thing.outline, centre, u, v, 16)
        apex = centre - normal * 0.35
        body = tuple(np.stack([a, b, apex]) for a, b in zip(rim, np.roll(rim, -1, axis=0), strict=True))
    load = centre - normal * (0.3 if thing.kind == "lamp" else 0.0)
    support = None
    if thing.stand:
        base = load + thing.boom_m * bearing_way(thing.boom_from_deg)
        foot = vec(*_within(room, float(base[0]), float(base[1])), 0)
        support = Support(
            stand="stand A",
            base_m=foot,
            column_top_m=foot + vec(0, 0, thing.height_m),
            leg_reach_m=0.45,
            stand_mass_kg=3.0,
            load_m=load,
            load_mass_kg=2.5,
            boom="boom" if thing.boom_m else None,
            boom_reach_m=thing.boom_m,
            boom_rear_m=0.5 if thing.boom_m else 0.0,
            boom_side="camera-right" if thing.boom_m else None,
            bag_mass_kg=thing.bag_kg,
        )
    horizontal = float(np.hypot(normal[0], normal[1]))
    lean = float(np.degrees(np.arctan2(normal[2], horizontal)))
    item = Item(
        number=number,
        kind=thing.kind,
        name=thing.name,
        gear=f"{thing.size_m[0] * 100:.0f} × {thing.size_m[1] * 100:.0f}",
        centre_m=centre,
        normal=normal,
        half_u_m=u,
        half_v_m=v,
        outline=thing.outline,
        toward_m=-float(centre[1]),
        side_m=float(centre[0]),
        height_m=float(centre[2]),
        lean_deg=abs(lean),
        lean_way="up" if lean > 0.05 else "down" if lean < -0.05 else "upright",
        swing_deg=float(np.degrees(np.arctan2(normal[0], -normal[1]))),
        roll_deg=0.0,
        string_m=float(np.linalg.norm(centre - nose)),
        string_from="nose",
        bearing_deg=float(np.degrees(np.arctan2(centre[0], -centre[1]))),
        aim="nose",
        surface=thing.surface or None,
        body=body,
        support=support,
        role="key" if thing.name == "key" else "",
    )
    panel = None
    if thing.surface:
        paint = SURFACES[thing.surface]
        back = SURFACES["black"] if thing.surface != "translucent" else paint
        role: Role = "blocker" if thing.kind == "blocker" else "card"
        panel = Panel(thing.name, role, centre, u, v, paint, back)
    return item, panel


def _within(room: Room, x: float, y: float) -> tuple[float, float]:
    """A place brought 30 cm inside the room's walls."""
    return (
        min(max(x, room.left_m + 0.3), room.right_m - 0.3),
        min(max(y, room.front_m + 0.3), room.back_m - 0.3),
    )


def camera_body(focal: Vec) -> tuple[Array, ...]:
    """Body and lens as two boxes seen from above and from the side: their top and side faces."""
    parts = []
    for x, y0, y1, z in ((0.07, -0.03, 0.05, 0.05), (0.04, 0.05, 0.16, 0.04)):
        for sign in (-1.0, 1.0):
            parts.append(
                np.array([(sx * x, y, sign * z) for sx, y in ((-1, y0), (1, y0), (1, y1), (-1, y1))]) + focal
            )
            parts.append(
                np.array([(sign * x, y, sz * z) for sz, y in ((-1, y0), (1, y0), (1, y1), (-1, y1))]) + focal
            )
    return tuple(parts)


def camera_at(nose: Vec, distance_m: float, height_m: float, lens_mm: float) -> tuple[CameraView, Item]:
    """An upright camera on the line from M."""
    run = float(np.sqrt(distance_m**2 - (height_m - nose[2]) ** 2))
    focal = vec(0, -run, height_m)
    f = lens_mm / 1000
    image = (distance_m - float(np.sqrt(distance_m**2 - 4 * f * distance_m))) / 2
    forward, right = vec(0, 1, 0), vec(1, 0, 0)
    view = CameraView(
        focal_plane_m=focal,
        forward=forward,
        right=right,
        up=UP,
        focal_length_m=f,
        sensor_across_m=0.024,
        sensor_upright_m=0.036,
        tan_half_across=0.012 / image,
        tan_half_upright=0.018 / image,
        distance_m=distance_m,
    )
    item = Item(
        number=0,
        kind="camera",
        name="camera",
        gear=f"{lens_mm:.0f} mm",
        centre_m=focal,
        normal=forward,
        half_u_m=vec(0.012, 0, 0),
        half_v_m=vec(0, 0, 0.018),
        outline="rectangle",
        toward_m=run,
        side_m=0.0,
        height_m=height_m,
        lean_deg=0.0,
        lean_way="upright",
        swing_deg=180.0,
        roll_deg=0.0,
        string_m=distance_m,
        string_from="focal-plane mark to nose",
        bearing_deg=0.0,
        aim="nose",
        body=camera_body(focal),
    )
    return view, item


def sheet_behind(distance_m: float, width_m: float, height_m: float) -> tuple[Item, Panel]:
    """The backdrop, upright behind M, its face toward the camera."""
    centre = vec(0, distance_m, height_m / 2)
    u, v = vec(width_m / 2, 0, 0), vec(0, 0, height_m / 2)
    item = Item(
        number=0,
        kind="backdrop",
        name="backdrop",
        gear="grey paper",
        centre_m=centre,
        normal=vec(0, -1, 0),
        half_u_m=u,
        half_v_m=v,
        outline="rectangle",
        toward_m=-distance_m,
        side_m=0.0,
        height_m=height_m / 2,
        lean_deg=0.0,
        lean_way="upright",
        swing_deg=0.0,
        roll_deg=0.0,
        string_m=distance_m,
        string_from="backdrop",
        bearing_deg=180.0,
        aim="camera",
        surface="grey paper",
    )
    return item, Panel("backdrop", "backdrop", centre, u, v, Matte(0.18), Matte(0.18))


def numbered(item: Item, number: int) -> Item:
    return replace(item, number=number)


def stage(
    title: str,
    room: Room,
    things: list[Thing],
    *,
    eye_m: float = 1.22,
    head_deg: float = 0.0,
    body_deg: float = 0.0,
    seated: bool = True,
    camera_m: float = 2.0,
    camera_height_m: float = 1.22,
    lens_mm: float = 85.0,
    sheet_m: float = 1.2,
    sheet_width_m: float = 1.35,
    brim: bool = False,
    second: Vec | None = None,
) -> Staging:
    """A whole staging from the things that matter to a drawing."""
    sitter, solids = sitter_at(0, vec(0, 0, 0), eye_m, head_deg, body_deg, seated)
    sitters = [sitter]
    if second is not None:
        other, more = sitter_at(1, second, eye_m + 0.05, -10, -20, seated)
        sitters.append(other)
        solids = solids + more
    panels: list[Panel] = []
    if brim:
        turn = turned(head_deg)
        panels.append(
            Panel(
                "brim",
                "brim",
                sitter.head_centre_m + vec(0, 0, 0.07),
                turn @ vec(0.15, 0, 0),
                turn @ vec(0, 0.17, 0),
                Matte(0.1),
                Matte(0.1),
                "ellipse",
            )
        )
    items: list[Item] = []
    for thing in things:
        item, panel = place(thing, len(items) + 1, sitter.nose_m, room)
        items.append(item)
        panels += [panel] if panel is not None else []
    view, camera = camera_at(sitter.nose_m, camera_m, camera_height_m, lens_mm)
    backdrop, paper = sheet_behind(sheet_m, sheet_width_m, 2.0)
    items += [numbered(backdrop, len(items) + 1), numbered(camera, len(items) + 2)]
    panels.append(paper)
    for person in sitters:
        items.append(_sitter_item(person, len(items) + 1))
    return Staging(
        title=title,
        slug=title.lower().replace(" ", "-").replace(",", ""),
        scene=Scene(tuple(panels), tuple(solids), (), ()),
        room=room,
        camera=view,
        sitters=tuple(sitters),
        items=tuple(items),
        lamps=(),
        meter=MeterPlace(100, 8.0, 1 / 160, 250, 340, 0.1, "under chin"),
        target=TargetPlace(4.0, "lit to shadow", 1 / 3, None),
        walkway_m=0.6,
        behind_camera_m=0.5,
        framing="head and shoulders",
    )


def _sitter_item(person: SitterPlace, number: int) -> Item:
    x, y, z = (float(part) for part in person.nose_m)
    return Item(
        number=number,
        kind="sitter",
        name=person.name,
        gear=person.pose,
        centre_m=person.nose_m,
        normal=person.forward,
        half_u_m=vec(0.01, 0, 0),
        half_v_m=vec(0, 0, 0.01),
        outline="ellipse",
        toward_m=-y,
        side_m=x,
        height_m=z,
        lean_deg=0.0,
        lean_way="upright",
        swing_deg=person.head_turn_deg,
        roll_deg=0.0,
        string_m=0.0,
        string_from="nose",
        bearing_deg=0.0,
        aim="camera",
    )


def low_room(corner: str = "back left corner", left_m: float = 1.35) -> Room:
    """A room of 3.0 × 4.5 m under 2.4 m, the mark 1.55 m from the back wall."""
    return Room(
        left_m=-left_m,
        right_m=3.0 - left_m,
        front_m=1.55 - 4.5,
        back_m=1.55,
        height_m=2.4,
        doors=(Door("right wall", -2.7, -1.9),),
        fixed=(
            Fixed(
                "shelf", np.array([(-1.35, -2.9), (-0.65, -2.9), (-0.65, -2.55), (-1.35, -2.55)]), 0.0, 1.1
            ),
        ),
        corner=corner,
    )


def wide_brim() -> Staging:
    """One lamp on a boom, a silver lap card, a black panel beside the face, a brim."""
    return stage(
        "Wide brim, low key",
        low_room(),
        [
            Thing("lamp", "key", 1.15, 30, 1.55, (0.9, 0.9), outline="octagon", boom_m=1.1, bag_kg=9.0),
            Thing("card", "lap card", 0.5, -10, 0.85, (1.2, 0.9), "silver", aim=vec(0.15, -0.25, 1.6)),
            Thing("blocker", "panel", 0.75, -95, 1.1, (0.6, 0.9), "black"),
        ],
        brim=True,
        body_deg=-15,
    )


def two_seated() -> Staging:
    """Two sitters, two lamps and a translucent sheet."""
    return stage(
        "Two seated",
        low_room("back right corner"),
        [
            Thing("lamp", "key", 1.8, 15, 1.85, (0.9, 0.9), outline="ellipse", boom_m=0.8, boom_from_deg=60),
            Thing("lamp", "fill lamp", 1.6, -50, 1.5, (1.2, 0.3)),
            Thing("card", "tall card", 0.8, -60, 1.1, (0.8, 1.8), "white"),
            Thing("card", "sheet", 0.9, 70, 1.2, (1.0, 1.0), "translucent"),
            Thing("card", "gold card", 0.6, 5, 0.7, (0.9, 0.6), "gold", aim=vec(0.1, -0.1, 1.7)),
        ],
        second=vec(0.42, 0.08, 0),
        sheet_width_m=2.7,
        lens_mm=70,
        camera_m=2.3,
    )


def bare() -> Staging:
    """One lamp straight above the camera's line, nothing else."""
    return stage(
        "One lamp",
        low_room(left_m=1.5),
        [Thing("lamp", "key", 1.2, 0, 1.9, (0.6, 0.6), outline="octagon", boom_m=1.0, boom_from_deg=-90)],
        seated=False,
        eye_m=1.6,
        camera_height_m=1.5,
    )


def by_hand() -> list[Staging]:
    """The stagings that were made by hand."""
    return [wide_brim(), two_seated(), bare()]


def shipped_book() -> list[Staging]:
    """Every recipe of the demo book that resolves, in its studio."""
    book = open_book(shipped("recipes"))
    staged = (resolve(loaded.recipe, book.studio, loaded.marks, loaded.slug)[0] for loaded in book.recipes)
    return [staging for staging in staged if staging is not None]


def differing(count: int, seed: int = 20) -> list[Staging]:
    """Stagings that differ in room, sitters, lamps, cards and blockers; always the same for one seed."""
    chance = random.Random(seed)
    return [_any(chance, index) for index in range(count)]


def _any(chance: random.Random, index: int) -> Staging:
    width, length = chance.uniform(2.6, 4.5), chance.uniform(4.0, 6.5)
    left, back = width * chance.uniform(0.35, 0.65), chance.uniform(1.0, 2.0)
    room = Room(
        left_m=-left,
        right_m=width - left,
        front_m=back - length,
        back_m=back,
        height_m=chance.uniform(2.2, 3.2),
        doors=_doors(chance, left, width, back, length),
        corner=chance.choice(
            ["back left corner", "back right corner", "front left corner", "front right corner"]
        ),
    )
    things = [_lamp(chance, "key" if n == 0 else f"lamp {n + 1}") for n in range(chance.randint(1, 3))]
    things += [_panel(chance, "card", f"card {n + 1}") for n in range(chance.randint(0, 3))]
    things += [_panel(chance, "blocker", f"blocker {n + 1}") for n in range(chance.randint(0, 2))]
    second = vec(chance.uniform(0.35, 0.6), chance.uniform(-0.2, 0.3), 0) if chance.random() < 0.25 else None
    seated = chance.random() < 0.6
    eye = chance.uniform(1.1, 1.3) if seated else chance.uniform(1.45, 1.75)
    return stage(
        f"Made {index}",
        room,
        things,
        eye_m=eye,
        head_deg=chance.uniform(-60, 60),
        body_deg=chance.uniform(-40, 40),
        seated=seated,
        camera_m=min(chance.uniform(1.4, 3.5), length - back - 0.3),
        camera_height_m=eye + chance.uniform(-0.2, 0.2),
        lens_mm=chance.choice([50.0, 70.0, 85.0, 105.0]),
        sheet_m=back - 0.25,
        sheet_width_m=min(width - 0.2, chance.choice([1.35, 2.7])),
        brim=chance.random() < 0.4,
        second=second,
    )


def _doors(chance: random.Random, left: float, width: float, back: float, length: float) -> tuple[Door, ...]:
    doors = []
    if chance.random() < 0.8:
        start = back - length + chance.uniform(0.1, length - 1.1)
        doors.append(Door("right wall" if chance.random() < 0.5 else "left wall", start, start + 0.8))
    if chance.random() < 0.3:
        start = -left + chance.uniform(0.1, width - 1.0)
        doors.append(Door("front wall" if chance.random() < 0.5 else "back wall", start, start + 0.75))
    return tuple(doors)


def _lamp(chance: random.Random, name: str) -> Thing:
    across = chance.choice([0.15, 0.6, 0.9, 1.2])
    outline = chance.choice(["rectangle", "ellipse", "octagon"])
    other = across if outline != "rectangle" else chance.choice([across, across / 3])
    return Thing(
        "lamp", name, round(chance.uniform(0.8, 2.2), 2), round(chance.uniform(-120, 120)),
        round(chance.uniform(1.0, 2.1), 2), (across, other), outline=outline,  # type: ignore[arg-type]
        boom_m=chance.choice([0.0, 0.0, 0.8, 1.2]), boom_from_deg=chance.choice([-90, 90, 0, 180]),
        bag_kg=chance.choice([0.0, 5.0, 9.0]),
    )  # fmt: skip


def _panel(chance: random.Random, kind: Kind, name: str) -> Thing:
    surface = "black" if kind == "blocker" else chance.choice(["white", "silver", "gold", "translucent"])
    low = chance.random() < 0.35
    return Thing(
        kind, name, round(chance.uniform(0.4, 1.3), 2), round(chance.uniform(-120, 120)),
        round(chance.uniform(0.7, 0.9) if low else chance.uniform(0.9, 1.4), 2),
        chance.choice([(0.9, 0.6), (1.2, 0.9), (0.8, 1.8), (0.6, 0.9)]), surface,
        aim=vec(0.0, -0.2, 1.9) if low else None, stand=chance.random() < 0.7,
    )  # fmt: skip
