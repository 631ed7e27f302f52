"""A new book: copied from the one that ships, with what the studio answered and the schemas for an editor."""

import json
import math
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

import click

from thirdstop.book import strict_yaml
from thirdstop.book.grammar import QuantityError
from thirdstop.book.marks import Path as MarkPath
from thirdstop.book.parsing import parse_length
from thirdstop.book.rewriting import quoted, with_value
from thirdstop.book.schema_file import recipe_schema, studio_schema
from thirdstop.book.sources import STUDIO_FILE
from thirdstop.errors import UsageError
from thirdstop.first_answers import QUESTIONS, Question, checked, defaults

FIRST_BOOK = Path(__file__).resolve().parent / "first_book"
COPIED = (".yaml", ".md")
_STUDIO, _RECIPE = Path(STUDIO_FILE), Path("recipes") / "first.yaml"


def start_book(folder: Path, answers: Mapping[str, str]) -> list[Path]:
    """Writes a new book into `folder`; returns the files written.

    `answers` to `first_answers.QUESTIONS`, by key. Raises UsageError where the folder holds anything already
    or can't be written; nothing is left behind then.
    """
    refuse_taken(folder)
    texts = _texts(answers)
    try:
        return _write_all(folder, texts)
    except OSError as error:
        raise _unwritable(folder, error) from error


def refuse_taken(folder: Path) -> None:
    """Raises UsageError unless a new book may go there: a folder that isn't there yet, or is empty."""
    try:
        if folder.is_symlink() or folder.exists():
            if not folder.is_dir():
                raise UsageError(f"{folder} is a file; name a new folder")
            if any(folder.iterdir()):
                raise UsageError(f"{folder} is not empty; name a new folder")
    except OSError as error:
        raise _unwritable(folder, error) from error


def _unwritable(folder: Path, error: OSError) -> UsageError:
    return UsageError(f"{folder} can't be written: {(error.strerror or '').lower()}; name another folder")


def given_answers(given: Mapping[str, str | None], ask: bool) -> dict[str, str]:
    """Every answer: as given by flag, else as asked here, else the default.

    Raises UsageError with the flag for what can't be taken; at the terminal it is asked again.
    """
    answers = defaults()
    for question in QUESTIONS:
        text = given[question.key]
        try:
            if text is not None:
                answers[question.key] = checked(question, text)
            elif ask:
                answers[question.key] = _asked(question)
        except QuantityError as error:
            raise UsageError(f"{question.flag}: {error.wrong}; write: {error.write}") from error
    return answers


def _asked(question: Question) -> str:
    """What somebody types in; asked again, with the reason, as long as it can't be taken."""
    while True:
        text = click.prompt(question.asks, default=question.default, show_default=bool(question.default))
        try:
            return checked(question, text)
        except QuantityError as error:
            click.echo(f"  {error.wrong}; write: {error.write}")


def _as_yaml(text: str) -> str:
    """A name as it stands in a file: quoted where it would read as something else."""
    data, _, faults = strict_yaml.read(f"name: {text}\n", STUDIO_FILE)
    if not faults and data == {"name": text}:
        return text
    return "'" + text.replace("'", "''") + "'"


def _texts(answers: Mapping[str, str]) -> dict[Path, str]:
    """Every file's place in the book and its text; the studio file last, which makes the folder a book."""
    texts = {
        path.relative_to(FIRST_BOOK): path.read_text(encoding="utf-8")
        for path in sorted(FIRST_BOOK.rglob("*"))
        if path.suffix in COPIED
    }
    texts[_STUDIO] = _studio(texts[_STUDIO], answers)
    texts[_RECIPE] = _recipe(texts[_RECIPE], answers)
    for stem, schema in (("recipe", recipe_schema()), ("studio", studio_schema())):
        text = json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
        texts[Path("schemas") / f"{stem}.schema.json"] = text
    texts[_RECIPE] = with_value(texts[_RECIPE], ("target", "ratio"), _ratio_here(texts))
    return dict(sorted(texts.items(), key=lambda item: item[0] == _STUDIO))


def _studio(text: str, answers: Mapping[str, str]) -> str:
    """The studio file with what was answered."""
    room, lamp = ("room",), ("lamps", 0)
    width, height = (parse_length(answers[key]).m for key in ("width", "height"))
    walls = answers["walls"] if answers["walls"][:1].isdigit() else quoted(answers["walls"])
    values: dict[MarkPath, str] = {
        ("name",): _as_yaml(answers["name"]),
        **{(*room, key): quoted(answers[key]) for key in ("width", "length", "height")},
        **{(*room, "surfaces", f"{side}_wall"): walls for side in ("back", "front", "left", "right")},
        # a sheet hangs between the side walls and under the ceiling
        ("backdrops", 0, "width"): f"{min(2.2, width - 0.2):.2f} m",
        ("backdrops", 0, "height"): f"{min(2.3, height - 0.1):.2f} m",
        (*lamp, "name"): _as_yaml(answers["lamp"]),
        (*lamp, "energy"): quoted(answers["energy"]),
        ("cards", 0, "size"): quoted(answers["card"]),
        ("habits", "units"): answers["units"],
    }
    for path, value in values.items():
        text = with_value(text, path, value)
    if not answers["guide_number"]:
        return text
    number = f"{{shaper: round box 90, guide_number: {quoted(answers['guide_number'])}, iso: 100}}"
    return with_value(text, (*lamp, "guide_numbers"), f"\n      - {number}")


def _recipe(text: str, answers: Mapping[str, str]) -> str:
    """The first recipe, its mark in the middle between the side walls."""
    half = f"{parse_length(answers['width']).m / 2:.2f} m"
    text = with_value(text, ("mark", "left_wall"), half)
    return with_value(text, ("lights", 0, "lamp"), _as_yaml(answers["lamp"]))


def _ratio_here(texts: Mapping[Path, str]) -> str:
    """What the first recipe gives in this room, to a half: a target that it meets as it stands."""
    from thirdstop.exposure.meter import read
    from thirdstop.exposure.transport import SCAN, solve
    from thirdstop.running import open_and_stage

    with tempfile.TemporaryDirectory(prefix="thirdstop-") as folder:
        _write_all(Path(folder), texts)
        _, (staged,) = open_and_stage(Path(folder))
    ratio = read(staged.staging, solve(staged.staging.scene, SCAN)).ratio.ratio
    return f"{max(1.0, math.floor(ratio * 2 + 0.5) / 2):g}:1"


def _write_all(folder: Path, texts: Mapping[Path, str]) -> list[Path]:
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
