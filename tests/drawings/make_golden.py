"""The drawings that are kept for comparison, one element a line.

    PYTHONPATH=tests python tests/drawings/make_golden.py

writes tests/golden/drawings anew; look at the pictures before committing them.
"""

from pathlib import Path

import numpy as np

from drawings.samples import two_seated, wide_brim
from thirdstop.constants import Units
from thirdstop.drawings.charts import FillCurve, budget_chart, fill_chart
from thirdstop.drawings.detail import detail
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.plan import plan, thumbnail
from thirdstop.drawings.sheet import Drawing

FOLDER = Path(__file__).resolve().parents[1] / "golden" / "drawings"


def kept() -> dict[str, Drawing]:
    """Each drawing by the stem of its file."""
    brim, two = wide_brim(), two_seated()
    return {
        "wide-brim-plan": plan(brim),
        "wide-brim-detail": detail(brim),
        "wide-brim-elevation": elevation(brim),
        "wide-brim-elevation-camera": elevation(brim, "camera"),
        "wide-brim-small": thumbnail(brim),
        "wide-brim-plan-feet": plan(brim, units="imperial"),
        "wide-brim-detail-feet": detail(brim, units="imperial"),
        "wide-brim-elevation-feet": elevation(brim, units="imperial"),
        "two-seated-plan": plan(two),
        "budget": _budget(),
        "fill": _fill(),
        "fill-feet": _fill("imperial"),
    }


def lines_of(drawing: Drawing) -> str:
    """The SVG with a line break after each element."""
    return drawing.svg.replace("><", ">\n<") + "\n"


def _budget() -> Drawing:
    rows = [
        ("lit cheek", {"key": 0.78, "lap card": 0.09, "walls": 0.07, "ceiling": 0.04, "body": 0.02}),
        ("shadow cheek", {"key": 0.05, "lap card": 0.52, "walls": 0.27, "ceiling": 0.08, "floor": 0.08}),
    ]
    return budget_chart(rows, "budget", "What lights each side")


def _fill(units: Units = "metric") -> Drawing:
    distances = np.linspace(0.2, 1.2, 11)
    ratios = 2.5 + 6 * (distances - 0.2) / (distances + 0.3)
    curve = FillCurve(
        distances, ratios, ratios * 0.8, ratios * 1.25, 0.4, float(ratios[2]), "4.2:1",
        ((0.0, 0.3, "in frame"),),
    )  # fmt: skip
    return fill_chart(curve, "fill", "If the card moves", units=units)


def main() -> None:
    """Write every file."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, drawing in kept().items():
        (FOLDER / f"{name}.svg").write_text(lines_of(drawing), encoding="utf-8")


if __name__ == "__main__":
    main()
