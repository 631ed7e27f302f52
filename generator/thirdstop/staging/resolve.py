"""One recipe against one studio: text values become places, faces, solids and numbered things."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Blocker, Card, Light, Recipe
from thirdstop.book.studio import Studio
from thirdstop.book.subject import Subject
from thirdstop.errors import Fault
from thirdstop.staging.aiming import aim_of, targets_of
from thirdstop.staging.cameras import camera_of
from thirdstop.staging.clashes import Placed, Thing, camera_thing, fixed_things, sheet_things
from thirdstop.staging.faces import Face, lean_of, roll_of, swing_of
from thirdstop.staging.lamps import PlacedLamp, place_lamp
from thirdstop.staging.learned import learned
from thirdstop.staging.limits import outline_of, refuse_flush, refuse_outside, way_out
from thirdstop.staging.lookup import Named, cloth, hair, skin
from thirdstop.staging.measuring import KEY_POINT, backdrop_points, body_points, exposure_point, face_points
from thirdstop.staging.names import KEY, refuse_shared_names
from thirdstop.staging.owned import refuse_too_many
from thirdstop.staging.panels import PlacedPanel, place_panel
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.positions import Origin, place_of
from thirdstop.staging.postures import refuse_posture
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.rooms import Hung, fixed_panels, hang_backdrop, room_of, room_panels
from thirdstop.staging.shapes import Outline, Panel, Role
from thirdstop.staging.sitter import Sitter, Skins, place_sitter
from thirdstop.staging.staging import (
    CameraView,
    Item,
    Kind,
    MeterPlace,
    Room,
    Scene,
    Staging,
    Support,
)
from thirdstop.staging.standing import Standing, refuse_standing
from thirdstop.staging.supports import Load, refuse_held_twice, support_of
from thirdstop.staging.vectors import bearing_of, vec
from thirdstop.staging.wanted import refuse_points, refuse_powers, target_of
from thirdstop.typed import Array, Vec

_FIRST_SITTER_KEYS = ("'mark'", "'mark'", "'eye_height' or 'pose'")
_SITTER_KEYS = ("'across' of 'at'", "'along' of 'at'", "'eye_height' or 'pose'")
_CAMERA_KEYS = ("'across' or 'mark'", "'distance' or 'mark'", "'height'")


def stage(
    recipe: Recipe, studio: Studio, marks: Marks, slug: str = "recipe"
) -> tuple[Staging | None, list[Fault]]:
    """The staging of one recipe, or None with every fault that stands in its way, each at its place."""
    problems = Problems(marks)
    builder = _Builder(recipe, studio, problems)
    staging = builder.build(slug)
    return (None, list(dict.fromkeys(problems.faults))) if problems else (staging, [])


@dataclass(eq=False)
class _Builder:
    """Resolves one recipe in the order in which things depend on each other."""

    recipe: Recipe
    studio: Studio
    problems: Problems
    items: list[Item] = field(default_factory=list)
    things: list[Thing] = field(default_factory=list)

    def build(self, slug: str) -> Staging:
        recipe, studio, problems = self.recipe, self.studio, self.problems
        room = room_of(recipe, studio, problems)
        sitters, camera = self._people(room)
        nose_m = sitters[0].place.nose_m
        hung = hang_backdrop(recipe, studio, room, problems)
        self.room, self.camera = room, camera
        self.targets = targets_of(sitters, hung.sheet.y_m, camera.lens_m)
        self.ever_there = self.targets.names
        self.targets.to_come |= set(self._things_of_recipe())
        self.origin = Origin(nose_m, room, hung.sheet.y_m)
        lamps = self._lamps()
        cards = self._panels("cards", recipe.cards, "card")
        blockers = self._panels("blockers", recipe.blockers, "blocker")
        self._backdrop_item(hung)
        self._camera_item()
        key_m = lamps[0].face.centre_m if lamps else nose_m
        points = self._points(sitters, camera, hung, key_m)
        panels = (
            *room_panels(room, studio),
            *fixed_panels(room, studio),
            *hung.panels,
            *(p.panel for p in cards),
            *(p.panel for p in blockers),
            *(panel for sitter in sitters for panel in sitter.panels),
        )
        solids = tuple(solid for sitter in sitters for solid in sitter.solids)
        scene = Scene(panels, solids, tuple(lamp.emitter for lamp in lamps), tuple(points))
        self._refuse(scene, hung, sitters)
        return Staging(
            title=recipe.title,
            slug=slug,
            scene=scene,
            room=room,
            camera=camera,
            sitters=tuple(sitter.place for sitter in sitters),
            items=tuple(self.items),
            lamps=tuple(lamp.lamp for lamp in lamps),
            meter=self._meter(),
            target=target_of(recipe, studio, points, self.items, problems),
            walkway_m=studio.habits.walkway.m,
            behind_camera_m=studio.habits.behind_camera.m,
            framing=recipe.camera.framing,
            fastest_s=studio.habits.fastest.s,
            frames=studio.habits.frames,
            learned=learned(recipe, studio),
            measured=self._measured(panels, lamps),
        )

    def _things_of_recipe(self) -> list[str]:
        groups: tuple[Sequence[Named], ...] = (self.recipe.lights, self.recipe.cards, self.recipe.blockers)
        return [thing.name for group in groups for thing in group]

    def _refuse(self, scene: Scene, hung: Hung, sitters: tuple[Sitter, ...]) -> None:
        """Notes what is wrong between the parts, each of which may be right by itself."""
        recipe, problems = self.recipe, self.problems
        names = [panel.name for panel in scene.panels if panel.role not in ("card", "blocker", "net")]
        names += [solid.name for solid in scene.solids] + [point.name for point in scene.points]
        refuse_shared_names(recipe, [*names, *self.ever_there], problems)
        refuse_too_many(recipe, self.studio, problems)
        refuse_powers(recipe, problems)
        refuse_points(recipe, scene.points, problems)
        if problems:
            return  # what is where a fault put it says nothing of its place
        paths = [self._subject_path(index) for index in range(len(sitters))]
        Placed(
            tuple(self.things),
            camera_thing(self.camera),
            tuple(sheet_things(hung.panels)),
            tuple(fixed_things(self.room)),
            tuple(zip(sitters, paths, strict=True)),
        ).refuse(problems)

    # people and camera

    def _people(self, room: Room) -> tuple[tuple[Sitter, ...], CameraView]:
        recipe = self.recipe
        guess_m = vec(0.0, -recipe.camera.distance.m, recipe.camera.height.m)
        first = self._sitter(0, recipe.sitters[0], guess_m)
        nose_z_m = float(first.place.nose_m[2])
        told = len(self.problems.faults)
        camera = camera_of(recipe.camera, self.studio, nose_z_m, self.problems)
        if len(self.problems.faults) == told:
            self._camera_inside(camera.focal_plane_m, room)
        sitters = tuple(
            self._sitter(index, subject, camera.lens_m) for index, subject in enumerate(recipe.sitters)
        )
        out = way_out(outline_of(sitters[0]), room)
        self.moves_from = out.what if out is not None and out.axis != 2 else ""
        for index, sitter in enumerate(sitters):
            keys = _SITTER_KEYS if index else _FIRST_SITTER_KEYS
            path = self._subject_path(index)
            refuse_outside(f"'{sitter.place.name}'", outline_of(sitter), room, self.problems, path, keys)
        return sitters, camera

    def _camera_inside(self, focal_plane_m: Vec, room: Room) -> None:
        key = "distance"
        if not room.left_m <= focal_plane_m[0] <= room.right_m:
            key = "across"
        elif focal_plane_m[2] > room.height_m:
            key = "height"
        path: Path = ("camera", key)
        refuse_outside("the camera", focal_plane_m[None, :], room, self.problems, path, _CAMERA_KEYS)

    def _subject_path(self, index: int) -> Path:
        return ("subject", index) if isinstance(self.recipe.subject, list) else ("subject",)

    def _sitter(self, index: int, subject: Subject, camera_m: Vec) -> Sitter:
        path, problems, wears = self._subject_path(index), self.problems, subject.wears
        skins = Skins(
            skin=skin(subject.skin, problems, (*path, "skin")),
            hair=hair(wears.hair, problems, (*path, "wears", "hair")),
            clothes=cloth(wears.clothes, problems, (*path, "wears", "clothes")),
            hat=cloth(
                wears.hat.reflectance if wears.hat else "dark",
                problems,
                (*path, "wears", "hat", "reflectance"),
            ),
        )
        refuse_posture(subject, problems, path)
        mark_m = vec(0.0, 0.0, 0.0)
        if index > 0 and subject.at is None:
            problems.add(
                path,
                "a further sitter needs a place from M",
                subject.name,
                "at: {along: 0 cm, across: 40 cm camera-left}",
            )
        elif index == 0 and subject.at is not None:
            problems.add((*path, "at"), "the first sitter is at M", str(subject.at.across), "no 'at' here")
        elif subject.at is not None:
            mark_m = vec(subject.at.across.m, -subject.at.along.m, 0.0)
        prefix = "" if index == 0 else f"{subject.name} "
        return place_sitter(index, subject, skins, camera_m, mark_m, prefix)

    # things

    def _aimed(self, thing: Light | Card | Blocker, path: Path) -> tuple[Vec, Vec, str]:
        self.targets.aiming = thing.name
        centre = place_of(thing.at, self.origin, self.problems, (*path, "at"))
        normal, words = aim_of(thing.aim, centre, self.targets, self.problems, (*path, "aim"))
        return centre, normal, words

    def _lamps(self) -> list[PlacedLamp]:
        placed = []
        for index, light in enumerate(self.recipe.lights):
            path: Path = ("lights", index)
            centre, normal, words = self._aimed(light, path)
            self.targets.placed(light.name, centre)
            if index == 0:
                self.targets.placed(KEY, centre)
            lamp = place_lamp(light, index == 0, centre, normal, self.studio, self.room, self.problems, path)
            if lamp is None:
                continue
            load = Load(lamp.mount_m, lamp.mass_kg)
            corners = np.concatenate([lamp.emitter.corners_m, *lamp.body])
            support = self._support(light, load, centre, corners, path)
            face = lamp.face
            hollow = (centre, face.half_u_m, face.half_v_m, lamp.depth_m)
            self._stands(light.name, path, (lamp.emitter.corners_m, *lamp.body), hollow=hollow)
            string = light.at.from_backdrop.m if light.at.from_backdrop is not None else None
            self._add("lamp", light.name, lamp.gear, lamp.face, lamp.outline, words, support, lamp.body,
                      role=lamp.lamp.role, string_m=string, held_by=light.held_by)  # fmt: skip
            placed.append(lamp)
        return placed

    def _stands(
        self,
        name: str,
        path: Path,
        polygons: tuple[Array, ...],
        soft: bool = False,
        hollow: tuple[Vec, Vec, Vec, float] | None = None,
    ) -> None:
        refuse_flush(name, polygons[0], self.room, self.problems, (*path, "at"))
        self.things.append(Thing(f"'{name}'", (*path, "at"), polygons, soft, hollow))

    def _support(
        self, thing: Light | Card | Blocker, load: Load, centre_m: Vec, shape_m: Array, path: Path
    ) -> Support | None:
        """What holds a thing; where it or the thing can't be is noted."""
        support = support_of(thing.stand, load, self.studio, self.problems, (*path, "stand"))
        boom = support.boom if support is not None else None
        longest_m = next((one.longest.m for one in self.studio.booms if one.name == boom), None)
        standing = Standing(
            thing.name, thing.at, centre_m, shape_m, thing.stand, support, longest_m, path, self.moves_from
        )
        refuse_standing(standing, self.room, self.problems)
        refuse_held_twice(thing, self.problems, path)
        return support

    def _panels(self, key: str, wanted: Sequence[Card | Blocker], kind: Kind) -> list[PlacedPanel]:
        placed = []
        for index, thing in enumerate(wanted):
            path: Path = (key, index)
            centre, normal, words = self._aimed(thing, path)
            self.targets.placed(thing.name, centre)
            role: Role = "card" if kind == "card" else "blocker"
            panel = place_panel(thing, role, centre, normal, self.studio, self.problems, path)
            if panel is None:
                continue
            load = Load(centre, panel.mass_kg)
            support = self._support(thing, load, centre, panel.panel.corners_m, path)
            self._stands(thing.name, path, (panel.panel.corners_m,), soft=True)
            self._add(kind, thing.name, panel.gear, panel.face, "rectangle", words, support,
                      surface=panel.surface, back=panel.back, held_by=thing.held_by)  # fmt: skip
            placed.append(panel)
        return placed

    def _add(
        self,
        kind: Kind,
        name: str,
        gear: str,
        face: Face,
        outline: Outline,
        aim: str,
        support: Support | None = None,
        body: tuple[Array, ...] = (),
        surface: str | None = None,
        back: str | None = None,
        role: str = "",
        string_m: float | None = None,
        string_from: str = "nose",
        held_by: str | None = None,
    ) -> None:
        centre, normal = face.centre_m, face.normal
        lean, way = lean_of(normal)
        nose = self.origin.nose_m
        self.items.append(
            Item(
                number=len(self.items) + 1,
                kind=kind,
                name=name,
                gear=gear,
                centre_m=centre,
                normal=normal,
                half_u_m=face.half_u_m,
                half_v_m=face.half_v_m,
                outline=outline,
                toward_m=-float(centre[1]),
                side_m=float(centre[0]),
                height_m=float(centre[2]),
                lean_deg=lean,
                lean_way=way,
                swing_deg=swing_of(normal),
                roll_deg=roll_of(face),
                string_m=float(np.linalg.norm(centre - nose)) if string_m is None else string_m,
                string_from=string_from if string_m is None else "backdrop",
                bearing_deg=bearing_of(centre - nose),
                aim=aim,
                surface=surface,
                back_surface=back,
                body=body,
                support=support,
                held_by=held_by or "",
                role=role,
            )
        )

    def _backdrop_item(self, hung: Hung) -> None:
        sheet = hung.sheet
        centre = vec((sheet.left_m + sheet.right_m) / 2, sheet.y_m, sheet.top_m / 2)
        half_m = (sheet.right_m - sheet.left_m) / 2
        face = Face(centre, vec(half_m, 0, 0), vec(0, 0, sheet.top_m / 2))
        self._add("backdrop", "backdrop", hung.gear, face, "rectangle", "camera")

    def _camera_item(self) -> None:
        camera, recipe = self.camera, self.recipe.camera
        right, up = camera.right * 0.07, camera.up * 0.05
        if recipe.hold == "upright":
            right, up = camera.right * 0.05, camera.up * 0.07
        # the camera looks along −(right × up), so u is turned round for the face to look forward
        face = Face(camera.focal_plane_m, -right, up)
        gear = f"{recipe.body}, {recipe.lens}"
        self._add(
            "camera", "camera", gear, face, "rectangle", "ahead", string_from="focal-plane mark to nose"
        )

    # what is measured and wanted

    def _points(
        self, sitters: tuple[Sitter, ...], camera: CameraView, hung: Hung, key_m: Vec
    ) -> list[MeasuringPoint]:
        recipe, points = self.recipe, []
        wanted = {"chest", *recipe.measure}
        if recipe.camera.framing == "full length":
            wanted.add("feet")
        for index, sitter in enumerate(sitters):
            prefix = "" if index == 0 else f"{sitter.place.name} "
            points += face_points(sitter, prefix)
            by = self.studio.habits.exposure_by
            points.append(exposure_point(sitter, camera.lens_m, key_m, by, prefix))
            more = {"hands"} if recipe.sitters[index].hands is not None else set()
            points += body_points(sitter, prefix, wanted | more)
        return points + backdrop_points(camera, sitters[0].place.nose_m, hung.sheet)

    def _meter(self) -> MeterPlace:
        recipe, meter = self.recipe, self.studio.meter
        ambient = self.studio.room.ambient
        return MeterPlace(
            iso=recipe.exposure.iso.value,
            aperture=recipe.exposure.aperture.exact,
            shutter_s=recipe.exposure.shutter.s,
            constant_flat=float(meter.flat_constant),
            constant_dome=float(meter.dome_constant),
            step_stops=meter.step.value,
            exposure_point=KEY_POINT,
            ambient_lux=ambient.lux if ambient is not None else None,
        )

    def _measured(self, panels: tuple[Panel, ...], lamps: list[PlacedLamp]) -> dict[str, bool]:
        known = {panel.name: panel.front.provenance == "measured" for panel in panels}
        return known | {lamp.emitter.name: lamp.lamp.output_known_by == "metered" for lamp in lamps}
