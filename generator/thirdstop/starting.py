"""A new book: copied from the one that ships, with the house's name and the schemas for an editor."""

import json
from pathlib import Path

from thirdstop.book.schema_file import recipe_schema, studio_schema
from thirdstop.errors import UsageError

FIRST_BOOK = Path(__file__).resolve().parent / "first_book"
COPIED = (".yaml", ".md")


def start_book(folder: Path, name: str) -> list[Path]:
    """Writes a new book into `folder`; returns the files written.

    Raises UsageError where the folder holds anything already, or the name isn't one line of text.
    """
    if not name.strip() or not name.isprintable() or any(sign in name for sign in ":#'\"{}[]&*!|>%@`\\"):
        raise UsageError("the house's name is plain words on one line; write: --name 'Our studio'")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"{folder} is not empty; name a new folder")
    texts = {
        path.relative_to(FIRST_BOOK): path.read_text(encoding="utf-8").replace("HOUSE_NAME", name.strip())
        for path in sorted(FIRST_BOOK.rglob("*"))
        if path.suffix in COPIED
    }
    for stem, schema in (("recipe", recipe_schema()), ("studio", studio_schema())):
        text = json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
        texts[Path("schemas") / f"{stem}.schema.json"] = text
    for relative, text in texts.items():
        target = folder / relative
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8")
    return [folder / relative for relative in texts]
