"""Values that stand on their own dimension line or arc, placed by the search."""

from collections.abc import Callable

import numpy as np

from thirdstop.drawings.fonts import ascent_mm, cap_height_mm, descent_mm, text_width_mm
from thirdstop.drawings.labels import Wish
from thirdstop.drawings.sheet import LabelKind, Sheet
from thirdstop.typed import Vec

LAST_COST = 1000.0
"""Of a spot that is taken only where all others are forbidden: more than any lines that a text may cover."""


def wish_text(
    sheet: Sheet,
    text: str,
    spots: list[Vec],
    size: float,
    weight: int,
    kind: LabelKind,
    about: str,
    *,
    own: str = "",
    optional: bool = False,
    stated: float | None = None,
    drawn: float | None = None,
    broken: bool = False,
    also: Callable[[int], None] | None = None,
    last: int = 0,
) -> None:
    """Wish for a text centred on one of some spots, the first liked best, the `last` ones only in need.

    Lines tagged `own` may run under it; `also` draws what goes with the chosen spot.
    """
    half = text_width_mm(text, size, weight) / 2
    half_cap = cap_height_mm(size) / 2
    above, below = ascent_mm(size) - half_cap, descent_mm(size) + half_cap
    boxes = np.array([(x - half, y - above, x + half, y + below) for x, y in spots])

    def keep(index: int) -> None:
        if also is not None:
            also(index)
        x, y = float(boxes[index][0]), float(boxes[index][1]) + ascent_mm(size)
        sheet.text(
            text, x, y, size, kind=kind, weight=weight, about=about,
            stated=stated, drawn=drawn, broken=broken,
        )  # fmt: skip

    places = np.arange(len(boxes))
    costs = 0.4 * places + LAST_COST * (places >= len(boxes) - last)
    sheet.wish(Wish(boxes, costs, own=own, optional=optional), keep)


def wish_value(
    sheet: Sheet,
    text: str,
    spots: list[Vec],
    own: str,
    kind: LabelKind,
    about: str,
    stated: float,
    drawn: float,
    broken: bool = False,
    also: Callable[[int], None] | None = None,
    last: int = 0,
) -> None:
    """Wish for a value on its own dimension line or arc."""
    size = sheet.look.sizes.value
    wish_text(
        sheet, text, spots, size, 700, kind, about,
        own=own, stated=stated, drawn=drawn, broken=broken, also=also, last=last,
    )  # fmt: skip
