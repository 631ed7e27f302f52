import pytest

from staging.books import changed

CASES = [
    # (recipe, piece, instead, what is wrong, what was given)
    (
        "borrowed-window",
        "height: 1.75 m}",
        "height: 2.1 m}",
        "'key' would go through the ceiling",
        "its top edge at 2.57 m, the ceiling is at 2.40 m",
    ),
    (
        "prop-in-hand",
        "string: 80 cm, bearing: 75 deg camera-left, height: 1 m",
        "string: 1 m, bearing: 75 deg camera-left, height: 40 cm",
        "'card' would go through the floor",
        None,
    ),
    (
        "half-a-mask",
        "string: 90 cm, bearing: 85",
        "string: 1.4 m, bearing: 85",
        "'key' and its stand would go through the right wall",
        None,
    ),
    (
        "borrowed-window",
        "distance: 2 m, height",
        "distance: 3.2 m, height",
        "the camera would go through the front wall",
        "0.20 m beyond it",
    ),
    (
        "borrowed-window",
        "distance: 1.2 m}",
        "distance: 1.6 m}",
        "the sheet would hang in or behind the back wall, which is 1.50 m behind the mark",
        "1.60 m",
    ),
    ("attic-triangle", "reach: 70 cm", "reach: 1.7 m", "the boom 'boom' reaches 1.40 m at most", "1.7 m"),
    (
        "attic-triangle",
        "reach: 70 cm",
        "reach: 0 cm",
        "the boom 'boom' would hold its load straight over its own stand",
        "0.00 m",
    ),
    (
        "borrowed-window",
        "{with: stand C, bag",
        "{with: floor stand, bag",
        "'card' at 1.15 m is out of its stand's reach: the stand 'floor stand' goes up to 1.10 m",
        "floor stand",
    ),
]


@pytest.mark.parametrize(("slug", "old", "new", "wrong", "given"), CASES, ids=[case[3] for case in CASES])
def test_what_cannot_stand_there_is_refused(
    slug: str, old: str, new: str, wrong: str, given: str | None
) -> None:
    """The offending number and the limit that it breaks are named."""
    staging, faults = changed(slug, (old, new))

    assert staging is None
    assert wrong in [fault.wrong for fault in faults]
    if given is not None:
        assert given in [fault.given for fault in faults]
