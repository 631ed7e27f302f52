"""Where a face looks: at a target, between two, or by lean and swing. Aim wins over numbers."""

import re
from dataclasses import dataclass, field

import numpy as np

from thirdstop.book.marks import near
from thirdstop.book.quantities import Length, Offset
from thirdstop.book.recipe import Aim
from thirdstop.staging.lookup import one_of
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.sitter import Sitter
from thirdstop.staging.vectors import TO_CAMERA, direction_at, unit, vec
from thirdstop.typed import Vec

_BETWEEN = re.compile(r"between (.+ and .+)")

AT_ITSELF_M = 0.01
"""A target nearer than this to the middle of the face gives no direction."""
OPPOSITE = 0.01
"""Two unit directions whose sum is shorter than this leave the aim to chance."""

OFFSETS: dict[str, Vec] = {
    "toward camera": TO_CAMERA,
    "away from camera": -TO_CAMERA,
    "camera-left": vec(-1, 0, 0),
    "camera-right": vec(1, 0, 0),
    "up": vec(0, 0, 1),
    "down": vec(0, 0, -1),
}


@dataclass(eq=False)
class Targets:
    """What can be aimed at: places by name, and directions for walls, ceiling and floor."""

    places: dict[str, Vec] = field(default_factory=dict)
    directions: dict[str, Vec] = field(default_factory=dict)
    to_come: set[str] = field(default_factory=set)
    """Things of the recipe that aren't placed yet."""
    aiming: str = ""
    """The thing that is being aimed."""

    def placed(self, name: str, place_m: Vec) -> None:
        """From now on this thing can be aimed at."""
        self.places.setdefault(name, place_m)
        self.to_come.discard(name)

    @property
    def names(self) -> list[str]:
        """Every name, in order."""
        return [*self.places, *self.directions]


def targets_of(sitters: tuple[Sitter, ...], sheet_y_m: float, lens_m: Vec) -> Targets:
    """The sitters' faces and bodies, the backdrop, the camera, and straight at walls, ceiling and floor."""
    targets = Targets()
    for index, sitter in enumerate(sitters):
        prefix = "" if index == 0 else f"{sitter.place.name} "
        for name, place_m in _of_sitter(sitter).items():
            targets.places[prefix + name] = place_m
    nose_m = sitters[0].place.nose_m
    targets.places["backdrop"] = vec(0.0, sheet_y_m, float(nose_m[2]))
    targets.places["camera"] = lens_m
    targets.directions |= {
        "left wall": vec(-1, 0, 0),
        "right wall": vec(1, 0, 0),
        "back wall": vec(0, 1, 0),
        "front wall": vec(0, -1, 0),
        "ceiling": vec(0, 0, 1),
        "floor": vec(0, 0, -1),
    }
    return targets


def _of_sitter(sitter: Sitter) -> dict[str, Vec]:
    place, head = sitter.place, sitter.head
    a, b, c = (float(axis) for axis in head.semi_axes_m)
    left_cheek, _ = head.skin_facing(60.0, -0.035)
    right_cheek, _ = head.skin_facing(-60.0, -0.035)
    return {
        "nose": place.nose_m,
        "face": place.nose_m,
        "eyes": place.eyes_m.mean(axis=0),
        "chin": head.at(0.0, -0.55 * b, -0.9 * c),
        "left cheek": left_cheek,
        "right cheek": right_cheek,
        "left ear": head.at(a, 0.01, 0.0),
        "right ear": head.at(-a, 0.01, 0.0),
        "hair": head.at(0.0, 0.5 * b, 0.85 * c),
        "chest": sitter.chest_m,
        "hands": sitter.hands_m,
        "feet": sitter.feet_m,
    }


def aim_of(
    aim: str | Aim, centre_m: Vec, targets: Targets, problems: Problems, path: Path
) -> tuple[Vec, str]:
    """Unit direction in which the face looks, and the aim in words."""
    if isinstance(aim, str):
        return _at_target(aim, (), centre_m, targets, problems, path)
    if aim.at is not None:
        if aim.lean is not None or aim.swing is not None:
            problems.add(path, "an aim has a target, or lean and swing, not both", aim.at, "one of the two")
        offsets = tuple(aim.off) if aim.off is not None else ()
        return _at_target(aim.at, offsets, centre_m, targets, problems, (*path, "at"))
    if aim.lean is None or aim.swing is None:
        problems.add(path, "an aim needs a target, or both lean and swing", "", "at: nose")
        return TO_CAMERA, ""
    return direction_at(aim.swing.deg, aim.lean.deg), "by lean and swing"


def _at_target(
    name: str, offsets: tuple[Offset, ...], centre_m: Vec, targets: Targets, problems: Problems, path: Path
) -> tuple[Vec, str]:
    words = aim_words(name, offsets)
    if name in targets.directions:
        if offsets:
            given = ", ".join([name, *map(str, offsets)])
            problems.add(path, f"'{name}' is a direction, which no offset moves", given, f"{name} alone")
        return targets.directions[name], words
    names = _places_meant(name, targets)
    if unknown := [one for one in names if one not in targets.places]:
        for one in unknown:
            problems.add(path, *_unknown(one, targets))
        return TO_CAMERA, words
    return _toward([targets.places[one] for one in names], name, offsets, centre_m, problems, path), words


_BESIDE = {
    "up": "above",
    "down": "below",
    "toward camera": "nearer to the camera than",
    "away from camera": "farther from the camera than",
    "camera-left": "camera-left of",
    "camera-right": "camera-right of",
}
_ALONG = {"toward camera": "toward the camera", "away from camera": "away from the camera"}
_WITH_THE = re.compile(r"nose|chin|chest|hands|feet|hair|face|eyes|(?:left|right) (?:cheek|ear)|camera")


def aim_words(name: str, offsets: tuple[Offset, ...]) -> str:
    """A target as it is said: 'chest'; '25 cm below the chest'; with two ways '5 cm up and 10 cm …'."""
    if not offsets:
        return name
    # up and down come last: 'above the nose' can't be taken for the nose's own height
    ways = sorted(offsets, key=lambda one: one.direction in ("up", "down"))
    before = [f"{Length(one.m)} {_ALONG.get(one.direction, one.direction)} and " for one in ways[:-1]]
    return f"{''.join(before)}{Length(ways[-1].m)} {_BESIDE[ways[-1].direction]} {_named(name)}"


def _named(name: str) -> str:
    if name == "backdrop":
        return "the nose’s place on the backdrop"  # straight behind it, as high
    if _BETWEEN.fullmatch(name):
        return f"the line {name}"
    return f"the {name}" if _WITH_THE.fullmatch(name) else name


def _places_meant(name: str, targets: Targets) -> list[str]:
    """The one name, or the two of 'between … and …', which may hold an 'and' themselves."""
    match = _BETWEEN.fullmatch(name)
    if name in targets.places or match is None:
        return [name]
    words = match[1].split(" and ")
    pairs = [[" and ".join(words[:k]), " and ".join(words[k:])] for k in range(1, len(words))]
    known = [pair for pair in pairs if all(one in targets.places for one in pair)]
    return (known or pairs)[0]


def _unknown(name: str, targets: Targets) -> tuple[str, str, str]:
    """What is wrong with a name that is no place, what was given, what to write."""
    if name in targets.directions:
        return f"'{name}' is a direction; 'between' takes two places", name, "between key and face"
    if name == targets.aiming:
        return "a thing can't aim at itself", name, "another target"
    if name in targets.to_come:
        return "this comes later in the file; a thing aims at what comes before it", name, "another target"
    best = near(name, targets.names)
    among = f"{one_of(targets.names, len(targets.names))}; or 'between key and face', with any two places"
    return "there is nothing of this name to aim at", name, best or among


def _toward(
    places: list[Vec], name: str, offsets: tuple[Offset, ...], centre_m: Vec, problems: Problems, path: Path
) -> Vec:
    shift = np.zeros(3)
    for offset in offsets:
        shift = shift + offset.m * OFFSETS[offset.direction]
    if any(float(np.linalg.norm(place + shift - centre_m)) < AT_ITSELF_M for place in places):
        problems.add(path, "a thing can't aim at the place where it stands", name, "another target")
        return TO_CAMERA
    directions = [unit(place + shift - centre_m) for place in places]
    total: Vec = np.sum(directions, axis=0)
    if float(np.linalg.norm(total)) < OPPOSITE:
        problems.add(path, "these two lie in exactly opposite directions", name, "one target")
        return directions[0]
    return unit(total)
