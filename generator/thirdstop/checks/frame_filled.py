"""Whether the backdrop fills the picture behind everything else."""

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.places import main_sheet, sheets
from thirdstop.checks.polygons import HalfSpace, area_m2, outer_outline, without
from thirdstop.checks.view import SIDES, in_front, to_view
from thirdstop.checks.wording import ceil_cm, clearance, floor_cm, length, needed, percent
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import CameraView, Staging
from thirdstop.typed import Array

WANTED_M = 0.05
"""How far the sheet should reach past the edge of the picture."""
_MOST_M = 3.0
_STEPS = 20
_NOTHING = 1e-9


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding: how far the sheet reaches past the picture's edges, or what it leaves bare."""
    sheet = main_sheet(staging)
    if sheet is None:
        text = "The back wall itself is the backdrop; its edges are the room's, 0 cm beyond them."
        return [Finding("frame-filled", "pass", "backdrop", text)]
    depth_m = float(to_view(staging.camera, sheet.centre_m[None, :])[0, 2])
    bare = bare_pieces(staging, staging.camera.tan_half_across, staging.camera.tan_half_upright)
    if bare:
        return [_bare(staging, bare, depth_m)]
    covers = _covers(staging)
    over = [_reach_past_m(staging.camera, covers, side, depth_m) for side in range(4)]
    least = int(np.argmin(over))
    spare = floor_cm(over[least] - WANTED_M)
    text = (
        f"The backdrop reaches {clearance(over[least])} past the {SIDES[least]} edge of the picture at its "
        f"own depth, its least; {length(WANTED_M)} is wanted."
    )
    if spare >= 0:
        return [Finding("frame-filled", "pass", "backdrop", text, "", spare, WANTED_M, "m")]
    remedy = f"{_MORE[least]} {needed(WANTED_M - over[least])}, or frame tighter."
    return [Finding("frame-filled", "look", "backdrop", text, remedy, spare, WANTED_M, "m")]


_MORE = (
    "Move the sheet to camera-left by",
    "Move the sheet to camera-right by",
    "Let the sheet down, or sweep it over the floor, by",
    "Hang the sheet higher by",
)


def bare_pieces(staging: Staging, across: float, upright: float) -> list[Array]:
    """What of a picture with these half-fields (as tangents) shows no backdrop, as pieces of shape (n, 2).

    Coordinates are tangents to camera-right and up. Every backdrop panel is taken out of the picture's
    rectangle; the pieces are convex and don't overlap.
    """
    return _left_bare(_covers(staging), (-across, across, -upright, upright))


def _covers(staging: Staging) -> list[list[HalfSpace]]:
    """What each backdrop panel covers of the picture, as the half-planes about it."""
    seen = (_as_seen(staging.camera, panel) for panel in sheets(staging))
    return [_edges(cover) for cover in seen if len(cover) > 2]


def _left_bare(covers: list[list[HalfSpace]], window: tuple[float, float, float, float]) -> list[Array]:
    left, right, bottom, top = window
    frame = np.array([(left, bottom, 0), (right, bottom, 0), (right, top, 0), (left, top, 0)], dtype=float)
    pieces = [frame]
    for cover in covers:
        pieces = without(pieces, cover)
    return [piece[:, :2] for piece in pieces if area_m2(piece[:, :2]) > _NOTHING]


def _as_seen(camera: CameraView, panel: Panel) -> Array:
    """A panel's outline in tangents, shape (n, 2)."""
    outline = outer_outline(panel.outline, panel.centre_m, panel.half_u_m, panel.half_v_m)
    view = in_front(to_view(camera, outline))
    return np.asarray(view[:, :2] / view[:, 2:])


def _edges(cover: Array) -> list[HalfSpace]:
    """The half-planes whose common part is a convex polygon of shape (n, 2)."""
    middle = cover.mean(axis=0)
    found = []
    for k in range(len(cover)):
        along = cover[k] - cover[k - 1]
        normal = np.array([along[1], -along[0], 0.0])
        if float(np.abs(normal).max()) < 1e-12:
            continue
        edge = HalfSpace(normal, float(normal[:2] @ cover[k]))
        found.append(edge if float(normal[:2] @ middle) <= edge.offset else edge.flipped())
    return found


def _reach_past_m(camera: CameraView, covers: list[list[HalfSpace]], side: int, depth_m: float) -> float:
    """How far that edge of the picture could go out, at the sheet's depth, with everything still covered."""
    window = np.array(
        [-camera.tan_half_across, camera.tan_half_across, -camera.tan_half_upright, camera.tan_half_upright]
    )
    sign = (-1.0, 1.0, -1.0, 1.0)[side]
    low, high = 0.0, _MOST_M
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        grown = window.copy()
        grown[side] += sign * middle / depth_m
        if _left_bare(covers, (grown[0], grown[1], grown[2], grown[3])):
            high = middle
        else:
            low = middle
    return low


def _bare(staging: Staging, bare: list[Array], depth_m: float) -> Finding:
    camera = staging.camera
    lacks = np.array([_inward(camera, piece) for piece in bare]) * depth_m
    # each bare piece belongs to the edge that it reaches in from least
    sides = lacks.argmin(axis=1)
    worst = int(np.argmax(lacks.min(axis=1)))
    side, lack_m = int(sides[worst]), float(lacks[worst, sides[worst]])
    whole = 4 * camera.tan_half_across * camera.tan_half_upright
    share = sum(area_m2(piece) for piece in bare) / whole
    said = percent(share) if share >= 0.005 else "under 1 %"
    text = (
        f"The backdrop leaves {said} of the picture bare, up to {needed(lack_m)} in from the "
        f"{SIDES[side]} edge at its own depth; it should reach {length(WANTED_M)} past every edge."
    )
    remedy = f"{_MORE[side]} {needed(lack_m + WANTED_M)}, use a larger sheet, or frame tighter."
    margin = -ceil_cm(lack_m + WANTED_M)
    return Finding("frame-filled", "look", "backdrop", text, remedy, margin, WANTED_M, "m")


def _inward(camera: CameraView, piece: Array) -> list[float]:
    """How far a piece reaches in from each of SIDES, as tangents."""
    across, upright = camera.tan_half_across, camera.tan_half_upright
    low, high = piece.min(axis=0), piece.max(axis=0)
    return [
        float(across + high[0]),
        float(across - low[0]),
        float(upright + high[1]),
        float(upright - low[1]),
    ]


CHECK = Check(
    "frame-filled",
    "Backdrop fills the picture",
    run,
    "The rectangle of the picture, less every backdrop panel as the lens sees it (the sheet, and its sweep "
    "over the floor): nothing may be left, and each edge should have 5 cm to spare at the sheet's depth. The "
    "cut is exact. Sheets that sag or curl, and a floor that is meant to show, are the photographer's to "
    "judge.",
)
