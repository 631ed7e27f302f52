"""The SVG itself: finite numbers, clean text, ids of its own, the same bytes each time."""

import re
from collections.abc import Callable
from xml.etree import ElementTree

import numpy as np
import pytest

from drawings.samples import by_hand, wide_brim
from thirdstop.constants import Units
from thirdstop.drawings.detail import detail, detail_in
from thirdstop.drawings.elevation import elevation, elevation_in
from thirdstop.drawings.lengths import SYSTEMS
from thirdstop.drawings.palette import palette
from thirdstop.drawings.plan import plan, plan_in, thumbnail
from thirdstop.drawings.sheet import Drawing, Sheet
from thirdstop.drawings.svg import clean, identifier, num
from thirdstop.resources import shipped

NAME = "{http://www.w3.org/2000/svg}"


def drawings() -> list[Drawing]:
    return [draw(staging) for staging in by_hand() for draw in (plan, detail, elevation, thumbnail)]


@pytest.mark.parametrize(("value", "text"), [(1.0, "1"), (0.304, "0.3"), (-0.001, "0"), (12.345678, "12.35")])
def test_numbers_have_two_decimals_at_most(value: float, text: str) -> None:
    """A length is written shortly, and never as minus zero."""
    assert num(value) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_a_number_that_is_not_finite_is_refused(value: float) -> None:
    """NaN and infinity raise instead of reaching the file."""
    with pytest.raises(ValueError, match=r"^a drawing can't hold the number -?(nan|inf)$"):
        num(value)


def test_control_characters_become_a_space() -> None:
    """What XML 1.0 forbids does not reach the file."""
    assert clean("lap\x00\x0bcard\ud800") == "lap card "


@pytest.mark.parametrize(
    ("text", "prefix"), [("Wide brim, low", "wide-brim-low"), ("3:1", "d-3-1"), ("…", "d")]
)
def test_an_identifier_starts_with_a_letter(text: str, prefix: str) -> None:
    """Any title gives a usable prefix for ids."""
    assert identifier(text) == prefix


def test_hostile_words_stay_text() -> None:
    """Markup in a text is escaped."""
    sheet = Sheet(palette())
    sheet.text("<script>&\x07", 1, 5, 3)
    drawing = sheet.finish(50, 10, 1, "x", "<b>", "a & b")
    root = ElementTree.fromstring(drawing.svg)

    assert [element.text for element in root.iter(f"{NAME}text")] == ["<script>& "]


@pytest.mark.parametrize("draw", [plan, detail, elevation], ids=["plan", "detail", "elevation"])
def test_a_drawing_in_feet_names_no_metres(draw: Callable[..., Drawing]) -> None:
    """Neither a label nor the description of a drawing in feet and inches has a length in metres."""
    for staging in by_hand():
        root = ElementTree.fromstring(draw(staging, units="imperial").svg)
        words = " ".join(text for text in root.itertext())

        assert not re.search(r"\d\.\d\d|\d m\b|[Mm]etre", words)
        assert " ft " in words


def test_the_words_say_the_figures_that_are_drawn() -> None:
    """The description gives each height as the ruler beside it does, in either unit."""
    staging = wide_brim()
    of_figures: dict[Units, str] = {"metric": " m", "imperial": ""}
    for units, unit in of_figures.items():
        drawing = elevation(staging, units=units)
        words = ElementTree.fromstring(drawing.svg).findtext(f"{NAME}desc") or ""
        heights = re.findall(r", (\d[^,]*) over the floor", words)

        assert len(heights) == 4
        assert {height.removesuffix(unit) for height in heights} <= {label.text for label in drawing.labels}


def test_the_same_drawing_in_two_units_shares_no_id() -> None:
    """Both stand on one page."""
    staging = wide_brim()
    found = [re.findall(r' id="([^"]*)"', plan(staging, units=units).svg) for units in SYSTEMS]

    assert not set(found[0]) & set(found[1])


def test_writing_in_one_system_leaves_the_other_as_it_is() -> None:
    """What both share is drawn once, and nothing that one of them adds to it stays."""
    brim = wide_brim()
    for made in (plan_in, detail_in, elevation_in):
        both = made(brim)
        imperial, metric, again = both("imperial"), both("metric"), both("imperial")

        assert imperial.svg == again.svg != metric.svg
        assert metric.svg == made(brim)("metric").svg


def test_a_drawing_is_the_same_bytes_each_time() -> None:
    """Drawing twice gives the same SVG."""
    assert [d.svg for d in drawings()] == [d.svg for d in drawings()]


def test_every_drawing_has_a_title_and_a_description_of_its_own() -> None:
    """Title and desc carry ids that are the drawing's own, and aria-labelledby names both."""
    seen: set[str] = set()
    for drawing in drawings():
        root = ElementTree.fromstring(drawing.svg)
        ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
        title, description = root.find(f"{NAME}title"), root.find(f"{NAME}desc")

        assert title is not None and title.text
        assert description is not None and description.text
        assert root.attrib["aria-labelledby"].split() == [title.attrib["id"], description.attrib["id"]]
        assert not seen & set(ids)
        seen |= set(ids)


def test_a_drawing_is_printed_true() -> None:
    """Width and height are millimetres on paper, and the view box has the same numbers."""
    for drawing in drawings():
        root = ElementTree.fromstring(drawing.svg)
        width, height = root.attrib["width"], root.attrib["height"]

        assert (width, height) == (f"{num(drawing.width_mm)}mm", f"{num(drawing.height_mm)}mm")
        assert root.attrib["viewBox"] == f"0 0 {width[:-2]} {height[:-2]}"


def test_every_class_has_its_rule() -> None:
    """Each class that a drawing uses is coloured by the stylesheet, so that no line stays dark on dark."""
    css = (shipped("themes") / "default" / "drawing.css").read_text(encoding="utf-8")
    used = {
        name for d in drawings() for names in re.findall(r'class="([^"]*)"', d.svg) for name in names.split()
    }

    assert {name for name in used if not re.search(rf"\.{name}\b", css)} == set()


def test_no_type_is_smaller_than_two_and_a_half_millimetres() -> None:
    """The smallest type on paper is 2.5 mm."""
    assert min(label.size_mm for drawing in drawings() for label in drawing.labels) >= 2.5


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb (WCAG 2.2, definition of relative luminance)."""
    parts = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def test_lines_and_texts_stand_out() -> None:
    """Contrast with the paper is at least 4.5:1 for texts and 3:1 for lines (WCAG 2.2, 1.4.3 and 1.4.11)."""
    look = palette()
    paper = luminance(look.inks["paper"].colour) + 0.05

    for colour, least in [
        (look.ink, 4.5),
        (look.accent, 4.5),
        *((p.colour, 3.0) for p in look.pens.values()),
    ]:
        assert paper / (luminance(colour) + 0.05) >= least


def test_the_thick_line_is_twice_the_thin_one() -> None:
    """Line widths are those of a series of ISO 128: 0.5, 0.25 and 0.18 mm."""
    pens = palette().pens

    assert (pens["thick"].width_mm, pens["thin"].width_mm, pens["hair"].width_mm) == (0.5, 0.25, 0.18)


def test_the_plan_names_every_thing_in_words() -> None:
    """The description says where each numbered thing stands."""
    staging = wide_brim()
    root = ElementTree.fromstring(plan(staging).svg)
    words = root.findtext(f"{NAME}desc") or ""

    assert all(f"{item.number}: {item.name}" in words for item in staging.items)
