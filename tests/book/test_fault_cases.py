"""Every fault that a book can have, as case files: what stands in the book, and the whole text that is said.

The book is read and every recipe is staged; no light is computed.

A case file is a title, then blocks. Each block begins with a line '--- NAME' and holds that file of the
book; '--- NAME changed' holds lines '- old' and '+ new' to change in the file that is there,
'--- NAME escaped' reads backslash escapes as bytes, '--- NAME times 900' repeats the block's text,
'--- NAME -> TARGET' is a symbolic link, '--- NAME removed' takes a file away. The last block,
'--- expected', is all that is said, or 'fine' with the titles as they were read. What a case doesn't
give comes from cases/base, or, after a first block '--- from stocked', from cases/stocked, whose studio has
some of everything.
"""

import shutil
from pathlib import Path

import pytest

from thirdstop.errors import BookFaults, UsageError
from thirdstop.running import open_and_stage

CASES = Path(__file__).parents[1] / "cases"
_KEEP = (["removed"], ["changed"])
"""What is done to a recipe of the base book; any other recipe takes its place."""


def _read(path: Path) -> tuple[str, list[tuple[list[str], str]]]:
    title, *blocks = ("\n" + path.read_text(encoding="utf-8")).split("\n--- ")
    return title.strip(), [
        (head.split(), body + "\n" if body else "") for head, _, body in (b.partition("\n") for b in blocks)
    ]


def _lay_out(root: Path, words: list[str], body: str) -> None:
    path = root / words[0]
    path.parent.mkdir(parents=True, exist_ok=True)
    text = path.read_text(encoding="utf-8") if words[1:] == ["changed"] else ""
    path.unlink(missing_ok=True)
    match words[1:]:
        case ["->", target]:
            path.symlink_to(target)
        case ["changed"]:
            path.write_text(_changed(text, body), encoding="utf-8")
        case ["escaped"]:
            path.write_bytes(body[:-1].encode("ascii").decode("unicode_escape").encode("latin-1"))
        case ["times", count]:
            path.write_text(body * int(count), encoding="utf-8")
        case []:
            path.write_text(body, encoding="utf-8")


def _changed(text: str, body: str) -> str:
    """The text with each '- old' line's words, which must be there once, in favour of the '+ new' ones."""
    for change in ("\n" + body).split("\n- ")[1:]:
        old, _, new = change.rstrip("\n").partition("\n+ ")
        assert text.count(old) == 1, f"{old!r} is there {text.count(old)} times"
        text = text.replace(old, new.replace("\n+ ", "\n"))
    return text


def _said(root: Path) -> str:
    try:
        book, _ = open_and_stage(root)
    except (BookFaults, UsageError) as error:
        return str(error).replace(str(root), "BOOK")
    titles = [f"{thing.file}: {thing.title}" for thing in book.pages]
    return "\n".join(["fine", *(f"{r.file}: {r.recipe.title}" for r in book.recipes), *titles])


FAULT_CASES = {_read(path)[0]: path for path in sorted((CASES / "faults").glob("*.txt"))}


@pytest.mark.parametrize("title", FAULT_CASES)
def test_case(title: str, tmp_path: Path) -> None:
    """The book of the case is answered with exactly the expected text."""
    _, [*files, (_, expected)] = _read(FAULT_CASES[title])
    root = tmp_path / "book"
    start = "base"
    if files[0][0] == ["from", "stocked"]:
        start = files.pop(0)[0][1]
    shutil.copytree(CASES / start, root)
    if any(words[0].startswith("recipes/") and words[1:] not in _KEEP for words, _ in files):
        (root / "recipes" / "base.yaml").unlink()

    for words, body in files:
        _lay_out(root, words, body)

    assert _said(root) == expected.strip("\n")


def test_titles_differ() -> None:
    """No case hides another, and there are enough of them to trust."""
    assert len(FAULT_CASES) == len(list((CASES / "faults").glob("*.txt")))
    assert len(FAULT_CASES) >= 60
