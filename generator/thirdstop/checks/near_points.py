"""Whether a meter would be held too near to a panel."""

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.polygons import distance_m, outer_outline
from thirdstop.checks.wording import clearance, floor_cm, length
from thirdstop.constants import NEAREST_PANEL_M
from thirdstop.exposure.readings import Readings
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import Staging

_FAR_M = 0.30
"""Faces that are surely farther than this from a point are not measured."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding for each measuring point under the limit, or one pass with the least gap."""
    faces: list[Panel | Emitter] = [*staging.scene.panels, *staging.scene.emitters]
    points = staging.scene.points
    # no place of a face is farther from its middle than both half-edges together
    gaps = [
        (_gap_m(point, face), point.name, face.name)
        for point in points
        for face in faces
        if _least_m(point, face) < _FAR_M
    ]
    near = [gap for gap in gaps if gap[0] < NEAREST_PANEL_M]
    if near:
        worn = {panel.name for panel in staging.scene.panels if panel.role == "brim"}
        return [_too_near(*gap, gap[2] in worn) for gap in near]
    if not gaps:
        text = f"Every measuring point is {length(_FAR_M)} or more from every panel; 3 cm is the least."
        margin = _FAR_M - NEAREST_PANEL_M
        return [Finding("near-points", "pass", "recipe", text, "", margin, NEAREST_PANEL_M, "m")]
    gap_m, point, face = min(gaps)
    text = (
        f"The nearest panel to a measuring point is '{face}', {clearance(gap_m)} from '{point}'; "
        f"{length(NEAREST_PANEL_M)} is the least."
    )
    margin = floor_cm(gap_m - NEAREST_PANEL_M)
    return [Finding("near-points", "pass", "recipe", text, "", margin, NEAREST_PANEL_M, "m")]


def _least_m(point: MeasuringPoint, face: Panel | Emitter) -> float:
    """A distance that the gap is not under."""
    off = abs(float((point.place_m - face.centre_m) @ face.normal))
    half = float(np.hypot(np.linalg.norm(face.half_u_m), np.linalg.norm(face.half_v_m)))
    return max(off, float(np.linalg.norm(point.place_m - face.centre_m)) - half)


def _gap_m(point: MeasuringPoint, face: Panel | Emitter) -> float:
    outline = outer_outline(face.outline, face.centre_m, face.half_u_m, face.half_v_m)
    return distance_m(outline, point.place_m)


def _too_near(gap_m: float, point: str, face: str, worn: bool) -> Finding:
    text = (
        f"The measuring point '{point}' is {clearance(gap_m)} from '{face}'; {length(NEAREST_PANEL_M)} is "
        "the least at which a reading is computed."
    )
    remedy = f"Move '{face}' {length(NEAREST_PANEL_M)} clear of the point, or measure another point."
    if worn:
        remedy = "No meter fits under the hat there: don't go by this point; measure the cheeks and the chin."
    margin = floor_cm(gap_m - NEAREST_PANEL_M)
    return Finding("near-points", "look", point, text, remedy, margin, NEAREST_PANEL_M, "m")


CHECK = Check(
    "near-points",
    "Room for the meter",
    run,
    "Every measuring point must be 3 cm or more from every panel and lamp face: the engine is not tested in "
    "a narrower gap, and no meter fits there. The distance is exact, to the face or its edge.",
)
