"""What in a scene has no size, no place or no direction: named before it becomes a number that is none."""

from collections import Counter
from collections.abc import Iterator

import numpy as np

from thirdstop.staging.shapes import Ellipsoid, Emitter, Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

SMALLEST_M = 1e-4
"""A face or a body narrower than this is a slip of the pen, not a thing."""
_SQUARE = 1e-6


def refuse(scene: Scene) -> None:
    """Raises ValueError that names everything degenerate in the scene, all at once."""
    found = list(degenerate(scene))
    if found:
        raise ValueError("; ".join(found))


def degenerate(scene: Scene) -> Iterator[str]:
    """Each thing that the engine can't compute with, in words."""
    faces: list[Panel | Emitter] = [*scene.panels, *scene.emitters]
    for face in faces:
        yield from _face(face)
    for solid in scene.solids:
        yield from _solid(solid)
    for emitter in scene.emitters:
        if not np.isfinite(emitter.luminance_cd_s_m2) or emitter.luminance_cd_s_m2 < 0:
            yield f"'{emitter.name}' has no luminance: {emitter.luminance_cd_s_m2}"
    for point in scene.points:
        if not np.isfinite(point.place_m).all():
            yield f"the measuring point '{point.name}' has no place"
        if not abs(_length(point.direction) - 1.0) < _SQUARE:
            yield f"the measuring point '{point.name}' has no direction of length 1"
    for kind, names in (("lamps", scene.emitters), ("measuring points", scene.points)):
        for name, count in Counter(one.name for one in names).items():
            if count > 1:
                yield f"{count} {kind} are called '{name}'"


def _face(face: Panel | Emitter) -> Iterator[str]:
    lengths = _length(face.half_u_m), _length(face.half_v_m)
    if not np.isfinite(face.centre_m).all():
        yield f"'{face.name}' has no place"
    if not all(2 * length >= SMALLEST_M for length in lengths):
        yield f"'{face.name}' has no size: {2 * lengths[0]:.4f} × {2 * lengths[1]:.4f} m"
    elif abs(float(face.half_u_m @ face.half_v_m)) > _SQUARE * lengths[0] * lengths[1]:
        yield f"the edges of '{face.name}' are not square to each other"


def _solid(solid: Ellipsoid) -> Iterator[str]:
    if not np.isfinite(solid.centre_m).all():
        yield f"'{solid.name}' has no place"
    if not (2 * solid.semi_axes_m >= SMALLEST_M).all():
        yield f"'{solid.name}' has no size"
    if not np.allclose(solid.axes @ solid.axes.T, np.eye(3), atol=_SQUARE):
        yield f"the axes of '{solid.name}' are not square to each other"


def _length(vector: Array) -> float:
    """Length, NaN where a part of it is no number."""
    return float(np.linalg.norm(vector))
