"""Quantities: what each grammar reads, what it refuses, and that writing a quantity reads back the same."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thirdstop.book import parsing
from thirdstop.book.grammar import QuantityError
from thirdstop.book.quantities import (
    Aperture,
    Length,
    Offset,
    Ratio,
    RelativeStops,
    Size,
    Stops,
    format_length,
)

PARSERS: dict[str, Callable[[object], Any]] = {
    name.removeprefix("parse_"): parser for name, parser in vars(parsing).items() if name.startswith("parse_")
}

READS = [
    ("length", "40 cm", Length(0.4)),
    ("length", "1.15 m", Length(1.15)),
    ("length", "850 mm", Length(0.85)),
    ("length", "40cm", Length(0.4)),
    ("length", "½ m", Length(0.5)),
    ("length", "0 m", Length(0.0)),
    # 1 in is exactly 25.4 mm: international yard and pound agreement (1959).
    ("length", "1 in", Length(0.0254)),
    ("length", "4 ft 2 in", Length(1.27)),
    ("length", "4'2\"", Length(1.27)),
    ("length", "4′ 2″", Length(1.27)),
    ("length", "4’ 2”", Length(1.27)),
    ("length", "4 ft", Length(1.2192)),
    ("length", "1 1/2 in", Length(0.0381)),
    ("length", "4′ 2½″", Length(1.2827)),
    ("size", "120 x 90 cm", Size(1.2, 0.9)),
    ("size", "1.2 m × 90 cm", Size(1.2, 0.9)),
    ("size", "4 ft x 3 ft", Size(1.2192, 0.9144)),
    ("size", "4 ft 2 in x 3 ft", Size(1.27, 0.9144)),
    ("offset", "10 cm away from camera", Offset("away from camera", 0.1)),
    ("offsets", "10 cm toward camera, 5 cm up", (Offset("toward camera", 0.1), Offset("up", 0.05))),
    ("stops", "-1.5 stops", Stops(-1.5)),
    ("stops", "1/3 stop", Stops(1 / 3)),
    ("stops", "+⅔ stop", Stops(2 / 3)),
    ("stops", "−1 1/3 stops", Stops(-4 / 3)),
    ("stops", "0 stops", Stops(0.0)),
    ("stops_from_key", "-1.5 stops from key", RelativeStops(-1.5, "key")),
    ("stops_from_mid_grey", "-1 stop from mid-grey", RelativeStops(-1.0, "mid-grey")),
    ("aperture", "f/5.6 + 7/10", Aperture(5.6, 0.7)),
    ("aperture", "f/8 + 2/3", Aperture(8.0, 2 / 3)),
    ("f_number", "f8", Aperture(8.0)),
    ("f_number", "f/5.6", Aperture(5.6)),
    ("ratio", "4:1", Ratio(4.0)),
    ("ratio", "3.5 : 1", Ratio(3.5)),
    ("ratio", "7:2", Ratio(3.5)),
]

NUMBERS = [
    ("angle", "15°", "deg", 15.0),
    ("turn", "30 deg camera-right", "deg", 30.0),
    ("turn", "30 deg camera-left", "deg", -30.0),
    ("turn", "0 deg", "deg", 0.0),
    ("tilt", "10 deg up", "deg", 10.0),
    ("tilt", "10 deg down", "deg", -10.0),
    ("tilt", "upright", "deg", 0.0),
    ("roll", "10 deg anticlockwise", "deg", -10.0),
    ("side", "40 cm camera-left", "m", -0.4),
    ("side", "1 ft 3 in camera-right", "m", 0.381),
    ("toward", "50 cm toward camera", "m", 0.5),
    ("toward", "50 cm away from camera", "m", -0.5),
    ("share", 0.55, "value", 0.55),
    ("share", "0.55", "value", 0.55),
    ("share", "55 %", "value", 0.55),
    ("share", 1, "value", 1.0),
    ("tolerance", "1/3 stop", "value", 1 / 3),
    ("duration", "1/160 s", "s", 1 / 160),
    ("duration", "1.5 ms", "s", 0.0015),
    ("duration", "20 min", "s", 1200.0),
    ("temperature", "5500 K", "k", 5500.0),
    ("mired", "+40 mired", "value", 40.0),
    ("mass", "900 g", "kg", 0.9),
    # 1 lb is exactly 0.45359237 kg: international yard and pound agreement (1959).
    ("mass", "5 lb", "kg", 2.26796185),
    # 16 oz to the pound: 4.875 lb.
    ("mass", "4 lb 14 oz", "kg", 2.21126280375),
    ("mass", "12 oz", "kg", 0.3401942775),
    ("energy", "400 Ws", "j", 400.0),
    ("efficacy", "40 lm·s/J", "lm_s_j", 40.0),
    ("efficacy", "40 lm s/J", "lm_s_j", 40.0),
    ("illuminance", "150 lux", "lux", 150.0),
    ("iso", 100, "value", 100.0),
    ("iso", "ISO 400", "value", 400.0),
    ("focal_length", "85 mm", "mm", 85.0),
    ("guide_number", "60 m", "m", 60.0),
    ("guide_number", "197 ft", "m", 60.0456),
    ("click", "click 14", "number", 14),
    ("dioptre", "4 D", "per_m", 4.0),
]

WAYS = "a turn says which way: camera-right or camera-left"

REFUSALS = [
    ("length", 40, "a length needs its unit", "40 cm"),
    ("length", "40", "a length needs its unit", "40 cm"),
    ("length", 1.2, "a length needs its unit", "1.2 m"),
    ("length", 850, "a length needs its unit", "850 mm"),
    ("length", math.nan, "a length needs its unit", "40 cm"),
    ("length", math.inf, "a length needs its unit", "40 cm"),
    ("length", 10**4000, "a length needs its unit", "40 cm"),
    ("length", True, "a length is one piece of text with its unit", "40 cm"),
    ("length", "1,2 m", "decimals are written with a point, not a comma", "1.2 m"),
    ("length", "-3 cm", "a length is written without a sign", "3 cm"),
    ("length", "9**9**9 m", "this isn't a length", "40 cm"),
    ("length", "2*3 m", "this isn't a length", "40 cm"),
    ("length", "nan cm", "this isn't a length", "40 cm"),
    ("length", "inf cm", "this isn't a length", "40 cm"),
    ("length", "1e3 m", "this isn't a length", "40 cm"),
    ("length", "٤٠ cm", "this isn't a length", "40 cm"),
    ("length", "", "this isn't a length", "40 cm"),
    ("length", "1/0 m", "nothing can be divided by 0", "40 cm"),
    ("length", "40 yd", "'yd' isn't a unit of a length", "40 cm"),
    ("length", "5 M", "a length is written with m", "5 m"),
    ("length", "2000 m", "a length is at most 100 m", "40 cm"),
    ("length", "4 ft 2 in up", "'up' doesn't belong in a length", "40 cm"),
    ("length", "9" * 400 + " m", "this isn't a length", "40 cm"),
    ("length", "9 ft 6", "inches need their unit in a length", "9 ft 6 in"),
    ("turn", "60 camera-right", "a turn needs its unit", "60 deg camera-right"),
    ("size", "120 x 90", "a size needs its unit", "120 x 90 cm"),
    ("size", "90 cm", "a size has two sides, with x between, also where both are alike", "90 x 90 cm"),
    ("size", "big", "a size has two sides, with x between, also where both are alike", "120 x 90 cm"),
    ("size", "0 x 90 cm", "both sides of a size are above 0", "120 x 90 cm"),
    ("size", "-120 x 90 cm", "a size is written without a sign", "120 x 90 cm"),
    ("turn", 30, "a turn needs its unit", "30 deg camera-right or 30 deg camera-left"),
    ("turn", "30 deg", WAYS, "30 deg camera-right or 30 deg camera-left"),
    ("turn", "30 deg left", WAYS, "30 deg camera-right or 30 deg camera-left"),
    ("turn", "30 deg camra-left", WAYS, "30 deg camera-left"),
    ("turn", "-5 deg camera-left", "a turn is written without a sign", "5 deg camera-left"),
    ("turn", "200 deg camera-left", "a turn is at most 180 deg", "30 deg camera-right"),
    ("tilt", "5 deg", "a tilt says which way: up or down", "5 deg up or 5 deg down"),
    (
        "side",
        "5 cm",
        "a distance to one side says which way: camera-right or camera-left",
        "5 cm camera-right or 5 cm camera-left",
    ),
    (
        "offsets",
        "10 cm up, 5 cm down",
        "an offset goes one way along each line",
        "10 cm toward camera, 5 cm up",
    ),
    ("stops", -1.5, "a difference in stops needs its unit", "-1.5 stops"),
    ("tolerance", "-1/3 stop", "a tolerance is written without a sign", "1/3 stop"),
    (
        "stops_from_key",
        "-1.5 stops",
        "a level in stops says from what: key",
        "-1.5 stops from key",
    ),
    (
        "stops_from_mid_grey",
        "-1 stop from key",
        "a level in stops says from what: mid-grey",
        "-1 stop from mid-grey",
    ),
    ("aperture", 8, "an aperture is written as an f-number", "f/8"),
    ("aperture", "8", "an aperture is written as an f-number", "f/8"),
    ("aperture", "f/0", "an aperture is at least f/0.5", "f/8"),
    ("aperture", "f/8 + 5/3", "a reading adds less than one stop to its mark", "f/5.6 + 7/10"),
    ("f_number", "f/8 + 1/3", "an aperture is written as an f-number", "f/8"),
    ("ratio", 4, "a ratio has two sides with a colon between", "4:1"),
    ("ratio", "1:4", "a ratio is written with the larger side first", "4:1"),
    ("ratio", "4:0", "neither side of a ratio is 0", "4:1"),
    ("share", 55, "a share lies between 0 and 1", "55 %"),
    ("share", math.nan, "a share lies between 0 and 1", "0.55"),
    ("share", "120 %", "a share is at most 1 (100 %)", "0.55"),
    ("duration", "0 s", "a time is above 0", "1/160 s"),
    ("temperature", 5500, "a colour temperature needs its unit", "5500 K"),
    ("iso", 99.5, "an ISO speed is a whole number", "ISO 100"),
    ("iso", -100, "an ISO speed is at least ISO 1", "ISO 100"),
    ("click", 14, "a power step is written as a click", "click 14"),
    ("click", "click 0", "a click is at least click 1, the lowest", "click 14"),
    ("count", "3", "a count is a whole number without a unit", "2"),
    ("count", -1, "a count is 0 or more", "2"),
]


@pytest.mark.parametrize(("kind", "text", "expected"), READS)
def test_reads(kind: str, text: str, expected: object) -> None:
    """Each spelling reads as the quantity it stands for."""
    assert expected == PARSERS[kind](text)


@pytest.mark.parametrize(("kind", "text", "unit", "expected"), NUMBERS)
def test_reads_the_number(kind: str, text: object, unit: str, expected: float) -> None:
    """The number lands in the attribute that names its unit."""
    assert expected == pytest.approx(getattr(PARSERS[kind](text), unit), rel=1e-15)


@pytest.mark.parametrize(("kind", "text", "wrong", "write"), REFUSALS)
def test_refuses(kind: str, text: object, wrong: str, write: str) -> None:
    """A refusal says what is wrong and shows what to write."""
    with pytest.raises(QuantityError) as caught:
        PARSERS[kind](text)

    assert (wrong, write) == (caught.value.wrong, caught.value.write)


@pytest.mark.parametrize(("kind", "text", "wrong", "write"), REFUSALS)
def test_examples_are_right(kind: str, text: object, wrong: str, write: str) -> None:
    """What a refusal tells people to write is itself accepted."""
    for example in write.split(" or "):
        PARSERS[kind](int(example) if kind == "count" else example)


@pytest.mark.parametrize(
    ("mark", "exact"),
    # Exact series N = 2^(Av/2) of ISO 517, in thirds of a stop.
    [
        ("f/5.6", 5.656854),
        ("f/6.3", 6.349604),
        ("f/8", 8.0),
        ("f/11", 11.313708),
        ("f/13", 12.699208),
        ("f/1.2", 1.259921),
        ("f/22", 22.627417),
        ("f/1.4", 1.414214),
        ("f/2.8", 2.828427),
    ],
)
def test_marks_stand_for_the_exact_series(mark: str, exact: float) -> None:
    """A nominal third-stop mark is computed with its exact value."""
    assert exact == pytest.approx(parsing.parse_aperture(mark).exact, abs=5e-7)


def test_every_mark_is_near_its_exact_value() -> None:
    """No third-stop mark is further than 0.15 stop from the value it stands for."""
    marks = (
        "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32"
    )
    for third, mark in enumerate(marks.split()):
        exact = parsing.parse_aperture(f"f/{mark}").exact

        assert exact == pytest.approx(2 ** (third / 6), rel=1e-12)
        assert abs(2 * math.log2(float(mark) / exact)) < 0.15


def test_a_reading_adds_parts_of_a_stop() -> None:
    """f/5.6 and seven tenths lies seven tenths of a stop above the exact f/5.6: f/7.21."""
    assert pytest.approx(parsing.parse_aperture("f/5.6 + 7/10").exact, abs=5e-5) == 7.2100


@pytest.mark.parametrize(
    ("kind", "text"), [(kind, text) for kind, text, *_ in [*READS, *NUMBERS] if kind != "offsets"]
)
def test_writes_what_it_reads(kind: str, text: object) -> None:
    """A quantity written back in metric reads as the same quantity."""
    quantity = PARSERS[kind](text)

    again = PARSERS[kind](str(quantity))

    for name, value in vars(quantity).items():
        assert value == pytest.approx(getattr(again, name), rel=1e-8) if isinstance(value, float) else value


@pytest.mark.parametrize(
    ("m", "text"),
    [(1.27, "4 ft 2 in"), (0.0381, "1 1/2 in"), (0.0, "0 in"), (0.3048, "1 ft"), (-0.05, "-2 in")],
)
def test_imperial(m: float, text: str) -> None:
    """Feet and inches are written to the nearest eighth of an inch."""
    assert text == format_length(m, "imperial")


@settings(max_examples=400, deadline=None)
@given(
    st.sampled_from(sorted(PARSERS)), st.one_of(st.text(max_size=60), st.integers(), st.floats(), st.none())
)
def test_anything_else_is_refused_politely(kind: str, given_value: object) -> None:
    """Whatever is given, a parser returns a quantity or raises QuantityError, never anything else."""
    try:
        PARSERS[kind](given_value)
    except QuantityError as error:
        assert error.wrong
        assert error.write


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(sorted(PARSERS)),
    st.text(alphabet="0123456789./:- +x'\"ftincmsdegKJ%½∞e", max_size=24),
)
def test_near_misses_are_refused_politely(kind: str, text: str) -> None:
    """Text made of the grammar's own signs never raises anything but QuantityError, and stays finite."""
    try:
        quantity = PARSERS[kind](text)
    except QuantityError:
        return

    numbers = [value for value in getattr(quantity, "__dict__", {}).values() if isinstance(value, float)]
    assert all(map(math.isfinite, numbers))
