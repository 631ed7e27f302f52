"""What a bag and a boom's counterweight must weigh: one number for every page, card and tag.

It is what the checks ask for or what the recipe hangs, whichever is more.
"""

from dataclasses import replace
from functools import lru_cache

from thirdstop.checks.statics import (
    LEAST_PUSH_N,
    LEAST_RATIO,
    MOST_UNBALANCED_N_M,
    required_bag_kg,
    rigging_bag_kg,
)
from thirdstop.checks.tipping import (
    Masses,
    boom_moment_kg_m,
    counterweight_kg,
    least_ratio,
    masses_of,
    push_n,
    weakest,
    while_rigging,
)
from thirdstop.checks.wording import half_kg_up
from thirdstop.constants import GRAVITY_M_S2
from thirdstop.staging.staging import Support


def needed_counterweight_kg(support: Support) -> float:
    """What hangs at the boom's rear end: what balances it, where its knuckle holds too much either way."""
    balancing_kg = counterweight_kg(support) if support.boom else None
    if balancing_kg is None or abs(boom_moment_kg_m(support)) * GRAVITY_M_S2 <= MOST_UNBALANCED_N_M:
        return support.counterweight_kg
    return half_kg_up(balancing_kg)


@lru_cache(maxsize=64)
def needed_bag_kg(support: Support) -> float:
    """The bag that holds the stand with the counterweight as it is and as it must be, rigging included.

    Remembered of a set-up's stands: every page that names a bag asks for it.
    """
    balanced = replace(support, counterweight_kg=needed_counterweight_kg(support))
    asked_kg = [required_bag_kg(one) for one in (support, balanced)]
    return max(support.bag_mass_kg, *asked_kg, *map(_rigging_kg, (support, balanced)))


def holds_as_hung(support: Support) -> bool:
    """Whether the recipe's own bag is enough, where the recipe hangs it."""
    masses = masses_of(support)
    return (
        needed_bag_kg(support) <= support.bag_mass_kg
        and least_ratio(masses).ratio >= LEAST_RATIO
        and push_n(weakest(masses), float(support.load_m[2])) >= LEAST_PUSH_N
        and all(least_ratio(state).ratio >= 1.0 for state in _rigging(support))
    )


def _rigging(support: Support) -> tuple[Masses, ...]:
    """The states between bare and rigged; none where nothing hangs at a boom's rear."""
    return tuple(while_rigging(support).values()) if support.boom and support.counterweight_kg else ()


def _rigging_kg(support: Support) -> float:
    """Bag at the column with which the stand holds while only the load, or only the counterweight, is on."""
    return rigging_bag_kg(support) if _rigging(support) else 0.0
