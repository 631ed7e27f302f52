"""What may be otherwise than staged: each tolerance of places, aims and surfaces as a change of the scene.

A deviation is one independent cause. Things that are the same move together: one paint wherever it is, one
cloth on every card that has it. Equal values count as one paint; as every surface's light only adds, that is
the wider assumption.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from thirdstop.exposure import perturbed
from thirdstop.exposure.spreads import Spread
from thirdstop.exposure.uncertainty import TOLERANCES, Tolerances
from thirdstop.staging.learned import Changes, Learned
from thirdstop.staging.materials import Material, Metallised, Provenance, Translucent
from thirdstop.staging.shapes import Emitter, Lambertian, Panel
from thirdstop.staging.staging import Scene, Staging
from thirdstop.staging.vectors import UP, unit
from thirdstop.typed import Vec

_PLACED = ("card", "blocker", "net")
_ROOM = ("wall", "ceiling", "floor", "backdrop", "fixed")
_STEEP = 0.8
_WORST_FIRST: tuple[Provenance, ...] = ("assumed", "published", "measured")


@dataclass(frozen=True, eq=False)
class Deviation:
    """One cause of uncertainty."""

    cause: str
    """In words, with its tolerance."""
    spread: Spread
    applied: Callable[[Scene, float], Scene]
    """The scene with the value off by so much, in the unit of the spread."""
    bends: bool = False
    """Whether its effect may be one-sided, as at the edge of a shadow or of a sharp lobe."""
    apart: bool = False
    """Whether it befalls each reading by itself."""


def deviations(staging: Staging, tolerances: Tolerances = TOLERANCES) -> list[Deviation]:
    """Everything about a staging's scene that may be otherwise, in a fixed order.

    What readings told of the studio is not among it: see `learned`.
    """
    scene = staging.scene
    return [
        *_faces(staging, tolerances),
        *_sitters(staging, tolerances),
        *_paints(scene, tolerances, staging.learned),
        *_cloths(scene, tolerances, staging.learned),
        *_beams(scene, tolerances, staging.learned),
        *_holding(tolerances),
    ]


# Places and aims


def _faces(staging: Staging, tolerances: Tolerances) -> Iterator[Deviation]:
    scene = staging.scene
    faces: list[Panel | Emitter] = [*scene.emitters, *(p for p in scene.panels if p.role in _PLACED)]
    edges = any(p.role in ("blocker", "net", "brim") for p in scene.panels)
    for name, face in {face.name: face for face in reversed(faces)}.items():
        bends = edges or _is_sharp(face)
        amount = _length(tolerances.position_m)
        for words, axis in _axes(face.centre_m - _nose_m(staging)):
            yield Deviation(f"{words} of {name}, {amount}", tolerances.position_m, _moved(name, axis), bends)
        for words, axis in _turns(face.normal, face.half_u_m):
            cause = f"{words} of {name}, {_angle(tolerances.aim_deg)}"
            yield Deviation(cause, tolerances.aim_deg, _turned(name, axis), bends)


def _is_sharp(face: Panel | Emitter) -> bool:
    """Whether what a face throws changes fast with direction, or has an edge."""
    if isinstance(face, Emitter):
        return not isinstance(face.emission, Lambertian)
    return face.role != "card" or any(isinstance(m, Metallised) for m in (face.front, face.back))


def _nose_m(staging: Staging) -> Vec:
    """Where strings are held to: the first sitter's nose, else where the exposure is metered."""
    if staging.sitters:
        return staging.sitters[0].nose_m
    return next(p.place_m for p in staging.scene.points if p.name == staging.meter.exposure_point)


def _axes(string: Vec) -> tuple[tuple[str, Vec], ...]:
    """Three perpendicular axes along and across a string, in words."""
    along = unit(string) if float(np.linalg.norm(string)) > 1e-9 else UP
    level = np.cross(UP, along)
    side = unit(level) if float(np.linalg.norm(level)) > 1e-6 else np.array([1.0, 0.0, 0.0])
    third = "height" if abs(along[2]) < _STEEP else "place over the floor"
    return ("distance", along), ("place to the side", side), (third, np.cross(along, side))


def _turns(normal: Vec, half_u_m: Vec) -> tuple[tuple[str, Vec], ...]:
    """The two axes in a face about which it is aimed, in words."""
    level = np.cross(UP, normal)
    across = unit(level) if float(np.linalg.norm(level)) > 1e-6 else unit(half_u_m)
    return ("lean", across), ("swing", np.cross(normal, across))


def _moved(name: str, axis: Vec) -> Callable[[Scene, float], Scene]:
    return lambda scene, by_m: perturbed.moved(scene, name, by_m * axis)


def _turned(name: str, axis: Vec) -> Callable[[Scene, float], Scene]:
    return lambda scene, angle_deg: perturbed.turned(scene, name, axis, angle_deg)


def _sitters(staging: Staging, tolerances: Tolerances) -> Iterator[Deviation]:
    scene = staging.scene
    edges = any(p.role in ("blocker", "net") or _is_sharp(p) for p in scene.panels if p.role in _PLACED)
    for sitter in sorted({s.sitter for s in scene.solids}):
        who = "the sitter" if len(staging.sitters) < 2 else staging.sitters[sitter].name
        where = f"where {who} is, {_length(tolerances.sitter_m)}"
        for axis in np.eye(3)[:2]:
            yield Deviation(where, tolerances.sitter_m, _sitter_moved(sitter, axis), edges)
        turn = f"turn of {who}, {_angle(tolerances.turn_deg)}"
        yield Deviation(turn, tolerances.turn_deg, _sitter_turned(sitter), edges)


def _sitter_moved(sitter: int, axis: Vec) -> Callable[[Scene, float], Scene]:
    return lambda scene, by_m: perturbed.sitter_moved(scene, sitter, by_m * axis)


def _sitter_turned(sitter: int) -> Callable[[Scene, float], Scene]:
    return lambda scene, angle_deg: perturbed.sitter_turned(scene, sitter, angle_deg)


def _holding(tolerances: Tolerances) -> Iterator[Deviation]:
    cause = f"how the meter is held, {_angle(tolerances.held_deg)}"
    for axis in (0, 1):
        yield Deviation(cause, tolerances.held_deg, _receptors_turned(axis), apart=True)


def _receptors_turned(axis: int) -> Callable[[Scene, float], Scene]:
    return lambda scene, angle_deg: perturbed.receptors_turned(
        scene, axis, np.full(len(scene.points), angle_deg)
    )


# Surfaces


def _paints(scene: Scene, tolerances: Tolerances, known: Learned | None) -> Iterator[Deviation]:
    room = [p for p in scene.panels if p.role in _ROOM and not _covers(known, "reflectance", p.name)]
    for material in dict.fromkeys(p.front for p in room):
        names = [p.name for p in room if p.front == material]
        whole = {p.name for p in scene.panels if p.role == "wall"} <= set(names)
        shown = [n for n in names if not (whole and n.endswith("wall"))]
        cause = f"reflectance of {_listed((['the walls'] if whole else []) + ['the ' + n for n in shown])}"
        yield _returned(cause, material, _among(names), tolerances)
    if scene.solids:
        yield _bodies(scene, tolerances)


def _cloths(scene: Scene, tolerances: Tolerances, known: Learned | None) -> Iterator[Deviation]:
    cards = [p for p in scene.panels if p.role in _PLACED]
    for material in dict.fromkeys(p.front for p in cards):
        named = list(dict.fromkeys(p.name for p in cards if material in (p.front, p.back)))
        words = "transmittance" if isinstance(material, Translucent) else "reflectance"
        if not all(_covers(known, "reflectance", name) for name in named):
            yield _returned(f"{words} of {_listed(named)}", material, _among(named), tolerances)
        if isinstance(material, Metallised) and not all(_covers(known, "roughness", n) for n in named):
            spread = tolerances.roughness_share
            cause = f"sheen of {_listed(named)}, {_share(spread)}"
            yield Deviation(cause, spread, _rougher(material.roughness, _among(named)), bends=True)
    for net in (p for p in cards if p.straight > 0):
        spread = tolerances.straight_share
        cause = f"what {net.name} lets through, {_share(spread)}"
        yield Deviation(cause, spread, _straighter(net.name))


def _covers(known: Learned | None, changes: Changes, name: str) -> bool:
    return known is not None and known.covers(changes, name)


def _returned(
    cause: str, material: Material, chosen: Callable[[Panel], bool], tolerances: Tolerances
) -> Deviation:
    """A reflectance off by a share of its own half-width."""
    half = tolerances.half_width(material)
    shape = tolerances.reflectance(material.provenance).shape
    amount = f"{material.provenance}, ±{half:.2f}"

    def applied(scene: Scene, by: float) -> Scene:
        return perturbed.material_changed(scene, chosen, material, by * half)

    return Deviation(f"{cause}, {amount}", Spread(shape, 1.0), applied)


def _bodies(scene: Scene, tolerances: Tolerances) -> Deviation:
    """Skin, hair and clothes together: the wider assumption, as each one's light only adds."""
    kinds = {s.material.provenance for s in scene.solids}
    known = next(kind for kind in _WORST_FIRST if kind in kinds)
    cause = f"reflectance of skin and clothes, {known}, {_share(tolerances.reflectance(known))}"

    def applied(of: Scene, by: float) -> Scene:
        return perturbed.bodies_changed(of, lambda material: by * tolerances.half_width(material))

    return Deviation(cause, Spread(tolerances.reflectance(known).shape, 1.0), applied)


def _rougher(roughness: float, chosen: Callable[[Panel], bool]) -> Callable[[Scene, float], Scene]:
    return lambda scene, share: perturbed.rougher(scene, chosen, roughness, 1.0 + share)


def _straighter(name: str) -> Callable[[Scene, float], Scene]:
    return lambda scene, share: perturbed.straighter(scene, name, 1.0 + share)


def _beams(scene: Scene, tolerances: Tolerances, known: Learned | None) -> Iterator[Deviation]:
    for emitter in scene.emitters:
        if not isinstance(emitter.emission, Lambertian) and not _covers(known, "beam", emitter.name):
            cause = f"beam of {emitter.name}, {_share(tolerances.beam_share)}"
            yield Deviation(cause, tolerances.beam_share, _wider(emitter.name), bends=True)


def _wider(name: str) -> Callable[[Scene, float], Scene]:
    return lambda scene, share: perturbed.beam_scaled(scene, name, 1.0 + share)


# Words


def _among(names: Sequence[str]) -> Callable[[Panel], bool]:
    chosen = frozenset(names)
    return lambda panel: panel.name in chosen


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _length(spread: Spread) -> str:
    return f"±{100 * spread.half_width:.0f} cm"


def _angle(spread: Spread) -> str:
    return f"±{spread.half_width:.0f}°"


def _share(spread: Spread) -> str:
    return f"±{100 * spread.half_width:.0f} %"
