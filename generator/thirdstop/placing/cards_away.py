"""A ratio that no bright card can bring about: what is left with every card away, and by whose light."""

from dataclasses import dataclass, replace

import numpy as np

from thirdstop.book.marks import Marks, fault_at
from thirdstop.checks.wording import listed
from thirdstop.errors import Fault
from thirdstop.exposure.meter import Levels, lamp_readings, levels, powers_at, ratio_points, ratio_stops
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.readings import Transport
from thirdstop.exposure.stops import stops_to_ratio
from thirdstop.exposure.transport import solve
from thirdstop.staging.staging import Staging
from thirdstop.typed import Array

_TELLS_STOPS = 0.1
"""A lamp that lowers the ratio by less is not named as a cause."""


@dataclass(frozen=True)
class _CardsAway:
    """The ratio with every card taken away."""

    ratio: float
    lowering: tuple[str, ...]
    """Lamps beside the key that lower it, by name."""
    key_alone: float
    """The ratio with the key lit and no other lamp."""


def out_of_reach(staging: Staging, ratio: float, marks: Marks) -> list[Fault]:
    """One fault where the target ratio would not be met even with every card away, else none.

    `ratio` is what the set-up gives as it is: a card's black face may reach what no card's absence does. The
    lamps being charged; coarsely computed, as a scan. Nothing is said where a card passes light: with it away
    there is more.
    """
    target = staging.target
    cards = [panel for panel in staging.scene.panels if panel.role == "card"]
    if target.ratio is None or not cards or any(hasattr(card.front, "transmittance") for card in cards):
        return []
    least = target.ratio * 2.0**-target.within_stops
    if ratio >= least:
        return []
    left = _cards_away(staging)
    if left.ratio >= least:
        return []
    enough = left.key_alone >= least
    return [fault_at(marks, ("target", "ratio"), _wrong(left), None, _write(left, enough))]


def _cards_away(staging: Staging) -> _CardsAway:
    scene = staging.scene
    panels = tuple(panel for panel in scene.panels if panel.role != "card")
    empty = replace(staging, scene=replace(scene, panels=panels))
    transport = solve(empty.scene, SCAN)
    clicks = [lamp.click for lamp in lamp_readings(empty, transport)]
    powers = powers_at(empty, transport, clicks)
    names = np.array(transport.emitters)

    def lit(chosen: Array) -> float:
        return _ratio_stops(empty, transport, levels(transport, powers * chosen))

    now = lit(np.ones(len(names)))
    others = [name for name in transport.emitters if name != staging.key]
    lowering = tuple(name for name in others if lit(names != name) > now + _TELLS_STOPS)
    return _CardsAway(stops_to_ratio(now), lowering, stops_to_ratio(lit(names == staging.key)))


def _ratio_stops(staging: Staging, transport: Transport, now: Levels) -> float:
    return ratio_stops(staging, transport, now, ratio_points(staging, transport, now))


def _wrong(left: _CardsAway) -> str:
    beginning = "no bright card can reach this: with every card away"
    if not left.lowering:
        return f"{beginning} the room alone leaves {left.ratio:.1f}:1"
    lamps = listed([f"'{name}'" for name in left.lowering])
    return f"{beginning} {lamps} and the room leave {left.ratio:.1f}:1, the key alone {left.key_alone:.1f}:1"


def _write(left: _CardsAway, enough: bool) -> str:
    """`enough`: whether without the other lamps it would be reached."""
    ways = [f"less of '{name}'" for name in left.lowering]
    if not ways or not enough:
        ways += ["a darker room", "a nearer key"]
    return f"a ratio below {left.ratio:.1f}:1, {', '.join(ways)}, or a black panel"
