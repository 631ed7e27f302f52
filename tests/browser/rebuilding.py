"""Builds a set-up again from nothing but the text of its printed card, as somebody at the bench would.

The text gives the room, the mark, every place, angle and size. What is in the cupboard is the studio's own:
a thing that the card calls 'round box 90' is fetched by that name.
"""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from thirdstop.book import strict_yaml
from thirdstop.book.marks import Marks
from thirdstop.book.recipe import Recipe
from thirdstop.book.studio import Studio
from thirdstop.exposure.charging import charge
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging

NUMBER = r"(\d+\.\d\d) m"
FIGURES = (
    rf"{NUMBER}(?: (toward|away))? {NUMBER}(?: (R|L))? {NUMBER} "
    rf"(\d+)°(?: (up|down))? (\d+)°(?: (R|L))? (?:{NUMBER}|–)"
)
ROW = re.compile(rf"(?:\b(\d+|M) |(?<=\) ))([a-z][a-z ]*?) {FIGURES}")
SIDE = {"R": "camera-right", "L": "camera-left", None: "camera-right"}
WAY = {"toward": "toward camera", "away": "away from camera", None: "toward camera"}
GEAR = ("backdrops", "lamps", "shapers", "grids", "gels", "cards", "stands", "booms", "bags", "cameras")


@dataclass(frozen=True)
class Row:
    """A line of the card's table."""

    name: str
    along: str
    across: str
    height: str
    lean: str
    swing: str
    string: str
    details: str

    @property
    def place(self) -> dict[str, str]:
        """As a recipe says it."""
        return {"along": self.along, "across": self.across, "height": self.height}

    @property
    def aim(self) -> dict[str, str]:
        """As a recipe says it."""
        return {"lean": self.lean, "swing": self.swing}


def rows(text: str) -> list[Row]:
    """The table's lines, in their order; white space in the text is single spaces."""
    table = text[text.index("up or down from level.") : text.index(" Meter, ISO")]
    found = list(ROW.finditer(table))
    ends = [match.start() for match in found[1:]] + [len(table)]
    return [_row(match, table[match.end() : end]) for match, end in zip(found, ends, strict=True)]


def _row(match: re.Match[str], details: str) -> Row:
    _, name, along, way, across, side, height, lean, up, swing, turn, string = match.groups()
    return Row(
        name,
        f"{along} m {WAY[way]}",
        f"{across} m {SIDE[side]}",
        f"{height} m",
        f"{lean} deg {up or 'up'}",
        f"{swing} deg {SIDE[turn]}",
        f"{string} m",
        details.strip(),
    )


def rebuilt(text: str, cupboard: Path) -> Staging:
    """The staging that a card's text describes; `cupboard` is the studio file that its gear comes from."""
    text = text.replace("\u00a0", " ")
    given, _, _ = strict_yaml.read(cupboard.read_text(encoding="utf-8"), "studio.yaml")
    assert isinstance(given, dict)
    studio = Studio.model_validate({key: given[key] for key in GEAR if key in given} | _room(text))
    recipe = Recipe.model_validate(_recipe(text))
    staging, faults = stage(recipe, studio, Marks("card"))
    assert staging is not None, faults
    return charge(staging)


def _room(text: str) -> dict[str, Any]:
    width, length, height = _found(rf"Room {NUMBER} × {NUMBER} × {NUMBER} high", text)
    shares = r"walls left (\S+), right (\S+), back (\S+), front (\S+); floor (\S+), ceiling (\d\.\d+)"
    left, right, back, front, floor, ceiling = _found(f"Computed with reflectances: {shares}", text)
    walls = {"left_wall": left, "right_wall": right, "back_wall": back, "front_wall": front}
    surfaces = {name: float(share) for name, share in (walls | {"floor": floor, "ceiling": ceiling}).items()}
    size = {"width": f"{width} m", "length": f"{length} m", "height": f"{height} m"}
    return {"name": "Rebuilt", "room": {**size, "surfaces": surfaces}}


def _recipe(text: str) -> dict[str, Any]:
    aperture, shutter, iso = _found(r"(f/\S+) · (\S+) s · ISO (\d+) ·", text)
    left, back = _found(rf"M, under [^:]*: {NUMBER} from the left wall, {NUMBER} from the back wall", text)
    table = rows(text)
    sitters = [row for row in table if "eyes" in row.details]
    data: dict[str, Any] = {
        "title": "Rebuilt",
        "purpose": "Built again from a card.",
        "mark": {"left_wall": f"{left} m", "back_wall": f"{back} m"},
        "subject": [_sitter(row, first=row is sitters[0]) for row in sitters],
        "exposure": {"aperture": aperture, "shutter": f"{shutter} s", "iso": int(iso)},
        "target": {"between": _compared(text, sitters[0].name)},
        "lights": [],
        "cards": [],
        "blockers": [],
    }
    for row in table:
        if row not in sitters:
            _add(data, row, text)
    return data


def _compared(text: str, first: str) -> list[str]:
    """The two points as a recipe names them: those of the one at M bear no name."""
    lit, shadow = _found(r"Lit: (.*?), (?:flat|dome) .*?Shadow: (.*?), (?:flat|dome)", text)
    return [
        name.replace("sitter’s ", "").replace(f"{first}’s ", "").replace("’s ", " ") for name in (lit, shadow)
    ]


def _sitter(row: Row, first: bool) -> dict[str, Any]:
    said = row.details
    pose = "seated" if said.startswith("seated") else "standing"
    (eyes,) = _found(rf"eyes {NUMBER}", said)
    chest = re.search(r"chest turned (\d+)°(?: (R|L))?", said)
    build, skin, hair, clothes = _found(
        r"average (woman|man|child)[^,]*, (.*? skin), (.*?), (\S+) clothes", said
    )
    length, _, colour = hair.partition(" ")
    wears: dict[str, Any] = {"clothes": clothes, "hair": colour, "hair_length": length}
    if brim := re.search(r"brim (\d+) cm in front, (\d+) cm at the sides, (\d+) cm above the eyes", said):
        keys = ("front", "side", "above_eye")
        wears["hat"] = {"brim": {key: f"{value} cm" for key, value in zip(keys, brim.groups(), strict=True)}}
    if lens := re.search(r"glasses leaning (\d+)°, curve (\S+) D", said):
        wears["glasses"] = {"tilt": f"{lens[1]} deg", "curve": f"{lens[2]} D"}
    data = {
        "name": row.name,
        "pose": pose,
        "eye_height": f"{eyes} m",
        "build": build,
        "skin": skin,
        "body": f"{chest[1]} deg {SIDE[chest[2]]}" if chest else "0 deg",
        "head": row.swing,
        "chin": row.lean,
        "wears": wears,
    }
    if seat := re.search(rf"seat {NUMBER}", said):
        data["seat_height"] = f"{seat[1]} m"
    if hands := re.search(rf"hands {NUMBER} in front of the chest at {NUMBER}(?:, holding (.*))?", said):
        data["hands"] = {
            "forward": f"{hands[1]} m",
            "height": f"{hands[2]} m",
            "holds": hands[3] or "nothing",
        }
    return data if first else data | {"at": {"along": row.along, "across": row.across}}


def _add(data: dict[str, Any], row: Row, text: str) -> None:
    """What a line of the table says, put where a recipe has it."""
    # names of gear are typed with an x
    gear = re.sub(r"(?<=\d) × (?=\d+\b(?! mm))", " x ", row.details.split(";")[0])
    if row.name == "camera":
        body, lens = _found(r"(\S+) \d+ × \d+ mm, (\d+) mm", gear)
        held, framing = _found(r"(portrait|landscape) format, (.*?);", row.details)
        hold = {"portrait": "upright", "landscape": "level"}[held]
        shot = {"hold": hold, "framing": framing, "distance": row.string, "height": row.height}
        data["camera"] = {"body": body, "lens": f"{lens} mm", "across": row.across, **shot}
    elif row.name == "backdrop":
        hung = {"sheet": gear.removesuffix(" (assumed)"), "distance": row.along.split(" away")[0]}
        data["backdrop"] = {**hung, "across": row.across}
        if sweep := re.search(r"([\d.]+ m) forward over the floor", row.details):
            data["backdrop"]["sweep"] = sweep[1]
    elif " on " in gear:
        shaper, lamp = gear.split(" on ", 1)
        (click,) = _found(rf"\b{row.name}: click (\d+)", text)
        light = {"name": row.name, "shaper": shaper, "lamp": lamp.split(",")[0], "power": f"click {click}"}
        grid = {"grid": lamp.split(", ")[1]} if ", " in lamp else {}
        data["lights"].append({**light, **grid, "at": row.place, "aim": row.aim})
    else:
        card, surface = _found(r"(.*?), (\S+) side", gear)
        level, upright = _found(rf"{NUMBER} level × {NUMBER}", row.details)
        edge = f"long side {'level' if float(level) > float(upright) else 'upright'}"
        panel = {"name": row.name, "card": card, "at": row.place, "aim": row.aim, "edge": edge}
        where = "blockers" if surface == "black" else "cards"
        data[where].append(panel | {"surface": surface})


def _found(pattern: str, text: str) -> tuple[str, ...]:
    match = re.search(pattern, text)
    assert match, f"the card does not say: {pattern}"
    return match.groups()
