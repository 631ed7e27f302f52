"""What the rest of the book says of one recipe: enough for index, neighbours, menu and tally without it.

Whatever stands on a page that is not the recipe's own comes from here, so that one changed recipe costs one
recipe's work, however long the book.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from thirdstop.calibrating.candidates import Used, used_by
from thirdstop.drawings.palette import palette
from thirdstop.pages import addresses, drawn, markdown
from thirdstop.pages.course.topics import Marked, asked_of, marks_of
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import Step
from thirdstop.pages.rendering import render
from thirdstop.pages.views.crossed import Crossed, crossed_of
from thirdstop.pages.views.index import Listed, entry_of, kinds_of, listed
from thirdstop.pages.views.needs import Need
from thirdstop.pages.views.related import Look, look_of
from thirdstop.pages.views.verdicts import Shown, verdicts
from thirdstop.pages.views.walls import Walls


@dataclass(frozen=True)
class Summary:
    """One recipe."""

    slug: str
    title: str
    file: str
    passes: int
    looks: int
    halts: int
    """How many findings there are of each kind."""
    meant_to_halt: bool
    safety_halts: tuple[Shown, ...]
    listed: Listed
    look: Look
    used: Used
    asks: tuple[str, ...]
    """What the links of its notes name, of the book."""
    crossed: Crossed
    """What the house's pages say of it."""
    asked: Marked
    """Stands for what the course may ask of it."""
    values: str = ""
    """A digest of the recipe's values, prose left out; empty where nothing is kept."""
    own: str = ""
    """The same of all that its card and its page for a set are made of."""

    @property
    def counts(self) -> dict[str, int]:
        """How many findings there are of each kind."""
        return {"pass": self.passes, "look": self.looks, "halt": self.halts}

    def step(self, path: str) -> Step:
        """The way to it from a page."""
        return Step(self.title, addresses.link(path, addresses.recipe(self.slug)))


KEPT_CLASSES = (Summary, Shown, Listed, Look, Used, Crossed, Need, Walls)


def summary_of(evaluated: Evaluated, theme: str) -> Summary:
    """The summary of a recipe, its entry of the index as the theme has it."""
    found = verdicts(evaluated)
    kinds = kinds_of(evaluated)
    entry = entry_of(evaluated, drawn.small(evaluated.staging, palette(theme)), kinds)
    html = render(theme, "entry.html", {"entry": entry}).decode()
    return Summary(
        slug=evaluated.slug,
        title=evaluated.title,
        file=evaluated.loaded.file,
        passes=len(found.passes),
        looks=len(found.looks),
        halts=len(evaluated.halts),
        meant_to_halt=bool(evaluated.recipe.meant_to_halt),
        safety_halts=found.safety_halts,
        listed=listed(html, kinds, entry.gear, entry.ceiling_cm),
        look=look_of(evaluated),
        used=used_by([evaluated.recipe]),
        asks=asked_by(evaluated.recipe.notes),
        crossed=crossed_of(evaluated),
        asked=marks_of(asked_of(evaluated)),
    )


def asked_by(notes: str) -> tuple[str, ...]:
    """Names in the book that a Markdown text links to, each once."""
    asked: dict[str, None] = {}

    def note(name: str) -> str:
        asked[name] = None
        return ""

    markdown.render(notes, "", note)
    return tuple(asked)


def used_in(summaries: Sequence[Summary]) -> Used:
    """What all of them use, each once, in their order."""
    return Used(
        tuple(dict.fromkeys(lamp for one in summaries for lamp in one.used.lamps)),
        tuple(dict.fromkeys(surface for one in summaries for surface in one.used.surfaces)),
        tuple(dict.fromkeys(sheet for one in summaries for sheet in one.used.sheets)),
    )
