"""The scene as plain JSON, so that any other renderer can be fed with it (`meter RECIPE --scene`).

The format is documented in `docs/scene.md` and holds geometry and materials only, no results.
Metres; x camera-right, y away from the camera, z up; angles in degrees.
"""

from typing import Any

import numpy as np

from thirdstop.staging.materials import Material, Matte, Metallised
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Beam, Ellipsoid, Emission, Emitter, Gridded, Panel
from thirdstop.staging.staging import Scene

FORMAT = "thirdstop scene 1"


def scene_json(scene: Scene) -> dict[str, Any]:
    """The whole scene as JSON-ready data, lengths in metres rounded to a micrometre."""
    return {
        "format": FORMAT,
        "unit": "metre",
        "panels": [_panel(panel) for panel in scene.panels],
        "solids": [_solid(solid) for solid in scene.solids],
        "emitters": [_emitter(emitter) for emitter in scene.emitters],
        "points": [_point(point) for point in scene.points],
    }


def _numbers(values: Any) -> list[Any]:
    rounded: list[Any] = np.round(np.asarray(values, dtype=float), 9).tolist()
    return rounded


def _material(material: Material) -> dict[str, Any]:
    if isinstance(material, Matte):
        return {"kind": "matte", "reflectance": material.reflectance}
    if isinstance(material, Metallised):
        return {
            "kind": "metallised",
            "reflectance": material.reflectance,
            "ggx_alpha": material.roughness,
            "matte_share": material.matte_share,
            "shift_mired": material.shift_mired,
        }
    return {
        "kind": "translucent",
        "transmittance": material.transmittance,
        "reflectance": material.reflectance,
    }


def _emission(emission: Emission) -> dict[str, Any]:
    if isinstance(emission, Gridded):
        return {"kind": "gridded", "cutoff_deg": emission.cutoff_deg}
    if isinstance(emission, Beam):
        return {"kind": "beam", "half_angle_deg": emission.half_angle_deg}
    return {"kind": "lambertian"}


def _panel(panel: Panel) -> dict[str, Any]:
    return {
        "name": panel.name,
        "role": panel.role,
        "outline": panel.outline,
        "centre": _numbers(panel.centre_m),
        "half_u": _numbers(panel.half_u_m),
        "half_v": _numbers(panel.half_v_m),
        "normal": _numbers(panel.normal),
        "corners": _numbers(panel.corners_m),
        "front": _material(panel.front),
        "back": _material(panel.back),
        "straight": panel.straight,
    }


def _solid(solid: Ellipsoid) -> dict[str, Any]:
    return {
        "name": solid.name,
        "part": solid.part,
        "sitter": solid.sitter,
        "centre": _numbers(solid.centre_m),
        "semi_axes": _numbers(solid.semi_axes_m),
        "axes": _numbers(solid.axes.T),
        "material": _material(solid.material),
    }


def _emitter(emitter: Emitter) -> dict[str, Any]:
    return {
        "name": emitter.name,
        "outline": emitter.outline,
        "centre": _numbers(emitter.centre_m),
        "half_u": _numbers(emitter.half_u_m),
        "half_v": _numbers(emitter.half_v_m),
        "normal": _numbers(emitter.normal),
        "corners": _numbers(emitter.corners_m),
        "emission": _emission(emitter.emission),
        "luminance_cd_s_m2": emitter.luminance_cd_s_m2,
        "power": emitter.power,
    }


def _point(point: MeasuringPoint) -> dict[str, Any]:
    return {
        "name": point.name,
        "place": _numbers(point.place_m),
        "direction": _numbers(point.direction),
        "receptor": point.receptor,
        "sitter": point.sitter,
    }
