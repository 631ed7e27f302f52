"""What is known of each recipe by itself: computed once, kept, and found again by all that it is made of."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from thirdstop.book.book import Book, LoadedRecipe, load_recipe
from thirdstop.book.sources import Source
from thirdstop.book.studio import Studio
from thirdstop.calibrating.history import History, ReadThen, Shot
from thirdstop.calibrating.planning import Leaning, leaning
from thirdstop.checks.findings import Finding
from thirdstop.errors import BookFaults, Fault
from thirdstop.keeping import OF_BOOK, Name, Shelf, digest_of, name_of, program, themes, without_prose
from thirdstop.learning import KEPT_CLASSES as LEARNT_CLASSES
from thirdstop.pages import drawn, summaries
from thirdstop.pages.course.question import Option, Question
from thirdstop.pages.course.topics import Questions, asked_of
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.running import StagedRecipe, charged, evaluate_whole, keep, kept
from thirdstop.staging.resolve import stage


@dataclass(frozen=True)
class Checked:
    """A recipe and what its checks came to."""

    slug: str
    title: str
    file: str
    meant_to_halt: bool
    findings: tuple[Finding, ...]
    asks: tuple[str, ...]
    """What the links of its notes name, of the book."""
    sound: bool
    """Whether its notes are, as long as what they name is there."""

    @property
    def counts(self) -> dict[str, int]:
        """How many findings there are of each kind."""
        return {kind: sum(one.verdict == kind for one in self.findings) for kind in ("pass", "look", "halt")}


_CLASSES: tuple[type, ...] = (
    *LEARNT_CLASSES,
    *summaries.KEPT_CLASSES,
    Drawn,
    Question,
    Option,
    Checked,
    Finding,
    History,
    Shot,
    ReadThen,
)


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
        """The shelf on which results of recipes are kept, at `place`."""
        return Shelf(self.place, _CLASSES)

    @property
    def book(self) -> Book:
        """The house without its recipes."""
        return Book(self.place, self.studio, (), ())

    def key_of(self, source: Source) -> str:
        """Digest of all that is known of a recipe by itself."""
        return digest_of(self.key, source.slug, source.file, source.text)

    def name_of(self, kind: str, source: Source) -> Name:
        """Under which something that is made of a recipe's text is kept."""
        return Name(f"{source.slug}.{kind}", self.key_of(source))


def desk_at(place: Path, studio: Studio) -> Desk:
    """A desk whose results are kept beside the book in `place`."""
    return Desk(place, studio, digest_of(program(), themes(), without_prose(studio)))


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


def questions_of(desk: Desk, source: Source, evaluated: Evaluated | None = None) -> Questions:
    """What the course asks of a recipe."""
    shelf, name = desk.shelf, desk.name_of("questions", source)
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


def drawings_name(desk: Desk, loaded: LoadedRecipe) -> Name:
    """Under which a recipe's drawings are kept: they say its title too, in the theme's hand."""
    by_values = name_of("drawings", loaded, desk.studio)
    return by_values._replace(key=digest_of(by_values.key, loaded.recipe.title, themes()))


@contextmanager
def drawings_of(desk: Desk, evaluated: Evaluated) -> Iterator[None]:
    """While it lasts, no drawing of the recipe is drawn that was drawn before; new ones are kept."""
    name = drawings_name(desk, evaluated.loaded)
    found = desk.shelf.find(name)
    drawings: dict[str, Drawn] = found if isinstance(found, dict) else {}
    before = len(drawings)
    with drawn.kept(drawings):
        yield
    if len(drawings) > before:
        desk.shelf.keep(name, drawings)


@contextmanager
def place_to_keep(root: Path) -> Iterator[Path]:
    """The book's folder; where that can't be written into, one that lasts as long as this."""
    probe = Name(f"{OF_BOOK}.probe", "")
    shelf = Shelf(root, ())
    shelf.keep(probe, True)
    if shelf.find(probe) is True:
        yield root
        return
    with TemporaryDirectory(prefix="thirdstop-") as folder:
        yield Path(folder)
