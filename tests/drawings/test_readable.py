"""What a drawing says can be read: whose a value is, where M is, what is off the plane."""

from dataclasses import replace
from math import dist

import numpy as np
import pytest

from drawings.samples import shipped_book
from drawings.test_layout import UNITS, area_mm2, paths
from thirdstop.constants import Units
from thirdstop.drawings.detail import detail, measured_items
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.geometry import View
from thirdstop.drawings.plan import plan
from thirdstop.drawings.sheet import Drawing
from thirdstop.drawings.things import depth_of
from thirdstop.staging.staging import Staging

BOOK = shipped_book()


@pytest.mark.parametrize("units", UNITS)
def test_each_value_of_a_detail_says_whose_it_is(units: Units) -> None:
    """Where two things are measured, a part's number stands beside every run and bearing of the book."""
    few = [staging for staging in BOOK if len(measured_items(staging)) < 2]
    many = [staging for staging in BOOK if len(measured_items(staging)) > 1]
    for staging in few:
        assert not [label for label in detail(staging, units=units).labels if label.kind == "part"]
    for staging in many:
        labels = detail(staging, units=units).labels
        values = sorted(label.about for label in labels if label.kind in ("dimension", "bearing"))
        parts = [label for label in labels if label.kind == "part"]

        assert sorted(label.about for label in parts) == values
        assert all(label.about == f"item {label.text}" for label in parts)


def test_a_parts_number_stands_beside_its_value() -> None:
    """Within 1 mm of one of its own values, and nearer to it than to any other thing's."""
    for staging in BOOK:
        labels = detail(staging).labels
        values = [label for label in labels if label.kind in ("dimension", "bearing")]
        for part in (label for label in labels if label.kind == "part"):
            own = [label for label in values if label.about == part.about]
            assert any(part.box.grown(1.0).overlaps(label.box) for label in own), (staging.slug, part.text)


@pytest.mark.parametrize("scale", [50, 100])
def test_m_is_a_cross_and_its_letter_leads_to_it(scale: int) -> None:
    """Both arms cross at M; the letter is beside it, or has a leader from there."""
    for staging in BOOK:
        drawing = plan(staging, scale, rulers=False)  # type: ignore[arg-type]
        letter = next(label for label in drawing.labels if label.about == "M" and label.text == "M")
        style = "d-thick" if scale == 50 else "d-thin"
        arms = [line for line in paths(drawing, style) if len(line) == 2 and _slanted(line)]
        crossings = [np.mean(line, axis=0) for line in arms]
        place = next(p for p in crossings if sum(dist(p, q) < 0.02 for q in crossings) > 1)
        if not any(dist(leader[0], place) < 0.02 for leader in drawing.leaders):
            box = letter.box.grown(2.1)
            assert box.x0 <= place[0] <= box.x1 and box.y0 <= place[1] <= box.y1


def _slanted(line: list[tuple[float, float]]) -> bool:
    (x0, y0), (x1, y1) = line
    return abs(abs(x1 - x0) - 2.2) < 0.02 and abs(abs(y1 - y0) - 2.2) < 0.02


def lens_flag() -> Staging:
    """A set-up with a black flag that the elevation's plane doesn't cut."""
    return next(staging for staging in BOOK if staging.slug.startswith("08"))


def solid(drawing: Drawing) -> list[list[tuple[float, float]]]:
    """Black polygons larger than the scale bar's."""
    return [path for path in paths(drawing, "d-fill-black") if len(path) > 2 and area_mm2(path) > 25]


def test_black_off_the_plane_is_seen_through() -> None:
    """The flag behind is grey and dashed, and the drawing says so; moved into the plane it is solid."""
    staging = lens_flag()
    drawing = elevation(staging)
    said = [label.text for label in drawing.labels]

    assert "dashed grey: farther off than this line" in said
    assert solid(drawing) == []
    assert len(paths(drawing, "d-fill-overlaid")) == 1

    key, flag = staging.items[0], next(item for item in staging.items if item.kind == "blocker")
    way = key.centre_m * [1.0, 1.0, 0.0] / np.hypot(*key.centre_m[:2])
    middle = np.array([*(way * float(flag.centre_m @ way))[:2], flag.centre_m[2]])
    cut = replace(flag, centre_m=middle)
    items = tuple(cut if item is flag else item for item in staging.items)
    moved = elevation(replace(staging, items=items))

    assert len(solid(moved)) == 1
    assert not [label.text for label in moved.labels if "grey" in label.text]


def test_depth_is_told_by_the_viewers_side() -> None:
    """Seen from camera-right, what stands at camera-left is behind, and the other way round."""
    item = next(item for item in lens_flag().items if item.kind == "blocker")
    from_right = View(np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]), 50)
    toward = float(from_right.toward[0])

    right, left = (replace(item, centre_m=np.array([x, 0.0, 1.0])) for x in (2.0, -2.0))
    assert depth_of(from_right, right) == ("front" if toward > 0 else "behind")
    assert depth_of(from_right, left) == ("behind" if toward > 0 else "front")
    assert depth_of(from_right, replace(item, centre_m=np.array([0.0, 0.0, 1.0]))) == ""
