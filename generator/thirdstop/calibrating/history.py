"""What was shot from a recipe: planned, set and read beside each other, and when it stopped agreeing.

Each shoot's readings are held against what the studio file as it now stands predicts of that day's own
set-up. The difference over its expected deviation goes onto a control chart for single values with the rules
of the Western Electric Statistical Quality Control Handbook (1956; from memory): a value beyond three
deviations; two of three in a row beyond two, on one side; four of five beyond one; eight on one side.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from thirdstop.book.book import Book, LoadedRecipe, LoadedShoot
from thirdstop.book.log import Shoot, as_shot
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import ANSWER, Quality
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.spreads import NINE_IN_TEN
from thirdstop.exposure.stops import aperture_value
from thirdstop.exposure.transport import solve
from thirdstop.staging.resolve import stage

RULES: tuple[tuple[int, int, float, str], ...] = (
    (1, 1, 3.0, "one reading beyond three deviations"),
    (2, 3, 2.0, "two of three beyond two deviations, on one side"),
    (4, 5, 1.0, "four of five beyond one deviation, on one side"),
    (8, 8, 0.0, "eight in a row on one side"),
)
"""So many, of so many in a row, beyond so many standard deviations on one side; in words."""
MONTH_DAYS = 30.4
FEWEST_FOR_DRIFT = 3


@dataclass(frozen=True)
class ReadThen:
    """One reading of a shoot."""

    point: str
    planned_f_number: float
    """As the recipe has it."""
    expected_f_number: float
    """As the set-up of that day would give."""
    read_f_number: float
    off_stops: float
    """Read less expected."""
    normalised: float
    """The same in standard deviations, by the recipe's own band of that reading."""


@dataclass(frozen=True)
class Shot:
    """One shoot."""

    slug: str
    day: date
    by: str
    changed: tuple[str, ...]
    """What was set otherwise, in words."""
    readings: tuple[ReadThen, ...]
    notes: str

    @property
    def charted(self) -> float | None:
        """What goes onto the chart, normalised: the key reading, or the first other where there is none."""
        return self.readings[0].normalised if self.readings else None


@dataclass(frozen=True)
class History:
    """Every shoot of one recipe, the oldest first."""

    shots: tuple[Shot, ...]
    since: date | None
    """The day of the calibration; None where nothing is calibrated."""
    left: tuple[date, str] | None
    """The day on which the readings stopped being explained, and by which rule."""
    drift_stops_month: float | None
    """Slope of read less expected over the months; None for too few shoots."""


def history(book: Book, loaded: LoadedRecipe, planned: Readings, quality: Quality = ANSWER) -> History | None:
    """The recipe's shoots against the studio as it is known now; None where there are none.

    `planned` are the recipe's readings with their bands.
    """
    shots = [
        shot
        for one in book.log
        if one.shoot.recipe == loaded.slug and (shot := _shot(book, loaded, one, planned, quality))
    ]
    if not shots:
        return None
    calibration = book.studio.calibration
    since = calibration.measured if calibration is not None else None
    counted = [shot for shot in shots if since is None or shot.day >= since]
    charted = [(shot.day, shot.charted) for shot in counted if shot.charted is not None]
    return History(tuple(shots), since, first_signal(charted), _drift(shots))


def first_signal(charted: Sequence[tuple[date, float]]) -> tuple[date, str] | None:
    """The first day on which a rule of the chart is broken, and the rule; None where none is."""
    for end in range(1, len(charted) + 1):
        values = [value for _, value in charted[:end]]
        for count, of, beyond, words in RULES:
            last = values[-of:]
            for side in (1.0, -1.0):
                if len(last) >= count and sum(side * value > beyond for value in last) >= count:
                    return charted[end - 1][0], words
    return None


def _shot(
    book: Book, loaded: LoadedRecipe, one: LoadedShoot, planned: Readings, quality: Quality
) -> Shot | None:
    staging, _ = stage(as_shot(loaded.recipe, one.shoot), book.studio, loaded.marks, loaded.slug)
    if staging is None:
        return None
    lit = charge(staging)
    expected = read(lit, solve(lit.scene, quality))
    rows = [_row(line.at, line.reads.exact, line.iso.value if line.iso else lit.meter.iso, lit.meter.iso,
                 planned, expected) for line in one.shoot.read]  # fmt: skip
    key = planned.key_point
    return Shot(
        slug=one.slug,
        day=one.shoot.date,
        by=one.shoot.by or "",
        changed=changed(one),
        readings=tuple(sorted(rows, key=lambda row: row.point != key)),
        notes=one.shoot.notes or "",
    )


def _row(
    point: str, f_number: float, iso: float, own_iso: float, planned: Readings, expected: Readings
) -> ReadThen:
    at_own = f_number * (own_iso / iso) ** 0.5
    off = aperture_value(at_own) - aperture_value(expected[point].f_number)
    sd = planned[point].band_stops / NINE_IN_TEN
    return ReadThen(point, planned[point].f_number, expected[point].f_number, at_own, off, off / sd)


def changed(one: LoadedShoot) -> tuple[str, ...]:
    """What a shoot set otherwise than its recipe, a phrase for each thing: 'card: string 70 cm'."""
    return tuple(_changed(one.shoot))


def _changed(shoot: Shoot) -> Iterator[str]:
    if shoot.eye_height is not None:
        yield f"eyes at {shoot.eye_height}"
    for thing in shoot.set:
        keys = ("power", "string", "bearing", "height", "surface")
        words = [f"{key} {getattr(thing, key)}" for key in keys if getattr(thing, key) is not None]
        yield f"{thing.name}: {', '.join(words).replace('power click', 'click')}"


def _drift(shots: Sequence[Shot]) -> float | None:
    points = [(s.day.toordinal() / MONTH_DAYS, s.readings[0].off_stops) for s in shots if s.readings]
    months = np.array([month for month, _ in points])
    if len(points) < FEWEST_FOR_DRIFT or float(np.ptp(months)) < 1.0:
        return None
    return float(np.polyfit(months - months.mean(), [off for _, off in points], 1)[0])
