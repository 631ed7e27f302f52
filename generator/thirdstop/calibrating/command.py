"""The command `calibrate`: a file of readings, what it says of the studio, and into the studio file."""

from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from thirdstop.book.book import STUDIO_FILE, open_file
from thirdstop.book.marks import Marks, fault_at_key
from thirdstop.book.metering import Metering
from thirdstop.book.rewriting import replace_file
from thirdstop.book.studio import Studio
from thirdstop.calibrating.calibrate import Calibration, calibrate
from thirdstop.calibrating.setups import stage_setups
from thirdstop.calibrating.telling import calibration_json, told
from thirdstop.calibrating.writing import written
from thirdstop.errors import BookFaults, Fault, UsageError
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
        raise UsageError(f"{root} is not a book: it has no {STUDIO_FILE}")
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
