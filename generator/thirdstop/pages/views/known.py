"""How well the studio is known, on a recipe's page: calibrated or assumed, and what was shot."""

from dataclasses import dataclass

from thirdstop.calibrating.history import History, ReadThen
from thirdstop.calibrating.planning import Worth
from thirdstop.exposure.stops import meter_mark, snap
from thirdstop.pages import drawn
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.learnt import Learnt
from thirdstop.staging.learned import Learned

RULE_WORDS = (
    "The rule: a key reading off by more than three deviations of its band, two of three by two, four of "
    "five by one, or eight in a row, on one side (Western Electric, Statistical Quality Control Handbook, "
    "1956)."
)
SMALL_STOPS = 0.005
"""A drift by less a month is none."""


@dataclass(frozen=True)
class ShotRow:
    """One reading of one shoot, as a row; day, who and what was changed stand in a shoot's first row."""

    day: str
    by: str
    changed: str
    point: str
    planned: str
    expected: str
    read: str
    off: str


@dataclass(frozen=True)
class Known:
    """What the page says."""

    rests_on: str
    worth: str
    rows: tuple[ShotRow, ...]
    chart: Drawn | None
    """The control chart."""
    verdict: str
    notes: tuple[str, ...]


def known(evaluated: Evaluated, learnt: Learnt, step_stops: float) -> Known:
    """The view of one recipe."""
    shot = learnt.shot.get(evaluated.slug)
    return Known(
        rests_on=rests_on(evaluated.staging.learned),
        worth=worth_words(learnt.worths.get(evaluated.slug)),
        rows=_rows(shot, step_stops) if shot else (),
        chart=_chart(evaluated.slug, shot) if shot else None,
        verdict=verdict(shot) if shot else "",
        notes=tuple(f"{s.day.isoformat()}: {s.notes}" for s in shot.shots if s.notes) if shot else (),
    )


def rests_on(learned: Learned | None) -> str:
    """On what the numbers of a recipe rest."""
    if learned is None:
        return "The studio is assumed: no readings were taken to learn it."
    return (
        f"The studio is calibrated on {learned.measured}, from {learned.readings} readings, "
        f"which told: {', '.join(one.name for one in learned.things)}."
    )


def worth_words(worth: Worth | None) -> str:
    """What one more reading would be worth; nothing where nothing was planned."""
    if worth is None:
        return ""
    told = [
        f"from ±{now:.2f} to ±{after:.2f} stop for the {what}"
        for what, (now, after) in (("key reading", worth.key_stops), ("ratio", worth.ratio_stops))
        if f"{after:.2f}" != f"{now:.2f}"
    ]
    if not told:
        return "No single reading would narrow this recipe’s bands by a hundredth of a stop."
    return (
        f"The one reading that would narrow this recipe most: {worth.reading} ({worth.setup}). What is the "
        f"studio’s own in the bands would go {', '.join(told)}."
    )


def _rows(shot: History, step_stops: float) -> tuple[ShotRow, ...]:
    found = []
    for one in reversed(shot.shots):
        head = (one.day.isoformat(), one.by, "; ".join(one.changed) or "as the recipe says")
        for reading in one.readings:
            found.append(ShotRow(*head, *_reading(reading, step_stops)))
            head = ("", "", "")
        if not one.readings:
            found.append(ShotRow(*head, "nothing was read", "", "", "", ""))
    return tuple(found)


def _chart(slug: str, shot: History) -> Drawn | None:
    values = [(one.day, one.charted) for one in shot.shots if one.charted is not None]
    return drawn.as_shot(slug, values) if values else None


def _reading(reading: ReadThen, step_stops: float) -> tuple[str, str, str, str, str]:
    marks = (reading.planned_f_number, reading.expected_f_number, reading.read_f_number)
    shown = [meter_mark(f_number, step_stops) for f_number in marks]
    tenths = snap(reading.off_stops, 0.1)
    off = f"{tenths / 10:+.1f} stop".replace("-", "−") if tenths else "0"
    return reading.point, shown[0], shown[1], shown[2], off


def verdict(shot: History) -> str:
    """Whether the readings are still explained, and how they drift."""
    since = f" since the calibration of {shot.since.isoformat()}" if shot.since else ""
    if shot.left is not None:
        day, rule = shot.left
        said = f"From {day.isoformat()} the readings are no longer explained: {rule}. Calibrate again."
    else:
        said = f"Every shoot{since} is explained within the bands."
    said += f" {RULE_WORDS}"
    drift = shot.drift_stops_month
    if drift is not None and abs(drift) >= SMALL_STOPS:
        said += f" The key reading drifts by {drift:+.2f} stop a month against what is expected.".replace(
            "-", "−"
        )
    return said
