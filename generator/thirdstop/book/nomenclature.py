"""Writes docs/nomenclature.md: every key of the book's files once, with its kind, unit and meaning."""

import sys
from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel

from thirdstop.book.log import Shoot
from thirdstop.book.metering import Metering
from thirdstop.book.recipe import Recipe
from thirdstop.book.schema import Schema, branches, resolved, schema_of
from thirdstop.book.studio import Studio

UNITS = {
    # kind → (units as written in a file, what Python holds)
    "Angle": ("deg, °", "`Angle.deg`"),
    "Aperture or meter reading": ("f/, and a part of a stop", "`Aperture.n`, `.plus_stops`, `.exact`"),
    "Click": ("click, counted from 1", "`Click.number`"),
    "Colour temperature": ("K", "`Temperature.k`"),
    "Correlation": ("none: -1 to 1", "`float`"),
    "Count": ("none", "`int`"),
    "Date": ("year-month-day", "`datetime.date`"),
    "Dioptre": ("D", "`Dioptre.per_m`"),
    "Distance along the camera line": (
        "m, cm, mm, ft, in; toward camera or away from camera",
        "`Toward.m`, toward positive",
    ),
    "Distance to one side": ("m, cm, mm, ft, in; camera-left or camera-right", "`Side.m`, right positive"),
    "Efficacy": ("lm·s/J", "`Efficacy.lm_s_j`"),
    "Flash energy": ("J, Ws, kJ", "`Energy.j`"),
    "Focal length": ("mm", "`FocalLength.mm`"),
    "Guide number": ("m, ft", "`GuideNumber.m`"),
    "ISO speed": ("none", "`Iso.value`"),
    "Illuminance": ("lux, lx", "`Illuminance.lux`"),
    "Initials": ("none", "`str`"),
    "Length": ("m, cm, mm, ft, in", "`Length.m`"),
    "Length, up or down": ("m, cm, mm, ft, in, with a sign", "`Length.m`"),
    "Level in stops": ("stops from key, or from mid-grey", "`RelativeStops.value`, `.to`"),
    "Markdown": ("none", "`str`"),
    "Mass": ("kg, g, lb, oz", "`Mass.kg`"),
    "Mired shift": ("mired, positive warmer", "`Mired.value`"),
    "Name": ("none", "`str`"),
    "Offset": ("m, cm, mm, ft, in, and a direction", "`Offset.m`, `.direction`"),
    "Offsets": ("m, cm, mm, ft, in, each with a direction", "`Offset.m`, `.direction`, several"),
    "Paint or reflectance": ("none: a name, or 0 to 1", "`str` or `Share.value`"),
    "Plain name": ("none", "`str`"),
    "Ratio": ("none: 4:1", "`Ratio.value`"),
    "Roll": ("deg; clockwise or anticlockwise", "`Roll.deg`, clockwise positive"),
    "Share": ("none: 0 to 1, or %", "`Share.value`"),
    "Size": ("m, cm, mm, ft, in; two with x between", "`Size.first_m`, `.second_m`"),
    "Stops": ("stops", "`Stops.value`"),
    "Stops from mid-grey": ("stops from mid-grey", "`RelativeStops.value`"),
    "Stops from the key reading": ("stops from key", "`RelativeStops.value`"),
    "Text": ("none", "`str`"),
    "Tilt": ("deg; up or down", "`Tilt.deg`, up positive"),
    "Time": ("s, ms, min, h", "`Duration.s`"),
    "Title": ("none", "`str`"),
    "Tolerance in stops": ("stops, without a sign", "`Stops.value`"),
    "Turn": ("deg; camera-left or camera-right", "`Turn.deg`, right positive"),
    "Value as found": ("as at its own place", "`str`"),
    "f-number": ("f/", "`Aperture.n`, `.exact`"),
}
"""Kinds that a key may have, by their title in the schema."""

_HEAD = """\
# Nomenclature

Every key of a book's files once, with its kind, its unit and its meaning. `python -m
thirdstop.book.nomenclature` writes this page from the models.

A quantity is text with its unit, and Python keeps it in the unit that its attribute names. A sign is
never written for a side: the side is a word. Positive is camera-right, toward the camera, up, warmer,
and clockwise as one looks at it. A key marked *required* must be given; of the others the page says what
stands in.
"""


FILES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("The studio file", Studio),
    ("The recipe file", Recipe),
    ("The file of readings", Metering),
    ("A file of the log", Shoot),
)


def page() -> str:
    """The whole page as Markdown."""
    parts = [_HEAD, _kinds()]
    for title, model in FILES:
        parts += [f"## {title}\n", *_mappings(model)]
    return "\n".join(parts)


def _kinds() -> str:
    used = sorted({kind for _, model in FILES for kind in _titles(schema_of(model))}, key=str.casefold)
    rows = [f"| {kind} | {UNITS[kind][0]} | {UNITS[kind][1]} |" for kind in used if kind in UNITS]
    return "\n".join(["## Kinds\n", "| kind | unit, as written | in Python |", "|---|---|---|", *rows, ""])


def _titles(schema: Schema) -> Iterator[str]:
    for mapping in (schema, *schema["$defs"].values()):
        for node in mapping["properties"].values():
            for branch in branches(node, schema):
                for inner in (branch, *branches(branch.get("items", {}), schema)):
                    yield str(inner.get("title", ""))
            yield str(node.get("title", ""))


def _mappings(model: type[BaseModel]) -> Iterator[str]:
    schema = schema_of(model)
    yield _table("Top of the file", "", schema, schema)
    for name, mapping in schema["$defs"].items():
        if mapping.get("type") == "object":
            places = ", ".join(f"`{place}`" for place in _places(name, schema))
            yield _table(name.removesuffix("Model"), f"Stands under {places}.", mapping, schema)


def _table(heading: str, places: str, mapping: Schema, root: Schema) -> str:
    intro = " ".join(filter(None, [" ".join(mapping.get("description", "").split()), places]))
    required = mapping.get("required", [])
    rows = [
        f"| `{key}` | {_kind(node, root)} | {_unit(node, root)} | {_left_out(key, node, required)} |"
        f" {_meaning(node, root)} |"
        for key, node in mapping["properties"].items()
    ]
    head = ["| key | kind | unit | left out | meaning |", "|---|---|---|---|---|"]
    return "\n".join([f"### {heading}\n", f"{intro}\n", *head, *rows, ""])


def _places(name: str, schema: Schema) -> list[str]:
    """Keys under which a mapping stands, with the mapping that holds them."""
    found = []
    for holder, mapping in (("", schema), *schema["$defs"].items()):
        for key, node in mapping.get("properties", {}).items():
            if f"#/$defs/{name}'" in str(node):
                found.append(f"{holder.removesuffix('Model')}.{key}".lstrip("."))
    return found


def _kind(node: Schema, root: Schema) -> str:
    """What may stand there, in words."""
    if node.get("title") in UNITS:
        return str(node["title"]).lower()
    return " or ".join(dict.fromkeys(_branch_kind(branch, root) for branch in branches(node, root)))


def _branch_kind(branch: Schema, root: Schema) -> str:
    if branch.get("title") in UNITS:
        return str(branch["title"]).lower()
    words = branch.get("enum") or ([branch["const"]] if "const" in branch else [])
    if words:
        return ", ".join(f"`{word}`" for word in words)
    if branch.get("type") == "array":
        return f"list: {_kind(branch['items'], root)}"
    if branch.get("type") == "object":
        return f"mapping: {branch['title'].removesuffix('Model')}"
    return {"boolean": "`true`, `false`", "integer": "count", "string": "text"}.get(
        branch.get("type", ""), "number"
    )


def _unit(node: Schema, root: Schema) -> str:
    titles = [node.get("title"), *(branch.get("title") for branch in branches(node, root))]
    titles += [inner.get("title") for inner in branches(resolved(node, root).get("items", {}), root)]
    units = dict.fromkeys(UNITS[title][0].split(":")[0].split(";")[0] for title in titles if title in UNITS)
    return " or ".join(unit for unit in units if unit != "none") or "–"


def _left_out(key: str, node: Schema, required: list[str]) -> str:
    if key in required:
        return "*required*"
    default = node.get("default")
    if default in (None, "", [], {}):
        return "–"
    if isinstance(default, dict):
        return "its own"
    return f"`{str(default).lower() if isinstance(default, bool) else default}`"


def _meaning(node: Schema, root: Schema) -> str:
    text = node.get("description") or resolved(node, root).get("description", "")
    return " ".join(text.split()).replace("|", "\\|")


def main(file: Path) -> None:
    """Write the page."""
    file.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "docs/nomenclature.md"))
