"""Collects what is wrong with a recipe or studio while it is being staged, each at its place in the file."""

from dataclasses import dataclass, field

from thirdstop.book.marks import Marks, fault_at
from thirdstop.errors import Fault

Path = tuple[str | int, ...]


@dataclass
class Problems:
    """The faults of one file, gathered while it is being resolved."""

    marks: Marks
    faults: list[Fault] = field(default_factory=list)

    def add(self, path: Path, wrong: str, given: str = "", write: str = "") -> None:
        """Notes a fault at the value of `path`, or at the nearest mapping that holds it."""
        self.faults.append(fault_at(self.marks, path, wrong, given, write))

    def __bool__(self) -> bool:
        return bool(self.faults)
