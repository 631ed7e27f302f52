"""Findings as pages show them: halts, then what deserves a look, real faults first, then what passes."""

from dataclasses import dataclass

from thirdstop.checks.findings import Finding, Verdict
from thirdstop.checks.registry import CHECKS
from thirdstop.checks.severity import by_severity
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import together
from thirdstop.pages.views import whose
from thirdstop.staging.staging import Staging

_CHEEKS = ("ratio", "spill")
"""Checks that speak of a cheek: where there are two sitters, of whose."""

_TITLES = {check.name: check.title for check in CHECKS}


@dataclass(frozen=True)
class Shown:
    """One finding."""

    verdict: Verdict
    check: str
    """Anchor of what is computed, on the page that explains it."""
    title: str
    text: str
    remedy: str


@dataclass(frozen=True)
class Verdicts:
    """All findings of a recipe."""

    safety_halts: tuple[Shown, ...]
    """Stand at the top of every page of the recipe."""
    halts: tuple[Shown, ...]
    """The other ones."""
    looks: tuple[Shown, ...]
    passes: tuple[Shown, ...]


def verdicts(evaluated: Evaluated) -> Verdicts:
    """The findings by verdict, most severe first."""
    found = by_severity(evaluated.findings)

    def of(verdict: Verdict) -> list[Finding]:
        return [finding for finding in found if finding.verdict == verdict]

    def shown(some: list[Finding]) -> tuple[Shown, ...]:
        return tuple(_shown(evaluated.staging, finding) for finding in some)

    halts = of("halt")
    return Verdicts(
        safety_halts=shown([finding for finding in halts if finding.safety]),
        halts=shown([finding for finding in halts if not finding.safety]),
        looks=shown(of("look")),
        passes=shown(of("pass")),
    )


def _shown(staging: Staging, finding: Finding) -> Shown:
    title = _TITLES.get(finding.check, finding.check)
    text = whose.told(staging, finding.text) if finding.check in _CHEEKS else finding.text
    return Shown(finding.verdict, finding.check, title, together(text), together(finding.remedy))
