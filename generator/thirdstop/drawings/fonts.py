"""How wide a text is: advance widths of the shipped font, so that no two texts of a drawing overlap.

Sum of advances without kerning; the drawings' stylesheet turns kerning off and tabular figures on.
"""

from thirdstop.drawings.font_widths import (
    ASCENDER,
    CAP_HEIGHT,
    DESCENDER,
    UNITS_PER_EM,
    WIDTHS_400,
    WIDTHS_700,
)

FAMILY = "Atkinson Hyperlegible Next"

_WIDTHS = {400: WIDTHS_400, 700: WIDTHS_700}
_WIDEST = {weight: max(widths.values()) for weight, widths in _WIDTHS.items()}

ABSENT = "′″⅓⅔→≤≥"
"""Signs that the font lacks; no drawing may use them."""


def text_width_mm(text: str, size_mm: float, weight: int = 400) -> float:
    """Width of one line of text in mm, at a font size in mm; weight 400 or 700.

    A character that the font lacks counts as the widest one. Raises KeyError for another weight.
    """
    widths = _WIDTHS[weight]
    widest = _WIDEST[weight]
    return sum(widths.get(character, widest) for character in text) * size_mm / UNITS_PER_EM


def cap_height_mm(size_mm: float) -> float:
    """Height of a capital or a figure in mm, at a font size in mm."""
    return CAP_HEIGHT * size_mm / UNITS_PER_EM


def ascent_mm(size_mm: float) -> float:
    """How far the tallest letter of a label reaches above the baseline, in mm."""
    return ASCENDER * size_mm / UNITS_PER_EM


def descent_mm(size_mm: float) -> float:
    """How far the lowest letter of a label reaches below the baseline, in mm, positive."""
    return -DESCENDER * size_mm / UNITS_PER_EM
