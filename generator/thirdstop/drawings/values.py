"""Values that stand on their own dimension line or arc, placed by the search."""

from collections.abc import Callable

import numpy as np

from thirdstop.drawings.fonts import ascent_mm, cap_height_mm, descent_mm, text_width_mm
from thirdstop.drawings.labels import Wish
from thirdstop.drawings.sheet import PART_DIAMETER_MM, Label, LabelKind, Sheet
from thirdstop.typed import Vec

PART_GAP_MM = 0.5
"""Between the small number of a part and its value."""
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
    part: int | None = None,
) -> None:
    """Wish for a text centred on one of some spots, the first liked best, the `last` ones only in need.

    Lines tagged `own` may run under it; `also` draws what goes with the chosen spot. With `part` the number
    of the item whose it is stands beside it, small, where there is room once all values have their places.
    """
    half = text_width_mm(text, size, weight) / 2
    half_cap = cap_height_mm(size) / 2
    above, below = ascent_mm(size) - half_cap, descent_mm(size) + half_cap
    boxes = np.array([(x - half, y - above, x + half, y + below) for x, y in spots])

    def keep(index: int) -> None:
        if also is not None:
            also(index)
        x, y = float(boxes[index][0]), float(boxes[index][1]) + ascent_mm(size)
        label = sheet.text(
            text, x, y, size, kind=kind, weight=weight, about=about,
            stated=stated, drawn=drawn, broken=broken,
        )  # fmt: skip
        if part is not None:
            _wish_part(sheet, part, label, own)

    places = np.arange(len(boxes))
    costs = 0.4 * places + LAST_COST * (places >= len(boxes) - last)
    sheet.wish(Wish(boxes, costs, own=own, optional=optional), keep)


def _wish_part(sheet: Sheet, part: int, label: Label, own: str) -> None:
    """Before the value, after it, over or under it; the next time that labels are placed."""
    box, off = label.box, PART_DIAMETER_MM / 2 + PART_GAP_MM
    (x, y), radius = box.centre, PART_DIAMETER_MM / 2
    spots = [(box.x0 - off, y), (box.x1 + off, y)]
    spots += [
        (x + aside * (box.x1 - x), end) for end in (box.y0 - off, box.y1 + off) for aside in (0, -0.7, 0.7)
    ]
    spots += [(end, side) for end in (box.x0 - off, box.x1 + off) for side in (box.y0 - 0.8, box.y1 + 0.8)]
    boxes = np.array([(a - radius, b - radius, a + radius, b + radius) for a, b in spots])

    def keep(index: int) -> None:
        sheet.part(part, *spots[index], label.about)

    sheet.later.append((Wish(boxes, 3.0 * np.arange(len(boxes), dtype=float), own=own, optional=True), keep))


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
    part: int | None = None,
) -> None:
    """Wish for a value on its own dimension line or arc."""
    size = sheet.look.sizes.value
    wish_text(
        sheet, text, spots, size, 700, kind, about,
        own=own, stated=stated, drawn=drawn, broken=broken, also=also, last=last, part=part,
    )  # fmt: skip
