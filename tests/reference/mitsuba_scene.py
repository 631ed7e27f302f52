"""The scene's JSON (`docs/scene.md`) as a scene of the renderer Mitsuba 3.

Plugins are stock wherever one does exactly what the format says (each is checked in the tests):

* matte: `twosided` `diffuse`;
* metallised: `blendbsdf` of `diffuse` and `roughconductor` (GGX, material 'none': facets without Fresnel);
* translucent: `blendbsdf` of `diffuse` and `principledthin` with diff_trans 2, which leaves nothing but
  Lambertian transmission;
* net: `mask`;
* ellipsoid: `instance` of a fine mesh of the unit sphere (in single precision the stock `sphere` puts
  what a ray meets up to millimetres off its surface, which then shades itself);
* gridded and beam faces: `DirectionalFace` below, the only plugin of our own.
"""

import importlib
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Json: TypeAlias = Mapping[str, Any]
Array: TypeAlias = NDArray[np.float64]

SCALAR = "scalar_rgb"
"""Needs nothing but the package; one core."""
LLVM = "llvm_ad_mono"
"""About ten times as fast; needs a shared LLVM library, 16 or later."""


def find_llvm() -> str | None:
    """Path of a shared LLVM library that the renderer can use (15 and before abort), or None."""
    if "DRJIT_LIBLLVM_PATH" in os.environ:
        return os.environ["DRJIT_LIBLLVM_PATH"]
    for version in range(22, 15, -1):
        for pattern in (f"*/libLLVM-{version}.so", f"llvm-{version}/lib/libLLVM*.so*"):
            if found := sorted(Path("/usr/lib").glob(pattern)):
                return str(found[0])
    return None


def renderer(variant: str) -> Any:
    """The module `mitsuba` set to `variant`, with the directional emitter registered.

    Raises ImportError where the package, the variant or (for LLVM) its library is missing.
    """
    if variant.startswith("llvm"):
        library = find_llvm()
        if library is None:
            raise ImportError("no shared LLVM library, version 16 or later; use the scalar variant")
        os.environ["DRJIT_LIBLLVM_PATH"] = library
    mi = importlib.import_module("mitsuba")
    if mi.variant() != variant:
        mi.set_variant(variant)
        mi.set_log_level(mi.LogLevel.Error)
        _register_directional_face(mi)
    return mi


def _register_directional_face(mi: Any) -> None:
    """Register the emitter 'directional_face': an area emitter whose luminance depends on the angle.

    `law` 'gridded' with `parameter` tan(cutoff), 'beam' with `parameter` n − 1, as in `docs/scene.md`.
    """
    dr = importlib.import_module("drjit")

    class DirectionalFace(mi.Emitter):  # type: ignore[misc, name-defined, unused-ignore]
        def __init__(self, props: Any) -> None:
            super().__init__(props)
            self.gridded = props["law"] == "gridded"
            self.parameter = float(props["parameter"])
            self.luminance = float(props["luminance"])
            self.m_flags = +mi.EmitterFlags.Surface

        def radiance(self, cosine: Any, active: Any) -> Any:
            safe = dr.maximum(cosine, 1e-6)
            if self.gridded:
                tangent = dr.sqrt(dr.maximum(1 - safe * safe, 0)) / safe
                relative = dr.maximum(1 - tangent / self.parameter, 0)
            else:
                relative = dr.power(safe, self.parameter)
            return mi.Spectrum(dr.select(active & (cosine > 1e-6), self.luminance * relative, 0))

        def eval(self, si: Any, active: Any = True) -> Any:
            return self.radiance(mi.Frame3f.cos_theta(si.wi), active)

        def sample_direction(self, it: Any, sample: Any, active: Any = True) -> Any:
            ds = self.get_shape().sample_direction(it, sample, active)
            usable = active & (dr.dot(ds.d, ds.n) < 0) & (ds.pdf != 0)
            ds.emitter = mi.EmitterPtr(self) if hasattr(mi, "EmitterPtr") else self
            weight = self.radiance(-dr.dot(ds.d, ds.n), usable) / dr.select(usable, ds.pdf, 1)
            return ds, weight

        def pdf_direction(self, it: Any, ds: Any, active: Any = True) -> Any:
            usable = active & (dr.dot(ds.d, ds.n) < 0)
            return dr.select(usable, self.get_shape().pdf_direction(it, ds, usable), 0)

        def eval_direction(self, it: Any, ds: Any, active: Any = True) -> Any:
            return self.radiance(-dr.dot(ds.d, ds.n), active)

        def to_string(self) -> str:
            return "DirectionalFace[]"

    mi.register_emitter("directional_face", DirectionalFace)


def lobe_albedo(alpha: float, steps: int = 100_000) -> float:
    """Share of light at normal incidence that a GGX lobe returns (Smith, separable, no Fresnel term).

    Half-vector integral of D·G1(out)·cos over the slopes that reflect above the surface; with
    t = tan² of the facet's slope D cos dω = α²/(α²+t)² dt, and out lies at twice the slope.
    (Walter et al., Microfacet Models for Refraction through Rough Surfaces, 2007, for D and G1.)
    """
    t = (np.arange(steps) + 0.5) / steps
    tan2_out = 4 * t / (1 - t) ** 2
    shadowing = 2 / (1 + np.sqrt(1 + alpha**2 * tan2_out))
    return float(np.mean(alpha**2 / (alpha**2 + t) ** 2 * shadowing))


def _uniform(value: float) -> dict[str, Any]:
    return {"type": "uniform", "value": float(value)}


def _diffuse(reflectance: float) -> dict[str, Any]:
    return {"type": "diffuse", "reflectance": _uniform(reflectance)}


def _reflecting(material: Json) -> dict[str, Any]:
    """One side of a panel that passes no light."""
    if material["kind"] == "matte":
        return _diffuse(material["reflectance"])
    total, share, alpha = material["reflectance"], material["matte_share"], material["ggx_alpha"]
    lobe, matte = total * (1 - share) / lobe_albedo(alpha), total * share
    if lobe == 0:
        return _diffuse(matte)
    weight = lobe / (lobe + matte)
    conductor = {
        "type": "roughconductor",
        "material": "none",
        "distribution": "ggx",
        "alpha": float(alpha),
        "specular_reflectance": _uniform(lobe / weight),
    }
    if weight == 1:
        return conductor
    return {
        "type": "blendbsdf",
        "weight": float(weight),
        "matte": _diffuse(matte / (1 - weight)),
        "lobe": conductor,
    }


def _translucent(material: Json) -> dict[str, Any]:
    passed, returned = material["transmittance"], material["reflectance"]
    share = passed / (passed + returned)
    passing = {
        "type": "principledthin",
        "base_color": _uniform(passed / share if share else 0),
        "diff_trans": 2.0,
        "spec_trans": 0.0,
    }
    if share == 1:
        return passing
    returning = {"type": "twosided", "side": _diffuse(returned / (1 - share))}
    return {"type": "blendbsdf", "weight": float(share), "returning": returning, "passing": passing}


def panel_bsdf(panel: Json) -> dict[str, Any]:
    """Material of both sides; raises NotImplementedError where one side alone is translucent."""
    kinds = {panel["front"]["kind"], panel["back"]["kind"]}
    if kinds == {"translucent"} and panel["front"] == panel["back"]:
        bsdf = _translucent(panel["front"])
    elif "translucent" in kinds:
        raise NotImplementedError(f"{panel['name']}: translucent from one side only")
    else:
        bsdf = {
            "type": "twosided",
            "front": _reflecting(panel["front"]),
            "back": _reflecting(panel["back"]),
        }
    if panel["straight"] > 0:
        bsdf = {"type": "mask", "opacity": float(1 - panel["straight"]), "nested": bsdf}
    return bsdf


def _frame(columns: Array, centre: Array) -> Array:
    matrix = np.eye(4)
    matrix[:3, :3], matrix[:3, 3] = columns, centre
    return matrix


def _mesh(mi: Any, corners: Array, faces: Array, bsdf: Any, emitter: Any = None) -> Any:
    """Flat triangles: `corners` of shape (n, 3), `faces` of shape (m, 3)."""
    props = mi.Properties()
    props["bsdf"] = mi.load_dict(bsdf)
    if emitter is not None:
        props["emitter"] = mi.load_dict(emitter)
    mesh = mi.Mesh("mesh", len(corners), len(faces), props=props, has_vertex_normals=False)
    parameters = mi.traverse(mesh)
    parameters["vertex_positions"] = corners.astype(np.float32).ravel()
    parameters["faces"] = faces.astype(np.uint32).ravel()
    parameters.update()
    return mesh


def _octagon(mi: Any, u: Array, v: Array, centre: Array, bsdf: Any, emitter: Any) -> Any:
    """A regular octagon as six triangles about its first corner."""
    t = np.sqrt(2.0) - 1.0
    uv = np.array([(1, t), (t, 1), (-t, 1), (-1, t), (-1, -t), (-t, -1), (t, -1), (1, -t)])
    faces = np.array([(0, k, k + 1) for k in range(1, 7)])
    return _mesh(mi, centre + uv @ np.stack([u, v]), faces, bsdf, emitter)


def ball(rings: int = 120) -> tuple[Array, Array]:
    """The unit sphere as triangles (corners, faces), scaled to the sphere's volume.

    Between the poles `rings` − 1 rings of 2·`rings` corners each.
    """
    around = 2 * rings
    polar = np.pi * np.arange(1, rings) / rings
    turn = 2 * np.pi * np.arange(around) / around
    ring = np.stack(
        [
            np.outer(np.sin(polar), np.cos(turn)),
            np.outer(np.sin(polar), np.sin(turn)),
            np.outer(np.cos(polar), np.ones(around)),
        ],
        axis=-1,
    ).reshape(-1, 3)
    corners = np.vstack([ring, [(0, 0, 1), (0, 0, -1)]])
    top, bottom = len(ring), len(ring) + 1
    here = np.arange(around)
    after = (here + 1) % around
    last = (rings - 2) * around
    faces = [np.stack([np.full(around, top), here, after], axis=1)]
    for row in range(0, last, around):
        faces.append(np.stack([row + here, row + around + here, row + after], axis=1))
        faces.append(np.stack([row + after, row + around + here, row + around + after], axis=1))
    faces.append(np.stack([np.full(around, bottom), last + after, last + here], axis=1))
    triangles = np.vstack(faces)
    volume = np.linalg.det(corners[triangles]).sum() / 6
    return corners * (4 * np.pi / 3 / volume) ** (1 / 3), triangles


def face_shape(mi: Any, face: Json, bsdf: dict[str, Any], emitter: dict[str, Any] | None = None) -> Any:
    """A flat face: a dictionary for `load_dict`, or a mesh where no stock shape is right."""
    u, v, centre = (np.asarray(face[key], dtype=float) for key in ("half_u", "half_v", "centre"))
    if face["outline"] == "octagon":
        return _octagon(mi, u, v, centre, bsdf, emitter)
    normal = np.cross(u, v)
    columns = np.stack([u, v, normal / np.linalg.norm(normal)], axis=1)
    shape = {
        "type": "rectangle" if face["outline"] == "rectangle" else "disk",
        "to_world": mi.ScalarTransform4f(_frame(columns, centre)),
        "bsdf": bsdf,
    }
    if emitter is not None:
        shape["emitter"] = emitter
    return shape


def _ball(material: Json) -> str:
    """Name of the group that holds the unit sphere of a material."""
    return f"ball {sorted(material.items())}".replace(".", "_")


def ball_groups(mi: Any, scene: Json) -> dict[str, Any]:
    """A group with the unit sphere for each material of the solids; fewer plugins trace faster."""
    corners, faces = ball()
    groups = {}
    for material in (solid["material"] for solid in scene["solids"]):
        skin = {"type": "twosided", "skin": _reflecting(material)}
        groups[_ball(material)] = {"type": "shapegroup", "sphere": _mesh(mi, corners, faces, skin)}
    return groups


def solid_shape(mi: Any, solid: Json) -> dict[str, Any]:
    """An ellipsoid: the affine instance of the unit sphere."""
    columns = np.asarray(solid["axes"], dtype=float).T * np.asarray(solid["semi_axes"], dtype=float)
    matrix = _frame(columns, np.asarray(solid["centre"], dtype=float))
    return {
        "type": "instance",
        "to_world": mi.ScalarTransform4f(matrix),
        "group": {"type": "ref", "id": _ball(solid["material"])},
    }


def emission(emitter: Json, share: float) -> dict[str, Any] | None:
    """The emitter plugin at `share` of full power, or None where it is off."""
    luminance = emitter["luminance_cd_s_m2"] * share
    law = emitter["emission"]
    if luminance == 0:
        return None
    if law["kind"] == "lambertian":
        return {"type": "area", "radiance": _uniform(luminance)}
    if law["kind"] == "gridded":
        parameter = np.tan(np.radians(law["cutoff_deg"]))
    else:
        parameter = np.log(0.5) / np.log(np.cos(np.radians(law["half_angle_deg"]))) - 1
    return {
        "type": "directional_face",
        "law": law["kind"],
        "parameter": float(parameter),
        "luminance": float(luminance),
    }


def mitsuba_scene(mi: Any, scene: Json, shares: list[float]) -> tuple[Any, Any]:
    """The whole scene with each emitter at its share of full power, twice: by name, and merged.

    By name, shapes are called panel_0…, solid_0…, emitter_0…, in the scene's order. Merged, panels of one
    material are a single mesh without a name of its own, which traces in two thirds of the time.
    """
    parts: dict[str, Any] = {"type": "scene", **ball_groups(mi, scene)}
    for k, panel in enumerate(scene["panels"]):
        parts[f"panel_{k}"] = face_shape(mi, panel, panel_bsdf(panel))
    for k, solid in enumerate(scene["solids"]):
        parts[f"solid_{k}"] = solid_shape(mi, solid)
    for k, (emitter, share) in enumerate(zip(scene["emitters"], shares, strict=True)):
        parts[f"emitter_{k}"] = face_shape(mi, emitter, _diffuse(0), emission(emitter, share))
    return mi.load_dict(parts, optimize=False), mi.load_dict(parts, optimize=True)
