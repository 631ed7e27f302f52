"""The first pages of a binder of set-up cards: every recipe and its sheet, grouped by what the picture holds.

A page holds what is measured to fit, with the shipped font's own widths, so that every page number is known
before anything is printed.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from thirdstop.book.recipe import Camera
from thirdstop.drawings.fonts import text_width_mm
from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import Figure
from thirdstop.pages.units import times
from thirdstop.pages.views import headline
from thirdstop.pages.views.card import number_of
from thirdstop.pages.views.verdicts import verdicts

Paper: TypeAlias = Literal["A4", "Letter", "A5"]

_FRAMINGS: tuple[str, ...] = get_args(Camera.model_fields["framing"].annotation)
SEVERAL, HALTED = "Several people", "Not to be built: the sheet says why"
LEFT_OUT = "Too long for this paper: the sheet says what to do"

_MM_PER_PT = 25.4 / 72
_NEAR = 0.99
"""Of a column's width a line is trusted to hold; a page has more than a line to spare."""


@dataclass(frozen=True)
class Line:
    """A recipe in the contents."""

    anchor: str
    number: str
    title: str
    gear: str
    """What is to be fetched: lamps, cards, blockers, each once; or what halts it."""
    ratio: str
    convention: str
    aperture: str
    ceiling: Figure
    page: int


@dataclass(frozen=True)
class Group:
    """Recipes of one kind; a group that goes on over the page has its title again."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Contents:
    """The contents, page by page."""

    pages: tuple[tuple[Group, ...], ...]
    last: int
    """Number of the binder's last page."""
    halted: int
    left_out: int
    """Recipes whose card is too long for the paper."""


@dataclass(frozen=True)
class _Measures:
    """Of a page of contents, in mm, as static/binder.css sets it."""

    room_mm: float
    """Height for lines, below the head of the first page."""
    title_mm: float
    """Width of the column of titles."""
    title_pt: float
    title_line_pt: float


_MEASURES: dict[Paper, _Measures] = {
    "A4": _Measures(240.0, 103.0, 10.5, 13.0),
    "Letter": _Measures(224.0, 103.0, 10.5, 13.0),
    "A5": _Measures(162.0, 59.0, 9.5, 12.0),
}
_GEAR_PT, _GEAR_LINE_PT = 9.0, 11.0
_LINE_MM, _GROUP_MM = 1.4, 7.7
"""What a line has above and below its text; the title of a group."""


def contents(done: Sequence[Evaluated], paper: Paper, left_out: Collection[str] = ()) -> Contents:
    """The contents of a binder whose cards follow in the order of `done`, a page each.

    `left_out`: the slugs of cards that are too long for the paper.
    """
    draft = _pages(_groups(done, 0, left_out), paper)
    pages = _pages(_groups(done, len(draft), left_out), paper)
    halted = sum(bool(one.safety_halts) for one in done)
    return Contents(pages, len(pages) + len(done), halted, len(left_out))


def _groups(done: Sequence[Evaluated], before: int, left_out: Collection[str]) -> tuple[Group, ...]:
    """Every recipe in one group; `before` pages come before the first card."""
    titles = [*(framing.capitalize() for framing in _FRAMINGS), SEVERAL, LEFT_OUT, HALTED]
    found: dict[str, list[Line]] = {title: [] for title in titles}
    for page, one in enumerate(done, start=before + 1):
        found[LEFT_OUT if one.slug in left_out else _kind(one)].append(_line(one, page))
    return tuple(Group(title, tuple(lines)) for title, lines in found.items() if lines)


def _kind(evaluated: Evaluated) -> str:
    if evaluated.safety_halts:
        return HALTED
    if len(evaluated.staging.sitters) > 1:
        return SEVERAL
    return evaluated.staging.framing.capitalize()


def _line(evaluated: Evaluated, page: int) -> Line:
    halted, ratio = bool(evaluated.safety_halts), evaluated.readings.ratio
    staging = evaluated.staging
    return Line(
        anchor=anchor(evaluated.slug),
        number=number_of(evaluated.slug),
        title=evaluated.title,
        gear=_halts(evaluated) if evaluated.halts else _gear(evaluated),
        ratio="" if halted else figures.ratio(ratio.ratio),
        convention="" if halted else headline.SIGNS[ratio.convention],
        aperture="" if halted else headline.aperture(staging),
        ceiling=figures.NONE if halted else figures.length_up(headline.highest_m(staging)),
        page=page,
    )


def anchor(slug: str) -> str:
    """The id of a recipe's sheet in the binder."""
    return f"{slug}-card"


def _gear(evaluated: Evaluated) -> str:
    items = [item for item in evaluated.staging.items if item.kind in ("lamp", "card", "blocker")]
    booms = [item.support.boom for item in items if item.support is not None and item.support.boom]
    return ", ".join(_whole(name) for name in dict.fromkeys([*(item.gear for item in items), *booms]))


def _whole(gear: str) -> str:
    """With its size in one piece: '120 × 90'."""
    return times(gear)


def _halts(evaluated: Evaluated) -> str:
    shown = verdicts(evaluated)
    titles = dict.fromkeys(one.title for one in (*shown.safety_halts, *shown.halts))
    return f"Halts: {', '.join(titles).lower()}"


def _pages(groups: Sequence[Group], paper: Paper) -> tuple[tuple[Group, ...], ...]:
    """The groups' lines dealt out over as few pages as hold them."""
    measures = _MEASURES[paper]
    pages: list[list[Group]] = [[]]
    left_mm = measures.room_mm
    for title, line in _each(groups):
        new = not pages[-1] or pages[-1][-1].title != title
        asked_mm = _height_mm(line, measures) + (_GROUP_MM if new else 0.0)
        if asked_mm > left_mm and pages[-1]:
            pages.append([])
            left_mm, new = measures.room_mm, True
            asked_mm = _height_mm(line, measures) + _GROUP_MM
        before = () if new else pages[-1].pop().lines
        pages[-1].append(Group(title, (*before, line)))
        left_mm -= asked_mm
    return tuple(map(tuple, pages))


def _each(groups: Sequence[Group]) -> Iterator[tuple[str, Line]]:
    return ((group.title, line) for group in groups for line in group.lines)


def _height_mm(line: Line, measures: _Measures) -> float:
    titles = _rows(line.title, measures.title_pt, measures.title_mm, 700) * measures.title_line_pt
    gear = _rows(line.gear, _GEAR_PT, measures.title_mm, 400) * _GEAR_LINE_PT
    # a ratio has its convention below it
    return max(titles + gear, measures.title_line_pt + _GEAR_LINE_PT) * _MM_PER_PT + _LINE_MM


def _rows(text: str, size_pt: float, width_mm: float, weight: int) -> int:
    """Lines that a text takes in a column, words kept whole."""
    size_mm, room_mm = size_pt * _MM_PER_PT, width_mm * _NEAR
    space_mm = text_width_mm(" ", size_mm, weight)
    rows, used_mm = 1, 0.0
    for word in text.split(" "):
        word_mm = text_width_mm(word.replace("\u00a0", " "), size_mm, weight)
        if used_mm and used_mm + space_mm + word_mm > room_mm:
            rows, used_mm = rows + 1, 0.0
        used_mm += word_mm + (space_mm if used_mm else 0.0)
        # a word that is longer than the column is broken
        rows, used_mm = rows + int(used_mm // room_mm), used_mm % room_mm
    return rows
