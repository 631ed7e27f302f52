"""How well a studio is known, made up by hand: plans, one history that is broken, what readings are worth."""

from dataclasses import replace
from datetime import date

from thirdstop.calibrating.history import History, ReadThen, Shot
from thirdstop.calibrating.plan_told import PlanSetup, PlanWords
from thirdstop.calibrating.planning import Worth
from thirdstop.pages.learnt import Learnt

SLUG = "01-borrowed-window"
GAIN = (
    "Mean over the recipes, what is the studio's own in the 90 % bands: key reading from ±0.21 to ±0.14 stop."
)
PLAN = PlanWords(
    title="10 minutes: 3 readings in 2 set-ups",
    mark="M: 1.5 m from the left wall, 1.5 m from the back wall. Nose height 1.2 m.",
    setups=(
        PlanSetup(
            "round box 90 on battery 400",
            ("round box 90 on battery 400, click 17: string 1.2 m, height 1.6 m",),
            ("dome at the nose mark, toward the camera", "flat at the nose mark, toward the lamp"),
        ),
        PlanSetup(
            "mid-grey paper", ("mid-grey paper: 1.2 m behind M",), ("flat over M, toward the back wall",)
        ),
    ),
    gain=GAIN,
)


def _shot(day: date, off: float, changed: tuple[str, ...] = ()) -> Shot:
    read_f_number = 8.0 * 2 ** (off / 2)
    readings = (ReadThen("chin dome", 8.0, 8.0, read_f_number, off, off / 0.1),)
    return Shot(
        f"shoot-{day.isoformat()}", day, "JT", changed, readings, "Meter's battery was new." if off else ""
    )


HISTORY = History(
    shots=(
        _shot(date(2026, 8, 14), 0.0),
        _shot(date(2026, 10, 2), 0.1, ("eyes at 1.27 m", "card: string 70 cm")),
        _shot(date(2026, 11, 20), 0.4),
    ),
    since=date(2026, 8, 1),
    left=(date(2026, 11, 20), "one reading beyond three deviations"),
    drift_stops_month=0.12,
)
LEARNT = Learnt(
    plans=(PLAN, replace(PLAN, title="30 minutes: 3 readings in 2 set-ups")),
    worths={SLUG: Worth("mid-grey paper", "toward the sheet", (0.15, 0.12), (0.2, 0.18))},
    shot={SLUG: HISTORY},
)
