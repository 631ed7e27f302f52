"""Ray casting and path tracing by Mitsuba 3, numpy in and numpy out, in scalar and LLVM variants alike."""

import importlib
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from reference.mitsuba_scene import Array, Json, mitsuba_scene, renderer

Indices: TypeAlias = NDArray[np.int64]

WAVE = 50_000
"""Rays of a wave are a multiple of this."""

NOTHING = -1
"""Index of the surface that a ray meets where it meets none."""


class Caster:
    """One scene with each emitter at a share of full power.

    Surfaces are numbered panels, solids, emitters, in the scene's order.
    """

    def __init__(self, scene: Json, shares: list[float], variant: str) -> None:
        self.mi = renderer(variant)
        self.vectorised = not variant.startswith("scalar")
        self._bare, self._lit = mitsuba_scene(self.mi, scene, shares)
        names = [
            f"{kind}_{k}" for kind in ("panel", "solid", "emitter") for k in range(len(scene[f"{kind}s"]))
        ]
        self._number = {name: k for k, name in enumerate(names)}
        # Both integrators are exact; `volpath` also samples lamps through nets, `path` is the quicker one.
        nets = any(panel["straight"] > 0 for panel in scene["panels"])
        kind = "volpath" if nets else "path"
        self._integrator = self.mi.load_dict({"type": kind, "max_depth": -1, "rr_depth": 5})
        self._sampler = self.mi.load_dict({"type": "independent"})

    def closest(self, origins: Array, directions: Array, reach: Array) -> tuple[Indices, Array]:
        """First surface met within `reach`, shape (n,), and its distance, shape (n,), metres.

        `origins` and unit `directions` have shape (n, 3). Where nothing is met: NOTHING and the reach.
        """
        return (self._closest_wave if self.vectorised else self._closest_loop)(origins, directions, reach)

    def radiance(self, origins: Array, directions: Array, seed: int) -> Array:
        """One path-traced estimate a ray of the light that comes along it, shape (n,), no depth limit."""
        return (self._radiance_wave if self.vectorised else self._radiance_loop)(origins, directions, seed)

    def _closest_loop(self, origins: Array, directions: Array, reach: Array) -> tuple[Indices, Array]:
        met, far = np.full(len(origins), NOTHING, dtype=np.int64), reach.copy()
        ray, number, cast = self.mi.Ray3f, self._number, self._bare.ray_intersect_preliminary
        for k, (o, d, r) in enumerate(
            zip(origins.tolist(), directions.tolist(), reach.tolist(), strict=True)
        ):
            found = cast(ray(o, d, r, 0.0, []))
            if found.is_valid():
                met[k], far[k] = number[(found.instance or found.shape).id()], found.t
        return met, far

    def _radiance_loop(self, origins: Array, directions: Array, seed: int) -> Array:
        ray, sampler, scene = self.mi.RayDifferential3f, self._sampler, self._lit
        sample = self._integrator.sample
        sampler.seed(seed)
        pairs = zip(origins.tolist(), directions.tolist(), strict=True)
        return np.array([sample(scene, sampler, ray(o, d, 0.0, []))[0][0] for o, d in pairs])

    def _closest_wave(self, origins: Array, directions: Array, reach: Array) -> tuple[Indices, Array]:
        dr = importlib.import_module("drjit")
        mi = self.mi
        ray = mi.Ray3f(mi.Point3f(origins.T), mi.Vector3f(directions.T), mi.Float(reach), 0.0, [])
        found = self._bare.ray_intersect_preliminary(ray)
        whole = dr.select(found.instance != None, found.instance, found.shape)  # noqa: E711 - elementwise
        keys = np.asarray(dr.reinterpret_array(mi.UInt32, whole)).astype(np.int64)
        valid = np.asarray(found.is_valid())
        met = np.where(valid, self._wave_numbers()[keys], NOTHING)
        return met, np.where(valid, np.asarray(found.t, dtype=float), reach)

    def _wave_numbers(self) -> Indices:
        """Our number of each shape, by the renderer's own registry number."""
        if not hasattr(self, "_numbers"):
            dr = importlib.import_module("drjit")
            shapes = self._bare.shapes()
            keys = [int(dr.reinterpret_array(self.mi.UInt32, self.mi.ShapePtr(s))[0]) for s in shapes]
            self._numbers = np.full(max(keys) + 2, NOTHING, dtype=np.int64)
            self._numbers[keys] = [self._number[shape.id()] for shape in shapes]
        return self._numbers

    def _radiance_wave(self, origins: Array, directions: Array, seed: int) -> Array:
        mi: Any = self.mi
        dr = importlib.import_module("drjit")
        # Each size of a wave compiles its own kernel, for seconds; so waves are filled up to few sizes.
        size = WAVE * -(-len(origins) // WAVE)
        rays = np.arange(size) % len(origins)
        sampler = self._sampler.clone()
        sampler.seed(dr.opaque(mi.UInt32, seed), size)
        ray = mi.RayDifferential3f(mi.Point3f(origins[rays].T), mi.Vector3f(directions[rays].T), 0.0, [])
        spectrum, _, _ = self._integrator.sample(self._lit, sampler, ray)
        return np.asarray(spectrum, dtype=float).reshape(-1)[: len(origins)]
