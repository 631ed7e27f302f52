"""Bag and counterweight in words: the number that is needed, with the recipe's own where that is less."""

from thirdstop.checks.weights import holds_as_hung, needed_bag_kg, needed_counterweight_kg
from thirdstop.pages import figures
from thirdstop.staging.staging import Support


def bag(support: Support) -> str:
    """'14 kg (recipe: 10 kg)'; empty where none is needed and none hangs."""
    return _with_own(needed_bag_kg(support), support.bag_mass_kg)


def counterweight(support: Support) -> str:
    """At the boom's rear end: '8 kg (recipe: 6 kg)'; empty where nothing hangs there and nothing need to."""
    return _with_own(needed_counterweight_kg(support), support.counterweight_kg)


def bag_on_leg(support: Support) -> bool:
    """Whether the bag stays on the leg under the load: what is needed beyond it is reckoned at the column."""
    return support.bag_on == "leg" and holds_as_hung(support)


def _with_own(needed_kg: float, own_kg: float) -> str:
    needed = str(figures.kilograms(needed_kg)) if needed_kg else ""
    if needed_kg <= own_kg:
        return needed
    return f"{needed} (recipe: {figures.kilograms(own_kg) if own_kg else 'none'})"
