"""Publishes a book by making again only what has changed.

One idea: every bundle of files of a site has a key, a digest of all that its files are made of, which can be
worked out without making them. The ledger beside the book says which key a bundle had when it was made last,
and the SHA-256 of each of its files. A bundle stays where both agree: its key with what is in the book now,
its files with what stands in the site now. Everything else is made again.

- A recipe's text, the studio's values and this program are the key of its summary (`pages.summaries`): while
  it is kept, the recipe is sound, and nobody opens its text.
- A recipe's pages are made of that, the house and what stands around them (`pages.of_recipe.Around`).
- The other pages are made of what they name (`pages.house.Bundle`), summaries most of all.

What isn't there, can't be read or was touched is made anew: kept things only save time. Faults are kept
nowhere, so a recipe that has one is read again each time.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from thirdstop.book.sources import Source, Sources
from thirdstop.calibrating.planning import Leaning
from thirdstop.desk import Desk, drawings_of, evaluated_of, leaning_of, place_to_keep, questions_of
from thirdstop.errors import BookFaults, Fault
from thirdstop.filing import Filing, Ledger, Made, made_of
from thirdstop.keeping import Name, digest_of, name_of, program, themes
from thirdstop.learning import planned, rig_of
from thirdstop.opening import Log, Opened, open_known
from thirdstop.pages.house import House
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.of_house import Matter, bundles
from thirdstop.pages.of_recipe import Around, draw, own_of, page_of, paths_of, unread
from thirdstop.pages.summaries import Summary, summary_of, used_in
from thirdstop.pages.whole import arounds, matter_of
from thirdstop.publishing.prose import in_the_book
from thirdstop.publishing.switching import Place, Switched
from thirdstop.sharing import Helpers
from thirdstop.terminal import Bar

_OWN = "own "
WORTH_SHARING = 30
"""From so many recipes' pages on, further processes are worth their start, if there are none yet."""


@dataclass(frozen=True)
class Remade:
    """What came of it."""

    recipes: tuple[Summary, ...]
    switched: Switched


def remake(root: Path, place: Place, former: Callable[[], Mapping[str, str]], bar: Bar) -> Remade:
    """Bring the site at `place` up to what the book in `root` says.

    `former` gives the SHA-256 of every file that the site holds. Raises BookFaults with every fault of the
    first stage that has any, UsageError where the folder is no book, PublishingError where the site can't be
    written; in each case the former site is untouched.
    """
    with place_to_keep(root) as keeping, Helpers() as helpers:
        opened = open_known(root, keeping, "summary", Summary)
        desk, sources = opened.desk, opened.sources
        recipes = _all_known(opened, helpers, bar)
        learnt = _learnt(desk, sources, recipes, opened.log)
        matter = matter_of(opened.book, recipes, lambda at: questions_of(desk, sources.recipes[at]), learnt)
        try:
            switched = _renewed(desk, sources, matter, recipes, place, former(), helpers, bar)
        except BookFaults as error:
            raise BookFaults(in_the_book(error.faults, sources, matter.names)) from error
        desk.shelf.clear(one.slug for one in recipes)
    return Remade(tuple(recipes), switched)


# what is known of each recipe by itself


def _all_known(opened: Opened[Summary], helpers: Helpers, bar: Bar) -> list[Summary]:
    """The summary of every recipe; what has none yet is computed in whole."""
    missing, every = opened.missing, dict(opened.known)
    faults: list[Fault] = []
    with bar(len(missing), "Computing") as step:
        for summary, found in helpers.each_done(partial(summarised, opened.desk), missing):
            faults += found
            every[summary.slug] = summary
            step(1)
    if faults:
        raise BookFaults(faults)
    return [every[source.slug] for source in opened.sources.recipes]


def summarised(desk: Desk, source: Source) -> tuple[Summary, list[Fault]]:
    """A recipe computed in whole, all that the book needs of it kept; and what only the engine sees wrong."""
    evaluated, faults = evaluated_of(desk, source)
    with drawings_of(desk, evaluated):
        values = name_of("values", evaluated.loaded, desk.studio).key
        own = digest_of(desk.key, values, unread(evaluated).recipe, evaluated.file, evaluated.defaults)
        summary = replace(summary_of(evaluated, desk.studio.theme), values=values, own=own)
        if not faults:
            # here, where the work is shared out: the pages of a short book are made by one process
            draw(evaluated, desk.studio)
    if not faults:
        questions_of(desk, source, evaluated)
        leaning_of(desk, source, evaluated)
        # last: where a summary is found, everything else was kept before it
        desk.shelf.keep(desk.name_of("summary", source), summary)
    return summary, faults


# what is known of the studio


def _learnt(desk: Desk, sources: Sources, recipes: Sequence[Summary], log: Log) -> Learnt:
    used, by_slug = used_in(recipes), {source.slug: source for source in sources.recipes}
    values = {one.slug: one.values for one in recipes}

    def lean(slug: str) -> Leaning:
        # found by the digest of its values, so that no other recipe is opened for this
        found = desk.shelf.find(Name(f"{slug}.leaning", values[slug]))
        return found if isinstance(found, Leaning) else leaning_of(desk, by_slug[slug])

    words, worths = planned(desk.shelf, desk.studio, used, values, lean)
    return Learnt(words, worths, log.histories(), rig_of(desk.studio, used))


# the site


@dataclass(frozen=True)
class _Piece:
    """A recipe's bundles that are to be made: its own pages, the page that shows the others, or both."""

    source: Source
    around: Around
    keys: dict[str, str]
    """Name of each bundle, with its key."""


def _renewed(
    desk: Desk,
    sources: Sources,
    matter: Matter,
    recipes: Sequence[Summary],
    place: Place,
    former: Mapping[str, str],
    helpers: Helpers,
    bar: Bar,
) -> Switched:
    house, ledger = matter.house, Ledger(desk.shelf)
    static, *others = bundles(matter, recipes)
    brought = static.make()
    paths = {*brought.files, *(path for bundle in others for path in bundle.paths)}
    paths |= {path for one in recipes for path in paths_of(one.slug)}
    with place.renewal(paths, former) as new:
        site = Filing(ledger, new)
        site.put("static", "", made_of(brought))
        pieces = []
        for piece in _pieces(desk, house, sources, recipes, arounds(matter, recipes)):
            keys = {name: key for name, key in piece.keys.items() if not site.stays(name, key)}
            if keys:
                pieces.append(replace(piece, keys=keys))
        with bar(len(pieces), "Writing") as step:
            done = helpers.each_done(partial(rendered, desk, house), pieces, WORTH_SHARING)
            for piece, made in zip(pieces, done, strict=True):
                for name, key in piece.keys.items():
                    site.put(name, key, made[name])
                step(1)
        for bundle in others:
            key = digest_of(program(), themes(), *bundle.made_of)
            if not site.stays(bundle.paths[0], key):
                site.put(bundle.paths[0], key, made_of(bundle.make()))
        site.judge()
        switched = new.finish()
    ledger.close(site.filed)
    return switched


def _pieces(
    desk: Desk, house: House, sources: Sources, recipes: Sequence[Summary], around: Iterator[Around]
) -> Iterator[_Piece]:
    """Every recipe's bundles."""
    shown = digest_of(house.studio.name, house.menu)
    for source, one, rest in zip(sources.recipes, recipes, around, strict=True):
        own = digest_of(one.own, shown)
        key = digest_of(desk.key_of(source), shown, rest)
        yield _Piece(source, rest, {_OWN + source.slug: own, source.slug: key})


def rendered(desk: Desk, house: House, piece: _Piece) -> dict[str, Made]:
    """The bundles of one recipe that are asked for."""
    evaluated, _ = evaluated_of(desk, piece.source)
    made = {}
    with drawings_of(desk, evaluated):
        for name in piece.keys:
            own = name.startswith(_OWN)
            made[name] = made_of(own_of(house, evaluated) if own else page_of(house, evaluated, piece.around))
    return made
