"""Which drawings a page shows, as finished SVG."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from thirdstop.drawings.charts import FillCurve, budget_chart, fill_chart
from thirdstop.drawings.detail import detail
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.plan import plan, thumbnail
from thirdstop.drawings.sheet import Drawing
from thirdstop.pages.rendering import markup
from thirdstop.staging.staging import Staging

SMALL_DETAIL_MM = (78.0, 52.0)
"""Ground of the detail on a card of A5, on its sheet."""
CARD_DETAIL_MM = (88.0, 85.0)
"""The same on A4 and Letter."""


@dataclass(frozen=True)
class Drawn:
    """A drawing on a page."""

    name: str
    svg: Markup
    width_mm: float
    height_mm: float


def _drawn(name: str, drawing: Drawing, ids: tuple[str, str] = ("", "")) -> Drawn:
    """With its ids renamed, where the same drawing stands on a page twice."""
    svg = drawing.svg.replace(*ids) if ids[0] else drawing.svg
    return Drawn(name, markup(svg), drawing.width_mm, drawing.height_mm)


def for_recipe(staging: Staging) -> tuple[Drawn, ...]:
    """Plan, detail and elevation."""
    return (
        _drawn("plan", plan(staging)),
        _drawn("detail", detail(staging)),
        _drawn("elevation", elevation(staging)),
    )


def for_card(staging: Staging) -> dict[str, Drawn]:
    """Plan, detail and elevation; smaller ones, and a plan without dimensions, for less room."""
    return {
        "bare-plan": _drawn("bare-plan", plan(staging, 100, detail_mm=None, rulers=False)),
        "plan": _drawn("plan", plan(staging, 50, detail_mm=CARD_DETAIL_MM)),
        "detail": _drawn("detail", detail(staging, CARD_DETAIL_MM)),
        "elevation": _drawn("elevation", elevation(staging)),
        "small-plan": _drawn("small-plan", plan(staging, 100, detail_mm=SMALL_DETAIL_MM)),
        "small-detail": _drawn(
            "small-detail", detail(staging, SMALL_DETAIL_MM), ("-detail-20", "-small-detail-20")
        ),
    }


def small(staging: Staging) -> Drawn:
    """The plan without words, for the index."""
    return _drawn("thumbnail", thumbnail(staging))


def sides(slug: str, rows: Sequence[tuple[str, Mapping[str, float]]]) -> Drawn:
    """Where the light at each point came from: (point, share by source)."""
    return _drawn("sides", budget_chart(rows, f"{slug}-sides", "What lights each side", 150.0))


def card_moves(slug: str, curve: FillCurve) -> Drawn:
    """The ratio over a card's distance."""
    return _drawn("moves", fill_chart(curve, f"{slug}-moves", "If the card moves"))
