"""Cards and blockers: panels of the studio with a surface toward the light, at their places."""

from dataclasses import dataclass

from thirdstop.book.marks import near
from thirdstop.book.recipe import Blocker, Card
from thirdstop.book.studio import Studio
from thirdstop.staging.faces import Face, make_face
from thirdstop.staging.lookup import find, one_of, surface
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.shapes import Panel, Role
from thirdstop.staging.unfound import TO_BE_FOUND, refuse_unfound_value
from thirdstop.typed import Vec


@dataclass(frozen=True, eq=False)
class PlacedPanel:
    """One card or blocker, resolved."""

    panel: Panel
    face: Face
    gear: str
    surface: str
    back: str
    mass_kg: float


def place_panel(
    wanted: Card | Blocker,
    role: Role,
    centre_m: Vec,
    normal: Vec,
    studio: Studio,
    problems: Problems,
    path: Path,
) -> PlacedPanel | None:
    """A panel of the studio at its place; None with faults where it is unknown."""
    model = find(studio.cards, wanted.card, "card or panel", problems, (*path, "card"))
    if model is None:
        return None
    if wanted.surface == TO_BE_FOUND:
        refuse_unfound_value("surface", problems, (*path, "surface"))
        return None
    if wanted.surface not in model.surfaces:
        problems.add(
            (*path, "surface"),
            f"'{model.name}' has no such surface",
            wanted.surface,
            near(wanted.surface, model.surfaces) or one_of(model.surfaces),
        )
        return None
    back_name = model.back or wanted.surface
    # a surface that nobody knows is a fault of the studio file, told there once
    told = Problems(problems.marks)
    front, back = (surface(name, studio, told, path) for name in (wanted.surface, back_name))
    long_m, short_m = (f(model.size.first_m, model.size.second_m) for f in (max, min))
    level_m, other_m = (long_m, short_m) if wanted.edge == "long side level" else (short_m, long_m)
    face = make_face(centre_m, normal, level_m / 2, other_m / 2, wanted.roll.deg)
    net = model.passes.value > 0
    panel = Panel(
        name=wanted.name,
        role="net" if net else role,
        centre_m=face.centre_m,
        half_u_m=face.half_u_m,
        half_v_m=face.half_v_m,
        front=front,
        back=back,
        straight=model.passes.value,
    )
    gear = f"{model.name}"
    return PlacedPanel(panel, face, gear, wanted.surface, back_name, model.mass.kg)
