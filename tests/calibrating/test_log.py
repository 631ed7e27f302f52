"""The log: its faults, what was shot beside what was planned, and the control chart."""

import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from staging.books import demo, loaded
from thirdstop.book.book import Book, LoadedShoot, open_book
from thirdstop.book.loading import load_model
from thirdstop.book.log import Shoot, as_shot
from thirdstop.book.recipe import Recipe
from thirdstop.calibrating.history import History, first_signal, history
from thirdstop.calibrating.log_check import check_log
from thirdstop.errors import BookFaults, UsageError
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import ROUGH
from thirdstop.exposure.transport import solve
from thirdstop.placing import repeating
from thirdstop.placing.matching import Wish
from thirdstop.placing.repeating import fitting_shoots, picked_shoot
from thirdstop.staging.resolve import stage

TEXT = """\
recipe: 01-borrowed-window
date: 2026-03-12
by: J. T.
eye_height: 1.27 m
set:
  - {name: key, power: click 15, height: 1.8 m}
  - {name: card, string: 70 cm, surface: silver}
read:
  - {at: right cheek, reads: f/4}
  - {at: chin dome, reads: f/11, iso: 200}
"""


def _shoot(text: str, slug: str = "a") -> LoadedShoot:
    shoot, marks, faults = load_model(Shoot, text, f"log/{slug}.yaml")
    if shoot is None:
        raise BookFaults(faults)
    return LoadedShoot(slug, f"log/{slug}.yaml", shoot, marks)


def _book(*texts: str) -> Book:
    return replace(demo(), log=tuple(_shoot(text, f"a{k}") for k, text in enumerate(texts)))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("01-borrowed-window", "01-borrowed-windo", "log/a0.yaml:1:9: the book has no recipe of this name"),
        (
            "name: key",
            "name: kee",
            "no light, card or blocker of this name; given: kee; write: key",
        ),
        ("power: click 15", "power: click 26", "this lamp has the clicks 1 to 25; given: click 26"),
        ("{name: card,", "{name: card, power: click 3,", "'card' has no power in the recipe"),
        ("at: right cheek", "at: right chek", "the recipe has no measuring point of this name"),
        ("eye_height: 1.27 m", "eye_height: 12 m", "an eye height is at most 2.2 m"),
        ("by: J. T.", "by: Jane Tree", "who it was is said by initials"),
        ("height: 1.8 m", "height: 2.3 m", "log/a0.yaml:6:42: set like this it can't stand"),
        ("surface: silver}", "height: 3 m}", "log/a0.yaml:7:41: set like this it can't stand"),
        (
            "{name: card, string: 70 cm, surface: silver}",
            "{name: key, string: 1 m}",
            "log/a0.yaml:7:12: this was set already, on line 6; given: key; write: all of it in one line",
        ),
        (
            "{name: card, string: 70 cm, surface: silver}",
            "{name: card}",
            "log/a0.yaml:7:12: nothing is set of 'card'; write: {name: card, height: 1.8 m}, or leave it out",
        ),
        (
            "at: chin dome",
            "at: right cheek",
            "log/a0.yaml:10:10: this point was read already, on line 9; given: right cheek",
        ),
    ],
)
def test_one_line(old: str, new: str, said: str) -> None:
    """Each slip is told in its words, at its place."""
    assert old in TEXT
    try:
        lines = [str(fault) for fault in check_log(_book(TEXT.replace(old, new, 1)))]
    except BookFaults as error:
        lines = [str(fault) for fault in error.faults]

    assert any(said in line for line in lines), lines


def test_as_shot_changes_what_it_says_and_nothing_else() -> None:
    """Clicks, places, sides and eyes as that day; everything else as the recipe."""
    recipe = loaded("01-").recipe
    shot = as_shot(recipe, _shoot(TEXT).shoot)

    assert str(shot.lights[0].power) == "click 15"
    assert shot.lights[0].at == recipe.lights[0].at.model_copy(update={"height": shot.lights[0].at.height})
    assert str(shot.cards[0].at.string) == "70 cm"
    assert shot.cards[0].surface == "silver"
    assert str(shot.sitters[0].eye_height) == "1.27 m"
    assert shot.target == recipe.target


def test_history_holds_planned_set_and_read_apart() -> None:
    """The key reading comes first; one at another ISO counts as at the recipe's; expected is of that day."""
    one = loaded("01-")
    staging, _ = stage(one.recipe, demo().studio, one.marks, one.slug)
    assert staging is not None
    lit = charge(staging)
    planned = read(lit, solve(lit.scene, ROUGH))
    found = history(_book(TEXT), one, planned, ROUGH)
    assert found is not None
    (shot,) = found.shots
    key, cheek = shot.readings

    assert (key.point, cheek.point) == ("chin dome", "right cheek")
    assert key.read_f_number == pytest.approx(2**3.5 / 2**0.5, rel=1e-6)
    there, _ = stage(as_shot(one.recipe, _shoot(TEXT).shoot), demo().studio, one.marks, one.slug)
    assert there is not None
    there = charge(there)
    expected = read(there, solve(there.scene, ROUGH))
    assert cheek.expected_f_number == expected["right cheek"].f_number
    assert cheek.planned_f_number == planned["right cheek"].f_number
    assert cheek.off_stops == pytest.approx(2 * np.log2(4 / expected["right cheek"].f_number))
    assert shot.changed == (
        "eyes at 1.27 m",
        "key: click 15, height 1.8 m",
        "card: string 70 cm, surface silver",
    )
    assert shot.by == "JT"
    assert history(_book(TEXT), loaded("02-"), planned, ROUGH) is None
    assert isinstance(found, History)


@pytest.mark.parametrize(
    ("values", "at"),
    [
        ([0.5, -2.9, 2.9, 0.0], None),
        ([0.1, 3.1], 1),
        ([2.1, 0.0, 2.2], 2),
        ([2.1, 0.0, -2.2], None),
        ([1.1, 1.2, 0.0, 1.3, 1.1], 4),
        ([0.1] * 7 + [-0.1], None),
        ([-0.1] * 8, 7),
    ],
)
def test_rules_of_the_chart(values: list[float], at: int | None) -> None:
    """The four rules of the handbook (Western Electric 1956), each at the reading that breaks it."""
    days = [date(2026, 1, 1) + timedelta(k) for k in range(len(values))]
    found = first_signal(list(zip(days, values, strict=True)))

    assert (found is None) if at is None else (found is not None and found[0] == days[at])


def test_a_book_reads_its_log(tmp_path: Path) -> None:
    """The folder log/ is read, the oldest first, and its faults are among the book's."""
    shutil.copytree(demo().root, tmp_path / "book", ignore=shutil.ignore_patterns(".computed"))
    for file in (tmp_path / "book" / "log").glob("*.yaml"):
        file.unlink()
    (tmp_path / "book" / "log" / "a.yaml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "book" / "log" / "b.yaml").write_text(TEXT.replace("03-12", "01-12"), encoding="utf-8")

    assert [one.slug for one in open_book(tmp_path / "book").log] == ["b", "a"]
    (tmp_path / "book" / "log" / "b.yaml").write_text("recipe: x\n", encoding="utf-8")
    with pytest.raises(BookFaults, match=r"log/b.yaml:1:1: 'date' is missing here"):
        open_book(tmp_path / "book")


def test_the_set_of_march_for_another_sitter() -> None:
    """A shoot is named by its file or by how its date begins; what can't be chosen is said."""
    book = _book(
        TEXT, TEXT.replace("03-12", "05-12"), TEXT.replace("01-borrowed-window", "02-attic-triangle")
    )

    assert picked_shoot(book, "2026-05").slug == "a1"
    assert [one.slug for one in fitting_shoots(replace(book, log=book.log[:2]), "2026")] == ["a0", "a1"]
    assert picked_shoot(book, "log/a0.yaml").slug == "a0"
    with pytest.raises(UsageError, match="may be a0, a1, a2"):
        picked_shoot(book, "2026")
    with pytest.raises(UsageError, match="did you mean 'a1'"):
        picked_shoot(book, "a11")


def test_repeat_matches_the_set_as_shot(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What is matched is that day's set-up, for the sitter that was asked for."""
    asked: list[tuple[Recipe, Wish]] = []
    monkeypatch.setattr(
        repeating, "match", lambda recipe, studio, marks, slug, wish: asked.append((recipe, wish))
    )
    (tmp_path / "recipes").mkdir()
    (tmp_path / "log").mkdir()
    shutil.copy(demo().root / "studio.yaml", tmp_path)
    shutil.copy(demo().root / "recipes" / "01-borrowed-window.yaml", tmp_path / "recipes")
    (tmp_path / "log" / "march.yaml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "log" / "may.yaml").write_text(
        TEXT.replace("03-12", "05-12").replace("70 cm", "65 cm"), encoding="utf-8"
    )
    found = repeating.repeat(tmp_path, "march", Wish(eye_height_m=1.32))
    last = repeating.repeat(tmp_path, "2026", Wish())
    (recipe, wish), _ = asked

    assert found.told == (
        "Set of 2026-03-12 by JT, log/march.yaml.",
        "That day: eyes at 1.27 m; key: click 15, height 1.8 m; card: string 70 cm, surface silver.",
    )
    assert last.told[:2] == (
        "Set of 2026-05-12 by JT, log/may.yaml.",
        "The last of several; the others: march.",
    )

    assert str(recipe.cards[0].at.string) == "70 cm"
    assert str(recipe.sitters[0].eye_height) == "1.27 m"
    assert wish.eye_height_m == 1.32
