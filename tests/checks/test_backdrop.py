"""Backdrop light and tone: tone = light + log2(reflectance / 0.18)."""

import pytest

from checks import samples
from thirdstop.checks import backdrop
from thirdstop.checks.findings import Finding
from thirdstop.staging.staging import TargetPlace


def _findings(
    light: float, reflectance: float = 0.18, want_light: float | None = None, want_tone: float | None = None
) -> list[Finding]:
    target = TargetPlace(4.0, "lit to shadow", 1 / 3, None, want_light, want_tone)
    staging = samples.staging(sheets=[samples.sheet(reflectance=reflectance)], target=target)
    return backdrop.run(staging, samples.readings(samples.reading("backdrop behind head", light)))


@pytest.mark.parametrize(
    ("light", "verdict"), [(-1.5, "pass"), (-1.18, "pass"), (-1.16, "look"), (-1.84, "look")]
)
def test_light_within_a_third(light: float, verdict: str) -> None:
    """−1.5 within 1/3 stop is met from −1.83 to −1.17."""
    (found,) = _findings(light, want_light=-1.5)
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("reflectance", "expected"), [(0.18, 0.0), (0.90, 2.3219281), (0.36, 1.0), (0.045, -2.0)]
)
def test_tone_of_a_sheet_at_the_key_reading(reflectance: float, expected: float) -> None:
    """The white reverse (0.90) of an 18 % card is log2 5 = 2.32 stops over it (FADGI glossary)."""
    assert backdrop.tone_stops(0.0, reflectance) == pytest.approx(expected, abs=1e-6)


def test_tone_is_checked_by_reflectance() -> None:
    """White paper (0.72) at −1.6 stops shows at +0.4; dark paper (0.09) at −2.6."""
    (white,) = _findings(-1.6, 0.72, want_tone=0.4)
    (dark,) = _findings(-1.6, 0.09, want_tone=0.4)
    assert (white.verdict, dark.verdict) == ("pass", "look")
    assert "−2.6 stops" in dark.text
    assert dark.remedy.startswith("Brighten")


def test_both_targets_are_two_findings() -> None:
    """Light and tone may be wanted at once."""
    assert [one.about for one in _findings(-1.0, want_light=-1.0, want_tone=-1.0)] == [
        "backdrop light",
        "backdrop tone",
    ]


def test_no_target_passes_with_both_numbers() -> None:
    """Without a target the numbers are told."""
    (found,) = _findings(-2.0, 0.36)
    assert found.verdict == "pass"
    assert "−2.0 stops" in found.text
    assert "−1.0 stop " in found.text
