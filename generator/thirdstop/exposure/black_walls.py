"""What the room's walls do to the ratio: the same set-up read again with its four walls black."""

from dataclasses import replace

from thirdstop.exposure.arranged import read_points
from thirdstop.exposure.meter import for_ratio, read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.readings import RatioReading, Readings
from thirdstop.exposure.transport import Kept, solve
from thirdstop.staging.materials import Matte
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Staging

WALLS = frozenset({"left wall", "right wall", "back wall", "front wall"})
HALF = 0.5
"""Of the lit point's light: where more comes off walls, they are a light source and no nuisance."""


def ratio_in_black_walls(
    staging: Staging, readings: Readings, kept: Kept | None = None
) -> RatioReading | None:
    """The ratio with walls that return nothing and all else as it is, its clicks found anew.

    Coarsely computed, as a scan, without bands. None where more than half of the light at the lit point comes
    off walls: black ones would take the key's own light away.
    """
    if readings[readings.ratio.lit_point].budget.get("walls", 0.0) > HALF:
        return None
    scene = staging.scene
    black = replace(scene, panels=tuple(map(_blackened, scene.panels)))
    read_at = for_ratio(staging)
    transport = solve(black, SCAN, kept, read_at=read_at)
    return read(replace(staging, scene=replace(black, points=read_points(black, read_at))), transport).ratio


def _blackened(panel: Panel) -> Panel:
    if panel.name not in WALLS or not isinstance(panel.front, Matte):
        return panel
    return replace(panel, front=replace(panel.front, reflectance=0.0))
