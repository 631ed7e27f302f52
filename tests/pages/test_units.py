"""Feet and inches beside metres."""

import re
from pathlib import Path

import pytest
from markupsafe import Markup

from drawings.test_charts import curve
from thirdstop.book.feet import feet, in_feet
from thirdstop.pages import drawn, figures
from thirdstop.pages.units import both, curly

INCH_M = 0.0254
"""Exactly, by the international yard and pound agreement of 1959."""


@pytest.mark.parametrize(
    ("metres", "text"),
    [
        (12 * INCH_M, "1 ft"),
        (47 * INCH_M, "3 ft 11 in"),
        (11.5 * INCH_M, "11½ in"),
        (0.5 * INCH_M, "½ in"),
        (24.5 * INCH_M, "2 ft ½ in"),
        (11.76 * INCH_M, "1 ft"),
        (-47 * INCH_M, "3 ft 11 in"),
        (0.0, "0 in"),
    ],
)
def test_a_length_is_given_to_the_nearest_half_inch(metres: float, text: str) -> None:
    """Whole feet have no inches, less than a foot has no feet, and a sign is left to the figure's word."""
    assert feet(metres) == text


def test_what_must_be_there_is_rounded_up() -> None:
    """The ceiling that is needed is never given as less than it is; on the half inch it stays."""
    assert feet(2.271) == "7 ft 5½ in"
    assert feet(90.01 * INCH_M) == "7 ft 6 in"
    assert feet(90.01 * INCH_M, up=True) == "7 ft 6½ in"
    assert feet(90 * INCH_M, up=True) == "7 ft 6 in"
    assert figures.length_up(90.01 * INCH_M).imperial == (("7", "ft"), ("6½", "in"))


def test_every_length_of_a_sentence_stands_in_both() -> None:
    """Metres, centimetres and kilograms are paired; focal lengths, torques and gear's names are not."""
    html = both("85 mm, 10 kg, 3 N·m, box 90: 1.22 m; 5 cm <b>")
    pairs = '<span class="metric">1.22 m</span><span class="imperial">4 ft</span>'

    assert pairs.replace(" ft", "\u00a0ft").replace(" m", "\u00a0m") in html
    assert html.count("metric") == 3
    assert html.endswith(" &lt;b&gt;")
    said = html.replace("\u00a0", " ")
    mass = '<span class="metric">10 kg</span><span class="imperial">22 lb</span>'
    assert f"85 mm, {mass}, 3 N·m, box 90: <span" in said


def test_a_length_in_a_sentence_has_the_feet_of_the_table() -> None:
    """Rounded once, from the length itself: 0.6049 m is 24 in, its 0.60 m would be 23½."""
    for length_m in (0.7366, 0.7299, 0.615, 1.2345, -0.6049):
        figure = figures.along(length_m)
        html = str(both(f"at {figures.told(figure)}, 30° R"))

        assert (
            f'<span class="imperial">{figure.feet}</span>'.replace(" ", "\u00a0").replace(
                "span\u00a0", "span "
            )
            in html
        )
        assert f">{figure.value}\u00a0m</span>" in html
        assert html.endswith(f"</span>\u00a0{figure.word}, 30° R")


def test_no_page_shows_how_a_sentence_carries_feet(demo_site: Path) -> None:
    """The signs around them are gone from every page and every drawing."""
    pages = list(demo_site.rglob("*.html"))

    assert len(pages) > 60
    assert [
        page for page in pages if re.search(f"[{figures.FEET}{figures.END}]", page.read_text("utf-8"))
    ] == []


def test_html_is_left_alone() -> None:
    """What is HTML already is not looked into."""
    assert both(Markup("<p>1.2 m</p>")) == "<p>1.2 m</p>"


def test_a_chart_of_lengths_stands_on_the_page_in_both() -> None:
    """One drawing for each unit, by the classes that the switch shows and hides."""
    chart = drawn.card_moves("made", curve())
    assert chart is not None
    html = str(chart.svg)
    found = re.findall(r'<svg[^>]* class="([^"]*)"[^>]* id="([^"]*)"', html)
    metric, imperial = html.split("</svg>")[:2]

    assert found == [("drawing metric", "made-moves"), ("drawing imperial", "made-moves-feet")]
    assert ">0.40 m, about<" in metric and ">1 ft 3½ in, about<" in imperial


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1.20 m high, 85 mm lens, 34.7 N·m", "3 ft 11 in high, 85 mm lens, 34.7 N·m"),
        ("49 cm × 96 cm, at 4:1", "1 ft 7½ in × 3 ft 2 in, at 4:1"),
        ("−3 cm, 2 m² of it, 10 kg", "−1 in, 2 m² of it, 22 lb"),
    ],
)
def test_a_printed_sentence_is_in_feet(text: str, said: str) -> None:
    """Lengths in metres and centimetres and masses in kilograms, and nothing else."""
    assert in_feet(text) == said


def test_a_sentence_keeps_together_what_is_one() -> None:
    """A mark with what it adds, a number with its unit, a size as one is set, and a day: none is parted."""
    html = both("f/4 + 6/10, 1/16 + 2/3, 10 J, card 120 x 90, revised 2026-11-26, 3 + 4 < 8")

    assert html == (
        "f/4\u00a0+\u00a06/10, 1/16\u00a0+\u00a02/3, 10 J, card 120\u00a0×\u00a090, "
        'revised <span class="nowrap">2026-11-26</span>, 3 + 4 &lt; 8'
    )


def test_quotation_marks_are_set() -> None:
    """An opening one after a space or a bracket, else a closing one or an apostrophe."""
    assert (
        curly("'key' (or 'card') is the maker's; hats' brims")
        == "‘key’ (or ‘card’) is the maker’s; hats’ brims"
    )


@pytest.mark.parametrize(
    ("kg", "metric", "imperial"),
    [
        (3.5, "3.5\u00a0kg", "7.7\u00a0lb\u00a0(3.5\u00a0kg)"),
        (3.49266, "3.493\u00a0kg", "7.7\u00a0lb\u00a0(3.493\u00a0kg)"),
        (10, "10\u00a0kg", "22\u00a0lb\u00a0(10\u00a0kg)"),
    ],
)
def test_a_mass_of_gear_is_in_pounds_first_beside_feet(kg: float, metric: str, imperial: str) -> None:
    """And the kilograms stay beside them."""
    assert both(figures.weighed(kg)) == (
        f'<span class="metric">{metric}</span><span class="imperial">{imperial}</span>'
    )


@pytest.mark.parametrize(
    ("said", "imperial"),
    [
        ("Hang at least 8.5 kg on the column", "18.8\u00a0lb"),
        ("with a 8.5 kg bag", "18.7\u00a0lb"),
        ("8.5 kg are enough once the boom is balanced", "18.8\u00a0lb"),
    ],
)
def test_a_mass_of_a_finding_is_rounded_to_the_safe_side(said: str, imperial: str) -> None:
    """What a bag must weigh at least goes up."""
    assert f'<span class="imperial">{imperial}</span>' in both(said)


def test_a_mass_in_a_name_stays_as_it_is_written() -> None:
    """A name in quotes is the house's own word."""
    assert both("the bag 'sandbag 8 kg'") == "the bag &#39;sandbag 8\u00a0kg&#39;"


_IMPERIAL = re.compile(r'<span class="metric">.*?</span>(?=<span class="imperial">)', re.S)
_TAGS = re.compile(r"<(script|style|svg)\b.*?</\1>|<[^>]*>", re.S)


def test_nothing_that_is_built_from_is_in_kilograms_alone(demo_site: Path) -> None:
    """With the switch at feet no recipe's page, card or page for a phone says a mass in kilograms."""
    pages = [page for page in demo_site.rglob("*.html") if page.parent.parent.name == "recipes"]
    left = {}
    for page in pages:
        shown = _TAGS.sub("", _IMPERIAL.sub("", page.read_text("utf-8")))
        if found := re.findall(r"[\d.]+[ \u00a0]kg\b", shown):
            left[str(page.relative_to(demo_site))] = found

    assert len(pages) >= 57
    assert left == {}
