"""Compiled templates are found again only while all that they are made of is the same."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jinja2 import DictLoader, Environment

from thirdstop.pages.compiling import Compiled

PAGE = "page.html"
TEXT = "<p>{{ word }}</p>"


class Noting(Environment):
    """An environment that says how often it compiled."""

    compiled = 0

    def compile(self, *given: Any, **named: Any) -> Any:
        """As it is, counted."""
        self.compiled += 1
        return super().compile(*given, **named)


@pytest.fixture
def module(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """What says how templates are compiled, where Python keeps modules beside themselves."""
    monkeypatch.setattr(sys, "pycache_prefix", None)
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    path = tmp_path / "module.py"
    path.write_text("trim_blocks = True\n", encoding="utf-8")
    return path


def filled(module: Path, text: str = TEXT) -> tuple[str, int]:
    """The page in an environment of its own, and how often that compiled."""
    environment = Noting(loader=DictLoader({PAGE: text}), bytecode_cache=Compiled(module))
    return environment.get_template(PAGE).render(word="f/8"), environment.compiled


def kept(module: Path) -> list[Path]:
    """All that stands among compiled modules."""
    return sorted(module.parent.glob("__pycache__/*"))


def test_a_template_is_compiled_once(module: Path) -> None:
    """A second run fills what the first one compiled; nothing else is left."""
    assert filled(module) == ("<p>f/8</p>", 1)
    assert filled(module) == ("<p>f/8</p>", 0)
    assert [path.suffix for path in kept(module)] == [".template"]


def test_another_template_is_compiled_anew(module: Path) -> None:
    """In the former one's place."""
    filled(module)

    assert filled(module, "<b>{{ word }}</b>") == ("<b>f/8</b>", 1)
    assert len(kept(module)) == 1


def _cut(module: Path) -> None:
    (path,) = kept(module)
    path.write_bytes(path.read_bytes()[:-1])


def _changed(module: Path) -> None:
    (path,) = kept(module)
    path.write_bytes(path.read_bytes().replace(b"<p>", b"<b>"))


def _emptied(module: Path) -> None:
    (path,) = kept(module)
    path.write_bytes(b"")


def _compiled_otherwise(module: Path) -> None:
    module.write_text("trim_blocks = False\n", encoding="utf-8")


def _no_place(module: Path) -> None:
    (path,) = kept(module)
    path.unlink()
    path.mkdir()


@pytest.mark.parametrize("harm", [_cut, _changed, _emptied, _compiled_otherwise, _no_place])
def test_what_is_not_as_it_was_kept_is_compiled_anew(module: Path, harm: Callable[[Path], None]) -> None:
    """A torn file, a changed one, another way to compile; each time, where nothing can be kept."""
    filled(module)
    harm(module)

    assert filled(module) == ("<p>f/8</p>", 1)
    assert filled(module) == ("<p>f/8</p>", 1 if harm is _no_place else 0)


def test_nothing_is_kept_where_python_keeps_no_modules(module: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As whoever runs it has asked."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)

    assert filled(module) == ("<p>f/8</p>", 1)
    assert kept(module) == []
