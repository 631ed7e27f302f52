"""Contrast of the theme's colours, computed from its stylesheets (WCAG 2.2, 1.4.3 and 1.4.11)."""

import re
import tomllib
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

THEME = Path(__file__).resolve().parents[2] / "themes" / "default"
TEXT, LINE = 4.5, 3.0
"""Least contrast of text, and of lines and edges that carry meaning."""

SITE = (THEME / "static" / "site.css").read_text(encoding="utf-8")
DRAWING = (THEME / "drawing.css").read_text(encoding="utf-8")
CARD = (THEME / "static" / "card.css").read_text(encoding="utf-8")
_BLOCK = re.compile(r"(:root[^{]*)\{([^}]*--paper[^}]*)\}")
_VARIABLE = re.compile(r"--([a-z]+):\s*(#[0-9a-f]{3,6})")


def variables(selector: str, media: str = "") -> dict[str, str]:
    """The colours that a rule for the root sets, under the first '@media' of the given words."""
    found = [
        body
        for at, head, body in _rules()
        if head == selector and (at == "" if media == "" else at.startswith(f"@media {media}"))
    ]
    assert len(found) == 1, (selector, media)
    return dict(_VARIABLE.findall(found[0]))


def _rules() -> Iterator[tuple[str, str, str]]:
    """Each rule that sets colours: the '@media' that it stands under, its selector, its body."""
    for found in _BLOCK.finditer(SITE):
        before = SITE[: found.start()]
        inside = before.count("{") > before.count("}")
        at = before[before.rindex("@media") :].partition("{")[0] if inside else ""
        yield at, found[1].strip(), found[2]


THEMES = {
    "light": variables(":root"),
    "dark": variables(':root[data-theme="dark"]', "screen"),
    "print": variables(":root", "print"),
}


def channels(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of '#rgb' or '#rrggbb', 0 to 1."""
    digits = colour.lstrip("#")
    pairs = [digit * 2 for digit in digits] if len(digits) == 3 else re.findall("..", digits)
    red, green, blue = (int(pair, 16) / 255 for pair in pairs)
    return red, green, blue


def luminance(colour: tuple[float, float, float]) -> float:
    """Relative luminance (WCAG 2.2, definition; the sRGB transfer function of IEC 61966-2-1)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    """Contrast ratio (WCAG 2.2, definition)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def between(theme: str, one: str, other: str) -> float:
    """Contrast of two named colours of a theme."""
    return contrast(channels(THEMES[theme][one]), channels(THEMES[theme][other]))


def over(theme: str, fill: str, opacity: float) -> tuple[float, float, float]:
    """A see-through fill on the theme's paper."""
    top, paper = channels(THEMES[theme][fill]), channels(THEMES[theme]["paper"])
    red, green, blue = (opacity * a + (1 - opacity) * b for a, b in zip(top, paper, strict=True))
    return red, green, blue


def test_the_measure_itself() -> None:
    """Black on white is 21:1 by definition, a colour on itself 1:1; three digits mean the same as six."""
    assert contrast((0, 0, 0), (1, 1, 1)) == pytest.approx(21)
    assert contrast(channels("#1c4f8f"), channels("#1c4f8f")) == 1
    assert channels("#abc") == channels("#aabbcc")


@pytest.mark.parametrize(("theme", "ink"), list(product(THEMES, ("ink", "soft", "accent"))))
def test_text(theme: str, ink: str) -> None:
    """Every colour that text has, on paper; the ink also on a wall that a label stands on."""
    assert between(theme, ink, "paper") >= TEXT
    if ink != "soft":
        assert between(theme, "ink", "wall") >= TEXT


@pytest.mark.parametrize(("theme", "line"), list(product(THEMES, ("ink", "accent", "line", "prohibition"))))
def test_lines(theme: str, line: str) -> None:
    """Every line and edge that carries meaning: outlines, dimensions, edges of fields and buttons, a halt's
    bar. The thin rules between rows and a look's amber, which has an edge of ink, carry none.
    """
    assert between(theme, line, "paper") >= LINE


@pytest.mark.parametrize("theme", THEMES)
def test_text_on_fills_of_drawings(theme: str) -> None:
    """A label stays readable on a tint, a band, and on what lies see-through over something else."""
    fills = tomllib.loads((THEME / "drawing.toml").read_text(encoding="utf-8"))["fill"]
    seen = {name: fill for name, fill in fills.items() if "opacity" in fill}
    assert {"tint", "band", "overlaid"} <= set(seen)

    for name, fill in seen.items():
        colour = "accent" if fill["colour"] == "accent" else "ink"
        ink = channels(THEMES[theme]["ink"])
        assert contrast(ink, over(theme, colour, fill["opacity"])) >= TEXT, name


def test_dark_is_dark_by_choice_and_by_system_alike() -> None:
    """The colours behind the switch are those that a system set to dark gets."""
    assert variables(':root:not([data-theme="light"])', "screen") == THEMES["dark"]


def test_every_colour_is_one_of_the_measured_ones() -> None:
    """No rule names a colour of its own beside the variables, but for black, white and grey of print."""
    printed = {"#000", "#fff", "#bbb", "#777"}
    for name, css in (("site.css", SITE), ("drawing.css", DRAWING), ("card.css", CARD)):
        rest = re.sub(
            r"var\(--[a-z]+, #[0-9a-f]{6}\)", "", _BLOCK.sub("", re.sub(r"/\*.*?\*/", "", css, flags=re.S))
        )
        assert set(re.findall(r"#[0-9a-f]{3,8}\b", rest)) <= printed, name
        assert not re.search(r":\s*(rgb|hsl|white|black|red|gr[ae]y)\b", rest), name


def test_what_a_drawing_shows_without_a_stylesheet_is_the_light_theme() -> None:
    """The colours written into an SVG, and the fallbacks of its stylesheet, are those of the light theme."""
    own = tomllib.loads((THEME / "drawing.toml").read_text(encoding="utf-8"))["colour"]
    fallbacks = dict(re.findall(r"var\(--([a-z]+), (#[0-9a-f]{6})\)", DRAWING))

    assert {name: own[name] for name in fallbacks} == fallbacks
    assert {name: THEMES["light"][name] for name in fallbacks} == fallbacks
