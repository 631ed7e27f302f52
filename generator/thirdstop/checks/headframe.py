"""Directions as a sitter's head has them: from the nose line, up and to the sitter's right."""

from dataclasses import dataclass

import numpy as np

from thirdstop.staging.shapes import Ellipsoid
from thirdstop.staging.staging import SitterPlace
from thirdstop.staging.vectors import unit
from thirdstop.typed import Array, Vec

EYES = ("right eye", "left eye")
"""As `SitterPlace.eyes_m` has them: the sitter's own right, then left."""


@dataclass(frozen=True)
class FromNose:
    """A direction from the nose line, in degrees."""

    azimuth_deg: float
    """Around the crown axis: 0 along the nose line, positive to the sitter's right, from −180 to 180."""
    elevation_deg: float
    """Above the plane of nose line and ears."""


def in_head(sitter: SitterPlace, directions: Array) -> Array:
    """Components of directions along the nose line, to the sitter's right and the crown, shape (..., 3)."""
    return np.asarray(directions @ np.stack([sitter.forward, sitter.sitter_right, sitter.up], axis=1))


def from_nose(sitter: SitterPlace, place_m: Vec) -> FromNose:
    """The direction from the nose tip to a place."""
    ahead, right, up = in_head(sitter, place_m - sitter.nose_m)
    return FromNose(
        float(np.degrees(np.arctan2(right, ahead))),
        float(np.degrees(np.arctan2(up, np.hypot(ahead, right)))),
    )


def to_camera(sitter: SitterPlace, lens_m: Vec) -> Vec:
    """Unit direction from between the eyes to the lens."""
    return unit(lens_m - sitter.eyes_m.mean(axis=0))


def own_face(sitter: SitterPlace, solids: tuple[Ellipsoid, ...]) -> set[str]:
    """Names of the solids that a pupil lies on or in: this sitter's own head, hair and the hat's crown."""
    parts = ("head", "hair", "crown")
    return {solid.name for solid in solids if solid.sitter == sitter.index and solid.part in parts}
