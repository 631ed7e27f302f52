"""In which order findings are told: what stops the set-up, safety, what is wrong, what isn't known."""

import re
from collections.abc import Iterable

from thirdstop.checks.findings import Finding

_VERDICTS = ("halt", "look", "pass")
_UNSTATED = re.compile(r"\b(?:not stated|states no|not measured)\b")


def unstated(finding: Finding) -> bool:
    """Whether it only says that something isn't stated, so that nothing could be computed."""
    return finding.verdict == "look" and finding.margin is None and bool(_UNSTATED.search(finding.text))


def by_severity(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Most severe first, each kind in the order of the checks."""
    return tuple(sorted(findings, key=_rank))


def _rank(finding: Finding) -> tuple[int, bool, bool]:
    return _VERDICTS.index(finding.verdict), unstated(finding), not finding.safety
