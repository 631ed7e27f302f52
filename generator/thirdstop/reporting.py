"""What the commands print: tables for people, documented JSON for programs (docs/json.md)."""

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Protocol

from thirdstop.book.feet import in_feet
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import CHECKS
from thirdstop.checks.severity import by_severity
from thirdstop.constants import Units
from thirdstop.errors import Fault
from thirdstop.exposure.readings import LampReading, RatioReading, Reading
from thirdstop.exposure.stops import meter_mark, ratio_text, third_mark
from thirdstop.pages.evaluated import Evaluated

READINGS_FORMAT = "thirdstop readings 1"
PROOF_FORMAT = "thirdstop proof 1"

_TITLES = {check.name: check.title for check in CHECKS}

_SMALLEST_SHARE = 0.03
"""Shares of a budget below this are not printed in the table."""


class Judged(Protocol):
    """A recipe with what its checks came to."""

    @property
    def title(self) -> str:
        """What the house calls it."""

    @property
    def meant_to_halt(self) -> bool:
        """Whether it is shown because it must not be built."""

    @property
    def counts(self) -> Mapping[str, int]:
        """How many findings there are of each kind: pass, look, halt."""


class Checked(Judged, Protocol):
    """The same with the findings themselves."""

    @property
    def slug(self) -> str:
        """Its name in links."""

    @property
    def file(self) -> str:
        """Relative to the book."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the checks say."""


def readings_json(evaluated: Evaluated) -> dict[str, Any]:
    """All readings of one recipe as JSON-ready data."""
    readings, staging = evaluated.readings, evaluated.staging
    return {
        "format": READINGS_FORMAT,
        "recipe": evaluated.slug,
        "title": evaluated.title,
        "iso": staging.meter.iso,
        "shutter_s": round(staging.meter.shutter_s, 6),
        "aperture": round(staging.meter.aperture, 4),
        "key_point": readings.key_point,
        "lamps": [_lamp_json(lamp) for lamp in readings.lamps],
        "readings": [_reading_json(reading) for reading in readings.readings.values()],
        "ratio": _ratio_json(readings.ratio),
        "key_causes": _causes_json(readings.key_causes),
        "ambient_stops_under": _rounded(readings.ambient_stops_under),
    }


def _rounded(value: float | None, digits: int = 4) -> float | None:
    return None if value is None else round(value, digits)


def _lamp_json(lamp: LampReading) -> dict[str, Any]:
    return {
        "lamp": lamp.emitter,
        "click": lamp.click,
        "clicks": lamp.clicks,
        "shown": lamp.shown,
        "predicted": lamp.predicted,
    }


def _reading_json(reading: Reading) -> dict[str, Any]:
    return {
        "point": reading.point,
        "receptor": reading.receptor,
        "lux_seconds": round(reading.lux_seconds, 3),
        "f_number": round(reading.f_number, 4),
        "stops_from_key": round(reading.stops_from_key, 4),
        "band_stops": round(reading.band_stops, 4),
        "budget": {name: round(share, 5) for name, share in reading.budget.items()},
    }


def _ratio_json(ratio: RatioReading) -> dict[str, Any]:
    return {
        "convention": ratio.convention,
        "ratio": round(ratio.ratio, 4),
        "stops": round(ratio.stops, 4),
        "lit_point": ratio.lit_point,
        "shadow_point": ratio.shadow_point,
        "band_stops": round(ratio.band_stops, 4),
        "causes": _causes_json(ratio.causes),
    }


def _causes_json(causes: tuple[tuple[str, float], ...]) -> list[dict[str, Any]]:
    return [{"cause": cause, "stops": round(amount, 4)} for cause, amount in causes]


def readings_table(evaluated: Evaluated) -> str:
    """The readings of one recipe as text, widest column first."""
    readings, staging = evaluated.readings, evaluated.staging
    step = staging.meter.step_stops
    lines = [evaluated.title, ""]
    lines += [_lamp_line(lamp) for lamp in readings.lamps]
    lines.append(_ratio_line(readings.ratio, staging.target.ratio))
    lines += [
        "",
        f"{'point':24} {'receptor':8} {'reads':>13} {'camera':>7} {'from key':>9} {'band':>6}  from",
    ]
    for reading in readings.readings.values():
        lines.append(
            f"{reading.point:24} {reading.receptor:8} {meter_mark(reading.f_number, step):>13} "
            f"{third_mark(reading.f_number):>7} "
            f"{reading.stops_from_key:+9.1f} {'±' + format(reading.band_stops, '.1f'):>6}  {_budget(reading)}"
        )
    lines.append("")
    lines.append(f"At ISO {staging.meter.iso:g}. Bands hold nine cases in ten.")
    lines.append(_causes_line("the key reading's band", readings.key_causes))
    lines.append(_causes_line("the ratio's band", readings.ratio.causes))
    return "\n".join(lines)


def _causes_line(band: str, causes: tuple[tuple[str, float], ...]) -> str:
    return f"Widest in {band}: " + "; ".join(f"{cause}: ±{amount:.2f} stop" for cause, amount in causes)


def _lamp_line(lamp: LampReading) -> str:
    shown = f", the trigger shows {lamp.shown}" if lamp.shown else ", out of range"
    how = "to start" if lamp.predicted else "as the recipe says"
    return f"{lamp.emitter}: click {lamp.click} of {lamp.clicks}{shown}, {how}"


def _ratio_line(ratio: RatioReading, target: float | None) -> str:
    wanted = f"; wanted {ratio_text(target)}" if target is not None else ""
    return (
        f"ratio: {ratio_text(ratio.ratio)} {ratio.convention}, {ratio.stops:.1f} stops apart, "
        f"{ratio_text(ratio.low)} to {ratio_text(ratio.high)}{wanted}; "
        f"{ratio.lit_point} against {ratio.shadow_point}"
    )


def _budget(reading: Reading) -> str:
    shares = sorted(reading.budget.items(), key=lambda item: -item[1])
    return ", ".join(f"{name} {share * 100:.0f} %" for name, share in shares if share >= _SMALLEST_SHARE)


def findings_text(done: Sequence[Checked], width: int = 100, units: Units = "metric") -> str:
    """Every halt and look as a person reads them, lines of `width` characters, lengths in these units.

    The recipe with the worst findings comes first, and in each recipe its worst finding; recipes of which
    every check passes are named in one line at the end.
    """
    blocks = [_recipe_block(one, width, units) for one in sorted(done, key=_gravity) if _to_tell(one)]
    fine = [one.title for one in done if not _to_tell(one)]
    if fine:
        blocks.append(textwrap.fill(f"Every check passes: {', '.join(fine)}.", width))
    return "\n\n".join(blocks)


def _to_tell(evaluated: Checked) -> list[Finding]:
    """Halts and looks, most severe first; what only isn't stated comes last."""
    return [finding for finding in by_severity(evaluated.findings) if finding.verdict != "pass"]


def _gravity(evaluated: Checked) -> tuple[int, int]:
    """Sorts the worst recipe first: by halts, then by looks."""
    told = _to_tell(evaluated)
    halts = sum(finding.verdict == "halt" for finding in told)
    return -halts, halts - len(told)


def _recipe_block(evaluated: Checked, width: int, units: Units) -> str:
    meant = ", meant to halt: a lesson" if evaluated.meant_to_halt else ""
    lines = [f"{evaluated.title} ({evaluated.file}){meant}"]
    for finding in _to_tell(evaluated):
        verdict = finding.verdict.upper() if finding.verdict == "halt" else finding.verdict
        lines.append(f"  {verdict}  {_TITLES[finding.check]}: {finding.about}")
        said = (finding.text, f"Do: {finding.remedy}")
        lines += [_indented(in_feet(text) if units == "imperial" else text, width) for text in said]
    return "\n".join(lines)


def _indented(text: str, width: int) -> str:
    margin = " " * 8
    return textwrap.fill(text, width, initial_indent=margin, subsequent_indent=margin, break_on_hyphens=False)


def lessons_that_pass(done: Iterable[Judged]) -> list[str]:
    """Titles of recipes that are meant to halt and don't."""
    return [one.title for one in done if one.meant_to_halt and not one.counts["halt"]]


def halted(done: Iterable[Judged]) -> bool:
    """Whether some recipe halts that isn't meant to."""
    return any(one.counts["halt"] and not one.meant_to_halt for one in done)


def fault_json(fault: Fault) -> dict[str, Any]:
    """One fault as JSON-ready data."""
    return {
        "file": fault.file,
        "line": fault.line,
        "column": fault.column,
        "wrong": fault.wrong,
        "given": fault.given,
        "write": fault.write,
    }


def proof_json(house: str | None, done: Sequence[Checked], faults: list[Fault]) -> dict[str, Any]:
    """What `proof` found, as JSON-ready data."""
    return {
        "format": PROOF_FORMAT,
        "book": house,
        "faults": [fault_json(fault) for fault in faults],
        "recipes": [
            {
                "recipe": evaluated.slug,
                "title": evaluated.title,
                "meant_to_halt": evaluated.meant_to_halt,
                "findings": [_finding_json(finding) for finding in evaluated.findings],
            }
            for evaluated in done
        ],
    }


def _finding_json(finding: Finding) -> dict[str, Any]:
    return {
        "check": finding.check,
        "verdict": finding.verdict,
        "about": finding.about,
        "text": finding.text,
        "remedy": finding.remedy,
        "margin": _rounded(finding.margin),
        "limit": _rounded(finding.limit),
        "unit": finding.unit,
        "safety": finding.safety,
    }


def tally(done: Sequence[Judged]) -> str:
    """Recipes and findings in one line: '17 recipes; findings: 140 pass, 9 look, 0 halt'."""
    sums = {kind: sum(one.counts[kind] for one in done) for kind in ("pass", "look", "halt")}
    words = ", ".join(f"{count} {kind}" for kind, count in sums.items())
    return f"{len(done)} {'recipe' if len(done) == 1 else 'recipes'}; findings: {words}"
