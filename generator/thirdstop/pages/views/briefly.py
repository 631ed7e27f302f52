"""What the checks ask to look at, in a short line each: what is the matter, and what to do about it."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from thirdstop.checks.findings import Finding
from thirdstop.checks.severity import by_severity, unstated
from thirdstop.checks.weights import needed_bag_kg, needed_counterweight_kg
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import together
from thirdstop.pages.views import whose
from thirdstop.staging.staging import Staging

_END = re.compile(r"[.;:](?= |$)|, (?:where|which|and must|in the weakest|all legs|so that|deepest)\b")
_BRACKETS = re.compile(r" \([^()]*\)")
_AS_THE_TABLE = "hang what the table says"


@dataclass(frozen=True)
class Look:
    """A line, and how much depends on it."""

    text: str
    stays: bool
    """On safety, or a halt: never left out."""
    minor: bool
    """Only says what isn't known: left out before the others."""


def looks(evaluated: Evaluated) -> tuple[Look, ...]:
    """A line for each look, and each halt but safety's, which stand alone; most severe first."""
    found = [one for one in by_severity(evaluated.findings) if one.verdict != "pass"]
    return tuple(
        Look(line(evaluated.staging, one), one.safety or one.verdict == "halt", unstated(one))
        for one in found
        if not (one.verdict == "halt" and one.safety)
    )


def line(staging: Staging, finding: Finding) -> str:
    """'‘key’ shines into the lens: set a flag of at least 71 cm × 71 cm between lamp and lens'."""
    matter = _MATTERS.get(finding.check, _first)(finding)
    if finding.check == "spill":
        matter = whose.told(staging, matter)
    do = _AS_THE_TABLE if _in_table(staging, finding) else _do(finding)
    halt = "Halt: " if finding.verdict == "halt" else ""
    return together(": ".join(filter(None, (f"{halt}{matter}", f"{do[:1].lower()}{do[1:]}"))))


def _clause(text: str) -> str:
    """Up to where the first thing that is said ends."""
    bare = _BRACKETS.sub("", text)
    end = _END.search(bare)
    return bare[: end.start()] if end else bare


def _do(finding: Finding) -> str:
    """Of a remedy that begins with a cause what follows it."""
    if finding.about.endswith(": legs") and finding.verdict == "look":
        return "turn it as the plan draws it"
    _, _, after = finding.remedy.partition(": ") if finding.check in ("brim", "catchlights") else ("", "", "")
    return _clause(after or finding.remedy)


def _first(finding: Finding) -> str:
    return _clause(finding.text)


def _whole(finding: Finding) -> str:
    """All but the limit: the number follows a colon or a semicolon."""
    return _BRACKETS.sub("", finding.text).partition(". ")[0].rpartition("; ")[0] or _first(finding)


def _catchlights(finding: Finding) -> str:
    trouble = finding.remedy.partition(": ")[0]
    return f"Catchlights of '{finding.about}', {trouble[:1].lower()}{trouble[1:]}"


def _room(finding: Finding) -> str:
    name, _, part = finding.about.partition(": ")
    if part != "legs":
        return _first(finding)
    return _first(finding).replace(f"The column of the stand of '{name}'", f"The stand of '{name}'")


def _spill(finding: Finding) -> str:
    """'At right cheek the room gives 58 %, the card 37 %'."""
    return _first(finding).replace(" of the light and the card", ", the card")


def _statics(finding: Finding) -> str:
    """Of a stand the number that is too low; a boom's sentence begins with its own."""
    name, _, part = finding.about.partition(": ")
    if part != "stand" or finding.margin is None or finding.limit is None:
        return _first(finding)
    holds = finding.limit + finding.margin
    if finding.unit == "N":
        push, wanted = f"{math.floor(holds + 1e-9)} N", f"{finding.limit:g} N"
        return f"As the recipe has it a push of {push} tips '{name}', {wanted} is wanted"
    return f"As the recipe has it '{name}' is held {holds:.2f} times, {finding.limit:g} is wanted"


_MATTERS: dict[str, Callable[[Finding], str]] = {
    "catchlights": _catchlights,
    "glare": _whole,
    "room-fit": _room,
    "spill": _spill,
    "statics": _statics,
}


def _in_table(staging: Staging, finding: Finding) -> bool:
    """Whether the card's table already has the weights that mend it."""
    name, _, part = finding.about.partition(": ")
    support = next((item.support for item in staging.items if item.name == name), None)
    if finding.check != "statics" or support is None:
        return False
    if part == "boom":
        return needed_counterweight_kg(support) != support.counterweight_kg
    return needed_bag_kg(support) > support.bag_mass_kg
