"""What a recipe leaves to `place`: such a value can't be staged before it is found."""

from pathlib import PurePath

from thirdstop.book.recipe import Place
from thirdstop.staging.problems import Path, Problems

TO_BE_FOUND = "to be found"

ASPECTS = {"string": "distance", "bearing": "bearing", "height": "height", "surface": "surface"}
"""Key of the recipe → what people call it."""

_THINGS = {"lights": "light", "cards": "card", "blockers": "blocker"}


def refuse_unfound(place: Place, problems: Problems, path: Path) -> bool:
    """Notes every value of a place that is still to be found; True where there is any."""
    left = [key for key in ("string", "bearing", "height") if getattr(place, key) == TO_BE_FOUND]
    for key in left:
        refuse_unfound_value(key, problems, (*path, key))
    return bool(left)


def refuse_unfound_value(key: str, problems: Problems, path: Path) -> None:
    """Notes that the value of this key is still to be found, and what finds it."""
    thing = _THINGS.get(str(path[0]), "thing")
    slug = PurePath(problems.marks.file).stem or "RECIPE"
    write = f"run: thirdstop place {slug} --write"
    if (thing, key) == ("blocker", "surface"):
        write = "black; 'place' finds a blocker's place"
    problems.add(path, f"the {thing}'s {ASPECTS[key]} is to be found", TO_BE_FOUND, write)
