"""Bag and counterweight in words: the number that is needed, with the recipe's own where that is another."""

from thirdstop.checks.weights import holds_as_hung, needed_bag_kg, needed_counterweight_kg
from thirdstop.pages import figures
from thirdstop.pages.figures import Figure
from thirdstop.staging.staging import Support


def bag(support: Support) -> str:
    """'14 kg (recipe: 10 kg)'; empty where none is needed and none hangs."""
    return _with_own(bag_figure(support), needed_bag_kg(support), support.bag_mass_kg)


def bag_figure(support: Support) -> Figure:
    """The mass of the bag: of the recipe's own where that is enough, else of the least that is."""
    return figures.kilograms_up(needed_bag_kg(support))


def counterweight(support: Support) -> str:
    """At the boom's rear end: '8 kg (recipe: 6 kg)'; empty where nothing hangs there and nothing need to."""
    needed_kg = needed_counterweight_kg(support)
    return _with_own(figures.kilograms(needed_kg), needed_kg, support.counterweight_kg)


def bag_on_leg(support: Support) -> bool:
    """Whether the bag stays on the leg under the load: what is needed beyond it is reckoned at the column."""
    return support.bag_on == "leg" and holds_as_hung(support)


def _with_own(figure: Figure, needed_kg: float, own_kg: float) -> str:
    if needed_kg == own_kg:
        return figures.told(figure) if needed_kg else ""
    needed = figures.told(figure) if needed_kg else "nothing"
    return f"{needed} (recipe: {figures.told(figures.kilograms(own_kg)) if own_kg else 'none'})"
