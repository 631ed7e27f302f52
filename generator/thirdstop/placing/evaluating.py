"""A recipe tried with changed values: staged, charged and read, each set of changes once."""

from dataclasses import dataclass, field, replace

from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.errors import Fault
from thirdstop.exposure.charging import full_luminance
from thirdstop.exposure.meter import read
from thirdstop.exposure.predict import variations
from thirdstop.exposure.quality import ANSWER, SCAN, Quality
from thirdstop.exposure.readings import Readings, Transport
from thirdstop.exposure.transport import solve
from thirdstop.placing.values import Changes, with_changes
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging


@dataclass(eq=False)
class Evaluator:
    """Changes of one recipe in one studio → staging and readings, kept for asking again."""

    recipe: Recipe
    studio: Studio
    marks: Marks
    slug: str = "recipe"
    solved: int = 0
    """How many times light was computed."""
    _stagings: dict[Changes, tuple[Staging | None, list[Fault]]] = field(default_factory=dict)
    _readings: dict[tuple[Changes, Quality], Readings] = field(default_factory=dict)
    _transports: dict[tuple[Changes, Quality], Transport] = field(default_factory=dict)
    _luminances: dict[tuple[str, ...], float] = field(default_factory=dict)

    def staging(self, changes: Changes = ()) -> Staging | None:
        """The staging with its lamps charged; None where a fault stands in the way."""
        return self._staged(changes)[0]

    def faults(self, changes: Changes = ()) -> list[Fault]:
        """What stands in the way of staging."""
        return self._staged(changes)[1]

    def scanned(self, changes: Changes = ()) -> Readings:
        """Readings for trying; the bands leave out places and surfaces. Raises KeyError if unstaged."""
        return self._read(changes, SCAN)

    def answered(self, changes: Changes = ()) -> Readings:
        """Readings as exact as what is printed; the bands leave out places and surfaces."""
        return self._read(changes, ANSWER)

    def predicted(self, changes: Changes = ()) -> Readings:
        """Readings as printed, with their whole bands."""
        staging = self._known(changes)
        self.solved += 1
        return read(staging, self.transport(changes, ANSWER), variations(staging))

    def transport(self, changes: Changes, quality: Quality) -> Transport:
        """Light at every point from every lamp at full power."""
        key = (changes, quality)
        if key not in self._transports:
            self.solved += 1
            self._transports[key] = solve(self._known(changes).scene, quality)
        return self._transports[key]

    def _read(self, changes: Changes, quality: Quality) -> Readings:
        key = (changes, quality)
        if key not in self._readings:
            self._readings[key] = read(self._known(changes), self.transport(changes, quality))
        return self._readings[key]

    def _known(self, changes: Changes) -> Staging:
        staging = self.staging(changes)
        if staging is None:
            raise KeyError(f"can't be staged: {'; '.join(map(str, self.faults(changes)))}")
        return staging

    def _staged(self, changes: Changes) -> tuple[Staging | None, list[Fault]]:
        if changes not in self._stagings:
            staging, faults = stage(with_changes(self.recipe, changes), self.studio, self.marks, self.slug)
            self._stagings[changes] = (None if staging is None else self._charged(staging), faults)
        return self._stagings[changes]

    def _charged(self, staging: Staging) -> Staging:
        """Lamps with their output: it goes with lamp, shaper, grid and gel, not with the place."""
        emitters = []
        for emitter, lamp, light in zip(
            staging.scene.emitters, staging.lamps, self.recipe.lights, strict=True
        ):
            key = (light.lamp, light.shaper, light.grid or "", light.gel or "")
            if key not in self._luminances:
                self._luminances[key] = full_luminance(emitter, lamp, staging.meter)
            emitters.append(replace(emitter, luminance_cd_s_m2=self._luminances[key]))
        return replace(staging, scene=replace(staging.scene, emitters=tuple(emitters)))
