"""Every failure that a person can cause, as data and as one line of text.

A `Fault` is one thing wrong at one place of one file. Faults are collected, never raised one by one;
`BookFaults` carries them all. Nothing else that a person can type may end in a traceback.
"""

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong: where, what is wrong, what was given, what to write instead."""

    file: str
    """As the person would type it: relative to the book."""
    line: int
    """From 1."""
    column: int
    """From 1."""
    wrong: str
    """What is wrong, without a full stop."""
    given: str = ""
    """What was given, as the person wrote it; empty where nothing was."""
    write: str = ""
    """What to write instead."""
    worked_out: bool = False
    """Whether `given` was worked out from what stands there: then its lengths are nobody's own words."""

    def __str__(self) -> str:
        text = f"{self.file}:{self.line}:{self.column}: {self.wrong}"
        if self.given:
            text += f"; given: {self.given}"
        if self.write:
            text += f"; write: {self.write}"
        return text


class ThirdstopError(Exception):
    """Base of every error that is meant for the person."""


class BookFaults(ThirdstopError):
    """The book can't be used as it stands; `faults` holds every fault of every file, in file order."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = sorted(set(faults))
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type["BookFaults"], tuple[list[Fault]]]:
        return (BookFaults, (self.faults,))


class UsageError(ThirdstopError):
    """The command was asked for something that can't be: a folder that isn't there, an unknown recipe."""


class PublishingError(ThirdstopError):
    """The site could not be written; the former one is untouched."""


class ResourceError(ThirdstopError):
    """A file that ships with thirdstop is missing: a broken installation."""
