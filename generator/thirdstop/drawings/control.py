"""A control chart of single values: day by day, in standard deviations, with lines at one, two and three."""

import itertools
from collections.abc import Sequence
from datetime import date

from thirdstop.drawings.fonts import ascent_mm, cap_height_mm, descent_mm, text_width_mm
from thirdstop.drawings.labels import Box
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.palette import palette as shipped_palette
from thirdstop.drawings.sheet import Drawing, Sheet
from thirdstop.drawings.svg import identifier

REACH = 4.0
"""Deviations shown; what lies beyond is drawn at the edge, and its number said."""
SIZE_MM = (110.0, 52.0)
_MARK_MM = 1.0


def control_chart(
    values: Sequence[tuple[date, float]], name: str, title: str, palette: Palette | None = None
) -> Drawing:
    """Days evenly as they came, the value of each joined by a line; the words hold every value.

    Raises ValueError where there is no value.
    """
    if not values:
        raise ValueError("a chart needs a value")
    sheet = Sheet(palette or shipped_palette())
    size = sheet.look.sizes.note
    left = 1.5 + text_width_mm("−3", size) + 1.5
    foot = ascent_mm(size) + descent_mm(size) + 3.5
    box = Box(left, 2.0, SIZE_MM[0] - 4.0, SIZE_MM[1] - foot)
    for mark in range(-3, 4):
        y = _y(box, mark)
        sheet.segment("thin" if mark in (-3, 0, 3) else "hair", box.x0, y, box.x1, y)
        label = "0" if mark == 0 else f"{mark:+d}".replace("-", "−")
        sheet.text(label, box.x0 - 1.2, y + cap_height_mm(size) / 2, size, anchor="end")
    places = [(_x(box, k, len(values)), _y(box, value)) for k, (_, value) in enumerate(values)]
    for (x0, y0), (x1, y1) in itertools.pairwise(places):
        sheet.segment("curve", x0, y0, x1, y1)
    for x, y in places:
        sheet.ring(x, y, _MARK_MM)
    _days(sheet, box, [day for day, _ in values], size)
    words = "In standard deviations of the band. " + " ".join(
        f"{day.isoformat()}: {value:+.1f}." for day, value in values
    )
    return sheet.finish(*SIZE_MM, 1, identifier(name), title, words)


def _y(box: Box, value: float) -> float:
    part = (min(max(value, -REACH), REACH) + REACH) / (2 * REACH)
    return box.y1 - part * (box.y1 - box.y0)


def _x(box: Box, place: int, count: int) -> float:
    inner = (box.x0 + 6.0, box.x1 - 6.0)
    return (inner[0] + inner[1]) / 2 if count == 1 else inner[0] + place * (inner[1] - inner[0]) / (count - 1)


def _days(sheet: Sheet, box: Box, days: Sequence[date], size: float) -> None:
    """As many days under the chart as there is room for, the last one among them."""
    baseline, free_from = box.y1 + 2.2 + ascent_mm(size), SIZE_MM[0]
    for k in range(len(days) - 1, -1, -1):
        text, x = days[k].isoformat(), _x(box, k, len(days))
        half = text_width_mm(text, size) / 2
        if x + half + 1.5 <= free_from and x - half >= 0:
            sheet.segment("thin", x, box.y1, x, box.y1 + 1.4)
            middle = min(x, SIZE_MM[0] - half - 0.5)
            sheet.text(text, middle, baseline, size, anchor="middle")
            free_from = middle - half
