"""A recipe tried with changed values: staged, charged and read, each set of changes once."""

import pickle
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.errors import Fault
from thirdstop.exposure.arranged import read_points
from thirdstop.exposure.charging import full_luminance
from thirdstop.exposure.kept import Kept, Key, alike
from thirdstop.exposure.meter import for_ratio, read
from thirdstop.exposure.predict import variations
from thirdstop.exposure.quality import ANSWER, SCAN, Quality
from thirdstop.exposure.readings import Readings, Transport
from thirdstop.exposure.transport import solve
from thirdstop.placing.values import Changes, with_changes
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Scene, Staging
from thirdstop.typed import Array

World: TypeAlias = Callable[[Scene], Scene]
"""A cause: the scene as assumed → the scene as it would be. Never an answer."""


@dataclass(eq=False)
class Shared:
    """What evaluators of one studio need compute only once."""

    luminances: dict[tuple[str, ...], float] = field(default_factory=dict)
    """Lamp, shaper, grid, gel → luminance × time of the face at full power."""
    transports: dict[tuple[Key, Quality, frozenset[str] | None], tuple[Transport, Array]] = field(
        default_factory=dict
    )
    """Light by scene and points read, whatever the lamps' output, with the output (e,) that it was computed
    for.
    """
    kept: Kept = field(default_factory=Kept)
    stagings: dict[bytes, "_Staged"] = field(default_factory=dict)
    """By the recipe with its changes, its slug, and which studio and marks it is staged by."""


@dataclass(frozen=True, eq=False)
class _Staged:
    """A recipe staged, lamps charged, before any cause is put on it."""

    staging: Staging | None
    faults: list[Fault]
    by: tuple[Studio, Marks]
    """Held, so that nothing else is taken for them while this is kept."""


@dataclass(eq=False)
class Evaluator:
    """Changes of one recipe in one studio → staging and readings, kept for asking again."""

    recipe: Recipe
    studio: Studio
    marks: Marks
    slug: str = "recipe"
    world: World | None = None
    """What is otherwise than assumed (a brighter wall, a sitter off the mark): put on every staging."""
    solved: int = 0
    """How many times light was computed."""
    _stagings: dict[Changes, tuple[Staging | None, list[Fault]]] = field(default_factory=dict)
    _readings: dict[tuple[Changes, Quality], Readings] = field(default_factory=dict)
    _transports: dict[tuple[Changes, Quality], Transport] = field(default_factory=dict)
    shared: Shared = field(default_factory=Shared)
    scanning: Quality | None = None
    """For trying; left out: SCAN."""

    def staging(self, changes: Changes = ()) -> Staging | None:
        """The staging with its lamps charged; None where a fault stands in the way."""
        return self._staged(changes)[0]

    def faults(self, changes: Changes = ()) -> list[Fault]:
        """What stands in the way of staging."""
        return self._staged(changes)[1]

    def scanned(self, changes: Changes = ()) -> Readings:
        """Readings for trying; the bands leave out places and surfaces. Raises KeyError if unstaged."""
        return self._read(changes, self.scanning or SCAN)

    def glanced(self, changes: Changes = ()) -> Readings:
        """The same of key reading and ratio alone: no other point is read. Raises KeyError if unstaged."""
        staging = self._known(changes)
        read_at = for_ratio(staging)
        transport = self._solved(staging.scene, self.scanning or SCAN, read_at)
        scene = replace(staging.scene, points=read_points(staging.scene, read_at))
        return read(replace(staging, scene=scene), transport)

    def answered(self, changes: Changes = ()) -> Readings:
        """Readings as exact as what is printed; the bands leave out places and surfaces."""
        return self._read(changes, ANSWER)

    def predicted(self, changes: Changes = ()) -> Readings:
        """Readings as printed, with their whole bands."""
        staging = self._known(changes)
        self.solved += 1
        return read(staging, self.transport(changes, ANSWER), variations(staging, kept=self.shared.kept))

    def transport(self, changes: Changes, quality: Quality) -> Transport:
        """Light at every point from every lamp at full power."""
        key = (changes, quality)
        if key not in self._transports:
            self._transports[key] = self._solved(self._known(changes).scene, quality)
        return self._transports[key]

    def _solved(self, scene: Scene, quality: Quality, read_at: frozenset[str] | None = None) -> Transport:
        """As solved before where only the lamps' output differs: light goes with it."""
        key = (alike(scene), quality, read_at)
        output = np.array([emitter.luminance_cd_s_m2 for emitter in scene.emitters])
        if key not in self.shared.transports:
            self.solved += 1
            self.shared.transports[key] = (
                solve(scene, quality, self.shared.kept, read_at=read_at),
                output,
            )
        transport, was = self.shared.transports[key]
        if (output == was).all():
            return transport
        share = output / was
        return replace(
            transport,
            direct_lx_s=transport.direct_lx_s * share[:, None],
            bounced_lx_s=transport.bounced_lx_s * share[:, None, None],
        )

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
            one = self._plain(with_changes(self.recipe, changes))
            staging = one.staging
            if staging is not None and self.world is not None:
                staging = replace(staging, scene=self.world(staging.scene))
            self._stagings[changes] = (staging, one.faults)
        return self._stagings[changes]

    def _plain(self, recipe: Recipe) -> _Staged:
        """As staged before where the same values were: causes and rows try the same set-ups over and over."""
        key = pickle.dumps((recipe, self.slug, id(self.studio), id(self.marks)))
        if key not in self.shared.stagings:
            staging, faults = stage(recipe, self.studio, self.marks, self.slug)
            charged = None if staging is None else self._charged(staging)
            self.shared.stagings[key] = _Staged(charged, faults, (self.studio, self.marks))
        return self.shared.stagings[key]

    def _charged(self, staging: Staging) -> Staging:
        """Lamps with their output: it goes with lamp, shaper, grid and gel, not with the place."""
        emitters = []
        for emitter, lamp, light in zip(
            staging.scene.emitters, staging.lamps, self.recipe.lights, strict=True
        ):
            key = (light.lamp, light.shaper, light.grid or "", light.gel or "")
            if key not in self.shared.luminances:
                self.shared.luminances[key] = full_luminance(emitter, lamp, staging.meter)
            emitters.append(replace(emitter, luminance_cd_s_m2=self.shared.luminances[key]))
        return replace(staging, scene=replace(staging.scene, emitters=tuple(emitters)))
