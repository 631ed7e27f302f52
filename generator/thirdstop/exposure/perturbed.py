"""Scenes with one thing moved, turned or changed: what the bands are made of.

All work on the scene alone and return a new one; names say which panels, emitters or sitters are meant.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import numpy as np

from thirdstop.staging.materials import Material, Matte, Metallised, Translucent
from thirdstop.staging.shapes import Beam, Emission, Emitter, Gridded, Panel
from thirdstop.staging.staging import Scene
from thirdstop.staging.vectors import UP, unit
from thirdstop.typed import Array, Vec

Face = TypeVar("Face", Panel, Emitter)


def moved(scene: Scene, name: str, by_m: Vec) -> Scene:
    """The panels or emitters of this name, shifted."""
    return _faces(scene, name, lambda face: _shifted(face, by_m), lambda face: _shifted(face, by_m))


def turned(scene: Scene, name: str, axis: Vec, angle_deg: float) -> Scene:
    """The panels or emitters of this name, turned together about their common middle."""
    faces: list[Panel | Emitter] = [p for p in scene.panels if p.name == name]
    faces += [e for e in scene.emitters if e.name == name]
    if not faces:
        raise KeyError(f"the scene has no face '{name}'")
    about = np.mean([face.centre_m for face in faces], axis=0)
    spin = rotation(axis, angle_deg)
    return _faces(scene, name, lambda f: _spun(f, spin, about), lambda f: _spun(f, spin, about))


def sitter_moved(scene: Scene, sitter: int, by_m: Vec) -> Scene:
    """A sitter's solids and measuring points, shifted; what the sitter wears goes along (brims)."""
    solids = tuple(replace(s, centre_m=s.centre_m + by_m) if s.sitter == sitter else s for s in scene.solids)
    points = tuple(replace(p, place_m=p.place_m + by_m) if p.sitter == sitter else p for p in scene.points)
    panels = tuple(
        _shifted(p, by_m) if p.role == "brim" and _worn_by(scene, p, sitter) else p for p in scene.panels
    )
    return replace(scene, solids=solids, points=points, panels=panels)


def sitter_turned(scene: Scene, sitter: int, angle_deg: float) -> Scene:
    """A sitter with points and brim, turned about the vertical through the head."""
    heads = [s.centre_m for s in scene.solids if s.sitter == sitter and s.part == "head"]
    about = heads[0] if heads else np.mean([s.centre_m for s in scene.solids if s.sitter == sitter], axis=0)
    spin = rotation(UP, angle_deg)
    solids = tuple(
        replace(s, centre_m=about + spin @ (s.centre_m - about), axes=spin @ s.axes)
        if s.sitter == sitter
        else s
        for s in scene.solids
    )
    points = tuple(
        replace(p, place_m=about + spin @ (p.place_m - about), direction=spin @ p.direction)
        if p.sitter == sitter
        else p
        for p in scene.points
    )
    panels = tuple(
        _spun(p, spin, about) if p.role == "brim" and _worn_by(scene, p, sitter) else p for p in scene.panels
    )
    return replace(scene, solids=solids, points=points, panels=panels)


def _worn_by(scene: Scene, brim: Panel, sitter: int) -> bool:
    """Whether the head nearest to a brim is this sitter's."""
    heads = [s for s in scene.solids if s.part == "head"]
    nearest = min(heads, key=lambda s: float(np.linalg.norm(s.centre_m - brim.centre_m)), default=None)
    return nearest is not None and nearest.sitter == sitter


def reflectance_scaled(scene: Scene, chosen: Callable[[Panel], bool], factor: float) -> Scene:
    """Chosen panels' reflectances times a factor, kept below 1."""
    panels = tuple(
        replace(p, front=scaled(p.front, factor), back=scaled(p.back, factor)) if chosen(p) else p
        for p in scene.panels
    )
    return replace(scene, panels=panels)


def material_changed(scene: Scene, chosen: Callable[[Panel], bool], material: Material, by: float) -> Scene:
    """A material's reflectance off by so much, wherever chosen panels have it on either side."""

    def changed(now: Material) -> Material:
        same = type(now) is type(material) and now.reflectance == material.reflectance
        return scaled(now, max(0.0, now.reflectance + by) / max(now.reflectance, 1e-9)) if same else now

    return _sides(scene, chosen, changed)


def rougher(scene: Scene, chosen: Callable[[Panel], bool], roughness: float, factor: float) -> Scene:
    """Metallised sides of this roughness on chosen panels, so many times as rough."""

    def changed(now: Material) -> Material:
        if isinstance(now, Metallised) and now.roughness == roughness:
            return replace(now, roughness=min(1.0, roughness * factor))
        return now

    return _sides(scene, chosen, changed)


def straighter(scene: Scene, name: str, factor: float) -> Scene:
    """The net of this name lets so many times as much through."""
    panels = tuple(
        replace(p, straight=min(1.0, p.straight * factor)) if p.name == name else p for p in scene.panels
    )
    return replace(scene, panels=panels)


def beam_scaled(scene: Scene, name: str, factor: float) -> Scene:
    """The emitter of this name with its half-angle or cut-off times a factor."""

    def widened(emission: Emission) -> Emission:
        if isinstance(emission, Beam):
            return Beam(min(89.0, emission.half_angle_deg * factor))
        if isinstance(emission, Gridded):
            return Gridded(min(89.0, emission.cutoff_deg * factor))
        return emission

    emitters = tuple(
        replace(e, emission=widened(e.emission)) if e.name == name else e for e in scene.emitters
    )
    return replace(scene, emitters=emitters)


def bodies_changed(scene: Scene, by: Callable[[Matte], float]) -> Scene:
    """Every body solid's reflectance off by its own amount, kept between 0 and 0.98."""
    solids = tuple(
        replace(s, material=replace(s.material, reflectance=_kept(s.material.reflectance + by(s.material))))
        for s in scene.solids
    )
    return replace(scene, solids=solids)


def receptors_turned(scene: Scene, axis: int, angles_deg: Array) -> Scene:
    """Every point's direction turned by its own angle, shape (p,), about axis 0 or 1 of two across it."""
    points = tuple(
        replace(p, direction=rotation(_across(p.direction)[axis], float(angle)) @ p.direction)
        for p, angle in zip(scene.points, angles_deg, strict=True)
    )
    return replace(scene, points=points)


def _across(direction: Vec) -> Array:
    """Two unit vectors across a direction and each other, shape (2, 3)."""
    other = UP if abs(direction[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    first = unit(np.cross(other, direction))
    return np.array([first, np.cross(direction, first)])


def _kept(reflectance: float) -> float:
    return min(0.98, max(0.0, reflectance))


def _sides(scene: Scene, chosen: Callable[[Panel], bool], changed: Callable[[Material], Material]) -> Scene:
    panels = tuple(
        replace(p, front=changed(p.front), back=changed(p.back)) if chosen(p) else p for p in scene.panels
    )
    return replace(scene, panels=panels)


def scaled(material: Material, factor: float) -> Material:
    """A material with its reflectance times a factor; a sheet loses in transmittance what it gains."""
    reflectance = min(0.98, material.reflectance * factor)
    if isinstance(material, Translucent):
        passed = max(0.0, material.transmittance - (reflectance - material.reflectance))
        return replace(material, reflectance=reflectance, transmittance=passed)
    return replace(material, reflectance=reflectance)


def rotation(axis: Vec, angle_deg: float) -> Array:
    """Rotation matrix about an axis, right-handed, shape (3, 3) (Rodrigues)."""
    x, y, z = axis / np.linalg.norm(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    angle = np.radians(angle_deg)
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


def _faces(
    scene: Scene, name: str, panel: Callable[[Panel], Panel], emitter: Callable[[Emitter], Emitter]
) -> Scene:
    panels = tuple(panel(p) if p.name == name else p for p in scene.panels)
    emitters = tuple(emitter(e) if e.name == name else e for e in scene.emitters)
    return replace(scene, panels=panels, emitters=emitters)


def _shifted(face: Face, by_m: Vec) -> Face:
    return replace(face, centre_m=face.centre_m + by_m)


def _spun(face: Face, spin: Array, about: Vec) -> Face:
    return replace(
        face,
        centre_m=about + spin @ (face.centre_m - about),
        half_u_m=spin @ face.half_u_m,
        half_v_m=spin @ face.half_v_m,
    )
