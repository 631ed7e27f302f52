"""Where a sitter and the backdrop are measured, and with which receptor."""

from dataclasses import dataclass
from typing import Literal

from thirdstop.staging.measures import SKIN_TO_RECEPTOR_M
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.sitter import Head, Sitter
from thirdstop.staging.staging import CameraView
from thirdstop.staging.vectors import TO_CAMERA, UP, unit, vec
from thirdstop.typed import Vec

CHEEK_FROM_NOSE_DEG = 60.0
CHEEK_BELOW_MIDDLE_M = 0.035
SHEET_TO_RECEPTOR_M = 0.035
EYE_TO_RECEPTOR_M = 0.01
KEY_POINT = "chin dome"
"""Where the aperture is metered, by whatever receptor the house uses."""

ExposureBy = Literal["dome toward camera", "dome toward lamp", "flat toward lamp"]


@dataclass(frozen=True, eq=False)
class Sheet:
    """The backdrop as it is measured: its plane y, extent across and height."""

    y_m: float
    left_m: float
    right_m: float
    top_m: float


def face_points(sitter: Sitter, prefix: str) -> list[MeasuringPoint]:
    """Cheeks, forehead, eyes, under the chin: flat receptors that turn with the head."""
    head, index = sitter.head, sitter.place.index
    points = []
    # the sitter's right cheek is on the -x side of the head
    for side_deg, word in ((CHEEK_FROM_NOSE_DEG, "left"), (-CHEEK_FROM_NOSE_DEG, "right")):
        skin_m, direction = head.skin_facing(side_deg, -CHEEK_BELOW_MIDDLE_M)
        points.append(_off_skin(f"{prefix}{word} cheek", skin_m, direction, index))
    if sitter.place.hat is None:
        # no meter fits under a brim
        skin_m, direction = head.skin_normal_up(20.0)
        points.append(_off_skin(f"{prefix}forehead", skin_m, direction, index))
    for eye_m, word in zip(sitter.place.eyes_m, ("right", "left"), strict=True):
        place_m = eye_m + EYE_TO_RECEPTOR_M * sitter.place.forward
        points.append(MeasuringPoint(f"{prefix}{word} eye", place_m, sitter.place.forward, "flat", index))
    skin_m, direction = head.skin_normal_up(-45.0)
    points.append(_off_skin(f"{prefix}under chin", skin_m, direction, index))
    return points


def _off_skin(name: str, skin_m: Vec, direction: Vec, sitter: int) -> MeasuringPoint:
    return MeasuringPoint(name, skin_m + SKIN_TO_RECEPTOR_M * direction, direction, "flat", sitter)


def exposure_point(
    sitter: Sitter, camera_m: Vec, key_m: Vec, by: ExposureBy, prefix: str = ""
) -> MeasuringPoint:
    """The meter under the chin, by the house's method."""
    place_m = under_chin_m(sitter.head)
    toward = camera_m if by == "dome toward camera" else key_m
    receptor: Literal["flat", "dome"] = "flat" if by == "flat toward lamp" else "dome"
    name = f"{prefix}{KEY_POINT}"
    return MeasuringPoint(name, place_m, unit(toward - place_m), receptor, sitter.place.index)


def under_chin_m(head: Head) -> Vec:
    """Where the meter is held for the exposure: 3 cm under the chin, 8 cm in front of the head's middle."""
    return head.at(0.0, -0.08, -float(head.semi_axes_m[2]) - 0.03)


def body_points(sitter: Sitter, prefix: str, wanted: set[str]) -> list[MeasuringPoint]:
    """Chest, hands and feet, as the recipe wants them: flat receptors."""
    index = sitter.place.index
    off = SKIN_TO_RECEPTOR_M + 0.02
    points = []
    if "chest" in wanted:
        place_m = sitter.chest_m + off * sitter.chest_direction
        points.append(MeasuringPoint(f"{prefix}chest", place_m, sitter.chest_direction, "flat", index))
    if "hands" in wanted:
        direction = unit(sitter.chest_direction + 0.6 * UP)
        place_m = sitter.hands_m + (off + 0.05) * direction
        points.append(MeasuringPoint(f"{prefix}hands", place_m, direction, "flat", index))
    if "feet" in wanted:
        place_m = sitter.feet_m + vec(0.0, 0.0, 0.10) + 0.08 * sitter.chest_direction
        points.append(MeasuringPoint(f"{prefix}feet", place_m, sitter.chest_direction, "flat", index))
    return points


def backdrop_points(camera: CameraView, nose_m: Vec, sheet: Sheet) -> list[MeasuringPoint]:
    """On the sheet behind the head and where the frame's edges meet it (or its own edges), facing out."""
    lens_m = camera.lens_m
    y_m = sheet.y_m - SHEET_TO_RECEPTOR_M
    # the line lens → nose, carried on to the sheet
    through = lens_m + (nose_m - lens_m) * ((y_m - lens_m[1]) / (nose_m[1] - lens_m[1]))
    height_m = float(min(max(through[2], 0.10), sheet.top_m - 0.10))
    half_m = camera.tan_half_across * float(y_m - lens_m[1]) - 0.03
    names_x = (
        ("backdrop behind head", float(through[0])),
        ("backdrop left edge", max(float(lens_m[0]) - half_m, sheet.left_m + 0.03)),
        ("backdrop right edge", min(float(lens_m[0]) + half_m, sheet.right_m - 0.03)),
    )
    return [MeasuringPoint(name, vec(x_m, y_m, height_m), TO_CAMERA, "flat") for name, x_m in names_x]
