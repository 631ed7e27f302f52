"""Reflectances by name, each with where it comes from.

'published' values are a lamp maker's lighting handbook table, read through secondary pages, and the usual
photographic grey card; 'assumed' ones are common practice, no source. A studio's own value always wins.
"""

from typing import Literal

Known = tuple[float, Literal["published", "assumed"]]

PAINTS: dict[str, Known] = {
    "white paint": (0.80, "published"),
    "off-white paint": (0.70, "published"),
    "light grey paint": (0.40, "published"),
    "mid-grey paint": (0.20, "published"),
    "dark grey paint": (0.12, "assumed"),
    "black paint": (0.06, "assumed"),
    "plaster": (0.80, "published"),
    "birch": (0.60, "published"),
    "light oak": (0.40, "published"),
    "dark oak": (0.20, "published"),
    "red brick": (0.20, "published"),
    "concrete": (0.30, "published"),
    "grey carpet": (0.15, "assumed"),
    "black cloth": (0.03, "assumed"),
    "black velvet": (0.008, "assumed"),
    "white paper": (0.85, "assumed"),
    "light grey paper": (0.50, "assumed"),
    "mid-grey paper": (0.20, "assumed"),
    "dark grey paper": (0.08, "assumed"),
    "brown paper": (0.13, "assumed"),
    "black paper": (0.045, "assumed"),
}

SKINS: dict[str, Known] = {
    # luminous reflectance of the two skin patches of ISO 17321-1 data under D55
    "light skin": (0.36, "published"),
    "dark skin": (0.099, "published"),
    "medium skin": (0.22, "assumed"),
}

HAIRS: dict[str, Known] = {
    "black hair": (0.03, "assumed"),
    "brown hair": (0.07, "assumed"),
    "grey hair": (0.25, "assumed"),
    "blond hair": (0.25, "assumed"),
    "white hair": (0.45, "assumed"),
    "no hair": (0.0, "assumed"),
}

CLOTHES: dict[str, Known] = {
    "black": (0.03, "assumed"),
    "dark": (0.06, "assumed"),
    "mid": (0.18, "assumed"),
    "light": (0.45, "assumed"),
    "white": (0.75, "assumed"),
}
