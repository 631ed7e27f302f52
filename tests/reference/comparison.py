"""The engine beside the reference: one row a point, and a store of references on disk."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from reference.mitsuba_scene import Array, Json
from reference.path_tracer import Effort, Reference, key_index, trace
from thirdstop.exposure.readings import Transport
from thirdstop.staging.materials import Material, Matte, Metallised, Translucent
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Beam, Ellipsoid, Emission, Emitter, Gridded, Lambertian, Panel
from thirdstop.staging.staging import Scene

RELEVANT_FROM = 1 / 64
"""Of the key reading: what the accuracy is asked for."""
FORMAT = 3
"""Of the stored references; raise it when the reference changes what it computes."""


@dataclass(frozen=True)
class Row:
    """One measuring point of one scene."""

    scene: str
    point: str
    engine_lx_s: float
    reference_lx_s: float
    error_stops: float
    """log2(engine / reference)."""
    se_stops: float
    """Standard error of the reference, in stops."""
    relevant: bool
    """Whether it gets more than 1/64 of the key reading."""
    culprit: str
    """The class of light that differs most: 'direct' or the surface of the last bounce."""
    culprit_share: float
    """That difference, engine − reference, as a share of the reference's total."""
    culprit_se: float


def as_set(transport: Transport, shares: Array) -> tuple[Array, Array]:
    """The engine's direct (p,) and bounced (p, s) light with its lamps at those shares of full power."""
    return shares @ transport.direct_lx_s, np.einsum("e,eps->ps", shares, transport.bounced_lx_s)


def rows(name: str, scene: Scene, transport: Transport, reference: Reference) -> list[Row]:
    """Every point of a scene, all lamps as set."""
    shares = np.array([lamp.power for lamp in scene.emitters])
    direct, bounced = as_set(transport, shares)
    engine = direct + bounced.sum(axis=1)
    total, se = reference.total_lx_s[0], reference.se_stops[0]
    key = key_index(reference.points, total)
    engine_split = np.column_stack([direct, bounced])
    reference_split = np.column_stack([reference.direct_lx_s[0], reference.bounced_lx_s[0]])
    split_se = np.column_stack([reference.se_direct_lx_s[0], reference.se_bounced_lx_s[0]])
    labels = ["direct", *reference.surfaces]
    found = []
    for p, point in enumerate(reference.points):
        difference = engine_split[p] - reference_split[p]
        worst = int(np.argmax(np.abs(difference)))
        found.append(
            Row(
                scene=name,
                point=point,
                engine_lx_s=float(engine[p]),
                reference_lx_s=float(total[p]),
                error_stops=_stops(float(engine[p]), float(total[p])),
                se_stops=float(se[p]),
                relevant=bool(total[p] > RELEVANT_FROM * total[key]),
                culprit=labels[worst],
                culprit_share=float(difference[worst] / total[p]) if total[p] else 0.0,
                culprit_se=float(split_se[p, worst] / total[p]) if total[p] else 0.0,
            )
        )
    return found


def _stops(a: float, b: float) -> float:
    return float(np.log2(a / b)) if a > 0 and b > 0 else float("inf") if a != b else 0.0


def digest(data: Json) -> str:
    """A name for a scene's JSON: equal data, equal name."""
    return hashlib.sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()[:16]


def stored_trace(data: Json, effort: Effort, folder: Path, variant: str | None = None) -> Reference:
    """`trace`, or what an earlier call for the same scene stored in `folder` with at least this effort."""
    for file in sorted(folder.glob(f"{digest(data)}-*.json")):
        stored = json.loads(file.read_text())
        if stored["format"] == FORMAT and _covers(stored["effort"], effort):
            return Reference.from_json(stored["reference"])
    reference = trace(data, effort, variant=variant)
    folder.mkdir(parents=True, exist_ok=True)
    content = {"format": FORMAT, "effort": asdict(effort), "reference": reference.to_json()}
    (folder / f"{digest(data)}-{digest(asdict(effort))}.json").write_text(json.dumps(content))
    return reference


def _covers(done: Mapping[str, Any], asked: Effort) -> bool:
    """Whether a trace with the effort `done` is at least as good as what is asked."""
    return bool(
        done["se_stops"] <= asked.se_stops
        and done["matters_from"] <= asked.matters_from
        and done["max_paths"] >= asked.max_paths
        and done.get("lattices", True) == asked.lattices
    )


def scene_from_json(data: Json) -> Scene:
    """The engine's scene of the JSON that `thirdstop meter --scene` prints."""
    panels = tuple(
        Panel(
            name=panel["name"],
            role=panel["role"],
            centre_m=_array(panel["centre"]),
            half_u_m=_array(panel["half_u"]),
            half_v_m=_array(panel["half_v"]),
            front=_material(panel["front"]),
            back=_material(panel["back"]),
            outline=panel["outline"],
            straight=panel["straight"],
        )
        for panel in data["panels"]
    )
    return Scene(panels, _solids(data), _emitters(data), _points(data))


def _solids(data: Json) -> tuple[Ellipsoid, ...]:
    return tuple(
        Ellipsoid(
            name=solid["name"],
            part=solid["part"],
            sitter=solid["sitter"],
            centre_m=_array(solid["centre"]),
            semi_axes_m=_array(solid["semi_axes"]),
            axes=_array(solid["axes"]).T,
            material=Matte(solid["material"]["reflectance"]),
        )
        for solid in data["solids"]
    )


def _emitters(data: Json) -> tuple[Emitter, ...]:
    return tuple(
        Emitter(
            name=emitter["name"],
            centre_m=_array(emitter["centre"]),
            half_u_m=_array(emitter["half_u"]),
            half_v_m=_array(emitter["half_v"]),
            outline=emitter["outline"],
            emission=_emission(emitter["emission"]),
            luminance_cd_s_m2=emitter["luminance_cd_s_m2"],
            power=emitter["power"],
        )
        for emitter in data["emitters"]
    )


def _points(data: Json) -> tuple[MeasuringPoint, ...]:
    return tuple(
        MeasuringPoint(
            point["name"],
            _array(point["place"]),
            _array(point["direction"]),
            point["receptor"],
            point["sitter"],
        )
        for point in data["points"]
    )


def _array(values: Any) -> Array:
    return np.array(values, dtype=float)


def _material(data: Mapping[str, Any]) -> Material:
    if data["kind"] == "matte":
        return Matte(data["reflectance"])
    if data["kind"] == "metallised":
        return Metallised(data["reflectance"], data["ggx_alpha"], data["matte_share"], data["shift_mired"])
    return Translucent(data["transmittance"], data["reflectance"])


def _emission(data: Mapping[str, Any]) -> Emission:
    if data["kind"] == "gridded":
        return Gridded(data["cutoff_deg"])
    if data["kind"] == "beam":
        return Beam(data["half_angle_deg"])
    return Lambertian()
