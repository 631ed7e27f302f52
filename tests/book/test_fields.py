"""Fields: the schema's patterns agree with the parsers, and texts are capped and printable."""

import re
from datetime import date
from typing import Any

import pytest
from pydantic import TypeAdapter

from thirdstop.book import fields
from thirdstop.book.grammar import QuantityError
from thirdstop.book.quantities import Length, Share

KINDS = sorted(name for name in vars(fields) if name.endswith("Field"))

SPELLINGS = [
    ("LengthField", "4′ 2½″"),
    ("LengthField", "4 ft 2 in"),
    ("LengthField", "½ m"),
    ("LengthField", ".5 m"),
    ("SizeField", "1.2 m × 90 cm"),
    ("SizeField", "120 x 90 cm"),
    ("SizeField", "4'2\" x 3'"),
    ("TurnField", "30° camera-left"),
    ("TiltField", "upright"),
    ("SideField", "1 ft 3 in camera-right"),
    ("TowardField", "50 cm away from camera"),
    ("OffsetsField", "10 cm toward camera, 5 cm up"),
    ("StopsField", "−1⅓ stops"),
    ("ApertureField", "f/5.6 + 7/10"),
    ("ApertureField", "F 8"),
    ("DurationField", "1/160 s"),
    ("EfficacyField", "40 lm s/J"),
    ("EnergyField", "400 W·s"),
    ("ShareField", "55 %"),
    ("IsoField", "ISO100"),
    ("DioptreField", "-2.5 D"),
]


def _schema(name: str) -> dict[str, Any]:
    return TypeAdapter(getattr(fields, name)).json_schema()


def _patterns(schema: dict[str, Any]) -> list[str]:
    return [part["pattern"] for part in [schema, *schema.get("anyOf", [])] if "pattern" in part]


@pytest.mark.parametrize("name", KINDS)
def test_examples_are_accepted(name: str) -> None:
    """Every example that the schema shows is accepted by the field, and matches the schema's own pattern."""
    schema = _schema(name)
    for example in schema.get("examples", []):
        TypeAdapter(getattr(fields, name)).validate_python(example)
        if isinstance(example, str) and _patterns(schema):
            assert any(re.search(pattern, example) for pattern in _patterns(schema)), example


@pytest.mark.parametrize(("name", "text"), SPELLINGS)
def test_patterns_are_not_narrower_than_the_parsers(name: str, text: str) -> None:
    """What a parser accepts, an editor with the schema accepts too."""
    TypeAdapter(getattr(fields, name)).validate_python(text)

    assert any(re.search(pattern, text) for pattern in _patterns(_schema(name)))


def test_read_quantities_pass() -> None:
    """A quantity that was read already is taken as it is."""
    assert Length(0.4) == TypeAdapter(fields.LengthField).validate_python(Length(0.4))


def test_defaults_stand_in_the_schema_as_text() -> None:
    """A quantity is written into a schema as a person would write it."""
    assert TypeAdapter(fields.LengthField).dump_json(Length(0.4)) == b'"40 cm"'


def test_paint_is_a_name_or_a_share() -> None:
    """A paint is a name, or a reflectance from 0 to 1."""
    assert fields.parse_paint("white paint") == "white paint"
    assert Share(0.8) == fields.parse_paint(0.8)
    assert Share(0.8) == fields.parse_paint("80 %")
    with pytest.raises(QuantityError, match="a share lies between 0 and 1"):
        fields.parse_paint(80)


def test_date() -> None:
    """A date is read as that day; anything else is refused."""
    assert date(2024, 3, 15) == fields.parse_date("2024-03-15")
    for wrong in ("2024-13-40", "15.3.2024", 20240315, "20240315", None):
        with pytest.raises(QuantityError, match="a date is written year-month-day"):
            fields.parse_date(wrong)


@pytest.mark.parametrize(
    "character", ["\0", "\x1b", "\x7f", "\x85", "\u202e", "\u2066", "\u2028", "\ufeff", "\ufffe"]
)
def test_unprintable_characters_are_refused(character: str) -> None:
    """Control characters and direction overrides don't reach a page."""
    with pytest.raises(QuantityError, match=f"unprintable character U\\+{ord(character):04X}"):
        fields.parse_line(f"a{character}b", "a name", 60)


def test_lines_are_folded_and_capped() -> None:
    """A one-line text folds its line breaks, keeps script as text, and has an end."""
    assert fields.parse_line(" one\n<script>two ", "a text", 60) == "one <script>two"
    with pytest.raises(QuantityError, match="a name has 61 characters; write: at most 60 characters"):
        fields.parse_line("x" * 61, "a name", 60)
    with pytest.raises(QuantityError, match="a name is empty"):
        fields.parse_line("  ", "a name", 60)
    with pytest.raises(QuantityError, match="a name must be text; write: 'true'"):
        fields.parse_line(True, "a name", 60)
