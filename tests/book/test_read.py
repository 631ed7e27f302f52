"""Whatever a file can say is read: no key of the models is there for nothing."""

import ast
from collections.abc import Iterator
from pathlib import Path

import thirdstop
from book.models import models_in
from thirdstop.book import nomenclature
from thirdstop.book.held import ROOM_SURFACES
from thirdstop.book.model import Model

PACKAGE = Path(thirdstop.__file__).parent


def _read_outside_book() -> set[str]:
    """Names of attributes that any stage after the book asks for; surfaces of the room go by their names."""
    found = {name.replace(" ", "_") for name in ROOM_SURFACES}
    for path in PACKAGE.rglob("*.py"):
        if path.relative_to(PACKAGE).parts[0] != "book":
            tree = ast.parse(path.read_text(encoding="utf-8"))
            found |= {
                node.attr
                for node in ast.walk(tree)
                if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load)
            }
    return found


def test_every_model_is_part_of_a_file() -> None:
    """None is left over from something that can't be written any more."""
    written = {inner for _, model in nomenclature.FILES for inner in models_in(model)}
    assert set(_kinds_of(Model)) <= written


def _kinds_of(model: type[Model]) -> Iterator[type[Model]]:
    for kind in model.__subclasses__():
        yield kind
        yield from _kinds_of(kind)


def test_every_key_is_read_by_a_later_stage() -> None:
    """By its name: a key that nothing asks for does nothing, whatever the page on the files says of it."""
    read = _read_outside_book()
    unread = {
        f"{inner.__name__}.{name}"
        for _, model in nomenclature.FILES
        for inner in models_in(model)
        for name in inner.model_fields
        if name not in read
    }
    assert unread == set()
