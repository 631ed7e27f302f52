"""Luminous exposure at every measuring point of a scene, by path tracing, each with its standard error.

Lamp light is sampled on the luminous faces; the rest by rays spread over the receptor's own pattern, whose
first surface gives the class and whose radiance comes from the renderer's path tracer without a depth limit.
Only the scene's JSON (`docs/scene.md`) is read.

Rays start on randomly shifted rank-1 lattices (Cranley & Patterson 1976), or each at random; the scatter of
the means of the lattices, or of as many rays, gives the standard error.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from reference.mitsuba_scene import LLVM, SCALAR, Array, Json, find_llvm
from reference.rays import NOTHING, Caster, Indices

FIBONACCI = (89, 144, 233, 377, 610, 987, 1597, 2584, 4181, 6765, 10946, 17711, 28657)
LATTICES = 32
"""Independent lattices a round: enough of them that their scatter is a fair standard error."""
FAR = 1e4
"""Metres; farther than any surface."""


@dataclass(frozen=True, eq=False)
class Reference:
    """Path-traced luminous exposure. Axes: e lamps, p points, s surfaces (panels, then solids).

    `se_` arrays are standard errors of their namesakes.
    """

    emitters: tuple[str, ...]
    """One name an axis entry; ('all as set',) where the lamps were summed at their set powers."""
    points: tuple[str, ...]
    surfaces: tuple[str, ...]
    direct_lx_s: Array
    """Shape (e, p)."""
    se_direct_lx_s: Array
    bounced_lx_s: Array
    """Shape (e, p, s), by the last surface before the point."""
    se_bounced_lx_s: Array
    total_lx_s: Array
    """Shape (e, p)."""
    se_total_lx_s: Array

    @property
    def se_stops(self) -> Array:
        """Standard error of the total in stops, shape (e, p); infinite where nothing arrives."""
        with np.errstate(divide="ignore", invalid="ignore"):
            relative = np.where(self.total_lx_s > 0, self.se_total_lx_s / self.total_lx_s, np.inf)
        return np.asarray(relative / np.log(2))

    def to_json(self) -> dict[str, Any]:
        """JSON-ready; `from_json` gives the same back."""
        return {key: np.asarray(value).tolist() for key, value in asdict(self).items()}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Reference":
        """The inverse of `to_json`."""
        names = {"emitters", "points", "surfaces"}
        values: dict[str, Any] = {
            key: tuple(value) if key in names else np.asarray(value, dtype=float)
            for key, value in data.items()
        }
        return cls(**values)


@dataclass(frozen=True)
class Effort:
    """When to stop: every point that matters under `se_stops`, or `max_paths` at a point."""

    se_stops: float = 0.005
    matters_from: float = 1 / 64
    """Share of the key reading (see `key_index`) below which a point's noise is not chased."""
    max_paths: int = 20_000_000
    paths_a_round: int | None = None
    """None: 80,000 in waves, 7,500 in the scalar loop."""
    lattices: bool = True
    """Whether rays start on lattices; else each at random by itself, as renderers do by default."""


def key_index(points: Sequence[str], total_lx_s: Array) -> int:
    """Which point sets the exposure: the first dome under a chin, by its name, else the brightest point."""
    domes = [k for k, name in enumerate(points) if name.endswith("chin dome")]
    return domes[0] if domes else int(np.argmax(total_lx_s))


def best_variant() -> str:
    """The quick variant where its library is there, else the scalar one."""
    return LLVM if find_llvm() else SCALAR


def trace(
    scene: Json | Path,
    effort: Effort = Effort(),
    each_lamp: bool = False,
    variant: str | None = None,
    seed: int = 1,
) -> Reference:
    """The whole reference of one scene, given as its JSON data or a file of it.

    `each_lamp` gives every emitter at full power on its own; otherwise all are summed as set.
    The same seed and variant give the same numbers.
    """
    data: Json = json.loads(scene.read_text()) if isinstance(scene, Path) else scene
    variant = variant or best_variant()
    count = len(data["emitters"])
    settings = np.eye(count).tolist() if each_lamp else [[emitter["power"] for emitter in data["emitters"]]]
    runs = [_Run(data, shares, variant, effort, (seed, k)).result() for k, shares in enumerate(settings)]
    names = [emitter["name"] for emitter in data["emitters"]] if each_lamp else ["all as set"]
    direct, se_direct, bounced, se_bounced, total, se_total = (
        np.stack([run[k] for run in runs]) for k in range(6)
    )
    return Reference(
        emitters=tuple(names),
        points=tuple(point["name"] for point in data["points"]),
        surfaces=tuple(thing["name"] for thing in [*data["panels"], *data["solids"]]),
        direct_lx_s=direct,
        se_direct_lx_s=se_direct,
        bounced_lx_s=bounced,
        se_bounced_lx_s=se_bounced,
        total_lx_s=total,
        se_total_lx_s=se_total,
    )


class _Means:
    """Means of independent estimates, each of shape (k,): value and standard error."""

    def __init__(self) -> None:
        self._estimates: list[Array] = []

    def add(self, estimates: Array) -> None:
        """Estimates of shape (n, k)."""
        self._estimates.append(estimates)

    def value(self) -> tuple[Array, Array]:
        """Mean and its standard error, shape (k,) each."""
        every = np.concatenate(self._estimates)
        return every.mean(axis=0), every.std(axis=0, ddof=1) / np.sqrt(len(every))


class _Run:
    """One scene at one setting of its lamps."""

    def __init__(
        self, scene: Json, shares: list[float], variant: str, effort: Effort, seed: tuple[int, int]
    ) -> None:
        self.scene, self.shares, self.effort = scene, shares, effort
        self.caster = Caster(scene, shares, variant)
        self.random = np.random.default_rng(seed)
        self.surfaces = len(scene["panels"]) + len(scene["solids"])
        self.straight = np.zeros(self.surfaces + len(scene["emitters"]))
        self.straight[: len(scene["panels"])] = [panel["straight"] for panel in scene["panels"]]
        self.lamps = [
            _Face(emitter, share) for emitter, share in zip(scene["emitters"], shares, strict=True) if share
        ]
        points = scene["points"]
        self.direct = [_Means() for _ in points]
        self.bounced = [_Means() for _ in points]
        self.paths = np.zeros(len(points), dtype=int)
        waves = self.caster.vectorised
        self.round = _fibonacci((effort.paths_a_round or (80_000 if waves else 7_500)) / LATTICES)
        self.lamp_samples = 610 if waves else 89
        self.starts = _lattices if effort.lattices else _independent

    def result(self) -> tuple[Array, ...]:
        """Direct, bounced by surface, total, each followed by its standard error; points first."""
        todo = np.arange(len(self.scene["points"]))
        while len(todo):
            for p in todo:
                self._sample(int(p))
            todo = np.flatnonzero(self._unsettled() & (self.paths < self.effort.max_paths))
        return self._values()

    def _values(self) -> tuple[Array, ...]:
        direct = [means.value() for means in self.direct]
        bounced = [means.value() for means in self.bounced]
        d, se_d = (np.array([value[k][0] for value in direct]) for k in range(2))
        b, se_b = (np.array([value[k] for value in bounced]) for k in range(2))
        # The last column of `bounced` is the sum over surfaces, with its own scatter.
        return d, se_d, b[:, :-1], se_b[:, :-1], d + b[:, -1], np.hypot(se_d, se_b[:, -1])

    def _unsettled(self) -> np.ndarray[Any, np.dtype[np.bool_]]:
        *_, total, se = self._values()
        key = key_index([point["name"] for point in self.scene["points"]], total)
        matters = total >= self.effort.matters_from * total[key]
        return np.asarray(matters & (se > self.effort.se_stops * np.log(2) * total))

    def _sample(self, p: int) -> None:
        """One round at one point: lamp light and bounced light."""
        point = self.scene["points"][p]
        place, direction = (np.array(point[key], dtype=float) for key in ("place", "direction"))
        dome = point["receptor"] == "dome"
        self.direct[p].add(self._direct_round(place, direction, dome))
        self.bounced[p].add(self._bounced_round(place, direction, dome))
        self.paths[p] += LATTICES * self.round

    def _direct_round(self, place: Array, direction: Array, dome: bool) -> Array:
        """Lamp light, one estimate a lattice, shape (lattices, 1), lx·s."""
        total = np.zeros((LATTICES, 1))
        for lamp in self.lamps:
            uv = self.starts(self.lamp_samples, LATTICES, self.random)
            places = np.broadcast_to(place, (len(uv), 3))
            light, ways = self._lamp_light(lamp, places, uv)
            received = light * _response(ways @ direction, dome)
            total[:, 0] += received.reshape(LATTICES, -1).mean(axis=1)
        return total

    def _lamp_light(self, lamp: "_Face", places: Array, uv: Array) -> tuple[Array, Array]:
        """Normal luminous exposure at `places` as estimated by one sample `uv` each, and unit ways there."""
        spots = lamp.places(uv)
        toward = spots - places
        distance = np.linalg.norm(toward, axis=1)
        ways = toward / distance[:, None]
        cosine = -(ways @ lamp.normal)
        light = lamp.luminance(cosine) * np.maximum(cosine, 0) * lamp.area / distance**2
        open_ = np.flatnonzero(light > 0)
        light[open_] *= self._passed(places[open_], ways[open_], distance[open_])
        return light, ways

    def _passed(self, origins: Array, ways: Array, distance: Array) -> Array:
        """Share of light that passes from `origins` along `ways`: 0, 1, or what nets on the way leave."""
        share, reach = np.ones(len(origins)), distance * (1 - 1e-4)
        going = np.arange(len(origins))
        start = origins.copy()
        while len(going):
            met, far = self.caster.closest(start[going], ways[going], reach[going])
            share[going] *= np.where(met == NOTHING, 1.0, self.straight[met])
            going, far = going[(met != NOTHING) & (share[going] > 0)], far[(met != NOTHING)]
            step = far[self.straight[met[met != NOTHING]] > 0] + 1e-5
            start[going] += step[:, None] * ways[going]
            reach[going] -= step
        return share

    def _bounced_round(self, place: Array, direction: Array, dome: bool) -> Array:
        """Light by last surface, then the sum, one estimate a lattice, shape (lattices, s + 1), lx·s."""
        uv = self.starts(self.round, LATTICES, self.random)
        ways = _spread(uv, direction, dome)
        light, surface = self._bounced(np.broadcast_to(place, ways.shape).copy(), ways)
        lattice = np.repeat(np.arange(LATTICES), self.round)
        cells = lattice * self.surfaces + surface
        factor = (2 * np.pi if dome else np.pi) / self.round
        split = factor * np.bincount(cells, light, LATTICES * self.surfaces).reshape(LATTICES, -1)
        return np.hstack([split, split.sum(axis=1, keepdims=True)])

    def _bounced(self, origins: Array, ways: Array) -> tuple[Array, Indices]:
        """Radiance without the lamps' own, shape (n,), and the first surface that is not passed straight."""
        light, weight = np.zeros(len(ways)), np.ones(len(ways))
        surface, start, heading = np.full(len(ways), NOTHING), origins.copy(), ways.copy()
        going = np.arange(len(ways))
        while len(going):
            met, far = self.caster.closest(start[going], heading[going], np.full(len(going), FAR))
            nets = (met != NOTHING) & (self.straight[met] > 0)
            plain = ~nets & (met != NOTHING) & (met < self.surfaces)
            ends = going[plain]
            surface[ends] = np.where(surface[ends] == NOTHING, met[plain], surface[ends])
            if len(ends):
                seed = int(self.random.integers(2**31))
                light[ends] += weight[ends] * self.caster.radiance(start[ends], heading[ends], seed)
            going = self._at_nets(going[nets], met[nets], far[nets], start, heading, light, weight, surface)
        # A ray that only ever meets lamps keeps light 0; any surface will do for it.
        return light, np.where(surface == NOTHING, 0, surface)

    def _at_nets(
        self,
        going: Indices,
        met: Indices,
        far: Array,
        start: Array,
        heading: Array,
        light: Array,
        weight: Array,
        surface: Indices,
    ) -> Indices:
        """Move rays that meet a net on: straight through, or off its matte fibre with the lamps' light on it.

        Changes the arrays in place; returns the rays that go on (all of them).
        """
        if not len(going):
            return going
        start[going] += far[:, None] * heading[going]
        fibre = self.random.random(len(going)) >= self.straight[met]
        start[going[~fibre]] += 1e-5 * heading[going[~fibre]]
        turned, panels = going[fibre], met[fibre]
        normal = np.array([self.scene["panels"][k]["normal"] for k in panels]).reshape(-1, 3)
        front = (normal * heading[turned]).sum(axis=1) < 0
        normal *= np.where(front, 1.0, -1.0)[:, None]
        weight[turned] *= [
            _matte(self.scene["panels"][k]["front" if f else "back"])
            for k, f in zip(panels, front, strict=True)
        ]
        surface[turned] = np.where(surface[turned] == NOTHING, panels, surface[turned])
        start[turned] += 1e-5 * normal
        for lamp in self.lamps:
            received, ways = self._lamp_light(lamp, start[turned], self.random.random((len(turned), 2)))
            cosine = np.maximum((ways * normal).sum(axis=1), 0)
            light[turned] += weight[turned] * received * cosine / np.pi
        heading[turned] = _cosine_spread(self.random.random((len(turned), 2)), normal)
        return going


class _Face:
    """The luminous face of a lamp at its share of full power, to be sampled."""

    def __init__(self, emitter: Json, share: float) -> None:
        self.u, self.v, self.centre = (
            np.array(emitter[key], dtype=float) for key in ("half_u", "half_v", "centre")
        )
        across = np.cross(self.u, self.v)
        self.normal = across / np.linalg.norm(across)
        self.outline, self.law = emitter["outline"], emitter["emission"]
        shape = {"rectangle": 4.0, "ellipse": np.pi, "octagon": 8 * (np.sqrt(2) - 1)}
        self.area = float(np.linalg.norm(across)) * shape[self.outline]
        self.full = emitter["luminance_cd_s_m2"] * share

    def places(self, uv: Array) -> Array:
        """Places spread evenly over the face for numbers of shape (n, 2) in [0, 1)."""
        local = {"rectangle": _on_square, "ellipse": _on_disc, "octagon": _on_octagon}[self.outline](uv)
        return np.asarray(self.centre + local[:, :1] * self.u + local[:, 1:] * self.v)

    def luminance(self, cosine: Array) -> Array:
        """In cd·s/m² toward directions at that cosine from the normal; 0 behind."""
        safe = np.maximum(cosine, 1e-9)
        if self.law["kind"] == "gridded":
            tangent = np.sqrt(np.maximum(1 - safe**2, 0)) / safe
            relative = np.maximum(1 - tangent / np.tan(np.radians(self.law["cutoff_deg"])), 0)
        elif self.law["kind"] == "beam":
            power = np.log(0.5) / np.log(np.cos(np.radians(self.law["half_angle_deg"])))
            relative = safe ** (power - 1)
        else:
            relative = np.ones_like(safe)
        return np.where(cosine > 0, self.full * relative, 0.0)


def _on_square(uv: Array) -> Array:
    return 2 * uv - 1


def _on_disc(uv: Array) -> Array:
    radius, angle = np.sqrt(uv[:, 0]), 2 * np.pi * uv[:, 1]
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def _on_octagon(uv: Array) -> Array:
    """Eight equal triangles about the middle: which one, and where on it, from the two numbers."""
    sector = np.floor(8 * uv[:, 1])
    along, out = 8 * uv[:, 1] - sector, np.sqrt(uv[:, 0])
    angle = np.pi / 8 + sector * np.pi / 4
    corner = 1 / np.cos(np.pi / 8)
    first = corner * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    second = corner * np.stack([np.cos(angle + np.pi / 4), np.sin(angle + np.pi / 4)], axis=1)
    return np.asarray(out[:, None] * ((1 - along[:, None]) * first + along[:, None] * second))


def _matte(material: Json) -> float:
    if material["kind"] != "matte":
        raise NotImplementedError("a net that is not matte")
    return float(material["reflectance"])


def _response(cosine: Array, dome: bool) -> Array:
    """Of the receptor: cosine law, or the cardioid (1 + cos)/2."""
    return (1 + cosine) / 2 if dome else np.maximum(cosine, 0)


def _fibonacci(wanted: float) -> int:
    """The least Fibonacci number of the list that is `wanted` or more, or the largest."""
    return next((n for n in FIBONACCI if n >= wanted), FIBONACCI[-1])


def _lattices(size: int, count: int, random: np.random.Generator) -> Array:
    """`count` Fibonacci lattices of `size` places in the unit square, each shifted at random, in turn."""
    before = round(size / ((1 + np.sqrt(5)) / 2))
    k = np.arange(size)
    base = np.stack([(k + 0.5) / size, k * before / size], axis=1)
    return ((base + random.random((count, 1, 2))) % 1.0).reshape(-1, 2)


def _independent(size: int, count: int, random: np.random.Generator) -> Array:
    """As many places in the unit square, each at random by itself."""
    return random.random((count * size, 2))


def _about(axis: Array, cosine: Array, angle: Array) -> Array:
    """Unit vectors, shape (n, 3), at that cosine from `axis`, shape (3,) or (n, 3), turned by `angle`."""
    axis = np.broadcast_to(axis, (len(cosine), 3))
    helper = np.where(np.abs(axis[:, 2:]) < 0.9, [0.0, 0.0, 1.0], [1.0, 0.0, 0.0])
    across = np.cross(axis, helper)
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    up = np.cross(axis, across)
    sine = np.sqrt(np.maximum(1 - cosine**2, 0))
    return np.asarray(
        cosine[:, None] * axis
        + (sine * np.cos(angle))[:, None] * across
        + (sine * np.sin(angle))[:, None] * up
    )


def _cosine_spread(uv: Array, axis: Array) -> Array:
    return _about(axis, np.sqrt(uv[:, 0]), 2 * np.pi * uv[:, 1])


def _spread(uv: Array, axis: Array, dome: bool) -> Array:
    """Unit ways with density in proportion to the receptor's response about `axis`."""
    return _about(axis, 2 * np.sqrt(uv[:, 0]) - 1, 2 * np.pi * uv[:, 1]) if dome else _cosine_spread(uv, axis)
