"""A recipe's own pages: the page, the set-up card, the page for a phone on set.

They are made of the recipe, the house, and of the rest of the book nothing but what stands in `Around`: so a
digest of the three tells whether they are still what they were.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from thirdstop.book.marks import Marks
from thirdstop.book.studio import Studio
from thirdstop.calibrating.history import History
from thirdstop.calibrating.planning import Worth
from thirdstop.drawings.palette import palette
from thirdstop.pages import addresses, drawn, markdown
from thirdstop.pages.alone import alone, data_block
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import House, Step, Written
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.rendering import markup, render
from thirdstop.pages.views.card import card_page
from thirdstop.pages.views.known import known
from thirdstop.pages.views.needs import fetched
from thirdstop.pages.views.onset import mirrored_of, on_set_page
from thirdstop.pages.views.recipe import recipe_page
from thirdstop.pages.views.related import Related


@dataclass(frozen=True)
class Around:
    """All that a recipe's pages show of the rest of the book."""

    before: Step | None
    after: Step | None
    """Its neighbours, as the recipe's page leads to them."""
    near: tuple[Related, ...]
    links: tuple[tuple[str, str], ...]
    """What its notes link to: name, path from the site's root."""
    known: tuple[Worth | None, History | None] | None
    """Its next reading’s worth and what was shot; None where nothing is said of what is known."""


def pages_of(house: House, evaluated: Evaluated, around: Around) -> Written:
    """The recipe's page, its set-up card and its page for a phone on set."""
    written = page_of(house, evaluated, around)
    written.add(own_of(house, evaluated))
    return written


def page_at(house: House, evaluated: Evaluated, around: Around, path: str) -> Written:
    """The one of the three that stands there, none where that is another path.

    What is wrong with the recipe's notes comes with each.
    """
    if path == addresses.recipe(evaluated.slug):
        return page_of(house, evaluated, around)
    makers = {addresses.card(evaluated.slug): card_of, addresses.on_set(evaluated.slug): _on_set}
    if path not in makers:
        return Written()
    written = makers[path](house, evaluated)
    written.faults += _notes(evaluated, around).faults
    return written


def paths_of(slug: str) -> tuple[str, ...]:
    """Where they stand."""
    return addresses.recipe(slug), addresses.card(slug), addresses.on_set(slug)


def unread(evaluated: Evaluated) -> Evaluated:
    """The recipe without what only its page tells: nothing of it reaches the other two, so that they stay as
    they are when a word of it changes.
    """
    loaded = evaluated.loaded
    recipe = loaded.recipe.model_copy(update={"purpose": "", "tags": [], "notes": ""})
    return replace(evaluated, loaded=replace(loaded, recipe=recipe, marks=Marks(), text=""))


def own_of(house: House, evaluated: Evaluated) -> Written:
    """The two that show nothing of the rest of the book."""
    written = card_of(house, evaluated)
    written.add(_on_set(house, evaluated))
    return written


def card_of(house: House, evaluated: Evaluated) -> Written:
    """The set-up card."""
    evaluated = unread(evaluated)
    halted = bool(evaluated.safety_halts)
    drawings = {} if halted else drawn.for_card(evaluated.staging, house.look, house.studio.habits.units)
    view = card_page(evaluated, drawings, house.studio.address)
    path = addresses.card(evaluated.slug)
    # nothing to press on paper: a link would put the folder that the card was printed from into its PDF
    page = house.page(path, "card.html", f"{evaluated.title}, set-up card", view=view, how="")
    return Written({path: page})


def page_of(house: House, evaluated: Evaluated, around: Around) -> Written:
    """The recipe's page."""
    path, slug = addresses.recipe(evaluated.slug), evaluated.slug
    notes = _notes(evaluated, around)
    units = house.studio.habits.units_alone
    drawings = drawn.for_recipe(evaluated.staging, house.look, units)
    view = recipe_page(evaluated, drawings, markup(notes.html), around.near, units)
    said = None
    if around.known is not None:
        worth, shot = around.known
        learnt = Learnt(worths={slug: worth} if worth else {}, shot={slug: shot} if shot else {})
        said = known(evaluated, learnt, house.studio.meter.step.value)
    gear = fetched(evaluated, house.studio)
    shown = {"view": view, "before": around.before, "after": around.after, "known": said, "gear": gear}
    how = addresses.link(path, addresses.HOW)
    return Written({path: house.page(path, "recipe.html", evaluated.title, how=how, **shown)}, notes.faults)


def _notes(evaluated: Evaluated, around: Around) -> markdown.Rendered:
    """The recipe's notes as they stand on its page."""
    line = evaluated.loaded.marks.value(("notes",)).line + 1
    path, links = addresses.recipe(evaluated.slug), dict(around.links)
    return written_notes(evaluated.recipe.notes, evaluated.loaded.file, path, links, line, "notes-", 3)


def written_notes(
    text: str, file: str, path: str, links: Mapping[str, str], line: int, prefix: str, top: int
) -> markdown.Rendered:
    """Markdown on the page at `path`, its links answered by name out of `links`."""

    def resolve(name: str) -> str | None:
        return addresses.link(path, links[name]) if name in links else None

    return markdown.render(text, file, resolve, line, top, prefix)


def draw(evaluated: Evaluated, studio: Studio) -> None:
    """Draw what the pages of a recipe show of its set-up, so that it is there when they are made."""
    look, habits = palette(studio.theme), studio.habits
    drawn.for_recipe(evaluated.staging, look, habits.units_alone)
    if evaluated.safety_halts:
        return
    drawn.for_card(evaluated.staging, look, habits.units)
    for one in (evaluated, mirrored_of(evaluated, studio)):
        if one is not None:
            drawn.to_hold(one.staging, habits.units_alone)


def _on_set(house: House, evaluated: Evaluated) -> Written:
    studio, evaluated = house.studio, unread(evaluated)
    view = on_set_page(evaluated, studio)
    path, title = addresses.on_set(evaluated.slug), f"{evaluated.title}, on set"
    carried, data = alone(studio.theme, "on-set"), data_block(view.data)
    values = {"house": studio.name, "title": title, "view": view, "units": studio.habits.units}
    values["both_units"] = studio.habits.both_units
    page = render(studio.theme, "alone/on-set.html", {**values, "alone": carried, "data": data})
    return Written({path: page})
