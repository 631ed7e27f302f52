"""Make the table of advance widths anew from the shipped font.

    python tests/drawings/make_font_table.py > generator/thirdstop/drawings/font_widths.py

Needs fonttools and brotli, which the tests install and thirdstop itself does not need.
"""

import sys
from pathlib import Path

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from fontTools.varLib.instancer import instantiateVariableFont  # type: ignore[import-untyped]

ROOT = Path(__file__).resolve().parents[2]
FONT = ROOT / "themes" / "default" / "fonts" / "atkinson-hyperlegible-next.woff2"
WEIGHTS = (400, 700)


def tabular(font: TTFont) -> dict[str, str]:
    """Glyph name to the name of its tabular form, from the font's 'tnum' feature."""
    table = font["GSUB"].table
    swaps: dict[str, str] = {}
    for record in table.FeatureList.FeatureRecord:
        if record.FeatureTag == "tnum":
            for index in record.Feature.LookupListIndex:
                for subtable in table.LookupList.Lookup[index].SubTable:
                    swaps.update(getattr(subtable, "ExtSubTable", subtable).mapping)
    return swaps


def widths(weight: int) -> dict[str, int]:
    """Character to advance width in font units at one weight, tabular figures where there are any."""
    font = instantiateVariableFont(TTFont(FONT), {"wght": weight})
    swaps = tabular(font)
    return {
        chr(code): font["hmtx"][swaps.get(glyph, glyph)][0]
        for code, glyph in sorted(font.getBestCmap().items())
        if chr(code).isprintable()
    }


def module() -> str:
    """The text of the table's module."""
    font = TTFont(FONT)
    lines = [
        '"""Advance widths of Atkinson Hyperlegible Next with tabular figures, in font units.',
        "",
        "Made by tests/drawings/make_font_table.py from the shipped font; never edited by hand.",
        '"""',
        "",
        f"UNITS_PER_EM = {font['head'].unitsPerEm}",
        f"CAP_HEIGHT = {font['OS/2'].sCapHeight}",
        f"ASCENDER = {max(font['glyf'][g].yMax for g in 'bdfhkl')}",
        f"DESCENDER = {min(font['glyf'][g].yMin for g in 'gjpqy')}",
        "",
    ]
    for weight in WEIGHTS:
        lines.append(f"WIDTHS_{weight} = {{")
        for char, width in widths(weight).items():
            quoted = "'\"'" if char == '"' else '"\\\\"' if char == "\\" else f'"{char}"'
            if ord(char) > 126:
                quoted = f'"\\u{ord(char):04x}"'
            lines.append(f"    {quoted}: {width},")
        lines.append("}")
        lines.append("")
    return "\n".join(lines[:-1]) + "\n"


if __name__ == "__main__":
    sys.stdout.write(module())
