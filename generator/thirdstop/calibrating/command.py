"""The command `calibrate`: what a file of readings says of the studio, and which readings to take."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from thirdstop.book.book import Book, open_file
from thirdstop.book.marks import Marks, fault_at_key
from thirdstop.book.metering import Metering
from thirdstop.book.rewriting import replace_file
from thirdstop.book.sources import STUDIO_FILE, no_book
from thirdstop.book.studio import Studio
from thirdstop.calibrating.calibrate import Calibration, calibrate
from thirdstop.calibrating.candidates import candidates, used_by
from thirdstop.calibrating.plan_told import to_fill_in
from thirdstop.calibrating.planning import PLANS_MINUTES, Plan, plan, problem
from thirdstop.calibrating.setups import stage_setups
from thirdstop.calibrating.telling import calibration_json, told
from thirdstop.calibrating.writing import written
from thirdstop.errors import BookFaults, Fault, UsageError
from thirdstop.exposure.charging import charge
from thirdstop.staging.resolve import stage
from thirdstop.staging.studio_check import check_studio


@dataclass(frozen=True, eq=False)
class CalibrateRun:
    """One run of the command."""

    studio: Studio
    studio_file: FilePath
    studio_text: str
    readings_file: FilePath
    calibration: Calibration

    @property
    def text(self) -> str:
        """For people."""
        return told(self.calibration, self.studio)

    @property
    def json(self) -> dict[str, Any]:
        """For programs: docs/json.md."""
        return calibration_json(self.calibration, self.studio)


def run_calibrate(root: FilePath, file: FilePath) -> CalibrateRun:
    """What the readings in `file` say of the studio of the book in `root`.

    Raises BookFaults where either file has faults, UsageError where there is no such file or book.
    """
    studio_file = root / STUDIO_FILE
    if not studio_file.is_file():
        raise no_book(root)
    studio, studio_marks, studio_text = open_file(Studio, studio_file)
    if faults := check_studio(studio, studio_marks):
        raise BookFaults(faults)
    metering, marks, _ = open_file(Metering, file)
    setups, faults = stage_setups(metering, studio, marks)
    faults += _nothing(metering, marks)
    if faults:
        raise BookFaults(faults)
    return CalibrateRun(studio, studio_file, studio_text, file, calibrate(metering, studio, setups))


def _nothing(metering: Metering, marks: Marks) -> list[Fault]:
    if metering.setups or metering.ambient or metering.grey_frames:
        return []
    return [
        fault_at_key(marks, ("title",), "the file holds no reading", "", "setups, ambient or grey_frames")
    ]


def write_found(run: CalibrateRun) -> list[str]:
    """Puts what was found into the studio file, whole or not at all; what changed, in words."""
    name = run.readings_file.name
    text, said = written(run.studio_text, run.studio, run.calibration, name)
    replace_file(run.studio_file, run.studio_text, text)
    return said


def plans_of(book: Book, minutes: Sequence[float] = PLANS_MINUTES) -> list[Plan]:
    """The readings that narrow the book's bands most, for each of so many minutes.

    Raises BookFaults where the book can't be staged, UsageError where nothing fits the room.
    """
    recipes = []
    faults = check_studio(book.studio, book.studio_marks)
    for loaded in book.recipes:
        staging, found = stage(loaded.recipe, book.studio, loaded.marks, loaded.slug)
        faults += found
        if staging is not None:
            recipes.append((loaded.recipe, staging))
    if faults:
        raise BookFaults(faults)
    metering, setups = candidates(book.studio, used_by(recipe for recipe, _ in recipes))
    if not setups:
        raise UsageError("no set-up of readings fits this room")
    charged = [(recipe, charge(staging)) for recipe, staging in recipes]
    given = problem(charged, setups, book.studio)
    return [plan(given, metering, one) for one in minutes]


def refuse_file(file: FilePath) -> None:
    """Raises UsageError where a new file of readings can't be made there: before a plan is computed."""
    if file.exists() or file.is_symlink():
        raise _taken(file)
    if not file.parent.is_dir():
        raise UsageError(f"there is no folder {file.parent}; make it first, or choose another name")


def _taken(file: FilePath) -> UsageError:
    return UsageError(f"{file} is there already; choose another name")


def write_to_fill_in(file: FilePath, chosen: Plan, day: str) -> None:
    """The plan as a new file of readings; raises UsageError where there is one already."""
    try:
        with file.open("x", encoding="utf-8") as stream:
            stream.write(to_fill_in(chosen, "Readings", day))
    except FileExistsError as error:
        raise _taken(file) from error
