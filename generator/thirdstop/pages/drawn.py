"""Which drawings a page shows, as finished SVG."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache, partial

from markupsafe import Markup

from thirdstop.constants import Units
from thirdstop.drawings.charts import FillCurve, budget_chart, can_be_drawn, fill_chart
from thirdstop.drawings.control import control_chart
from thirdstop.drawings.detail import detail_in
from thirdstop.drawings.elevation import elevation_in
from thirdstop.drawings.lengths import SYSTEMS
from thirdstop.drawings.palette import Palette, palette
from thirdstop.drawings.plan import plan_in, thumbnail
from thirdstop.drawings.sheet import Drawing, Spot
from thirdstop.drawings.svg import num, path_data
from thirdstop.pages.rendering import markup
from thirdstop.pages.views.agreement import AGREEMENT
from thirdstop.staging.staging import Staging

_KEPT: ContextVar["dict[str, Drawn] | None"] = ContextVar("drawings", default=None)

CARD_DETAIL_MM = (72.0, 56.0)
"""Most ground of the detail on a set-up card, on its sheet."""


@dataclass(frozen=True)
class Drawn:
    """A drawing on a page."""

    name: str
    svg: Markup
    width_mm: float
    height_mm: float


@contextmanager
def kept(drawings: "dict[str, Drawn]") -> Iterator[None]:
    """While it lasts, a recipe's drawing among these is not drawn again, and what is drawn joins them.

    They must all be of one recipe as it stands: a drawing is found by what it is of, and by nothing else.
    """
    token = _KEPT.set(drawings)
    try:
        yield
    finally:
        _KEPT.reset(token)


def _once(name: str, of: str, draw: "Callable[[], Drawn]") -> "Drawn":
    """What is drawn for `name` of the staging `of`, or what was kept of it."""
    drawings = _KEPT.get()
    if drawings is None:
        return draw()
    key = f"{name} {of}"
    if key not in drawings:
        drawings[key] = draw()
    found = drawings[key]
    # what was kept comes back as plain text
    return replace(found, svg=markup(found.svg))


def _named(name: str, units: Units | None) -> str:
    """What is drawn in one system of units is not what is drawn in both."""
    return name if units is None else f"{name} in {units}"


def _drawn(name: str, drawing: Drawing) -> Drawn:
    return Drawn(name, markup(drawing.svg), drawing.width_mm, drawing.height_mm)


def _in_both(
    name: str,
    draw: Callable[[], Callable[[Units], Drawing]],
    ids: tuple[str, str] = ("", ""),
    pointed: bool = False,
    units: Units | None = None,
) -> Drawn:
    """The drawing in metres and the same in feet and inches, of which the page's switch shows one; in `units`
    alone where they are given.

    With its ids renamed, where it stands on a page twice; `pointed` with the ground of every numbered thing
    laid over it, for pages that point at things.
    """
    draw_in = draw()
    drawings: dict[Units, Drawing] = {
        each: draw_in(each) for each in (SYSTEMS if units is None else (units,))
    }
    svg = "".join(_shown_in(each, _pointed(one) if pointed else one.svg) for each, one in drawings.items())
    first = next(iter(drawings.values()))
    return Drawn(name, markup(svg.replace(*ids) if ids[0] else svg), first.width_mm, first.height_mm)


def _shown_in(units: Units, svg: str) -> str:
    """The drawing with the class by which the switch shows or hides it."""
    return _of_class(f"drawing {units}", svg)


def _of_class(classes: str, svg: str) -> str:
    return svg.replace('class="drawing"', f'class="{classes}"', 1)


def _pointed(drawing: Drawing) -> str:
    parts = "".join(_part(spot) for spot in drawing.spots)
    return drawing.svg.removesuffix("</svg>") + f'<g class="spots">{parts}</g></svg>'


def of_agreement(look: Palette | None = None) -> Drawn:
    """How many of a hundred measuring points differ from the path tracer by how much."""
    rows = [(one.name, one.shares) for one in AGREEMENT]
    title = "Of 100 measuring points, by the difference from the path tracer in stops"
    return _drawn("agreement", budget_chart(rows, "agreement-chart", title, 170.0, look, rest_below=0.0))


def _part(spot: Spot) -> str:
    shapes = f'<path d="{path_data(spot.outline, closed=True)}"/>' if len(spot.outline) > 1 else ""
    if spot.circle is not None:
        x, y, radius = spot.circle
        shapes += f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius + 0.5)}"/>'
    attributes = 'fill="none" pointer-events="all"'
    return f'<g class="spot" data-part="{spot.number}" {attributes}>{shapes}</g>' if shapes else ""


def for_recipe(
    staging: Staging, look: Palette | None = None, units: Units | None = None
) -> tuple[Drawn, ...]:
    """Plan, detail and elevation, in both systems of units or in one."""
    drawings: dict[str, Callable[[], Callable[[Units], Drawing]]] = {
        "plan": lambda: plan_in(staging, palette=look),
        "detail": lambda: detail_in(staging, palette=look),
        "elevation": lambda: elevation_in(staging, palette=look),
    }
    return tuple(
        _once(_named(name, units), staging.slug, partial(_in_both, name, draw, pointed=True, units=units))
        for name, draw in drawings.items()
    )


def to_hold(staging: Staging, units: Units | None = None) -> Drawn:
    """The plan without rulers, for a phone that says the figures beside it."""
    draw = partial(_bare, staging, palette())
    name = _named("held", units)
    return _once(name, staging.slug, lambda: _in_both("held", draw, pointed=True, units=units))


def for_card(staging: Staging, look: Palette | None = None, units: Units = "metric") -> dict[str, Drawn]:
    """A plan with the detail's frame and the detail; a plan with dimensions; a plan with neither.

    Paper has no switch: they are in one system of units.
    """
    slug, ids = staging.slug, ("-bare-plan-100", "-framed-plan-100")
    framed = partial(plan_in, staging, 100, look, CARD_DETAIL_MM, rulers=False)
    ruled = partial(plan_in, staging, palette=look, detail_mm=None)
    part = partial(detail_in, staging, CARD_DETAIL_MM, palette=look)
    bare = partial(_bare, staging, look or palette())
    made = {
        "framed": partial(_in_both, "framed", framed, ids, units=units),
        "detail": partial(_in_both, "detail", part, units=units),
        "ruled": partial(_in_both, "ruled", ruled, units=units),
        "bare": partial(_in_both, "bare", bare, units=units),
    }
    return {name: _once(_named(f"card {name}", units), slug, draw) for name, draw in made.items()}


def small(staging: Staging, look: Palette | None = None) -> Drawn:
    """The plan without words, for the index."""
    return _once("small", staging.slug, lambda: _drawn("thumbnail", thumbnail(staging, look)))


@lru_cache(maxsize=2)
def _bare(staging: Staging, look: Palette) -> Callable[[Units], Drawing]:
    """The plan with neither detail nor dimensions, which stands on the card and on the page for a phone."""
    return lru_cache(plan_in(staging, 100, look, detail_mm=None, rulers=False))


SIDES_MM, NARROW_MM = 150.0, 92.0
"""Widths of the bars of light: on a page, and on a phone, where a millimetre stays a millimetre."""
NARROW_REST = 0.08
"""On a phone what is less than this is told together, as names have less room."""


def sides(slug: str, rows: Sequence[tuple[str, Mapping[str, float]]]) -> Drawn:
    """Where the light at each point came from: (point, share by source); twice, for two widths of screen."""
    return _once("sides", slug, lambda: _sides(slug, rows))


def _sides(slug: str, rows: Sequence[tuple[str, Mapping[str, float]]]) -> Drawn:
    look, title = palette(), "What lights each side"
    large = replace(look, sizes=replace(look.sizes, note=3.0))
    wide = budget_chart(rows, f"{slug}-sides", title, SIDES_MM)
    narrow = budget_chart(rows, f"{slug}-sides-narrow", title, NARROW_MM, large, NARROW_REST)
    both = _of_class("drawing on-wide", wide.svg) + _of_class("drawing on-narrow", narrow.svg)
    return Drawn("sides", markup(both), wide.width_mm, wide.height_mm)


def as_shot(slug: str, values: Sequence[tuple[date, float]]) -> Drawn:
    """What was read less what was expected, shoot by shoot, in standard deviations."""
    return _drawn("as-shot", control_chart(values, f"{slug}-as-shot", "Read less expected, shoot by shoot"))


def card_moves(slug: str, curve: FillCurve, units: Units | None = None) -> Drawn | None:
    """The ratio over a card's distance; None where no chart reaches so far."""
    return _moves("moves", f"{slug}-moves", slug, curve, "card", units)


def key_moves(slug: str, curve: FillCurve, units: Units | None = None) -> Drawn | None:
    """The ratio over the key's distance, likewise."""
    return _moves("moves key", f"{slug}-key-moves", slug, curve, "key", units)


def _moves(name: str, ids: str, slug: str, curve: FillCurve, thing: str, only: Units | None) -> Drawn | None:
    if not can_be_drawn(curve):
        return None
    title, across = f"If the {thing} moves", f"{thing} to nose"

    def moves(units: Units) -> Drawing:
        return fill_chart(curve, ids, title, across=across, units=units)

    return _once(_named(name, only), slug, lambda: _in_both("moves", lambda: moves, units=only))
