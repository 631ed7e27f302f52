"""How an aim beside a target is said, so that the shift can't be taken for the target's own place."""

import pytest

from thirdstop.book.quantities import Offset
from thirdstop.staging.aiming import aim_words


@pytest.mark.parametrize(
    ("name", "offsets", "words"),
    [
        ("chest", (), "chest"),
        ("chest", (Offset("down", 0.25),), "25 cm below the chest"),
        ("backdrop", (Offset("up", 0.15),), "15 cm above the nose’s place on the backdrop"),
        ("nose", (Offset("away from camera", 0.15),), "15 cm farther from the camera than the nose"),
        ("nose", (Offset("toward camera", 0.1),), "10 cm nearer to the camera than the nose"),
        (
            "chin",
            (Offset("up", 0.05), Offset("toward camera", 0.1)),
            "10 cm toward the camera and 5 cm above the chin",
        ),
        ("lap card", (Offset("camera-left", 0.2),), "20 cm camera-left of lap card"),
        (
            "between key and face",
            (Offset("camera-right", 0.1), Offset("down", 0.2)),
            "10 cm camera-right and 20 cm below the line between key and face",
        ),
    ],
)
def test_words(name: str, offsets: tuple[Offset, ...], words: str) -> None:
    """Up and down come last, beside what they are counted from."""
    assert aim_words(name, offsets) == words
