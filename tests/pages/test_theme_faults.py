"""A theme that is wrong is told as one line: file, line, what is wrong, what to write."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from thirdstop import resources
from thirdstop.drawings.palette import palette
from thirdstop.errors import BookFaults
from thirdstop.pages import rendering

THEMES = resources.shipped("themes")


@pytest.fixture
def yours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of a theme of one's own beside those that ship."""
    shutil.copytree(THEMES, tmp_path / "themes")
    folder = tmp_path / "themes" / "yours"
    (folder / "templates").mkdir(parents=True)
    for module in ("thirdstop.resources", "thirdstop.pages.rendering", "thirdstop.pages.theme_faults"):
        monkeypatch.setattr(f"{module}.shipped", lambda name: tmp_path / name)
    rendering._environment.cache_clear()
    yield folder
    rendering._environment.cache_clear()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "<p>\n{% if %}",
            "2:1: expected an expression, got 'end of statement block'; "
            "write: it as default's templates do, or take the file away",
        ),
        (
            "\n\n{{ house | shouted }}",
            "3:1: no filter named 'shouted'; write: it as default's templates do, or take the file away",
        ),
        (
            "<p>\n\n{{ nobody.x.y }}",
            "3:1: 'nobody' is undefined; write: a name that default's templates use there",
        ),
        (
            '\n{% extends "default/bsae.html" %}',
            "2:1: there is no such template; given: default/bsae.html; write: default/base.html",
        ),
        (
            '{% extends "default/gone.html" %}',
            "1:1: there is no such template; given: default/gone.html; write: default/page.html",
        ),
        (
            '{% extends "page.html" %}',
            '1:1: this template leads to itself; write: {% extends "default/page.html" %}',
        ),
        ("{{ 1 // 0 }}", "1:1: integer division or modulo by zero; write: it as default's templates do"),
    ],
)
def test_a_wrong_template_is_one_line(text: str, said: str, yours: Path) -> None:
    """Whatever it is, with the line of the theme's own file."""
    (yours / "templates" / "page.html").write_text(text)
    with pytest.raises(BookFaults) as caught:
        rendering.render("yours", "page.html", {"house": "Ours"})

    assert str(caught.value) == f"themes/yours/templates/page.html:{said}"


def test_a_template_that_is_no_text_is_named(yours: Path) -> None:
    """By its name, since it has no lines."""
    (yours / "templates" / "page.html").write_bytes(b"\xff\xfe")
    with pytest.raises(BookFaults) as caught:
        rendering.render("yours", "page.html", {})

    assert str(caught.value) == (
        "themes/yours/templates/page.html:1:1: this isn't text in UTF-8; write: the file saved as UTF-8"
    )


def test_what_the_base_theme_asks_for_stays_an_error_of_ours(yours: Path) -> None:
    """A theme without a part in it is not blamed."""
    with pytest.raises(UndefinedError):
        rendering.render("yours", "page.html", {})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("x = 1\n", "1:1: there is no 'colour'"),
        ("[colour]\nink = \n", "2:7: invalid value"),
        ("[colour", "1:1: expected ']' at the end of a table declaration"),
    ],
)
def test_a_wrong_palette_is_one_line(text: str, said: str, yours: Path) -> None:
    """At its line and column, where TOML itself is wrong."""
    (yours / "drawing.toml").write_text(text)
    palette.cache_clear()
    with pytest.raises(BookFaults) as caught:
        palette("yours")
    palette.cache_clear()

    assert str(caught.value) == (
        f"themes/yours/drawing.toml:{said}; write: it as themes/default/drawing.toml has it"
    )


def test_a_pen_of_no_colour_is_found_at_its_line(yours: Path) -> None:
    """Of a whole palette with one colour misspelt."""
    text = (THEMES / "default" / "drawing.toml").read_text(encoding="utf-8")
    at = text[: text.index('"ink"')].count("\n") + 1
    (yours / "drawing.toml").write_text(text.replace('"ink"', '"inky"', 1), encoding="utf-8")
    palette.cache_clear()
    with pytest.raises(BookFaults, match=f"^themes/yours/drawing.toml:{at}:1: there is no 'inky'"):
        palette("yours")
    palette.cache_clear()
