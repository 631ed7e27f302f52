"""Pounds beside kilograms: rounded to the side on which a limit is kept."""

import pytest

from thirdstop.book.feet import in_feet
from thirdstop.book.pounds import in_pounds, pounds
from thirdstop.checks.wording import kilograms

POUND_KG = 0.45359237
"""Exactly, by the international yard and pound agreement of 1959."""


@pytest.mark.parametrize(
    ("mass_kg", "nearest", "up", "down"),
    [
        (22 * POUND_KG, "22 lb", "22 lb", "22 lb"),
        (10.0, "22 lb", "22.1 lb", "22 lb"),
        (8.5, "18.7 lb", "18.8 lb", "18.7 lb"),
        (8.6, "19 lb", "19 lb", "18.9 lb"),
        (0.0, "0 lb", "0 lb", "0 lb"),
    ],
)
def test_a_mass_is_given_to_a_tenth_of_a_pound(mass_kg: float, nearest: str, up: str, down: str) -> None:
    """The nearest, or the next one that is no less or no more; whole pounds stay what they are."""
    assert (pounds(mass_kg), pounds(mass_kg, up=True), pounds(mass_kg, down=True)) == (nearest, up, down)


def test_what_is_rounded_up_is_never_less() -> None:
    """Over four hundred masses, what is read in pounds is within a tenth above the mass, or below."""
    for grams in range(50, 40_000, 97):
        up, down = (float(pounds(grams / 1000, up=way, down=not way).split()[0]) for way in (True, False))

        assert -0.0021 <= up - grams / 1000 / POUND_KG < 0.1
        assert -0.0021 <= grams / 1000 / POUND_KG - down < 0.1


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Hang at least 8.5 kg on the column", "Hang at least 18.8 lb on the column"),
        ("(8.5 kg are enough once", "(18.8 lb are enough once"),
        ("its bag of 10.0 kg on the column", "its bag of 22.1 lb on the column"),
        ("100 kg or less", "220.4 lb or less"),
        ("the mass of gear is at most 100 kg", "the mass of gear is at most 220.4 lb"),
        ("with a 10.0 kg bag hanging", "with a 22 lb bag hanging"),
        ("at\u00a0least 8 kg: at least 8.5\u00a0kg", "at\u00a0least 17.6 lb: at least 18.8 lb"),
        ("the stand of 'sandbag 8 kg' holds 8 kg", "the stand of 'sandbag 8 kg' holds 17.6 lb"),
        ("the maker's 8 kg isn't the house's", "the maker's 17.6 lb isn't the house's"),
        ("34.7 N·m, 2.5 kg·m, 120 x 90, 3 kgs", "34.7 N·m, 2.5 kg·m, 120 x 90, 3 kgs"),
    ],
)
def test_masses_of_a_sentence(said: str, told: str) -> None:
    """By the words beside them; names, which stand in quotes, and other units stay."""
    assert in_pounds(said) == told
    assert in_feet(said) == told


@pytest.mark.parametrize("given_lb", [1, 2.5, 10, 18, 22, 25, 37.5])
def test_pounds_that_were_written_are_told_as_written(given_lb: float) -> None:
    """Through the kilograms of a finding, which are to the gram where they are no tenth."""
    said = kilograms(given_lb * POUND_KG)

    assert in_pounds(f"a {said} bag") == f"a {given_lb:g} lb bag"
    assert in_pounds(f"at least {said}") == f"at least {given_lb:g} lb"


@pytest.mark.parametrize(
    ("mass_kg", "text"), [(10.0, "10.0 kg"), (2.1 + 1.2, "3.3 kg"), (0.25, "0.25 kg"), (8.16466, "8.165 kg")]
)
def test_kilograms_of_a_finding(mass_kg: float, text: str) -> None:
    """One decimal, and grams where that would round them away."""
    assert kilograms(mass_kg) == text
