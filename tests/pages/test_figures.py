"""Numbers as pages print them."""

import pytest

from thirdstop.pages import figures
from thirdstop.pages.figures import Figure


def plain(figure: Figure) -> str:
    return str(figure).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        (figures.length(1.153), "1.15 m"),
        (figures.length(0.4), "0.40 m"),
        (figures.length(1.155), "1.16 m"),
        (figures.length_up(2.101), "2.11 m"),
        (figures.length_up(2.1), "2.10 m"),
        (figures.along(0.57), "0.57 m toward"),
        (figures.along(-1.3), "1.30 m away"),
        (figures.along(0.004), "0.00 m"),
        (figures.along(-0.004), "0.00 m"),
        (figures.across(-0.869), "0.87 m L"),
        (figures.across(0.81), "0.81 m R"),
        (figures.turn(-124.6), "125° L"),
        (figures.turn(30.4), "30° R"),
        (figures.turn(180.0), "180°"),
        (figures.turn(-179.7), "180°"),
        (figures.turn(0.2), "0°"),
        (figures.tilt(-5.0), "5° down"),
        (figures.tilt(20.0), "20° up"),
        (figures.lean(34.06, "down"), "34° down"),
        (figures.lean(0.0, "upright"), "0°"),
        (figures.stops(-0.83), "−0.8 stop"),
        (figures.stops(0.49), "+0.5 stop"),
        (figures.stops(-1.84), "−1.8 stops"),
        (figures.stops(0.02), "0.0 stop"),
        (figures.stops(-0.02), "0.0 stop"),
        (figures.apart(-2.33), "2.3 stops"),
        (figures.apart(1.0), "1.0 stop"),
        (figures.percent(0.405), "41 %"),
        (figures.kilograms(10.0), "10 kg"),
        (figures.kilograms(5.5), "5.5 kg"),
    ],
)
def test_figures(figure: Figure, text: str) -> None:
    """A centimetre, a degree, a tenth of a stop; a direction in words, and none at zero."""
    assert plain(figure) == text


@pytest.mark.parametrize(
    ("band", "text"),
    [
        ((3.14, 5.2), "3.1 to 5.2:1"),
        ((4.24, 6.1), "4.2 to 6.1:1"),
        ((7.0, 9.5), "7 to above 8:1"),
        ((2.52, 2.54), "2.5:1"),
        ((9.0, 12.0), "above 8:1"),
    ],
)
def test_bands_of_ratios(band: tuple[float, float], text: str) -> None:
    """Both ends as ratios are printed: a decimal up to 8, then 'above 8'; ':1' stands once."""
    assert figures.ratio_band(*band) == text


@pytest.mark.parametrize(("shutter_s", "text"), [(1 / 160, "1/160 s"), (0.5, "0.5 s"), (2.0, "2 s")])
def test_shutter_times(shutter_s: float, text: str) -> None:
    """Short times as a fraction of a second."""
    assert figures.seconds(shutter_s).replace("\u00a0", " ") == text


def test_a_figure_never_breaks() -> None:
    """Between a value, its unit and its word there are only no-break spaces."""
    assert " " not in str(figures.along(0.57))


def test_sentences_keep_numbers_and_units_together() -> None:
    """A no-break space stands between a number and its unit, and nowhere else."""
    text = "It is 5 cm off, gives 54 % of 3 lamps, 1/3 stop over, 22.7 N·m about 2 ends."

    assert figures.together(text).split("\u00a0") == [
        "It is 5",
        "cm off, gives 54",
        "% of 3 lamps, 1/3",
        "stop over, 22.7",
        "N·m about 2 ends.",
    ]
