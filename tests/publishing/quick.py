"""Publishing small books quickly: one scan in place of the bands, each set of values once, no plans."""

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from thirdstop import desk, remaking
from thirdstop.book.studio import Studio
from thirdstop.calibrating.planning import Leaning, Worth
from thirdstop.errors import Fault
from thirdstop.keeping import name_of
from thirdstop.pages.evaluated import Evaluated
from thirdstop.remaking import Remade
from thirdstop.running import StagedRecipe, evaluate_quickly
from thirdstop.sharing import Helpers
from thirdstop.updating import publish

DEMO = Path(__file__).resolve().parents[2] / "recipes"
SLUGS = ("01-borrowed-window", "06-under-the-brim", "18-one-bag-short")
PAGE = "# House rules\n\nTwo people lift a boom.\n"

_COMPUTED: dict[str, Evaluated] = {}


def _evaluated(studio: Studio, one: StagedRecipe) -> tuple[Evaluated, list[Fault]]:
    """By values, so that a book that is published from nothing costs no light that another one has cost."""
    key = name_of("quick", one.loaded, studio).key
    if key not in _COMPUTED:
        _COMPUTED[key] = evaluate_quickly(one)
    return replace(_COMPUTED[key], loaded=one.loaded, staging=one.staging), []


def _planned(shelf: Any, studio: Studio, used: Any, recipes: dict[str, str], lean: Any) -> Any:
    """No plan; but worths that hang on every recipe of the book."""
    size = float(len(recipes))
    return (), {slug: Worth("box", "key", (size, size), (size, size)) for slug in recipes}


@contextmanager
def quickly() -> Iterator[None]:
    """While it lasts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(desk, "evaluate_whole", _evaluated)
        patch.setattr(remaking, "planned", _planned)
        # other processes would know nothing of this
        patch.setattr(Helpers, "each_done", lambda _, work, pieces, *__: map(work, pieces))
        patch.setattr(desk, "leaning", lambda *_: Leaning((), np.zeros((2, 0))))
        yield


def small_book(root: Path, slugs: tuple[str, ...] = SLUGS[:2]) -> Path:
    """The demo's studio with some of its recipes and one page of its own."""
    (root / "recipes").mkdir(parents=True)
    (root / "pages").mkdir()
    shutil.copy(DEMO / "studio.yaml", root)
    for slug in slugs:
        # their notes lead to recipes that this book hasn't got
        text = (DEMO / "recipes" / f"{slug}.yaml").read_text(encoding="utf-8").replace("](", "] (")
        (root / "recipes" / f"{slug}.yaml").write_text(text, encoding="utf-8")
    (root / "pages" / "house-rules.md").write_text(PAGE, encoding="utf-8")
    return root


def published(book: Path, out: Path | None = None) -> Remade:
    """The book published beside itself."""
    with quickly():
        return publish(
            book, out or book.parent / "site", lambda length, label: nullcontext(lambda count: None)
        )


def changed(file: Path, old: str, new: str) -> None:
    """Other words in a file."""
    text = file.read_text(encoding="utf-8")
    assert re.search(old, text), old
    file.write_text(re.sub(old, new, text, count=1), encoding="utf-8")
