"""What readings can tell of a studio: each quantity with its assumed value, its spread, and what it changes.

A quantity is worked with as a number x that is 0 at the assumed value and may take any value: stops for
levels, log2 of the factor for angles and roughness, log2 of the odds for shares, which so never leave 0 to 1.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from thirdstop.book.held import DOME, FLAT, ROOM_SURFACES
from thirdstop.book.studio import Studio
from thirdstop.calibrating.setups import StagedSetup, room_surface_names
from thirdstop.exposure.uncertainty import TOLERANCES
from thirdstop.staging.materials import Material, Matte, Metallised, Translucent
from thirdstop.staging.shapes import Beam, Emission, Emitter, Gridded, Panel
from thirdstop.staging.staging import MeteredOutput, Scene
from thirdstop.typed import Array

Kind: TypeAlias = Literal[
    "output",
    "click",
    "reflectance",
    "transmittance",
    "roughness",
    "half-angle",
    "cut-off",
    "grid loss",
    "flat receptor",
    "dome",
    "sitter",
]

Surfaces: TypeAlias = Mapping[str, tuple[str, str]]
"""Panel → what its front and its back are made of."""

NINE_IN_TEN = 1.6448536269514722
"""Half-width of the 90 % band of a normal distribution, in standard deviations."""

# 90 % half-widths, common practice, no source; everything else is as the bands of every page have it
GRID_LOSS_STOPS = 0.3
CLICK_OFF = 0.05
"""Of what one click changes, as a share of a third of a stop."""
SAME_PAINT = 0.5
"""Correlation of two surfaces of the room under one paint's name: one tin, but each with its own light, age
and pictures on it."""
BEST_MIRROR = 0.98
BODY = 0.2
"""Stands for the reflectance of skin and clothes, which go up and down together."""


@dataclass(frozen=True)
class Quantity:
    """One thing that is not quite known."""

    name: str
    """In words, unique: 'left wall', 'battery 400 with round box 90', 'roughness of silver'."""
    kind: Kind
    about: str
    """What it belongs to: a surface's name, a lamp with its shaper, a lamp, a shaper, a grid."""
    assumed: float
    """In its own unit: a share, stops, degrees, stops a click."""
    sd: float
    """Standard deviation of x before any reading."""
    group: str = ""
    """Quantities of one group are correlated by SAME_PAINT; '' stands alone."""
    metered_by: str = ""
    """An output: the receptor that it was metered with, whose own error it carries the other way."""

    @property
    def is_share(self) -> bool:
        """Whether it lies between 0 and 1."""
        return self.kind in ("reflectance", "transmittance", "sitter")

    def value(self, x: float) -> float:
        """In its own unit."""
        if self.is_share:
            odds = self.assumed / (1.0 - self.assumed) * 2.0**x
            return float(odds / (1.0 + odds))
        if self.kind in ("roughness", "half-angle", "cut-off", "click"):
            return float(self.assumed * 2.0**x)
        return self.assumed + x

    def spread_stops(self, x: float, sd: float) -> float:
        """Half-width of the 90 % band as a factor of the value, in stops."""
        slope = 1.0 - self.value(x) if self.is_share else 1.0
        return NINE_IN_TEN * sd * slope


def share_sd(material: Material, share: float) -> float:
    """Standard deviation of the log2 odds of a share of a material, by how its values are known."""
    spread = TOLERANCES.reflectance(material.provenance)
    sd = replace(spread, half_width=TOLERANCES.half_width(material)).standard
    return sd / share / (1.0 - share) / math.log(2.0)


# what there is in a scene


def of_surfaces(scene: Scene, surfaces: Surfaces, groups: Mapping[str, str]) -> list[Quantity]:
    """The quantities of everything that returns light: walls, sheets, cards, and whoever sits there."""
    found: dict[str, Quantity] = {}
    for panel in scene.panels:
        if panel.name not in surfaces:
            continue
        front, back = surfaces[panel.name]
        for about, material in ((front, panel.front), (back, panel.back)):
            found |= {q.name: q for q in _of_material(about, material, groups.get(about, ""))}
    if scene.solids:
        sd = share_sd(Matte(BODY), BODY)
        found["skin and clothes"] = Quantity("skin and clothes", "sitter", "sitter", BODY, sd)
    return list(found.values())


def _of_material(about: str, material: Material, group: str) -> Iterable[Quantity]:
    share = min(max(material.reflectance, 0.005), 0.97)
    sd = share_sd(material, share)
    yield Quantity(about, "reflectance", about, share, sd, group)
    if isinstance(material, Metallised):
        sd = _log_sd(TOLERANCES.roughness_share.standard)
        yield Quantity(f"roughness of {about}", "roughness", about, material.roughness, sd)
    if isinstance(material, Translucent):
        passed = min(max(material.transmittance, 0.005), 0.97)
        sd = share_sd(material, passed)
        yield Quantity(f"what {about} passes", "transmittance", about, passed, sd)


def of_lamps(setups: Sequence[StagedSetup]) -> list[Quantity]:
    """The quantities of lamps: output with each shaper, beams, grids, and the step where clicks differ."""
    found: dict[str, Quantity] = {}
    for setup in setups:
        rows = zip(setup.lamps, setup.outputs, setup.shapers, setup.grids, setup.scene.emitters, strict=True)
        for lamp, output, shaper, grid, emitter in rows:
            sd = lamp.output_spread_stops / NINE_IN_TEN
            by = lamp.output.receptor if isinstance(lamp.output, MeteredOutput) else ""
            found[output] = Quantity(output, "output", output, 0.0, sd, metered_by=by)
            beam = lamp.bare_emission
            if isinstance(beam, Beam):
                name = f"half-angle of {shaper}"
                found[name] = Quantity(
                    name, "half-angle", shaper, beam.half_angle_deg, _log_sd(TOLERANCES.beam_share.standard)
                )
            if grid is not None and isinstance(emitter.emission, Gridded):
                cut = emitter.emission.cutoff_deg
                name = f"cut-off of {grid}"
                found[name] = Quantity(name, "cut-off", grid, cut, _log_sd(TOLERANCES.beam_share.standard))
                name = f"loss of {grid}"
                found[name] = Quantity(name, "grid loss", grid, 0.0, GRID_LOSS_STOPS / NINE_IN_TEN)
    for lamp_name, clicks in clicks_of(setups).items():
        if len(set(clicks)) > 1:
            click = click_of(lamp_name)
            found[click.name] = click
    return list(found.values())


def click_of(lamp: str) -> Quantity:
    """How much one click of a lamp changes."""
    return Quantity(f"one click of {lamp}", "click", lamp, 1 / 3, _log_sd(CLICK_OFF / NINE_IN_TEN))


def _log_sd(share: float) -> float:
    return math.log2(1.0 + share)


def clicks_of(setups: Sequence[StagedSetup]) -> dict[str, list[int]]:
    """Lamp → the click of each reading that it lit."""
    found: dict[str, list[int]] = {}
    for setup in setups:
        for index, lamp in enumerate(setup.lamps):
            found.setdefault(lamp.lamp, []).extend(taken.clicks[index] for taken in setup.taken)
    return found


def of_meter(receptors: Iterable[str]) -> list[Quantity]:
    """The meter's own errors, for the receptors that were used."""
    used, sd = set(receptors), TOLERANCES.calibration_stops.standard
    found = [Quantity(FLAT, "flat receptor", "meter", 0.0, sd)] if "flat" in used else []
    return found + ([Quantity(DOME, "dome", "meter", 0.0, sd)] if "dome" in used else [])


def quantities_of(setups: Sequence[StagedSetup], groups: Mapping[str, str]) -> tuple[Quantity, ...]:
    """Everything that bears on the readings of these set-ups, each once, in a fixed order."""
    found: dict[str, Quantity] = {q.name: q for q in of_lamps(setups)}
    order = {name: index for index, name in enumerate(room_surface_names())}
    surfaces: dict[str, Quantity] = {}
    for setup in setups:
        surfaces |= {q.name: q for q in of_surfaces(setup.scene, setup.surfaces, groups)}
    found |= {q.name: q for q in sorted(surfaces.values(), key=lambda q: (order.get(q.name, 99), q.name))}
    found |= {q.name: q for q in of_meter(t.receptor for setup in setups for t in setup.taken)}
    return tuple(found.values())


def paint_groups(studio: Studio) -> dict[str, str]:
    """Surface of the room → its paint's name; surfaces given by number stand alone."""
    paints = {key: getattr(studio.room.surfaces, key.replace(" ", "_")) for key in ROOM_SURFACES}
    return {key: paint for key, paint in paints.items() if isinstance(paint, str)}


def prior_covariance(quantities: Sequence[Quantity]) -> Array:
    """Covariance of x before any reading, shape (k, k)."""
    sd = np.array([q.sd for q in quantities])
    same = np.array([[bool(a.group) and a.group == b.group for b in quantities] for a in quantities])
    correlation = np.where(np.eye(len(sd), dtype=bool), 1.0, np.where(same, SAME_PAINT, 0.0))
    own = correlation * np.outer(sd, sd)
    receptors = {"flat receptor": "flat", "dome": "dome"}
    errors = np.diag([float(q.sd**2) if q.kind in receptors else 0.0 for q in quantities])
    carried = np.eye(len(sd))
    for k, output in enumerate(quantities):
        for m, receptor in enumerate(quantities):
            if output.metered_by and receptors.get(receptor.kind) == output.metered_by:
                carried[k, m] = -1.0
    # x = carried · (own errors): an output that a high-reading receptor metered is lower than it was put
    return np.asarray(own - errors + carried @ errors @ carried.T)


# what a quantity changes


def changed(scene: Scene, surfaces: Surfaces, shapers: Sequence[str], grids: Sequence[str | None],
            values: Mapping[tuple[Kind, str], float]) -> Scene:  # fmt: skip
    """The scene with those values, by kind and what they belong to; levels are no matter of the scene.

    `shapers` and `grids` are those of the scene's emitters, in order.
    """
    panels = tuple(_panel(panel, surfaces, values) for panel in scene.panels)
    solids = scene.solids
    if ("sitter", "sitter") in values:
        factor = values["sitter", "sitter"] / BODY
        solids = tuple(
            replace(
                s, material=replace(s.material, reflectance=min(BEST_MIRROR, s.material.reflectance * factor))
            )
            for s in solids
        )
    emitters = tuple(
        _emitter(emitter, shaper, grid, values)
        for emitter, shaper, grid in zip(scene.emitters, shapers, grids, strict=True)
    )
    return replace(scene, panels=panels, solids=solids, emitters=emitters)


def _panel(panel: Panel, surfaces: Surfaces, values: Mapping[tuple[Kind, str], float]) -> Panel:
    if panel.name not in surfaces:
        return panel
    front, back = surfaces[panel.name]
    return replace(
        panel, front=_material(panel.front, front, values), back=_material(panel.back, back, values)
    )


def _material(material: Material, about: str, values: Mapping[tuple[Kind, str], float]) -> Material:
    reflectance = values.get(("reflectance", about), material.reflectance)
    if isinstance(material, Metallised):
        roughness = min(1.0, values.get(("roughness", about), material.roughness))
        return replace(material, reflectance=reflectance, roughness=roughness)
    if isinstance(material, Translucent):
        passed = values.get(("transmittance", about), material.transmittance)
        return replace(material, reflectance=reflectance, transmittance=min(passed, 1.0 - reflectance))
    return replace(material, reflectance=reflectance)


def _emitter(
    emitter: Emitter, shaper: str, grid: str | None, values: Mapping[tuple[Kind, str], float]
) -> Emitter:
    emission: Emission = emitter.emission
    if isinstance(emission, Beam):
        emission = Beam(min(85.0, values.get(("half-angle", shaper), emission.half_angle_deg)))
    elif isinstance(emission, Gridded) and grid is not None:
        emission = Gridded(min(85.0, values.get(("cut-off", grid), emission.cutoff_deg)))
    return replace(emitter, emission=emission)


SCENE_KINDS: tuple[Kind, ...] = (
    "reflectance",
    "transmittance",
    "roughness",
    "half-angle",
    "cut-off",
    "sitter",
)
"""What changes how light goes, and so needs the engine; everything else is a level."""


def scene_values(quantities: Sequence[Quantity], x: Array) -> dict[tuple[Kind, str], float]:
    """Values of everything that changes how light goes."""
    return {
        (q.kind, q.about): q.value(float(at))
        for q, at in zip(quantities, x, strict=True)
        if q.kind in SCENE_KINDS
    }
