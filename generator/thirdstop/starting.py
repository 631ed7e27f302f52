"""A new book: copied from the one that ships, with the house's name and the schemas for an editor."""

import json
from contextlib import suppress
from pathlib import Path

from thirdstop.book import strict_yaml
from thirdstop.book.fields import NAME_MOST, parse_line
from thirdstop.book.grammar import QuantityError
from thirdstop.book.schema_file import recipe_schema, studio_schema
from thirdstop.book.sources import STUDIO_FILE
from thirdstop.errors import UsageError

FIRST_BOOK = Path(__file__).resolve().parent / "first_book"
COPIED = (".yaml", ".md")


def start_book(folder: Path, name: str) -> list[Path]:
    """Writes a new book into `folder`; returns the files written.

    Raises UsageError where the folder holds anything already or can't be written, or the name isn't one line
    of text; nothing is left behind then.
    """
    texts = _texts(_as_yaml(name))
    try:
        if folder.is_symlink() or folder.exists():
            if not folder.is_dir():
                raise UsageError(f"{folder} is a file; name a new folder")
            if any(folder.iterdir()):
                raise UsageError(f"{folder} is not empty; name a new folder")
        return _write_all(folder, texts)
    except OSError as error:
        reason = (error.strerror or "").lower()
        raise UsageError(f"{folder} can't be written: {reason}; name another folder") from error


def _as_yaml(name: str) -> str:
    """The house's name as it stands in the studio file: quoted where it would read as something else."""
    if "\n" in name or "\r" in name:
        raise UsageError("the house's name is one line of text; write: --name 'Our studio'")
    try:
        text = parse_line(name, "the house's name", NAME_MOST)
    except QuantityError as error:
        raise UsageError(f"{error.wrong}; write: --name 'Our studio'") from error
    data, _, faults = strict_yaml.read(f"name: {text}\n", STUDIO_FILE)
    if not faults and data == {"name": text}:
        return text
    return "'" + text.replace("'", "''") + "'"


def _texts(house: str) -> dict[Path, str]:
    """Every file's place in the book and its text; the studio file last, which makes the folder a book."""
    texts = {
        path.relative_to(FIRST_BOOK): path.read_text(encoding="utf-8").replace("HOUSE_NAME", house)
        for path in sorted(FIRST_BOOK.rglob("*"))
        if path.suffix in COPIED
    }
    for stem, schema in (("recipe", recipe_schema()), ("studio", studio_schema())):
        text = json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
        texts[Path("schemas") / f"{stem}.schema.json"] = text
    return dict(sorted(texts.items(), key=lambda item: item[0] == Path(STUDIO_FILE)))


def _write_all(folder: Path, texts: dict[Path, str]) -> list[Path]:
    """Raises OSError, or whatever interrupts it, with everything that it made taken away again."""
    made: list[Path] = []
    try:
        for relative, text in texts.items():
            target = folder / relative
            for parent in (*reversed(target.parents), target.parent):
                if not parent.is_dir():
                    parent.mkdir()
                    made.append(parent)
            with target.open("x", encoding="utf-8", newline="\n") as stream:
                made.append(target)
                stream.write(text)
    except BaseException:
        for path in reversed(made):
            with suppress(OSError):
                if path.is_dir():
                    path.rmdir()
                else:
                    path.unlink()
        raise
    return [folder / relative for relative in texts]
