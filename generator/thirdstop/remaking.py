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

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from thirdstop.book.book import (
    Book,
    LoadedRecipe,
    load_course,
    load_log,
    load_pages,
    load_recipe,
    load_studio,
    open_book,
    shared_titles,
)
from thirdstop.book.sources import Source, Sources, read_sources
from thirdstop.book.studio import Studio
from thirdstop.calibrating.history import History, ReadThen, Shot, history
from thirdstop.calibrating.log_check import check_log
from thirdstop.calibrating.planning import Leaning, leaning
from thirdstop.errors import BookFaults, Fault
from thirdstop.filing import Filed, Filing, Ledger, Made, made_of
from thirdstop.keeping import OF_BOOK, Name, Shelf, digest_of, name_of, program, themes, without_prose
from thirdstop.learning import KEPT_CLASSES as LEARNT_CLASSES
from thirdstop.learning import planned, rig_of
from thirdstop.pages import drawn, summaries
from thirdstop.pages.course.question import Option, Question
from thirdstop.pages.course.topics import Questions, asked_of
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import House
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.of_house import Matter, bundles
from thirdstop.pages.of_recipe import Around, own_of, page_of, paths_of
from thirdstop.pages.summaries import Summary, summary_of, used_in
from thirdstop.pages.whole import arounds, matter_of
from thirdstop.publishing.switching import Place, Switched
from thirdstop.running import (
    StagedRecipe,
    charged,
    evaluate_whole,
    faults_of_studio,
    keep,
    kept,
)
from thirdstop.sharing import each_done
from thirdstop.staging.resolve import stage
from thirdstop.updating import Bar

WORTH_SHARING = 30
"""From so many recipes' pages on, further processes are worth their start."""


@dataclass(frozen=True)
class Remade:
    """What came of it."""

    recipes: tuple[Summary, ...]
    switched: Switched


_CLASSES = (*LEARNT_CLASSES, *summaries.KEPT_CLASSES, Filed, Drawn, Question, Option, History, Shot, ReadThen)


@dataclass(frozen=True)
class Desk:
    """What every piece of work on a recipe is given; goes to other processes."""

    place: Path
    """Where results are kept: the book's folder, or another one where that can't be written into."""
    studio: Studio
    key: str
    """Digest of the studio's values, the themes and this program."""

    @property
    def shelf(self) -> Shelf:
        """What is kept."""
        return Shelf(self.place, _CLASSES)

    @property
    def book(self) -> Book:
        """The house without its recipes."""
        return Book(self.place, self.studio, (), ())

    def key_of(self, source: Source) -> str:
        """Digest of all that is known of a recipe by itself."""
        return digest_of(self.key, source.slug, source.file, source.text)


def remake(root: Path, place: Place, former: Callable[[], Mapping[str, str]], bar: Bar) -> Remade:
    """Bring the site at `place` up to what the book in `root` says.

    `former` gives the SHA-256 of every file that the site holds. Raises BookFaults with every fault of the
    first stage that has any, UsageError where the folder is no book, PublishingError where the site can't be
    written; in each case the former site is untouched.
    """
    faults: list[Fault] = []
    sources = read_sources(root, faults)
    studio, marks = load_studio(sources.studio, faults)
    pages, course = load_pages(sources.pages, faults), load_course(sources.course, faults)
    shoots = load_log(sources.log, faults)
    with _place_to_keep(root) as keeping:
        desk = None if studio is None else desk_at(keeping, studio)
        known = {} if desk is None else _known(desk, sources)
        later = _check_others(studio, sources, known, faults)
        if studio is None or desk is None or faults:
            raise BookFaults(faults)
        book = Book(root, studio, (), pages, marks, course, shoots)
        log = _Log(desk, book, {source.slug: source for source in sources.recipes}, _texts(sources.log))
        faults = faults_of_studio(book) + later + log.faults()
        if faults:
            raise BookFaults(faults)
        recipes = _all_known(desk, sources, known, bar)
        learnt = _learnt(desk, sources, recipes, log)
        matter = matter_of(book, recipes, _Asked(desk, sources.recipes), learnt)
        switched = _renewed(desk, sources, matter, recipes, place, former(), bar)
        desk.shelf.clear(one.slug for one in recipes)
    return Remade(tuple(recipes), switched)


# what is known of each recipe by itself


def desk_at(place: Path, studio: Studio) -> Desk:
    """A desk whose results are kept beside the book in `place`."""
    return Desk(place, studio, digest_of(program(), themes(), without_prose(studio)))


def _known(desk: Desk, sources: Sources) -> dict[str, Summary]:
    """The summaries that are kept, by slug."""
    found = {one.slug: desk.shelf.find(_summary_name(desk, one)) for one in sources.recipes}
    return {slug: summary for slug, summary in found.items() if isinstance(summary, Summary)}


def _summary_name(desk: Desk, source: Source) -> Name:
    return Name(f"{source.slug}.summary", desk.key_of(source))


def _check_others(
    studio: Studio | None, sources: Sources, known: Mapping[str, Summary], faults: list[Fault]
) -> list[Fault]:
    """Read and stage every recipe that isn't known; what its text has wrong is added to `faults`.

    Returns what only its staging shows.
    """
    later: list[Fault] = []
    titles = {slug: summary.title for slug, summary in known.items()}
    for source in sources.recipes:
        if source.slug in known:
            continue
        loaded = load_recipe(source, faults)
        if loaded is not None:
            titles[source.slug] = loaded.recipe.title
            if studio is not None:
                later += stage(loaded.recipe, studio, loaded.marks, loaded.slug)[1]
    folded = [title.casefold() for title in titles.values()]
    if len(set(folded)) < len(folded):
        every = (load_recipe(source, []) for source in sources.recipes)
        faults += shared_titles(one for one in every if one is not None)
    return later


def _all_known(desk: Desk, sources: Sources, known: Mapping[str, Summary], bar: Bar) -> list[Summary]:
    """The summary of every recipe; what has none yet is computed in whole."""
    missing = [source for source in sources.recipes if source.slug not in known]
    every = dict(known)
    faults: list[Fault] = []
    with bar(len(missing), "Computing") as step:
        for summary, found in each_done(partial(summarised, desk), missing):
            faults += found
            every[summary.slug] = summary
            step(1)
    if faults:
        raise BookFaults(faults)
    return [every[source.slug] for source in sources.recipes]


def summarised(desk: Desk, source: Source) -> tuple[Summary, list[Fault]]:
    """A recipe computed in whole, all that the book needs of it kept; and what only the engine sees wrong."""
    evaluated, faults = evaluated_of(desk, source)
    shelf, key = desk.shelf, desk.key_of(source)
    with _drawings(desk, evaluated):
        values = name_of("values", evaluated.loaded, desk.studio).key
        summary = replace(summary_of(evaluated, desk.studio.theme), values=values)
    if not faults:
        _questions(desk, source, evaluated)
        leaning_of(desk, source, evaluated)
        # last: where a summary is found, everything else was kept before it
        shelf.keep(Name(f"{source.slug}.summary", key), summary)
    return summary, faults


def evaluated_of(desk: Desk, source: Source) -> tuple[Evaluated, list[Fault]]:
    """A recipe with everything that was or is computed of it. Raises BookFaults where it can't be read."""
    one = staged_of(desk, source)
    found = kept(desk.book, one, whole=True)
    if found is not None:
        return found, []
    evaluated, faults = evaluate_whole(desk.studio, one)
    if not faults:
        keep(desk.book, one, evaluated, whole=True)
    return evaluated, faults


def staged_of(desk: Desk, source: Source) -> StagedRecipe:
    """A recipe read and staged. Raises BookFaults where it can't be."""
    faults: list[Fault] = []
    loaded = load_recipe(source, faults)
    if loaded is not None:
        staging, found = stage(loaded.recipe, desk.studio, loaded.marks, loaded.slug)
        faults += found
        if staging is not None and not faults:
            return charged(StagedRecipe(loaded, staging))
    raise BookFaults(faults)


def _questions(desk: Desk, source: Source, evaluated: Evaluated | None = None) -> Questions:
    """What the course asks of a recipe."""
    shelf, name = desk.shelf, Name(f"{source.slug}.questions", desk.key_of(source))
    found = shelf.find(name)
    if isinstance(found, dict):
        return found
    made = asked_of(evaluated or evaluated_of(desk, source)[0])
    shelf.keep(name, made)
    return made


def leaning_of(desk: Desk, source: Source, evaluated: Evaluated | None = None) -> Leaning:
    """How a recipe leans on what is not quite known of the studio."""
    loaded = evaluated.loaded if evaluated is not None else staged_of(desk, source).loaded
    name = name_of("leaning", loaded, desk.studio)
    found = desk.shelf.find(name)
    if isinstance(found, Leaning):
        return found
    staging = (evaluated or staged_of(desk, source)).staging
    made = leaning(loaded.recipe, staging, desk.studio)
    desk.shelf.keep(name, made)
    return made


@contextmanager
def _drawings(desk: Desk, evaluated: Evaluated) -> Iterator[None]:
    """While it lasts, no drawing of the recipe is drawn that was drawn before; new ones are kept."""
    by_values = name_of("drawings", evaluated.loaded, desk.studio)
    name = by_values._replace(key=digest_of(by_values.key, evaluated.title, themes()))
    found = desk.shelf.find(name)
    drawings: dict[str, Drawn] = found if isinstance(found, dict) else {}
    before = len(drawings)
    with drawn.kept(drawings):
        yield
    if len(drawings) > before:
        desk.shelf.keep(name, drawings)


class _Asked(Sequence[Questions]):
    """What is asked of each recipe, looked up when the course gets as far as it."""

    def __init__(self, desk: Desk, sources: Sequence[Source]) -> None:
        self._desk, self._sources = desk, sources
        self._found: dict[int, Questions] = {}

    def __len__(self) -> int:
        return len(self._sources)

    def __getitem__(self, at):  # type: ignore[no-untyped-def]
        source = self._sources[at]
        if at not in self._found:
            self._found[at] = _questions(self._desk, source)
        return self._found[at]


# what is known of the studio


@dataclass
class _Log:
    """The shoots, by recipe; a recipe whose history is kept has sound ones."""

    desk: Desk
    book: Book
    """Without its recipes."""
    sources: Mapping[str, Source]
    texts: Mapping[str, str]
    """Of the log's files."""
    _found: dict[str, History] = field(default_factory=dict)

    def faults(self) -> list[Fault]:
        """What is wrong with the shoots, beside their own fields."""
        slugs = {one.shoot.recipe for one in self.book.log}
        if not slugs <= self.sources.keys():
            return check_log(open_book(self.book.root))  # it names those that there are
        for slug in slugs:
            found = self.desk.shelf.find(self._name(slug))
            if isinstance(found, History):
                self._found[slug] = found
        return check_log(self._of(slugs - self._found.keys()))

    def histories(self) -> dict[str, History]:
        """Of every recipe that was shot."""
        for slug in {one.shoot.recipe for one in self.book.log} - self._found.keys():
            evaluated, _ = evaluated_of(self.desk, self.sources[slug])
            made = history(self._of({slug}), evaluated.loaded, evaluated.readings)
            if made is not None:
                self._found[slug] = made
                self.desk.shelf.keep(self._name(slug), made)
        return self._found

    def _name(self, slug: str) -> Name:
        shot = [(one.file, self.texts[one.file]) for one in self.book.log if one.shoot.recipe == slug]
        return Name(f"{slug}.history", digest_of(self.desk.key_of(self.sources[slug]), shot))

    def _of(self, slugs: Container[str]) -> Book:
        """The book of these recipes alone, those among them that can be read."""
        found = (load_recipe(one, []) for slug, one in self.sources.items() if slug in slugs)
        recipes: tuple[LoadedRecipe, ...] = tuple(one for one in found if one is not None)
        log = tuple(one for one in self.book.log if one.shoot.recipe in slugs)
        return Book(self.book.root, self.book.studio, recipes, (), log=log)


def _texts(sources: Sequence[Source]) -> dict[str, str]:
    return {one.file: one.text for one in sources}


def _learnt(desk: Desk, sources: Sources, recipes: Sequence[Summary], log: _Log) -> Learnt:
    used, by_slug = used_in(recipes), {source.slug: source for source in sources.recipes}
    values = {one.slug: one.values for one in recipes}
    words, worths = planned(
        desk.shelf, desk.studio, used, values, lambda slug: leaning_of(desk, by_slug[slug])
    )
    return Learnt(words, worths, log.histories(), rig_of(desk.studio, used))


# the site


@dataclass(frozen=True)
class _Piece:
    """A recipe's pages that are to be made: its own ones, or the one that shows the rest of the book."""

    source: Source
    around: Around | None
    """None: its own ones."""


def _renewed(
    desk: Desk,
    sources: Sources,
    matter: Matter,
    recipes: Sequence[Summary],
    place: Place,
    former: Mapping[str, str],
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
        pieces = [
            (name, key, piece)
            for name, key, piece in _pieces(desk, house, sources, arounds(matter, recipes))
            if not site.stays(name, key)
        ]
        with bar(len(pieces), "Writing") as step:
            work = partial(rendered, desk, house)
            made = each_done(work, [piece for _, _, piece in pieces], WORTH_SHARING)
            for (name, key, _), one in zip(pieces, made, strict=True):
                site.put(name, key, one)
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
    desk: Desk, house: House, sources: Sources, around: Iterator[Around]
) -> Iterator[tuple[str, str, _Piece]]:
    """Every recipe's bundles: name, key, what to make."""
    for source, rest in zip(sources.recipes, around, strict=True):
        key = digest_of(desk.key_of(source), house.studio.name, house.menu)
        yield f"{source.slug} own", key, _Piece(source, None)
        yield source.slug, digest_of(key, rest), _Piece(source, rest)


def rendered(desk: Desk, house: House, piece: _Piece) -> Made:
    """The files of one recipe that were asked for."""
    evaluated, _ = evaluated_of(desk, piece.source)
    with _drawings(desk, evaluated):
        if piece.around is None:
            return made_of(own_of(house, evaluated))
        return made_of(page_of(house, evaluated, piece.around))


@contextmanager
def _place_to_keep(root: Path) -> Iterator[Path]:
    """The book's folder; where that can't be written into, one that lasts as long as this."""
    probe = Name(f"{OF_BOOK}.probe", "")
    shelf = Shelf(root, ())
    shelf.keep(probe, True)
    if shelf.find(probe) is True:
        yield root
        return
    with TemporaryDirectory(prefix="thirdstop-") as folder:
        yield Path(folder)
