"""Right values to show where something is missing or can't be read, as YAML on one line."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from thirdstop.book.schema import Schema, branches, choices, listed, resolved

Names: TypeAlias = Mapping[str, Sequence[str]]
"""What the studio has, by the key of its list: {'stands': ['light stand', 'card stand']}."""

_LISTS = {
    "bag": ("bags",),
    "body": ("cameras",),
    "card": ("cards",),
    "gel": ("gels",),
    "grid": ("grids",),
    "lamp": ("lamps",),
    "shaper": ("shapers",),
    "sheet": ("backdrops",),
    "stand": ("stands",),
    "with": ("stands", "booms"),
}
"""A key that takes the name of a piece of gear → the lists of the studio file in which it must stand."""

NAMED_GEAR = tuple(sorted({name for names in _LISTS.values() for name in names}))

_WORDS = {
    # what no kind of value tells by itself; by mapping and key
    "Aim.at": "nose",
    "BackdropModel.name": "grey paper",
    "BagModel.name": "bag 10",
    "Blocker.held_by": "an assistant",
    "Blocker.name": "flag",
    "BoomModel.longest": "1.8 m",
    "BoomModel.name": "boom",
    "BoomModel.rear": "60 cm",
    "CalibrationModel.file": "readings.yaml",
    "CameraModel.name": "full-frame",
    "CameraModel.sensor": "36 x 24 mm",
    "Card.held_by": "an assistant",
    "Card.name": "card",
    "Card.surface": "white",
    "CardModel.back": "black",
    "CardModel.name": "folding card",
    "CardModel.surfaces": "[white, silver, black]",
    "FixedModel.name": "cupboard",
    "FixedModel.top": "2 m",
    "FoundModel.of": "left wall",
    "GelModel.loss": "0.3 stop",
    "GelModel.name": "quarter warm",
    "GridModel.name": "grid 30",
    "Hands.holds": "a mask",
    "Holder.from": "camera-right",
    "LampModel.clicks": "25",
    "LampModel.name": "flash",
    "Light.group": "A",
    "Light.held_by": "an assistant",
    "Light.name": "key",
    "Metering.by": "KM",
    "Metering.title": "Readings of the spring",
    "PaintModel.name": "sage wall",
    "ReadModel.at": "chin dome",
    "ReadingModel.at": "nose",
    "ReadingModel.name": "nose to key",
    "ReadingModel.toward": "key",
    "ReadingSetup.name": "key alone",
    "Recipe.measure": "[hands]",
    "Recipe.notes": "What this light is good for.",
    "Recipe.purpose": "One box from the side and a card across from it.",
    "Recipe.steps": "[Place the lamp, Place the card]",
    "Recipe.tags": "[hat, one light]",
    "Recipe.title": "First light",
    "SetModel.name": "key",
    "SetModel.surface": "white",
    "ShaperModel.name": "round box 90",
    "Shoot.by": "KM",
    "Shoot.notes": "A little softer than in the spring.",
    "Shoot.recipe": "first",
    "StandModel.name": "light stand",
    "Studio.about": "Portraits in a small room.",
    "Studio.name": "Our studio",
    "SurfaceModel.name": "white",
    "Target.between": "[left cheek, right cheek]",
}


@dataclass(frozen=True)
class Examples:
    """Examples of one kind of file."""

    root: Schema
    names: Names = field(default_factory=dict)

    def of(self, node: Schema, key: str = "", holder: Schema | None = None) -> str:
        """A right value: '1.22 m', '[hat]', '{name: key, lamp: flash}'; of gear, all names that there are.

        `key` is what it stands under, in the mapping `holder`; '…' where nothing can be told.
        """
        names = self._names(node, key, holder)
        if names is None:
            return self._one(node, key, holder)
        return listed(list(names)) or f"a name from '{_LISTS[key][0]}:' in the studio file"

    def _names(self, node: Schema, key: str, holder: Schema | None) -> list[str] | None:
        """The names that may stand here; None where it is no gear's name."""
        takes_name = any(branch.get("title") == "Name" for branch in branches(node, self.root))
        if key not in _LISTS or not takes_name:
            return None
        lists = _LISTS["with" if key == "stand" and "at" in (holder or {}).get("properties", {}) else key]
        return [name for one in lists for name in self.names.get(one, ())]

    def _one(self, node: Schema, key: str, holder: Schema | None) -> str:
        """One value, without a choice."""
        word = _WORDS.get(f"{(holder or {}).get('title', '')}.{key}")
        if word is not None:
            return word
        if (names := self._names(node, key, holder)) is not None:
            return names[0] if names else f"(one of '{_LISTS[key][0]}')"
        shown = node.get("examples") or resolved(node, self.root).get("examples") or [node.get("default")]
        if isinstance(shown[0], dict) and shown[0] != node.get("default"):
            keys = [name for name in resolved(node, self.root)["properties"] if name in shown[0]]
            return "{" + ", ".join(f"{name}: {shown[0][name]}" for name in keys) + "}"
        if isinstance(shown[0], (str, int, float)) and shown[0] != "":
            return str(shown[0]).lower() if isinstance(shown[0], bool) else str(shown[0])
        return self._of_branch(branches(node, self.root)[0])

    def _of_branch(self, branch: Schema) -> str:
        if words := choices(branch, self.root):
            return words[0]
        if branch.get("type") == "array":
            item = self._one(branch.get("items", {}), "", None)
            return f"[{', '.join([item] * branch.get('minItems', 1))}]"
        if branch.get("type") == "object":
            known = branch.get("properties", {})
            wanted = branch.get("required") or list(known)[:1]
            return "{" + ", ".join(f"{key}: {self._one(known[key], key, branch)}" for key in wanted) + "}"
        return {"boolean": "true", "integer": "1", "number": "1"}.get(str(branch.get("type")), "…")


def names_of(studio: object) -> dict[str, list[str]]:
    """The names of gear in a studio file's data, whatever else may be wrong with it."""
    found: dict[str, list[str]] = {}
    for key, pieces in studio.items() if isinstance(studio, dict) else ():
        if isinstance(pieces, list):
            named = [piece.get("name") for piece in pieces if isinstance(piece, dict)]
            found[key] = [name for name in named if isinstance(name, str)]
    return found
