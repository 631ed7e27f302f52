"""Faces that shine or show bright: lamps, and cards that return light; where their edges are."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from thirdstop.exposure.emission import face_samples, relative_luminance
from thirdstop.staging.materials import Translucent
from thirdstop.staging.shapes import Emitter, Outline, Panel, outline_points
from thirdstop.staging.staging import Staging
from thirdstop.typed import Array, Vec

BRIGHT = 0.30
"""A card's side that returns or passes more than this share of the light shows as a bright shape."""
_EDGE_POINTS = 96


@dataclass(frozen=True, eq=False)
class Source:
    """Something that can be seen as a bright shape."""

    name: str
    kind: Literal["lamp", "card"]
    face: Emitter | Panel

    @property
    def outline(self) -> Outline:
        """Of the face."""
        return self.face.outline

    @property
    def glows(self) -> bool:
        """Whether it may be lit from behind: a translucent card."""
        return isinstance(self.face, Panel) and isinstance(self.face.front, Translucent)


def sources(staging: Staging) -> list[Source]:
    """Every lamp, then every card."""
    lamps = [Source(lamp.name, "lamp", lamp) for lamp in staging.scene.emitters]
    cards = [Source(panel.name, "card", panel) for panel in staging.scene.panels if panel.role == "card"]
    return lamps + cards


def edge_m(face: Emitter | Panel) -> Array:
    """Places along a face's edge, shape (n, 3), corners among them."""
    if face.outline == "ellipse":
        return outline_points(face.outline, face.centre_m, face.half_u_m, face.half_v_m, _EDGE_POINTS)
    corners = face.corners_m
    per_edge = _EDGE_POINTS // len(corners)
    steps = np.arange(per_edge) / per_edge
    # axes: corner, step, xyz
    onward = np.roll(corners, -1, axis=0) - corners
    return np.asarray((corners[:, None, :] + steps[None, :, None] * onward[:, None, :]).reshape(-1, 3))


def spread_m(face: Emitter | Panel, count: int) -> Array:
    """Places evenly spread over a face, shape (≤ count, 3); each stands for an equal area."""
    uv = face_samples(face.outline, count)
    return face.centre_m + uv[:, :1] * face.half_u_m + uv[:, 1:] * face.half_v_m


def brightness(source: Source, seen_from_m: Vec) -> float:
    """How bright a source looks from a place: relative luminance of a lamp, the share returned by a card."""
    toward = seen_from_m - source.face.centre_m
    cosine = float(source.face.normal @ toward) / max(float(np.linalg.norm(toward)), 1e-9)
    if isinstance(source.face, Emitter):
        return float(relative_luminance(source.face.emission, np.array(cosine)))
    material = source.face.front if cosine > 0 else source.face.back
    passed = material.transmittance if isinstance(material, Translucent) else 0.0
    return max(material.reflectance, passed)


def shows(source: Source, seen_from_m: Vec) -> bool:
    """Whether a source looks bright from a place, as far as its own face goes."""
    return brightness(source, seen_from_m) > (0.0 if source.kind == "lamp" else BRIGHT)
