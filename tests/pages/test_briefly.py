"""What the checks ask to look at, a short line each."""

from dataclasses import replace

import pytest

from pages.samples import HALT, demo, one
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.briefly import line, looks
from thirdstop.staging.staging import Support


def with_support(each: Evaluated, **changed: object) -> Evaluated:
    """The recipe with its first item's holder changed, checked again."""
    item = each.staging.items[0]
    assert isinstance(item.support, Support)
    changed_item = replace(item, support=replace(item.support, **changed))  # type: ignore[arg-type]
    staging = replace(each.staging, items=(changed_item, *each.staging.items[1:]))
    return replace(each, staging=staging, findings=check(staging, each.readings))


def test_every_look_of_the_demo_book_has_a_line_of_its_own() -> None:
    """One each, none the same, each short enough for two lines of a card, none ending like a cut sentence."""
    for each in demo()[1]:
        lines = [look.text for look in looks(each)]
        assert len(set(lines)) == len(lines) == each.counts["look"] + len(each.halts) - len(each.safety_halts)
        assert all(20 < len(text) < 190 for text in lines)
        assert not any(text.endswith((".", ",", ":", ";", " the", " and")) for text in lines)


def test_a_weight_that_the_table_has_is_left_to_the_table() -> None:
    """A boom without its counterweight: its lines name what is wrong and no other number to hang."""
    first, second = looks(with_support(one("03-footlights"), counterweight_kg=0.0))[:2]
    stand, boom = first.text, second.text

    assert stand.startswith("As the recipe has it ")
    assert "Boom 'boom' pulls down at the load" in boom
    assert all(text.endswith(": hang what the table says") for text in (stand, boom))
    assert "kg" not in stand + boom
    assert first.stays and second.stays


def test_the_most_severe_comes_first() -> None:
    """A halt that isn't on safety is called one and leads; what halts on safety stands elsewhere; what isn't
    stated comes last.
    """
    each = one("02-attic-triangle")
    unknown = Finding(
        "battery", "look", "key: charge", "What a charge gives is not stated; 60 are wanted.", "Ask."
    )
    into = Finding(
        "room-fit", "halt", "key", "'key' goes 4 cm into the ceiling; 5 cm are wanted.", "Lower it."
    )
    found = looks(replace(each, findings=(unknown, HALT, *each.findings, into)))
    lines = [look.text for look in found]

    assert lines[0] == "Halt: 'key' goes 4\u00a0cm into the ceiling: lower it"
    assert lines[-1] == "What a charge gives is not stated: ask"
    assert [look.minor for look in found] == [False] * (len(found) - 1) + [True]
    assert [look.stays for look in found] == [True] + [False] * (len(found) - 1)
    assert not any(HALT.text[:20] in text for text in lines)


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        (
            Finding(
                "statics", "look", "key: stand", "Long. Words.", "Use a longer stand.", -3.2, 15.0, "N", True
            ),
            "As the recipe has it a push of 11\u00a0N tips 'key', 15\u00a0N is wanted: use a longer stand",
        ),
        (
            Finding(
                "statics",
                "look",
                "key: stand",
                "Long. Words.",
                "Use a longer stand.",
                -0.4,
                1.5,
                "times",
                True,
            ),
            "As the recipe has it 'key' is held 1.10 times, 1.5 is wanted: use a longer stand",
        ),
        (
            Finding(
                "glare",
                "look",
                "sitter",
                "Nothing shows in the glasses of 'he'; nearest is 'key', 1° from the lens; 3° is wanted.",
                "Raise it by 4 cm.",
                -1.8,
            ),
            "Nothing shows in the glasses of 'he'; nearest is 'key', 1° from the lens: raise it by 4\u00a0cm",
        ),
    ],
)
def test_the_number_that_is_too_low_is_in_the_line(finding: Finding, said: str) -> None:
    """A push is rounded down, as the check rounds it."""
    assert line(one("01-borrowed-window").staging, finding) == said
