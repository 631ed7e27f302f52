"""A file of readings against a studio: each set-up becomes a scene with its readings as measuring points."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from thirdstop.book.marks import Marks, near
from thirdstop.book.metering import Metering, ReadingModel, ReadingSetup
from thirdstop.book.quantities import Click
from thirdstop.book.recipe import Backdrop, Blocker, Card, Light, MarkPlace
from thirdstop.book.studio import Studio
from thirdstop.book.subject import Subject
from thirdstop.errors import Fault
from thirdstop.exposure.charging import full_luminance
from thirdstop.exposure.stops import luminous_exposure
from thirdstop.staging.aiming import Targets, aim_of
from thirdstop.staging.lamps import PlacedLamp, place_lamp
from thirdstop.staging.limits import refuse_flush, refuse_outside
from thirdstop.staging.lookup import cloth, hair, one_of, skin
from thirdstop.staging.measuring import face_points, under_chin_m
from thirdstop.staging.panels import PlacedPanel, place_panel
from thirdstop.staging.points import MeasuringPoint, Receptor
from thirdstop.staging.positions import Origin, place_of
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.rooms import Hung, fixed_panels, hang_backdrop, room_of, room_panels
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.sitter import Sitter, Skins, place_sitter
from thirdstop.staging.staging import LampPlace, MeterPlace, Room, Scene
from thirdstop.staging.standing import keys_of
from thirdstop.staging.vectors import TO_CAMERA, vec
from thirdstop.typed import Array, Vec

NEAREST_M = 0.03
"""A receptor nearer than this to a face is refused, as everywhere in the book."""
NOSE = "nose"
CAMERA_M = 2.0
"""Where a sitter's eyes look in a set-up of readings, which has no camera: straight ahead, so far."""


@dataclass(frozen=True)
class Taken:
    """One reading as it was taken."""

    name: str
    """Unique in the file: 'key alone, on the axis'."""
    path: Path
    """Where it stands in the file."""
    receptor: Receptor
    shown_stops: float
    """log2 of the exposure in lx·s that the meter's mark stands for, by the studio's constants."""
    clicks: tuple[int, ...]
    """Of each lamp of the set-up."""
    iso: float
    f_number: float


@dataclass(frozen=True, eq=False)
class StagedSetup:
    """A set-up of readings as the engine takes it: the scene's points are the readings, in order."""

    name: str
    scene: Scene
    """Lamps at the luminance that the studio file gives them."""
    lamps: tuple[LampPlace, ...]
    outputs: tuple[str, ...]
    """Of each lamp with its shaper: 'battery 400 with round box 90'."""
    grids: tuple[str | None, ...]
    shapers: tuple[str, ...]
    taken: tuple[Taken, ...]
    surfaces: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Panel → what its front and its back are made of: a wall's name, a sheet's, a card surface's."""


@dataclass(frozen=True, eq=False)
class _Plan:
    """What places a room about M."""

    mark: MarkPlace | None
    backdrop: Backdrop


def stage_setups(metering: Metering, studio: Studio, marks: Marks) -> tuple[list[StagedSetup], list[Fault]]:
    """Every set-up of the file, or the faults that stand in the way, each at its place."""
    problems = Problems(marks)
    meter = meter_of(studio)
    setups = []
    room = room_of(_Plan(metering.mark, Backdrop()), studio, problems)
    names: set[str] = set()
    for index, setup in enumerate(metering.setups):
        if setup.name.casefold() in names:
            problems.add(("setups", index, "name"), "this name is already taken", setup.name, "another name")
        names.add(setup.name.casefold())
        builder = _Builder(metering, setup, studio, room, meter, problems, ("setups", index))
        staged = builder.build()
        if staged is not None:
            setups.append(staged)
    return ([] if problems else setups), list(dict.fromkeys(problems.faults))


def meter_of(studio: Studio) -> MeterPlace:
    """The studio's meter; what a camera is set to doesn't matter here."""
    meter = studio.meter
    return MeterPlace(
        iso=100.0,
        aperture=8.0,
        shutter_s=1 / 160,
        constant_flat=float(meter.flat_constant),
        constant_dome=float(meter.dome_constant),
        step_stops=meter.step.value,
        exposure_point="",
    )


def room_surface_names() -> tuple[str, ...]:
    """The six surfaces of a room, as panels are called."""
    return ("left wall", "right wall", "back wall", "front wall", "floor", "ceiling")


@dataclass(eq=False)
class _Builder:
    """One set-up, in the order in which things depend on each other."""

    metering: Metering
    setup: ReadingSetup
    studio: Studio
    room: Room
    meter: MeterPlace
    problems: Problems
    path: Path
    surfaces: dict[str, tuple[str, str]] = field(default_factory=dict)

    def build(self) -> StagedSetup | None:
        told = len(self.problems.faults)
        plan = _Plan(self.metering.mark, self.setup.backdrop)
        own = Problems(_under(self.problems.marks, self.path))
        sitter = self._sitter()
        nose_m = sitter.place.nose_m if sitter else vec(0, 0, self.metering.nose_height.m)
        hung = hang_backdrop(plan, self.studio, self.room, own)
        self.problems.faults += own.faults
        self.origin = Origin(nose_m, self.room, hung.sheet.y_m)
        self.targets = _targets(nose_m, hung.sheet.y_m)
        self.targets.to_come |= {
            thing.name
            for group in (self.setup.lights, self.setup.cards, self.setup.blockers)
            for thing in group
        }
        lamps = self._lamps()
        panels = [p.panel for p in self._panels("cards", self.setup.cards)]
        panels += [p.panel for p in self._panels("blockers", self.setup.blockers)]
        points = self._points(sitter)
        if len(self.problems.faults) > told:
            return None
        scene = Scene(
            (*self._room(hung), *panels, *(sitter.panels if sitter else ())),
            sitter.solids if sitter else (),
            tuple(
                replace(one.emitter, luminance_cd_s_m2=full_luminance(one.emitter, one.lamp, self.meter))
                for one in lamps
            ),
            tuple(point for point, _ in points),
        )
        self._refuse_near(scene)
        if len(self.problems.faults) > told:
            return None
        return StagedSetup(
            name=self.setup.name,
            scene=scene,
            lamps=tuple(lamp.lamp for lamp in lamps),
            outputs=tuple(f"{light.lamp} with {light.shaper}" for light in self.setup.lights),
            grids=tuple(light.grid for light in self.setup.lights),
            shapers=tuple(light.shaper for light in self.setup.lights),
            taken=tuple(taken for _, taken in points),
            surfaces=self.surfaces,
        )

    def _room(self, hung: Hung) -> tuple[Panel, ...]:
        self.surfaces |= {name: (name, name) for name in room_surface_names()}
        self.surfaces |= {panel.name: (hung.gear, hung.gear) for panel in hung.panels}
        return (*room_panels(self.room, self.studio), *fixed_panels(self.room, self.studio), *hung.panels)

    # people

    def _sitter(self) -> Sitter | None:
        subject = self.setup.subject
        if subject is None:
            return None
        path = (*self.path, "subject")
        if subject.at is not None:
            self.problems.add((*path, "at"), "the sitter is at M", str(subject.at.across), "no 'at' here")
        ahead = vec(0.0, -CAMERA_M, subject.eye_height.m)
        return place_sitter(0, subject, self._skins(subject, path), ahead, vec(0, 0, 0), "")

    def _skins(self, subject: Subject, path: Path) -> Skins:
        wears, problems = subject.wears, self.problems
        return Skins(
            skin=skin(subject.skin, problems, (*path, "skin")),
            hair=hair(wears.hair, problems, (*path, "wears", "hair")),
            clothes=cloth(wears.clothes, problems, (*path, "wears", "clothes")),
            hat=cloth(wears.hat.reflectance if wears.hat else "dark", problems, (*path, "wears", "hat")),
        )

    # things

    def _aimed(self, thing: Light | Card | Blocker, path: Path) -> tuple[Vec, Vec]:
        self.targets.aiming = thing.name
        centre = place_of(thing.at, self.origin, self.problems, (*path, "at"))
        normal, _ = aim_of(thing.aim, centre, self.targets, self.problems, (*path, "aim"))
        return centre, normal

    def _lamps(self) -> list[PlacedLamp]:
        placed = []
        for index, light in enumerate(self.setup.lights):
            path: Path = (*self.path, "lights", index)
            centre, normal = self._aimed(light, path)
            self.targets.placed(light.name, centre)
            if index == 0:
                self.targets.placed("key", centre)
            lamp = place_lamp(light, index == 0, centre, normal, self.studio, self.room, self.problems, path)
            if lamp is None:
                continue
            corners = np.concatenate([lamp.emitter.corners_m, *lamp.body])
            keys = keys_of(light.at)
            refuse_outside(f"'{light.name}'", corners, self.room, self.problems, (*path, "at"), keys)
            placed.append(lamp)
        return placed

    def _panels(self, key: str, wanted: Sequence[Card | Blocker]) -> list[PlacedPanel]:
        placed = []
        for index, thing in enumerate(wanted):
            path: Path = (*self.path, key, index)
            centre, normal = self._aimed(thing, path)
            self.targets.placed(thing.name, centre)
            role = "card" if key == "cards" else "blocker"
            panel = place_panel(thing, role, centre, normal, self.studio, self.problems, path)  # type: ignore[arg-type]
            if panel is None:
                continue
            corners, at = panel.panel.corners_m, (*path, "at")
            refuse_outside(f"'{thing.name}'", corners, self.room, self.problems, at, keys_of(thing.at))
            refuse_flush(thing.name, corners, self.room, self.problems, at)
            self.surfaces[thing.name] = (panel.surface, panel.back)
            placed.append(panel)
        return placed

    # readings

    def _points(self, sitter: Sitter | None) -> list[tuple[MeasuringPoint, Taken]]:
        known = _known_points(sitter, self.origin.nose_m)
        found: list[tuple[MeasuringPoint, Taken]] = []
        for index, reading in enumerate(self.setup.readings):
            path: Path = (*self.path, "readings", index)
            name = f"{self.setup.name}, {reading.name or f'reading {index + 1}'}"
            if name in (taken.name for _, taken in found):
                self.problems.add(
                    (*path, "name"), "this name is already taken", reading.name or "", "another name"
                )
            point = self._point(reading, name, known, path)
            clicks = self._clicks(reading, path)
            if point is not None and clicks is not None:
                found.append((point, self._taken(reading, name, path, point.receptor, clicks)))
        return found

    def _point(
        self, reading: ReadingModel, name: str, known: dict[str, MeasuringPoint], path: Path
    ) -> MeasuringPoint | None:
        if isinstance(reading.at, str):
            if reading.at not in known:
                write = near(reading.at, known) or f"{one_of(list(known))}, or a place"
                wrong = "there is no measuring point of this name"
                if self.setup.subject is None:
                    wrong += "; nobody sits in this set-up"
                self.problems.add((*path, "at"), wrong, reading.at, write)
                return None
            point = replace(known[reading.at], name=name)
        else:
            place_m = place_of(reading.at, self.origin, self.problems, (*path, "at"))
            point = MeasuringPoint(name, place_m, np.zeros(3), reading.receptor or "flat")
            keys = keys_of(reading.at)
            refuse_outside("the meter", place_m[None, :], self.room, self.problems, (*path, "at"), keys)
        if reading.receptor is not None:
            point = replace(point, receptor=reading.receptor)
        if reading.toward is not None:
            self.targets.aiming = ""
            way, _ = aim_of(reading.toward, point.place_m, self.targets, self.problems, (*path, "toward"))
            point = replace(point, direction=way)
        if not point.direction.any():
            wrong = "the reading needs to say where the receptor looks"
            self.problems.add(path, wrong, "", "toward: key")
            return None
        return point

    def _clicks(self, reading: ReadingModel, path: Path) -> tuple[int, ...] | None:
        clicks = []
        for index, light in enumerate(self.setup.lights):
            lamp = next((lamp for lamp in self.studio.lamps if lamp.name == light.lamp), None)
            if lamp is None:
                return None  # told where it is named
            power: object = light.power
            at: Path = (*self.path, "lights", index, "power")
            if index == 0 and reading.power is not None:
                power, at = reading.power, (*path, "power")
            if not isinstance(power, Click):
                wrong = f"what '{light.name}' stood at is not said"
                self.problems.add(at if index else path, wrong, "", "power: click 14")
                return None
            if not 1 <= power.number <= lamp.clicks:
                wrong = f"'{lamp.name}' has the clicks 1 to {lamp.clicks}"
                self.problems.add(at, wrong, str(power), f"click {lamp.clicks}")
                return None
            clicks.append(power.number)
        return tuple(clicks)

    def _taken(
        self, reading: ReadingModel, name: str, path: Path, receptor: Receptor, clicks: tuple[int, ...]
    ) -> Taken:
        constant = self.meter.constant_flat if receptor == "flat" else self.meter.constant_dome
        shown_lx_s = luminous_exposure(reading.reads.exact, reading.iso.value, constant)
        return Taken(
            name, path, receptor, math.log2(shown_lx_s), clicks, reading.iso.value, reading.reads.exact
        )

    def _refuse_near(self, scene: Scene) -> None:
        """Notes every receptor that is too near to a face, or inside somebody."""
        for index, point in enumerate(scene.points):
            path = (*self.path, "readings", index, "at")
            faces: list[Panel | Emitter] = [*scene.panels, *scene.emitters]
            for face in faces:
                gap_m = _gap_m(face, point.place_m)
                if gap_m < NEAREST_M - 1e-9:
                    wrong = f"the receptor would be {100 * gap_m:.0f} cm from '{face.name}'"
                    self.problems.add(path, wrong, "", "3 cm or more off it")
                    break
            for solid in scene.solids:
                local = ((point.place_m - solid.centre_m) @ solid.axes) / solid.semi_axes_m
                if float(np.linalg.norm(local)) < 1.0:
                    self.problems.add(path, f"the receptor would be inside the sitter's {solid.part}")
                    break


def _known_points(sitter: Sitter | None, nose_m: Vec) -> dict[str, MeasuringPoint]:
    if sitter is None:
        return {NOSE: MeasuringPoint(NOSE, nose_m, np.zeros(3), "flat")}
    chin = MeasuringPoint("chin dome", under_chin_m(sitter.head), TO_CAMERA, "dome", 0)
    return {point.name: point for point in (*face_points(sitter, ""), chin)}


def _targets(nose_m: Vec, sheet_y_m: float) -> Targets:
    places = {"nose": nose_m, "face": nose_m, "backdrop": vec(0.0, sheet_y_m, float(nose_m[2]))}
    directions = {
        "camera": TO_CAMERA,
        "left wall": vec(-1, 0, 0),
        "right wall": vec(1, 0, 0),
        "back wall": vec(0, 1, 0),
        "front wall": vec(0, -1, 0),
        "ceiling": vec(0, 0, 1),
        "floor": vec(0, 0, -1),
    }
    return Targets(places, directions)


def _under(marks: Marks, path: Path) -> Marks:
    """The positions of one mapping of the file, as if it were a file of its own."""
    size = len(path)

    def inner(places: dict[Path, object]) -> dict[Path, object]:
        return {key[size:]: value for key, value in places.items() if key[:size] == path}

    return Marks(marks.file, inner(marks.keys), inner(marks.values), inner(marks.given))  # type: ignore[arg-type]


def _gap_m(face: Panel | Emitter, place_m: Vec) -> float:
    """Distance of a place from a face, taken as its bounding rectangle."""
    offset = place_m - face.centre_m
    local = np.array([offset @ e / (e @ e) for e in (face.half_u_m, face.half_v_m)]).clip(-1, 1)
    return float(np.linalg.norm(offset - local[0] * face.half_u_m - local[1] * face.half_v_m))


def shown_array(setups: Sequence[StagedSetup]) -> Array:
    """What the meter showed, as log2 of lx·s, shape (n,), set-up by set-up."""
    return np.array([taken.shown_stops for setup in setups for taken in setup.taken])
