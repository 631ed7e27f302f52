"""What every page of a site has of its house: name, menu, units and look; how a page is filled with it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from thirdstop.book.book import MarkdownPage
from thirdstop.book.studio import Studio
from thirdstop.drawings.palette import Palette, palette
from thirdstop.errors import Fault
from thirdstop.pages import addresses
from thirdstop.pages.rendering import render


@dataclass
class Written:
    """Files of the site by path, and what was wrong with the prose in them."""

    files: dict[str, bytes] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def add(self, other: "Written") -> None:
        """Take in what else was written."""
        self.files |= other.files
        self.faults += other.faults


@dataclass(frozen=True)
class Bundle:
    """Files that are made together, out of nothing but what is named here, the theme and this program."""

    paths: tuple[str, ...]
    """The files' paths; of all that a theme brings along, its folder's."""
    made_of: tuple[object, ...]
    """Values that show all of themselves in their `repr`: a digest of it stands for the files."""
    maker: Callable[..., Written]

    def make(self) -> Written:
        """The files."""
        return self.maker(*self.made_of)


@dataclass(frozen=True)
class Step:
    """A link of a page's head: to a page of the site."""

    title: str
    address: str
    here: bool = False


@dataclass(frozen=True)
class House:
    """The studio, and the pages that every page's menu leads to."""

    studio: Studio
    menu: tuple[tuple[str, str], ...]
    """Title and path."""

    @property
    def look(self) -> Palette:
        """How the theme's drawings look."""
        return palette(self.studio.theme)

    def page(self, path: str, template: str, title: str, **values: object) -> bytes:
        """A page of the site, filled."""
        shared = {
            "root": addresses.to_root(path),
            "home": addresses.link(path, addresses.INDEX),
            "house": self.studio.name,
            "title": title,
            "units": self.studio.habits.units,
            "both_units": self.studio.habits.both_units,
            "menu": tuple(Step(name, addresses.link(path, to), to == path) for name, to in self.menu),
        }
        return render(self.studio.theme, template, {**shared, **values})


def house_of(studio: Studio, pages: Sequence[MarkdownPage], has_course: bool, has_plans: bool) -> House:
    """The house with its menu: what every book has, then the house's own pages."""
    fixed = [
        ("Recipes", addresses.INDEX),
        *([("Course", addresses.COURSE)] if has_course else []),
        ("Gear", addresses.GEAR),
        ("Room", addresses.ROOM),
        *([("Readings", addresses.READINGS)] if has_plans else []),
        ("Safety", addresses.SAFETY),
        ("How it is computed", addresses.HOW),
        ("Words", addresses.WORDS),
    ]
    own = [(page.title, addresses.house_page(page.slug)) for page in pages]
    return House(studio, (*fixed, *own))
