"""What `proof` prints, on the demo book: worst first, by recipe; lessons halt and fail no command."""

import json
import re
from dataclasses import replace

import pytest

from pages.samples import DEMO, demo, halted
from thirdstop import reporting
from thirdstop.checks.findings import Finding
from thirdstop.pages.evaluated import Evaluated

LESSONS = ("18-one-bag-short", "19-cloud-over-a-child")


@pytest.fixture(scope="module")
def done() -> list[Evaluated]:
    """The demo book."""
    return list(demo()[1])


def test_only_the_lessons_halt(done: list[Evaluated]) -> None:
    """Each recipe that is meant to halt does, on safety; no other one does."""
    assert tuple(one.slug for one in done if one.recipe.meant_to_halt) == LESSONS
    assert tuple(one.slug for one in done if one.halts) == LESSONS
    assert all(one.safety_halts for one in done if one.halts)
    assert not reporting.halted(done)
    assert reporting.lessons_that_pass(done) == []


def test_lessons_halt_for_what_they_teach(done: list[Evaluated]) -> None:
    """The stand that tips, the boom over a child; and the second one's stand is sound."""
    tips, over = (one for one in done if one.slug in LESSONS)
    assert [halt.check for halt in tips.halts] == ["statics"]
    assert [halt.check for halt in over.halts] == ["overhead"]
    assert {found.verdict for found in over.findings if found.check == "statics"} == {"pass"}


def test_the_worst_comes_first(done: list[Evaluated]) -> None:
    """Halted recipes, then those with more to look at; in each, halts before looks; passes in one line."""
    text = reporting.findings_text(done)
    blocks = text.split("\n\n")
    assert [block.count("  HALT  ") for block in blocks[:2]] == [1, 1]
    assert all("  HALT  " not in block for block in blocks[2:])
    looks = [block.count("\n  look  ") for block in blocks[2:-1]]
    assert looks == sorted(looks, reverse=True)
    assert blocks[0].splitlines()[1].startswith("  HALT  ")
    assert blocks[-1].startswith("Every check passes: ")
    assert max(map(len, text.splitlines())) <= 100


def test_what_is_not_stated_comes_last(done: list[Evaluated]) -> None:
    """A note that a number is missing stands under every real finding of its recipe, whatever its check."""
    note = Finding("flash", "look", "recipe", "How long it takes is not stated.", "State it.", safety=True)
    some = next(one for one in done if any(found.verdict == "look" for found in one.findings))
    one = replace(some, findings=(note, *some.findings))

    block = reporting.findings_text([one]).split("\n\n")[0]

    assert block.splitlines()[-2:] == ["        How long it takes is not stated.", "        Do: State it."]


def test_lengths_are_in_the_units_of_the_house(done: list[Evaluated]) -> None:
    """In feet no metre is left, and the JSON stays metric."""
    metric, imperial = reporting.findings_text(done), reporting.findings_text(done, units="imperial")
    length = re.compile(r"\d (?:m|cm)\b")
    assert length.search(metric)
    assert not length.search(imperial)
    assert "ft" in imperial
    text = json.dumps(reporting.proof_json("house", done, []), ensure_ascii=False)
    assert length.search(text)
    assert " ft " not in text


def test_a_halt_that_is_not_meant_fails(done: list[Evaluated]) -> None:
    """A halt on any other recipe counts, and its block comes before those with looks only."""
    broken = [halted(done[0]), *done[1:]]
    assert reporting.halted(broken)
    assert "Borrowed window" in "".join(reporting.findings_text(broken).split("\n\n")[:3])


def test_a_lesson_that_teaches_nothing_is_told(done: list[Evaluated]) -> None:
    """Where nothing halts it, it says so."""
    mended = [replace(one, findings=()) if one.slug == LESSONS[0] else one for one in done]
    assert reporting.lessons_that_pass(mended) == ["One bag short"]


def test_json_says_which_are_meant_to_halt(done: list[Evaluated]) -> None:
    """For programs."""
    data = reporting.proof_json(demo()[0].studio.name, done, [])
    assert [one["recipe"] for one in data["recipes"] if one["meant_to_halt"]] == list(LESSONS)


def test_the_lessons_page_quotes_the_halts_as_they_are_printed(done: list[Evaluated]) -> None:
    """Each quotation on the book's page is the remedy of that recipe's halt, word for word."""
    page = (DEMO / "pages" / "when-it-must-not-be-built.md").read_text(encoding="utf-8")
    quoted = [line.removeprefix("> ") for line in page.splitlines() if line.startswith("> ")]
    assert quoted == [one.halts[0].remedy for one in done if one.halts]
