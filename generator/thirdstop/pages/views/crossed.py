"""What the pages of the house say of one recipe: gear, safety, words, walls."""

from dataclasses import dataclass

from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.minds import minds_of
from thirdstop.pages.views.needs import Need, needs_of
from thirdstop.pages.views.walls import Walls, walls_of
from thirdstop.pages.views.words import terms_of


@dataclass(frozen=True)
class Crossed:
    """What the pages of gear, of safety, of words and of walls say of one recipe."""

    needs: tuple[Need, ...]
    minds: tuple[str, ...]
    """Anchors of the safety page's rules."""
    terms: tuple[str, ...]
    """Anchors of the glossary's words."""
    walls: Walls


def crossed_of(evaluated: Evaluated) -> Crossed:
    """Gear needed, rules of safety, words used and walls, of an evaluated recipe."""
    return Crossed(needs_of(evaluated), minds_of(evaluated.staging), terms_of(evaluated), walls_of(evaluated))
