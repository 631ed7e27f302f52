"""The things of a staging as lines of a view: sitters, faces with their surfaces, bodies, stands, camera.

Nothing is covered by anything else: what lies over another thing is drawn see-through.
"""

from functools import lru_cache
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.drawings.geometry import (
    View,
    hatch,
    hull,
    inside_convex,
    outside_convex,
    silhouette,
)
from thirdstop.drawings.outlines import union_outline
from thirdstop.drawings.sheet import Sheet
from thirdstop.staging.legs import feet_m
from thirdstop.staging.materials import Material, Metallised, Translucent
from thirdstop.staging.shapes import Panel, outline_points
from thirdstop.staging.staging import CameraView, Item, Room, SitterPlace, Staging, Support
from thirdstop.typed import Array, Vec

Surface: TypeAlias = Literal["white", "silver", "gold", "black", "translucent", "net"]

EDGE_ON_MM = 0.9
"""A face that projects narrower than this is drawn as its edge."""
EDGE_GAP_MM = 0.75
"""Between the thick edge of the returning side and the thin one behind it."""
BLACK_BELOW = 0.12
"""A matte surface under this reflectance is drawn as black."""
HATCH_PITCH_MM = 1.6
ON_PLANE_M = 0.02
"""A face that reaches nearer to the drawing's plane is taken to be cut by it."""
GAP_M = 0.16
"""Gaps of a sitter's outline smaller than this are not drawn."""
COLUMN_RADIUS_MM = 0.7
BAG_M = (0.30, 0.14)
"""Nominal outline of a bag on a column; only its mass is known."""


def surface_of(item: Item, panels: tuple[Panel, ...], front: bool) -> Surface:
    """What one side of a card, blocker or sheet is, for its hatching: by its material, else by its words."""
    for panel in panels:
        if panel.name == item.name:
            if panel.role == "net" or panel.straight > 0:
                return "net"
            return _of_material(panel.front if front else panel.back)
    words = (item.surface if front or item.back_surface is None else item.back_surface) or ""
    for surface in ("silver", "gold", "black", "translucent", "net"):
        if surface in words.lower():
            return surface
    return "black" if item.kind == "blocker" else "white"


def is_black(item: Item, staging: Staging) -> bool:
    """Whether a card or blocker is black on both sides, so that it is filled whichever is seen."""
    if item.kind not in ("card", "blocker"):
        return False
    return all(surface_of(item, staging.scene.panels, front) == "black" for front in (True, False))


def _of_material(material: Material) -> Surface:
    if isinstance(material, Metallised):
        return "gold" if material.shift_mired > 0 else "silver"
    if isinstance(material, Translucent):
        return "translucent"
    return "black" if material.reflectance < BLACK_BELOW else "white"


def face_points(item: Item) -> Array:
    """The edge of an item's face, (n, 3) metres."""
    return outline_points(item.outline, item.centre_m, item.half_u_m, item.half_v_m)


def item_points(item: Item) -> Array:
    """All corners of an item, face and body, (n, 3) metres."""
    return np.concatenate([face_points(item), *item.body])


Depth: TypeAlias = Literal["", "front", "behind"]
"""Where a thing lies that the drawing's own plane doesn't cut: before it, as seen, or behind it."""


def draw_item(sheet: Sheet, view: View, item: Item, staging: Staging, depth: Depth = "") -> None:
    """One numbered thing that is neither sitter nor camera: its body and its face.

    A black face that lies before the drawing's plane or behind it is see-through, so that it doesn't seem to
    stand between what is drawn in that plane; dashed where it lies behind.
    """
    if item.body:
        for line in union_outline([view.project(part) for part in item.body]):
            sheet.line("thin", line)
    if item.kind == "lamp":
        _lamp_face(sheet, view, item)
    else:
        _sheet_face(sheet, view, item, staging.scene.panels, depth)


def depth_of(view: View, item: Item) -> Depth:
    """Whether a face lies wholly before the plane through M that the view looks at, or wholly behind it."""
    depths = face_points(item) @ view.toward
    if depths.min() > ON_PLANE_M:
        return "front"
    return "behind" if depths.max() < -ON_PLANE_M else ""


def _lamp_face(sheet: Sheet, view: View, item: Item) -> None:
    outline = hull(view.project(face_points(item)))
    if len(outline) > 1:
        sheet.line("thick", outline, close=len(outline) > 2)


def _sheet_face(sheet: Sheet, view: View, item: Item, panels: tuple[Panel, ...], off: Depth) -> None:
    corners = view.project(face_points(item))
    looks = view.direction(item.normal)
    seen_front = float(item.normal @ view.toward) > 0
    depth = float(np.ptp(corners @ _unit(looks))) if np.linalg.norm(looks) > 1e-6 else np.inf
    front, back = surface_of(item, panels, True), surface_of(item, panels, False)
    if depth < EDGE_ON_MM:
        _edge_on(sheet, corners, _unit(looks), front, back, off)
        return
    polygon = hull(corners)
    surface = front if seen_front else back
    if surface == "black":
        sheet.area("overlaid" if off or _overlaid(sheet, polygon) else "black", polygon)
    _outline(sheet, polygon, surface, off)
    for angle_deg in {"silver": (45.0,), "gold": (45.0, 135.0), "net": (45.0, 135.0)}.get(surface, ()):
        for line in hatch(polygon, angle_deg, HATCH_PITCH_MM * (2 if surface == "net" else 1)):
            sheet.line("hatch", line)
    if front not in ("translucent", "net", "black"):
        _thick_edge(sheet, polygon, looks)


def _outline(sheet: Sheet, polygon: Array, surface: Surface, off: Depth) -> None:
    dashed = surface in ("translucent", "net") or (surface == "black" and off == "behind")
    sheet.line("hidden" if dashed else "thin", polygon, close=True)


def _edge_on(sheet: Sheet, corners: Array, looks: Vec, front: Surface, back: Surface, off: Depth) -> None:
    """A face seen along itself: thick on the returning side, thin behind; black as a solid bar, off the
    drawing's plane as a see-through one.
    """
    along = np.array([-looks[1], looks[0]])
    middle = corners.mean(axis=0)
    reach = (corners - middle) @ along
    ends = middle + np.outer([reach.min(), reach.max()], along)
    if front in ("translucent", "net"):
        sheet.line("hidden", ends)
        return
    behind = ends - looks * EDGE_GAP_MM
    bar = np.concatenate([ends, behind[::-1]])
    if front == "black" and back == "black":
        if off:
            sheet.area("overlaid", bar)
            sheet.line("hidden" if off == "behind" else "thin", bar, close=True)
            return
        sheet.area("black", bar)
    sheet.line("thick", ends)
    sheet.line("thick" if back == "black" else "thin", behind)


def _thick_edge(sheet: Sheet, polygon: Array, looks: Vec) -> None:
    """Thicken the edges of a tilted card on the side to which its returning side looks."""
    turning = _turning(polygon)
    for start, end in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        along = end - start
        outward = np.array([along[1], -along[0]]) * turning
        if np.linalg.norm(looks) < 0.05 or outward @ looks > 0.7 * np.linalg.norm(along) * np.linalg.norm(
            looks
        ):
            sheet.line("thick", np.stack([start, end]))


def _turning(polygon: Array) -> float:
    x, y = polygon[:, 0], polygon[:, 1]
    return float(np.sign(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def _overlaid(sheet: Sheet, polygon: Array) -> bool:
    """Whether something already drawn lies under or over this ground."""
    return any(
        bool(inside_convex(points, polygon).any())
        for style, points, _ in sheet.strokes
        if style in ("thin", "thick", "hidden")
    )


def _unit(vector: Vec) -> Vec:
    return vector / max(float(np.linalg.norm(vector)), 1e-12)


def draw_support(sheet: Sheet, view: View, support: Support, room: Room) -> None:
    """A stand: column, three legs as they must point, a boom with its rear end, a bag."""
    from_above = abs(float(view.toward[2])) > 0.5
    base, top, load = (view.point(p) for p in (support.base_m, support.column_top_m, support.load_m))
    for foot in _feet_m(support, room):
        hub = support.base_m + np.array([0.0, 0.0, 0.0 if from_above else 0.6 * support.leg_reach_m])
        sheet.line("thin", view.project(np.stack([hub, foot])))
    sheet.dot(float(base[0]), float(base[1]), COLUMN_RADIUS_MM if from_above else 0.0)
    overhead = "hidden" if from_above else "thin"
    if not from_above:
        sheet.line("thin", np.stack([base, top]))
    if np.linalg.norm(load - top) > 0.3:
        rear = view.point(_boom_rear_m(support)) if support.boom else top
        sheet.line(overhead, np.stack([rear, load]))
    if support.bag_mass_kg > 0:
        sheet.line("thin", view.project(_bag_m(support, room, from_above)), close=True)


@lru_cache(maxsize=64)
def _feet_m(support: Support, room: Room) -> Array:
    """Where the legs end; remembered, as every sheet of a set-up asks for the same few stands."""
    feet = feet_m(support, room)
    feet.flags.writeable = False  # shared by everyone who asks
    return feet


def support_points(support: Support, room: Room) -> Array:
    """Ends of what holds a thing up: feet, base, top of the column, both ends of a boom; (n, 3) metres."""
    ends = [support.base_m, support.column_top_m, support.load_m]
    if support.boom:
        ends.append(_boom_rear_m(support))
    return np.concatenate([np.stack(ends), _feet_m(support, room)])


def _boom_rear_m(support: Support) -> Vec:
    """The rear end of a boom, (3,) metres."""
    rear: Vec = support.column_top_m - _unit(support.load_m - support.column_top_m) * support.boom_rear_m
    return rear


def _bag_m(support: Support, room: Room, from_above: bool) -> Array:
    """The bag as a rectangle on column or leg, (4, 3) metres: across the load's side, or hanging upright."""
    lean = support.load_m - support.base_m
    way = _unit(np.array([lean[0], lean[1], 0.0])) if np.hypot(*lean[:2]) > 0.02 else np.array([0.0, -1, 0])
    across = np.array([-way[1], way[0], 0.0])
    if from_above:
        long, short, middle = across, way, support.base_m
    else:
        long, short, middle = np.array([0.0, 0.0, 1.0]), across, support.base_m + np.array([0.0, 0.0, 0.32])
        if abs(float(across @ np.array([1.0, 1.0, 0.0]))) < 1e-9:
            short = way
    if support.bag_on == "leg":
        middle = middle + (_feet_m(support, room)[0] - support.base_m) / 2
    signs = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)]) / 2 * np.array(BAG_M)
    corners: Array = middle + signs[:, :1] * long + signs[:, 1:] * short
    return corners


def draw_sitter(sheet: Sheet, view: View, sitter: SitterPlace, staging: Staging) -> None:
    """A sitter: the body's outline, the head over it, the nose; seat thin, brim dashed."""
    solids = [solid for solid in staging.scene.solids if solid.sitter == sitter.index]
    head = [silhouette(s, view) for s in solids if s.part in ("head", "hair", "crown")]
    body = [silhouette(s, view) for s in solids if s.part not in ("head", "hair", "crown", "object")]
    for line in union_outline(body, least_mm=GAP_M * view.mm_per_m):
        for piece in outside_convex(line, head):
            sheet.line("thin", piece)
    for line in union_outline(head):
        sheet.line("thick", line)
    for held in (silhouette(s, view) for s in solids if s.part == "object"):
        sheet.line("thin", held, close=True)
    sheet.line("thin", _nose(sitter, view))


def _nose(sitter: SitterPlace, view: View) -> Array:
    """The nose as a wedge that ends at its tip, (3, 2) mm: across from above, upright from the side."""
    from_above = abs(float(view.toward[2])) > 0.5
    beside = 0.018 * sitter.sitter_right if from_above else 0.024 * sitter.up
    root = sitter.nose_m - 0.035 * sitter.forward + (0.0 if from_above else 0.016) * sitter.up
    return view.project(np.stack([root - beside, sitter.nose_m, root + beside]))


def draw_worn_and_seats(sheet: Sheet, view: View, staging: Staging) -> None:
    """Brims (dashed, each sitter's as one outline) and seats (thin)."""
    panels = staging.scene.panels
    for brim in _by_sitter([p for p in panels if p.role == "brim"], staging.sitters):
        outline = hull(view.project(np.concatenate([panel.corners_m for panel in brim])))
        sheet.line("hidden", outline, close=True)
    for seat in (panel for panel in panels if panel.role == "seat"):
        sheet.line("hidden", hull(view.project(seat.corners_m)), close=True)


def _by_sitter(panels: list[Panel], sitters: tuple[SitterPlace, ...]) -> list[list[Panel]]:
    groups: list[list[Panel]] = [[] for _ in sitters]
    for panel in panels:
        distances = [float(np.linalg.norm(panel.centre_m - s.head_centre_m)) for s in sitters]
        groups[int(np.argmin(distances))].append(panel)
    return [group for group in groups if group]


def camera_item(staging: Staging) -> Item | None:
    """The camera among the numbered things."""
    return next((item for item in staging.items if item.kind == "camera"), None)


def draw_camera(sheet: Sheet, view: View, staging: Staging) -> None:
    """The camera's body and lens at their true size."""
    item = camera_item(staging)
    parts = item.body if item is not None and item.body else camera_parts(staging.camera, item)
    for line in union_outline([view.project(part) for part in parts]):
        sheet.line("thick", line)


BODY_DEPTH_M = (0.035, 0.03)
"""Of a camera's body: behind and before the focal-plane mark; nominal."""
LENS_M = (0.035, 0.05)
"""Radius of a lens, and how far its front lies beyond the focal length from the focal plane; nominal."""


def camera_parts(camera: CameraView, item: Item | None) -> tuple[Array, ...]:
    """The camera's body and lens as the corners of two boxes, each (8, 3) metres.

    The face of the camera's item gives the body's breadth and height.
    """
    half_across, half_up = (0.07, 0.05)
    if item is not None:
        half_across, half_up = (float(np.linalg.norm(half)) for half in (item.half_u_m, item.half_v_m))
    behind, before = BODY_DEPTH_M
    radius, beyond = LENS_M
    body = _box(camera, half_across, half_up, -behind, before)
    lens = _box(camera, radius, radius, before, camera.focal_length_m + beyond)
    return body, lens


def _box(camera: CameraView, across_m: float, up_m: float, start_m: float, end_m: float) -> Array:
    """Corners of a box along the camera's axis, (8, 3) metres; their hull is its outline in any view."""
    signs = [(x, z, y) for y in (start_m, end_m) for x in (-across_m, across_m) for z in (-up_m, up_m)]
    return np.stack(
        [camera.focal_plane_m + x * camera.right + z * camera.up + y * camera.forward for x, z, y in signs]
    )


def pupil_m(camera: CameraView) -> Vec:
    """Where the field opens, (3,) metres: half the sensor over the half field's tangent before the sensor."""
    image_distance_m = camera.sensor_across_m / 2 / camera.tan_half_across
    return camera.focal_plane_m + image_distance_m * camera.forward


def field_m(staging: Staging, across: bool) -> Array:
    """The camera's field as a triangle, (3, 3) metres: pupil, then both edges at the backdrop or back wall.

    `across` takes the edges along the picture's width, else along its height.
    """
    camera = staging.camera
    side, tangent = (camera.right, camera.tan_half_across) if across else (camera.up, camera.tan_half_upright)
    pupil = pupil_m(camera)
    depth = _depth_m(staging, pupil)
    edges = [pupil + depth * (camera.forward + sign * tangent * side) for sign in (-1.0, 1.0)]
    return np.stack([pupil, *edges])


def _depth_m(staging: Staging, pupil: Vec) -> float:
    """How far the field is drawn along the axis: to the nearest upright sheet ahead, else the back wall."""
    forward = staging.camera.forward
    depths = [(staging.room.back_m - float(pupil[1])) / max(float(forward[1]), 0.05)]
    for item in staging.items:
        if item.kind == "backdrop":
            facing = float(item.normal @ forward)
            if abs(facing) > 0.1:
                depths.append(float(item.normal @ (item.centre_m - pupil)) / facing)
    return min(depth for depth in depths if depth > 0)
