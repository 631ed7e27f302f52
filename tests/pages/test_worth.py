"""What one more reading would be worth, in words."""

from thirdstop.calibrating.planning import Worth
from thirdstop.pages.views.known import worth_words


def test_a_reading_that_narrows_nothing_is_not_praised() -> None:
    """By what is printed: a band that stays as it is is left out, and where both stay it says so."""
    both = Worth("wall", "toward it", (0.141, 0.139), (0.2, 0.18))
    none = Worth("wall", "toward it", (0.1412, 0.1408), (0.203, 0.2))

    assert "to ±0.18 stop for the ratio" in worth_words(both)
    assert "key reading" not in worth_words(both)
    assert worth_words(none) == "No single reading would narrow this recipe’s bands by a hundredth of a stop."
