"""Which drawings a page shows, as finished SVG."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from thirdstop.drawings.charts import FillCurve, budget_chart, fill_chart
from thirdstop.drawings.control import control_chart
from thirdstop.drawings.detail import detail
from thirdstop.drawings.elevation import elevation
from thirdstop.drawings.palette import Palette
from thirdstop.drawings.plan import plan, thumbnail
from thirdstop.drawings.sheet import Drawing, Spot
from thirdstop.drawings.svg import num, path_data
from thirdstop.pages.rendering import markup
from thirdstop.staging.staging import Staging

CARD_DETAIL_MM = (72.0, 56.0)
"""Most ground of the detail on a set-up card, on its sheet."""


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


def _pointed(name: str, drawing: Drawing) -> Drawn:
    """With the ground of every numbered thing laid over it, for pages that point at things."""
    parts = "".join(_part(spot) for spot in drawing.spots)
    svg = drawing.svg.removesuffix("</svg>") + f'<g class="spots">{parts}</g></svg>'
    return Drawn(name, markup(svg), drawing.width_mm, drawing.height_mm)


def _part(spot: Spot) -> str:
    shapes = f'<path d="{path_data(spot.outline, closed=True)}"/>' if len(spot.outline) > 1 else ""
    if spot.circle is not None:
        x, y, radius = spot.circle
        shapes += f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius + 0.5)}"/>'
    attributes = 'fill="none" pointer-events="all"'
    return f'<g class="spot" data-part="{spot.number}" {attributes}>{shapes}</g>' if shapes else ""


def for_recipe(staging: Staging, look: Palette | None = None) -> tuple[Drawn, ...]:
    """Plan, detail and elevation."""
    return (
        _pointed("plan", plan(staging, palette=look)),
        _pointed("detail", detail(staging, palette=look)),
        _pointed("elevation", elevation(staging, palette=look)),
    )


def to_hold(staging: Staging) -> Drawn:
    """The plan without rulers, for a phone that says the figures beside it."""
    return _pointed("held", plan(staging, 100, detail_mm=None, rulers=False))


def for_card(staging: Staging, look: Palette | None = None) -> dict[str, Drawn]:
    """A plan with the detail's frame and the detail; a plan with dimensions; a plan with neither."""
    framed = plan(staging, 100, look, CARD_DETAIL_MM, rulers=False)
    ids = ("-bare-plan-100", "-framed-plan-100")
    return {
        "framed": _drawn("framed", framed, ids),
        "detail": _drawn("detail", detail(staging, CARD_DETAIL_MM, palette=look)),
        "ruled": _drawn("ruled", plan(staging, 100, detail_mm=None, palette=look)),
        "bare": _drawn("bare", plan(staging, 100, detail_mm=None, rulers=False, palette=look)),
    }


def small(staging: Staging, look: Palette | None = None) -> Drawn:
    """The plan without words, for the index."""
    return _drawn("thumbnail", thumbnail(staging, look))


def sides(slug: str, rows: Sequence[tuple[str, Mapping[str, float]]]) -> Drawn:
    """Where the light at each point came from: (point, share by source)."""
    return _drawn("sides", budget_chart(rows, f"{slug}-sides", "What lights each side", 150.0))


def as_shot(slug: str, values: Sequence[tuple[date, float]]) -> Drawn:
    """What was read less what was expected, shoot by shoot, in standard deviations."""
    return _drawn("as-shot", control_chart(values, f"{slug}-as-shot", "Read less expected, shoot by shoot"))


def card_moves(slug: str, curve: FillCurve) -> Drawn:
    """The ratio over a card's distance."""
    return _drawn("moves", fill_chart(curve, f"{slug}-moves", "If the card moves"))
