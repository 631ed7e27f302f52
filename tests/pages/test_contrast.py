"""Contrast of the theme's colours, by the formula of WCAG 2.2 ('relative luminance', 'contrast ratio')."""

import re
import tomllib
from pathlib import Path

import pytest

THEME = Path(__file__).resolve().parents[2] / "themes" / "default"
CSS = (THEME / "static" / "site.css").read_text()
DRAWING_CSS = (THEME / "drawing.css").read_text()
CARD_CSS = (THEME / "static" / "card.css").read_text()
DRAWING = tomllib.loads((THEME / "drawing.toml").read_text())
TEXT, LINE = 4.5, 3.0
"""WCAG 2.2, success criteria 1.4.3 (text) and 1.4.11 (what is needed to see a control or a drawing)."""


LEDGER_CSS = (THEME.parent / "ledger" / "static" / "ledger.css").read_text()


def block(pattern: str, css: str = CSS) -> dict[str, str]:
    """The custom properties of one rule of the stylesheet."""
    found = re.search(pattern + r"\s*\{([^}]*)\}", css)
    assert found, pattern
    return dict(re.findall(r"--([a-z]+):\s*(#[0-9a-f]{3,6})", found[1]))


ON_SET_CSS = (THEME / "templates" / "alone" / "on-set.css").read_text()


def on_set(colours: str) -> dict[str, str]:
    """The custom properties of one set of colours of the page on set."""
    found = re.search(rf':root\[data-colours="{colours}"\] \{{([^}}]*)\}}', ON_SET_CSS)
    assert found, colours
    return dict(re.findall(r"--([a-z]+):\s*(#[0-9a-f]{3,6})", found[1]))


THEMES = {
    "light": block(r"\n:root"),
    "dark, chosen": block(r":root\[data-theme=\"dark\"\]"),
    "dark, as the system says": block(r":root:not\(\[data-theme=\"light\"\]\)"),
    "print": block(r"@media print \{\n  :root"),
    "on set, dark": on_set("dark"),
    "on set, red": on_set("red"),
    "on set, light": on_set("light"),
}
LEDGER = {
    "light": r"\n:root",
    "dark, chosen": r":root\[data-theme=\"dark\"\]",
    "dark, as the system says": r":root:not\(\[data-theme=\"light\"\]\)",
    "print": r"@media print \{\n  :root",
}
# read after the base theme's style: what it doesn't set stays
THEMES |= {f"ledger, {name}": THEMES[name] | block(rule, LEDGER_CSS) for name, rule in LEDGER.items()}


def luminance(colour: str) -> float:
    """Relative luminance of a hexadecimal sRGB colour."""
    digits = colour.lstrip("#")
    digits = "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits
    channels = [int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    low, high = sorted([luminance(one), luminance(other)])
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # Published examples: black on white is 21; #767676 is the lightest grey that passes 4.5 on white
        # (WebAIM, 'Contrast and Color Accessibility'), from memory.
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.54),
        ("#777777", "#ffffff", 4.48),
    ],
)
def test_the_formula(one: str, other: str, ratio: float) -> None:
    """Known pairs come out as published."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("colour", ["ink", "soft", "accent"])
def test_text_can_be_read(theme: str, colour: str) -> None:
    """Every colour of text stands out from the paper by 4.5:1 or more."""
    assert contrast(THEMES[theme][colour], THEMES[theme]["paper"]) >= TEXT


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("colour", ["line", "ink", "accent"])
def test_lines_can_be_seen(theme: str, colour: str) -> None:
    """Edges of controls and lines of drawings stand out from the paper by 3:1 or more."""
    assert contrast(THEMES[theme][colour], THEMES[theme]["paper"]) >= LINE


@pytest.mark.parametrize("theme", THEMES)
def test_a_findings_bar_is_edged_in_ink(theme: str) -> None:
    """Amber hardly stands out from light paper: each bar has an edge that does, on both of its sides."""
    colours = THEMES[theme]
    edged = re.findall(r"\.finding\.(look|halt)::before \{[^}]*border: 1px solid var\(--ink\)", CSS)

    assert edged == ["look", "halt"]
    assert contrast(colours["ink"], colours["paper"]) >= LINE
    assert (
        max(contrast(colours["ink"], colours["caution"]), contrast(colours["paper"], colours["caution"]))
        >= LINE
    )


def test_both_ways_to_the_dark_are_the_same_dark() -> None:
    """The theme that is chosen and the one that the system asks for have the same colours."""
    assert THEMES["dark, chosen"] == THEMES["dark, as the system says"]
    assert THEMES["ledger, dark, chosen"] == THEMES["ledger, dark, as the system says"]


def test_every_theme_has_every_colour() -> None:
    """No theme leaves a colour to another one."""
    names = [set(colours) for colours in THEMES.values()]

    assert all(each == names[0] for each in names)


def over(colours: dict[str, str], fill: str, opacity: float) -> str:
    """A see-through fill on the paper, as one colour."""
    top, paper = (
        [int(digits[k : k + 2], 16) for k in (0, 2, 4)]
        for digits in map(_six, (colours[fill], colours["paper"]))
    )
    mixed = (round(opacity * a + (1 - opacity) * b) for a, b in zip(top, paper, strict=True))
    return "#" + "".join(f"{channel:02x}" for channel in mixed)


def _six(colour: str) -> str:
    digits = colour.lstrip("#")
    return "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits


@pytest.mark.parametrize("theme", THEMES)
def test_a_label_can_be_read_on_what_lies_under_it(theme: str) -> None:
    """On a wall, a tint, a band, and on what lies see-through over something else."""
    colours = THEMES[theme]
    fills = {name: fill for name, fill in DRAWING["fill"].items() if "opacity" in fill}

    assert {"tint", "band", "overlaid"} <= set(fills)
    assert contrast(colours["ink"], colours["wall"]) >= TEXT
    for name, fill in fills.items():
        under = over(colours, "accent" if fill["colour"] == "accent" else "ink", fill["opacity"])
        assert contrast(colours["ink"], under) >= TEXT, name


@pytest.mark.parametrize(
    "css", [CSS, DRAWING_CSS, CARD_CSS, ON_SET_CSS], ids=["site", "drawing", "card", "on set"]
)
def test_no_rule_has_a_colour_of_its_own(css: str) -> None:
    """Beside the variables, whose contrast is computed here, there are only the black and greys of print."""
    rest = re.sub(r"/\*.*?\*/|--[a-z]+:[^;]*;|var\(--[a-z]+, #[0-9a-f]{6}\)", "", css, flags=re.S)

    assert set(re.findall(r"#[0-9a-f]{3,8}\b", rest)) <= {"#000", "#fff", "#bbb", "#777"}
    assert not re.search(r":\s*(rgb|hsl|white|black|red|gr[ae]y)\b", rest)


def test_a_drawing_without_its_stylesheet_is_the_light_theme() -> None:
    """The colours written into an SVG, and the fallbacks of its stylesheet, are those of the light theme."""
    fallbacks = dict(re.findall(r"var\(--([a-z]+), (#[0-9a-f]{6})\)", DRAWING_CSS))

    assert set(fallbacks) == {"ink", "paper", "accent", "wall"}
    assert {name: DRAWING["colour"][name] for name in fallbacks} == fallbacks
    assert {name: THEMES["light"][name] for name in fallbacks} == fallbacks


def test_red_is_red_and_dim() -> None:
    """In the set of colours that spares eyes used to the dark, red leads everywhere and nothing is brighter
    than half of white.
    """
    for name, colour in on_set("red").items():
        red, green, blue = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
        assert red >= 1.7 * max(green, blue), name
        assert luminance(colour) < 0.5, name
