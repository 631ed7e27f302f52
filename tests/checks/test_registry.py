"""The registry as a whole: names, sentences, order, and what every finding owes its reader."""

import re

from checks import samples
from thirdstop.checks.registry import CHECKS, check
from thirdstop.staging.staging import Support
from thirdstop.staging.vectors import vec


def _everything() -> samples.Thing:
    support = Support(
        "stand",
        vec(1.2, -0.8, 0),
        vec(1.2, -0.8, 2.0),
        0.5,
        5.0,
        vec(0.7, -0.8, 1.8),
        3.0,
        "boom",
        1.5,
        0.6,
        0.4,
    )
    return samples.lamp(support=support)


def test_names_are_unique_and_fit_for_an_anchor() -> None:
    """A check's name is a page anchor: lower-case words joined by hyphens, no two alike."""
    names = [one.name for one in CHECKS]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", name) for name in names)


def test_every_finding_names_its_check() -> None:
    """What a check returns carries that check's name."""
    staging = samples.staging(_everything(), samples.panel())
    for one in CHECKS:
        assert {finding.check for finding in one.run(staging, samples.readings())} <= {one.name}


def test_sentences_are_whole_and_limits_come_with_units() -> None:
    """Every text ends in a full stop; every margin and limit has a unit; only a pass has no remedy."""
    found = check(samples.staging(_everything(), samples.panel()), samples.readings())
    assert len(found) > 10
    for finding in found:
        assert finding.text.endswith(".")
        assert finding.text[0].isupper() or finding.text[0] in "'"
        assert (finding.remedy == "") == (finding.verdict == "pass")
        assert (finding.margin is None) or finding.unit
        assert re.search(r"\d", finding.text) or finding.check in ("flash", "pattern")


def test_the_same_staging_gives_the_same_findings() -> None:
    """No clock, no chance."""
    staging = samples.staging(_everything(), samples.panel())
    assert check(staging, samples.readings()) == check(staging, samples.readings())


def test_explanations_are_paragraphs() -> None:
    """Each check explains itself in several sentences, for its page."""
    for one in CHECKS:
        assert one.explains.count(".") >= 2
        assert "  " not in one.explains
