"""Writes the JSON Schemas that editors use: `python -m thirdstop.book.schema_file [FOLDER]`."""

import json
import sys
from pathlib import Path

from thirdstop.book.log import Shoot
from thirdstop.book.metering import Metering
from thirdstop.book.recipe import Recipe
from thirdstop.book.schema import Schema, schema_of
from thirdstop.book.studio import Studio

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def recipe_schema() -> Schema:
    """JSON Schema 2020-12 of a recipe file."""
    return {"$schema": DIALECT, **schema_of(Recipe), "title": "A recipe of a thirdstop book"}


def studio_schema() -> Schema:
    """JSON Schema 2020-12 of a studio file."""
    return {"$schema": DIALECT, **schema_of(Studio), "title": "The studio of a thirdstop book"}


def readings_schema() -> Schema:
    """JSON Schema 2020-12 of a file of readings."""
    return {
        "$schema": DIALECT,
        **schema_of(Metering),
        "title": "Readings to learn the studio of a thirdstop book",
    }


def log_schema() -> Schema:
    """JSON Schema 2020-12 of a file of the log."""
    return {"$schema": DIALECT, **schema_of(Shoot), "title": "A shoot in the log of a thirdstop book"}


def schema_files() -> dict[str, str]:
    """File name → its text, the same bytes on every run."""
    schemas = {
        "recipe.schema.json": recipe_schema(),
        "studio.schema.json": studio_schema(),
        "readings.schema.json": readings_schema(),
        "log.schema.json": log_schema(),
    }
    return {
        name: json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=False) + "\n"
        for name, schema in schemas.items()
    }


def main(folder: Path) -> None:
    """Write the files into the folder, which is made where it is missing."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in schema_files().items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "schemas"))
