"""What a calibration found, for people and for programs."""

from collections.abc import Iterator
from typing import Any

from thirdstop.book.studio import Studio
from thirdstop.calibrating.calibrate import DOES_NOT_FIT, SAYS_NOTHING, Calibration, Found, Row
from thirdstop.calibrating.values import LEVELS, value_text
from thirdstop.exposure.stops import meter_mark

FORMAT = "thirdstop calibrate 1"
FAR_FROM_ASSUMED = 2.6
"""Prior standard deviations: one quantity in a hundred lies farther from its assumed value."""


def told(calibration: Calibration, studio: Studio) -> str:
    """The whole report as lines of text."""
    return "\n".join(_lines(calibration, studio))


def _lines(calibration: Calibration, studio: Studio) -> Iterator[str]:
    metering, used = calibration.metering, len(calibration.used)
    count = len(calibration.rows)
    yield f"{metering.title}, {metering.date.isoformat()}: {_count(count, 'reading')}, {used} used."
    known = [found for found in calibration.found if found.bears and found.told >= SAYS_NOTHING]
    if known:
        yield ""
        yield from _table([_row(found, calibration, studio) for found in known])
    yield from _plain(calibration)
    if findings := findings_of(calibration, studio):
        yield ""
        yield from findings
    if used:
        before, after = (calibration.error_stops(when) for when in ("before", "after"))
        yield ""
        yield f"Readings less prediction, rms: {before:.2f} stop as assumed, {after:.2f} as found."


def _plain(calibration: Calibration) -> Iterator[str]:
    offset, ambient = calibration.camera_offset, calibration.ambient_lux
    if offset is not None:
        yield (
            f"Camera against meter: {offset.value:+.2f} stops ± {offset.spread_stops:.2f}, "
            f"from {_count(offset.count, 'grey frame')}."
        )
    if ambient is not None:
        yield f"The room's own light: {ambient.value:.0f} lux, from {_count(ambient.count, 'reading')}."


def _row(found: Found, calibration: Calibration, studio: Studio) -> tuple[str, ...]:
    was = _assumed(found)
    value = value_text(found, calibration, studio)
    if found.quantity.kind == "output":
        value = f"{found.x:+.2f} stops, guide number {value}"
    elif found.quantity.kind in ("flat receptor", "dome"):
        value = f"{found.x:+.2f} stops, constant {value}"
    elif found.quantity.kind == "click":
        value = f"{found.value:.3f} stop"
    return (
        title_of(found),
        value,
        f"± {found.spread_stops:.2f} stop",
        f"was {was} ± {found.was_spread_stops:.2f}",
    )


def _assumed(found: Found) -> str:
    kind = found.quantity.kind
    if kind in ("output", "flat receptor", "dome", "grid loss"):
        return "0"
    return f"{found.quantity.assumed:.3g}"


def title_of(found: Found) -> str:
    """A quantity in words."""
    quantity = found.quantity
    if quantity.kind == "output":
        return f"output of {quantity.name}"
    if quantity.kind == "reflectance":
        return f"reflectance of {quantity.name}"
    if quantity.kind == "sitter":
        return "reflectance of skin and clothes"
    return quantity.name


def _table(rows: list[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    for row in rows:
        yield "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip()


def findings_of(calibration: Calibration, studio: Studio) -> list[str]:
    """What a person should know before trusting it, each a line."""
    doubted = [row for row in calibration.rows if not row.used or abs(row.normalised) >= DOES_NOT_FIT]
    alone = len(calibration.rows) == 1
    found = [misfit_line(row, studio, alone) for row in doubted]
    if calibration.contradict:
        found.append(_contradiction(calibration))
    for first, second, alike in calibration.one_thing:
        how = "their sum is known, not their parts" if alike > 0 else "only their difference is known"
        found.append(f"Can't be told apart by these readings: {first} and {second}; {how}.")
    kinds = {one.quantity.kind for one in calibration.found if one.bears}
    together = _together(calibration)
    if "output" in kinds and kinds & {"flat receptor", "dome"}:
        found.append("The meter's own error and the lamps' output are one: the readings know their sum only.")
    silent = [title_of(one) for one in calibration.found if one.told < SAYS_NOTHING and one not in together]
    if silent:
        found.append(f"The readings say nothing of: {', '.join(silent)}.")
    for one in calibration.found:
        far = abs(one.x) / one.quantity.sd
        if far > FAR_FROM_ASSUMED:
            found.append(
                f"{title_of(one)} lies farther from what was assumed than its band allowed "
                f"({far:.1f} standard deviations): read it once more."
            )
    return found


def _together(calibration: Calibration) -> list[Found]:
    """Outputs and the meter's receptors where any of them is told: what is known of their sum is of all."""
    levels = [one for one in calibration.found if one.bears and one.quantity.kind in LEVELS]
    return levels if any(one.told >= SAYS_NOTHING for one in levels) else []


def _contradiction(calibration: Calibration) -> str:
    """By how much the bands were widened, and where to look."""
    wide = f"{calibration.scatter:.1f} times as wide for that."
    if len(calibration.rows) == 1:
        return (
            "The reading contradicts the studio file by more than both allow: look at the lamp's energy or "
            f"guide number and at its click. The reading's own error is taken {wide}"
        )
    return (
        "The readings contradict each other by more than their own errors allow: look for a lamp or card "
        f"that was moved between them, or a set-up that isn't as written. Their own errors are taken {wide}"
    )


def misfit_line(row: Row, studio: Studio, alone: bool = False) -> str:
    """A reading that does not fit, with the value that would; `alone`: there is no other one."""
    step = studio.meter.step.value
    click = f", or click {row.fitting_click}" if row.fitting_click is not None else ""
    fate = "It counts all the same: there are too few readings to leave it out."
    if alone:
        fate = "There is no other one to hold it against."
    elif not row.used:
        fate = "It was left out."
    whom, expects = ("the studio file", "that file makes") if alone else ("the others", "the others make")
    return (
        f"'{row.taken.name}' does not fit {whom} ({abs(row.normalised):.1f} standard deviations): "
        f"it shows {meter_mark(row.taken.f_number, step)}, {expects} one expect "
        f"{meter_mark(row.would_fit, step)}{click}. {fate}"
    )


def _count(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def calibration_json(calibration: Calibration, studio: Studio) -> dict[str, Any]:
    """For programs: docs/json.md."""
    return {
        "format": FORMAT,
        "title": calibration.metering.title,
        "date": calibration.metering.date.isoformat(),
        "found": [
            {
                "of": one.quantity.name,
                "kind": one.quantity.kind,
                "value": value_text(one, calibration, studio),
                "assumed": one.quantity.assumed,
                "change": round(one.x, 4),
                "spread_stops": round(one.spread_stops, 4),
                "was_spread_stops": round(one.was_spread_stops, 4),
                "told": round(one.told, 3),
                "bears": one.bears,
            }
            for one in calibration.found
        ],
        "readings": [
            {
                "name": row.taken.name,
                "before_stops": round(row.before_stops, 3),
                "after_stops": round(row.after_stops, 3),
                "normalised": round(row.normalised, 2),
                "would_fit": meter_mark(row.would_fit, studio.meter.step.value),
                "used": row.used,
            }
            for row in calibration.rows
        ],
        "one_thing": [{"first": a, "second": b, "alike": round(c, 3)} for a, b, c in calibration.one_thing],
        "findings": findings_of(calibration, studio),
        "error_before_stops": round(calibration.error_stops("before"), 4),
        "error_after_stops": round(calibration.error_stops("after"), 4),
    }
