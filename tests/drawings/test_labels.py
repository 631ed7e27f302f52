"""The search for places: it avoids what it must, prefers what is near, and always decides alike."""

import numpy as np
import pytest

from thirdstop.drawings.labels import Box, Ground, Wish, around, place
from thirdstop.drawings.lengths import IMPERIAL
from thirdstop.drawings.rulers import Place, entries, spread

SHEET = Box(0, 0, 100, 100)


def test_a_free_label_stays_near_its_anchor() -> None:
    """With nothing around, the nearest distance is taken."""
    wish = around((50, 50), (8, 4), (2.0, 6.0, 12.0))
    index = place([wish], Ground(SHEET))[0]

    assert index is not None and index < 24


def test_a_label_leaves_a_place_that_is_taken() -> None:
    """A candidate under a text is not chosen while another is free."""
    wish = Wish(np.array([(10.0, 10, 20, 15), (30.0, 10, 40, 15)]), np.array([0.0, 50.0]))

    assert place([wish], Ground(SHEET, boxes=[Box(12, 11, 18, 14)])) == [1]


def test_a_label_stays_on_the_sheet() -> None:
    """A candidate that crosses the sheet's edge loses to a dearer one inside."""
    wish = Wish(np.array([(-1.0, 10, 9, 15), (50.0, 50, 60, 55)]), np.array([0.0, 500.0]))

    assert place([wish], Ground(SHEET)) == [1]


def test_a_value_may_stand_on_its_own_line_but_on_no_other() -> None:
    """Lines of the label's own tag cost nothing, others do."""
    boxes = np.array([(10.0, 8, 20, 12), (10.0, 28, 20, 32)])
    lines = [(np.array([(0.0, 10), (100, 10)]), 4.0, "own"), (np.array([(0.0, 30), (100, 30)]), 4.0, "other")]
    wish = Wish(boxes, np.array([5.0, 0.0]), own="own")

    assert place([wish], Ground(SHEET, lines=lines)) == [0]
    assert place([Wish(boxes, np.array([5.0, 0.0]))], Ground(SHEET, lines=lines)) == [1]


@pytest.mark.parametrize(
    ("line", "taken"),
    [
        ([(0.0, 0), (100, 25)], 1),  # runs through the first place from side to side
        ([(0.0, 14), (30, 40)], 0),  # past its lower left corner: only the line's bounds touch it
        ([(15.0, 5), (15, 20)], 1),  # upright
    ],
)
def test_a_label_leaves_a_line_that_runs_through_its_place(
    line: list[tuple[float, float]], taken: int
) -> None:
    """And stays where the line only has it between its ends."""
    wish = Wish(np.array([(10.0, 2, 20, 12), (60.0, 60, 70, 70)]), np.array([0.0, 1.0]))

    assert place([wish], Ground(SHEET, lines=[(np.array(line), 4.0, "")])) == [taken]


@pytest.mark.parametrize(
    ("line", "taken"),
    [
        ([(20.0, 0), (20, 40)], 1),  # across the first leader
        ([(0.0, 25), (35, 55)], 0),  # past it: only the bounds touch
        ([(20.0, 30), (20, 40)], 0),  # ends before it
    ],
)
def test_a_leader_leaves_a_line_that_it_would_cross(line: list[tuple[float, float]], taken: int) -> None:
    """Of leaders from one anchor a dearer one is chosen only where the first crosses a line."""
    boxes = np.array([(32.0, 22, 36, 26), (8.0, 60, 12, 64), (2.0, 2, 6, 6)])
    leaders = np.array([(10.0, 10, 32, 24), (10.0, 10, 10, 60), (10.0, 10, 6, 6)])
    wish = Wish(boxes, np.array([0.0, 1.0, 50.0]), leaders)

    assert place([wish], Ground(SHEET, lines=[(np.array(line), 4.0, "")])) == [taken]


def test_only_an_optional_label_is_left_out() -> None:
    """Where every place is taken, a name that only helps is dropped, a number is not."""
    boxes, costs = np.array([(10.0, 10, 20, 15)]), np.array([0.0])
    ground = Ground(SHEET, boxes=[Box(12, 11, 18, 14)])

    assert place([Wish(boxes, costs, optional=True)], ground) == [None]
    assert place([Wish(boxes, costs)], ground) == [0]


def test_labels_around_one_anchor_share_the_ground() -> None:
    """Twelve labels of one anchor find twelve places that do not overlap."""
    wishes = [around((50, 50), (8, 4), (2.0, 6.0, 12.0, 20.0)) for _ in range(12)]
    places = [index or 0 for index in place(wishes, Ground(SHEET))]
    boxes = [Box(*wish.boxes[i].tolist()) for wish, i in zip(wishes, places, strict=True)]

    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_spread_keeps_what_is_far_apart() -> None:
    """Middles that do not crowd stay where they are."""
    assert spread(np.array([0.0, 10, 30]), np.full(3, 4.0)).tolist() == [0, 10, 30]


def test_spread_moves_a_crowd_evenly() -> None:
    """Three middles at one place move to both sides by the same: least squares keeps the mean."""
    assert spread(np.array([10.0, 10, 10]), np.full(3, 4.0)).tolist() == [6, 10, 14]


def test_places_that_print_alike_share_a_label() -> None:
    """A lamp and a base at 0.504 m and 0.496 m are one entry, '0.50'."""
    found = entries([Place(0.504, 1), Place(0.496, 2, "base"), Place(0.0, None, "M")])

    assert [(entry.value, len(entry.places)) for entry in found] == [("0", 1), ("0.50", 2)]


def test_what_prints_apart_in_inches_has_labels_of_its_own() -> None:
    """The two that share '0.50' are '1 ft 7½ in' and '1 ft 8 in'; and M lies between."""
    places = [Place(0.504, 1), Place(0.496, 2, "base"), Place(-0.496, 3), Place(0.004, None, "M")]

    assert [(entry.value, entry.stated_m) for entry in entries(places, IMPERIAL)] == [
        ("1 ft 7½ in", pytest.approx(39 * 0.0127)),
        ("0", 0.0),
        ("1 ft 7½ in", pytest.approx(39 * 0.0127)),
        ("1 ft 8 in", pytest.approx(40 * 0.0127)),
    ]
