"""Whatever values the keys hold, a book is staged or told why not: no exception, every number finite."""

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thirdstop.book import strict_yaml
from thirdstop.book.marks import Path as KeyPath
from thirdstop.errors import BookFaults
from thirdstop.running import open_and_stage
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import Staging

DEMO = Path(__file__).resolve().parents[2] / "recipes"

AMOUNTS = {
    "m": ("0 cm", "1 mm", "1 cm", "15 cm", "60 cm", "1 m", "1.7 m", "2.2 m", "3 m", "12 m", "30 m", "100 m"),
    "deg": ("0 deg", "1 deg", "45 deg", "90 deg", "179 deg", "180 deg"),
    "kg": ("0 kg", "1 g", "100 kg"),
    "stops": ("-30 stops", "-1 stop", "0 stops", "30 stops"),
    "mm": ("4 mm", "85 mm", "2000 mm"),
    "J": ("0 J", "1 J", "20000 J"),
    "s": ("1/8000 s", "1 h"),
}
_UNITS = {"cm": "m", "g": "kg", "stop": "stops"}
_WRITTEN = re.compile(r"[+-]?[\d./]+ (m|cm|kg|g|deg|stops?|mm|J|s)( .*)?")


def _instead(value: Any) -> list[Any]:
    """Values that could stand where this one stands, among them the smallest and largest of their kind."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, (int, float)):
        return [0, 1, 99, 99_999, 0.5]
    if found := _WRITTEN.fullmatch(value):
        unit = _UNITS.get(found[1], found[1])
        return [amount + (found[2] or "") for amount in AMOUNTS[unit]]
    if re.fullmatch(r"[\d.]+ x [\d.]+ [cm]?m", value):
        return ["1 x 1 cm", "6 x 6 m", "1 x 600 cm", "30 x 90 cm", "4 x 150 mm"]
    return {"seated": ["standing"], "upright": ["level"]}.get(value, [])


def _leaves(data: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Any]]:
    if isinstance(data, (dict, list)):
        pairs = data.items() if isinstance(data, dict) else enumerate(data)
        for key, value in pairs:
            yield from _leaves(value, (*path, key))
    else:
        yield path, data


@cache
def _text(file: str) -> str:
    data, _, faults = strict_yaml.read((DEMO / file).read_text(encoding="utf-8"), file)
    assert not faults
    return json.dumps(data)


RECIPES = sorted(path.name for path in (DEMO / "recipes").glob("*.yaml"))


@st.composite
def changed_books(draw: st.DrawFn) -> tuple[str, str]:
    """A studio file and a recipe with one to three values swapped, as JSON, which YAML reads."""
    texts = {
        "studio.yaml": _text("studio.yaml"),
        "recipe": _text(f"recipes/{draw(st.sampled_from(RECIPES))}"),
    }
    for _ in range(draw(st.integers(1, 3))):
        which = draw(st.sampled_from(["recipe", "recipe", "studio.yaml"]))
        data = json.loads(texts[which])
        choices = [(path, new) for path, value in _leaves(data) for new in _instead(value)]
        path, new = draw(st.sampled_from(choices))
        inside = data
        for key in path[:-1]:
            inside = inside[key]
        inside[path[-1]] = new
        texts[which] = json.dumps(data)
    return texts["studio.yaml"], texts["recipe"]


def _numbers(staging: Staging) -> Iterator[Any]:
    scene = staging.scene
    faces: list[Panel | Emitter] = [*scene.panels, *scene.emitters]
    for face in faces:
        yield from (face.centre_m, face.normal)
    for solid in scene.solids:
        yield from (solid.centre_m, 1.0 / solid.semi_axes_m)
    for point in scene.points:
        yield from (point.place_m, point.direction)
    for emitter in scene.emitters:
        yield np.log(emitter.luminance_cd_s_m2)
    for item in staging.items:
        yield from (item.string_m, item.bearing_deg, item.lean_deg, item.swing_deg, item.roll_deg)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder for all examples."""
    root = tmp_path_factory.mktemp("written")
    (root / "recipes").mkdir()
    return root


@settings(max_examples=150, deadline=None, derandomize=True)
@given(changed_books())
def test_it_is_staged_or_told_why_not(folder: Path, texts: tuple[str, str]) -> None:
    """Every number of a staging is finite, every lamp gives light, and else every fault has its line."""
    (folder / "studio.yaml").write_text(texts[0], encoding="utf-8")
    (folder / "recipes" / "one.yaml").write_text(texts[1], encoding="utf-8")

    try:
        _, staged = open_and_stage(folder)
    except BookFaults as error:
        assert all(fault.wrong and fault.write and fault.line for fault in error.faults)
        return

    assert all(np.isfinite(number).all() for one in staged for number in _numbers(one.staging))
