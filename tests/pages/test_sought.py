"""What a recipe is found by on the index, beside its own words."""

import pytest

from pages.samples import one
from thirdstop.pages.views.headline import five
from thirdstop.pages.views.index import kinds_of, ratio_group
from thirdstop.pages.views.sought import also, phrases


@pytest.mark.parametrize(
    ("ratio", "group"),
    [
        (2.949, "under 3:1"),
        (2.96, "3:1 to 5:1"),
        (4.94, "3:1 to 5:1"),
        (4.96, "5:1 and over"),
        (7.99, "5:1 and over"),
        (48.4, "5:1 and over"),
    ],
)
def test_a_ratio_is_filtered_by_the_figure_that_is_shown(ratio: float, group: str) -> None:
    """4.96 shows as 5:1, so it is found under '5:1 and over'."""
    assert ratio_group(ratio) == group


def test_phrases_hold_counts_in_words_and_figures_and_all_that_is_printed() -> None:
    """Of a recipe with one lamp and one sitter; no phrase has a no-break space or a capital."""
    evaluated = one("05-half-a-mask")
    kinds, shown = kinds_of(evaluated), five(evaluated)
    found = phrases(evaluated, kinds, shown, 241)

    assert {"one light", "1 light", "one person", "1 sitter", "no hat", "no glasses", "f/8"} <= set(found)
    assert {"above 8:1", "8:1", shown[4].figure.feet, "iso 100"} <= set(found)
    assert "low ceiling" not in found
    assert "low ceiling" in phrases(evaluated, kinds, shown, 240)
    assert all(phrase == phrase.casefold() and "\u00a0" not in phrase for phrase in found)


def test_other_words_are_only_of_what_it_has() -> None:
    """A recipe with neither card nor hat has no reflector and no brim."""
    evaluated = one("05-half-a-mask")
    words = also(evaluated, kinds_of(evaluated))

    assert {"flag", "softbox", "background"} <= set(words)
    assert not {"reflector", "brim", "spectacles"} & set(words)
