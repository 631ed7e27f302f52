"""Finding gear, surfaces and paints by name; an unknown name is a fault with the nearest right one."""

from collections.abc import Sequence
from typing import Protocol, TypeVar

from thirdstop.book.marks import near
from thirdstop.book.paints import CLOTHES, HAIRS, PAINTS, SKINS, Known
from thirdstop.book.quantities import Share
from thirdstop.book.studio import Studio, SurfaceModel
from thirdstop.staging.materials import Material, Matte, Metallised, Provenance, Translucent
from thirdstop.staging.problems import Path, Problems


class Named(Protocol):
    """Anything of the studio file with a name."""

    @property
    def name(self) -> str:
        """Its name."""
        ...


MOST_NAMED = 12
"""Names that are listed where none is near."""

GearT = TypeVar("GearT", bound=Named)

USUAL_SURFACES: dict[str, Material] = {
    # Editable defaults, assumed: common practice, no source. A studio's own `surfaces` replace them by name.
    "white": Matte(0.78),
    "silver": Metallised(0.80, roughness=0.35, matte_share=0.25),
    "gold": Metallised(0.70, roughness=0.35, matte_share=0.25, shift_mired=40.0),
    "translucent": Translucent(transmittance=0.45, reflectance=0.45),
    "black": Matte(0.04),
}


def find(gear: Sequence[GearT], name: str, what: str, problems: Problems, path: Path) -> GearT | None:
    """The piece of gear of that name, or None with a fault that names the nearest one there is."""
    for piece in gear:
        if piece.name == name:
            return piece
    names = [piece.name for piece in gear]
    problems.add(path, f"the studio has no {what} of this name", name, _write(name, names, what))
    return None


def one_of(names: Sequence[str], most: int = MOST_NAMED) -> str:
    """A few names to choose from: 'one of white, silver, gold'; a single one by itself."""
    if len(names) == 1:
        return names[0]
    more = " …" if len(names) > most else ""
    return "one of " + ", ".join(names[:most]) + more


def _write(name: str, names: Sequence[str], what: str) -> str:
    if not names:
        return f"add it to the studio file; it lists no {what} yet"
    best = near(name, names)
    return best or one_of(names)


def paint(
    value: Share | str, studio: Studio, problems: Problems | None, path: Path, measured: bool = False
) -> Matte:
    """A matte surface by paint name or number; an unknown name is a fault and comes back mid-grey.

    Without `problems` the name is one of the studio file's own, already looked at there.
    """
    own = {p.name: (p.reflectance.value, _provenance(p.measured is not None)) for p in studio.paints}
    return _matte(value, {**PAINTS, **own}, "paint", problems, path, measured)


def cloth(value: Share | str, problems: Problems, path: Path) -> Matte:
    """Clothes by name or number."""
    return _matte(value, CLOTHES, "cloth", problems, path)


def hair(value: Share | str, problems: Problems, path: Path) -> Matte:
    """Hair by name or number."""
    return _matte(value, HAIRS, "hair", problems, path)


def skin(value: Share | str, problems: Problems, path: Path) -> Matte:
    """Skin by name or number."""
    return _matte(value, SKINS, "skin", problems, path)


def _matte(
    value: Share | str,
    known: dict[str, tuple[float, Provenance]] | dict[str, Known],
    what: str,
    problems: Problems | None,
    path: Path,
    measured: bool = False,
) -> Matte:
    if isinstance(value, Share):
        return Matte(value.value, _provenance(measured))
    if value in known:
        reflectance, provenance = known[value]
        return Matte(reflectance, "measured" if measured else provenance)
    best = near(value, list(known))
    if problems is None:
        return Matte(0.2)
    # these stand in no file of the book's, so all are named
    write = best or f"{one_of(list(known), len(known))}; or a share from 0 to 1"
    problems.add(path, f"no {what} of this name is known", value, write)
    return Matte(0.2)


def _provenance(measured: bool) -> Provenance:
    return "measured" if measured else "assumed"


def surface(name: str, studio: Studio, problems: Problems, path: Path) -> Material:
    """A card's surface by name: the studio's own first, then the usual five."""
    for model in studio.surfaces:
        if model.name == name:
            return material_of(model)
    if name in USUAL_SURFACES:
        return USUAL_SURFACES[name]
    names = [model.name for model in studio.surfaces] + list(USUAL_SURFACES)
    problems.add(path, "no card surface of this name is known", name, _write(name, names, "surface"))
    return USUAL_SURFACES["white"]


def material_of(model: SurfaceModel) -> Material:
    """The material of a surface that the studio file describes."""
    provenance = _provenance(model.measured is not None)
    if model.kind == "matte":
        return Matte(model.reflectance.value, provenance)
    if model.kind == "translucent":
        passed = model.transmittance.value if model.transmittance else 0.0
        return Translucent(passed, model.reflectance.value, provenance)
    usual = USUAL_SURFACES["silver"]
    assert isinstance(usual, Metallised)
    return Metallised(
        model.reflectance.value,
        model.roughness.value if model.roughness else usual.roughness,
        model.matte_share.value if model.matte_share else usual.matte_share,
        model.shift.value,
        provenance,
    )
