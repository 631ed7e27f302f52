"""Every page of the site, from the book and what was computed of its recipes."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from thirdstop.book.book import Book, MarkdownPage
from thirdstop.book.studio import Studio
from thirdstop.calibrating.plan_told import BEFORE, CAUTIONS, PlanWords
from thirdstop.checks.registry import CHECKS
from thirdstop.drawings.palette import Palette, palette
from thirdstop.errors import Fault
from thirdstop.pages import addresses, drawn, markdown
from thirdstop.pages.alone import alone, data_block
from thirdstop.pages.course.pages import sessions
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.rendering import markup, render, static_files
from thirdstop.pages.views.card import card_page
from thirdstop.pages.views.index import index
from thirdstop.pages.views.known import known
from thirdstop.pages.views.onset import on_set_page
from thirdstop.pages.views.recipe import recipe_page
from thirdstop.pages.views.studio import gear_tables, room_table
from thirdstop.pages.views.verdicts import verdicts


@dataclass
class Written:
    """The site's files by path, and what was wrong with the book's prose."""

    files: dict[str, bytes] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


@dataclass(frozen=True)
class Step:
    """A link of a page's head: to a page of the site."""

    title: str
    address: str
    here: bool = False


def whole_site(
    book: Book,
    done: Sequence[Evaluated],
    progress: Callable[[int], None] | None = None,
    learnt: Learnt | None = None,
) -> Written:
    """Every file of the site. `progress` is called with 1 after each recipe.

    `learnt` is how well the studio is known; without it the page of readings and all about it is left out.
    """
    writer = _Writer(book, done, learnt)
    writer.static()
    writer.index()
    for evaluated in done:
        writer.recipe(evaluated)
        if progress is not None:
            progress(1)
    writer.house()
    writer.course()
    return writer.written


def card_alone(book: Book, evaluated: Evaluated) -> Written:
    """The set-up card of one recipe with what it loads, at the same paths as in the site."""
    writer = _Writer(book, [evaluated])
    writer.static()
    writer.card(evaluated)
    return writer.written


def some_pages(book: Book, done: Sequence[Evaluated], path: str) -> Written:
    """The file of this path with those that are made along with it; without it where the site has none."""
    writer = _Writer(book, done)
    folder, _, rest = path.partition("/")
    if folder == addresses.STATIC:
        writer.static()
    elif path == addresses.INDEX:
        writer.index()
    elif folder == "recipes":
        for evaluated in done:
            if evaluated.slug == rest.partition("/")[0]:
                writer.recipe(evaluated)
    elif folder == "course":
        writer.course()
    else:
        writer.house()
    return writer.written


def faults_page(book: Book | None, path: str, faults: Sequence[Fault]) -> bytes:
    """What stands in place of a page while the book has faults; `book` is the last one that had none."""
    theme = book.studio.theme if book else Studio.model_fields["theme"].default
    house = book.studio.name if book else "thirdstop"
    values = {"root": addresses.to_root(path), "home": "", "house": house, "title": "Faults"}
    return render(theme, "faults.html", {**values, "menu": (), "units": "metric", "faults": faults})


@dataclass
class _Writer:
    book: Book
    done: Sequence[Evaluated]
    learnt: Learnt | None = None
    written: Written = field(default_factory=Written)

    @property
    def look(self) -> Palette:
        """How the theme's drawings look."""
        return palette(self.book.studio.theme)

    def page(self, path: str, template: str, title: str, **values: object) -> None:
        theme = self.book.studio.theme
        shared = {
            "root": addresses.to_root(path),
            "home": addresses.link(path, addresses.INDEX),
            "house": self.book.studio.name,
            "title": title,
            "units": self.book.studio.habits.units,
            "menu": self._menu(path),
        }
        self.written.files[path] = render(theme, template, {**shared, **values})

    def _menu(self, path: str) -> tuple[Step, ...]:
        own = [(page.title, addresses.house_page(page.slug)) for page in self.book.pages]
        fixed = [
            ("Recipes", addresses.INDEX),
            *([("Course", addresses.COURSE)] if self.book.course else []),
            ("Gear", addresses.GEAR),
            ("Room", addresses.ROOM),
            *([("Readings", addresses.READINGS)] if self._plans() else []),
            ("Safety", addresses.SAFETY),
            ("How it is computed", addresses.HOW),
            ("Words", addresses.WORDS),
        ]
        return tuple(Step(title, addresses.link(path, to), to == path) for title, to in [*fixed, *own])

    def _plans(self) -> tuple[PlanWords, ...]:
        return self.learnt.plans if self.learnt is not None else ()

    def _rig(self) -> tuple[str, ...]:
        return self.learnt.rig if self.learnt is not None else ()

    def static(self) -> None:
        for name, data in static_files(self.book.studio.theme):
            self.written.files[f"{addresses.STATIC}/{name}"] = data

    def index(self) -> None:
        thumbnails = [drawn.small(evaluated.staging, self.look) for evaluated in self.done]
        self.page(
            addresses.INDEX,
            "index.html",
            self.book.studio.name,
            about=self.book.studio.about or "",
            view=index(self.done, thumbnails),
        )

    def recipe(self, evaluated: Evaluated) -> None:
        path = addresses.recipe(evaluated.slug)
        line = evaluated.loaded.marks.value(("notes",)).line + 1
        notes = self._markdown(evaluated.recipe.notes, evaluated.loaded.file, path, line, "notes-", 3)
        view = recipe_page(
            evaluated, drawn.for_recipe(evaluated.staging, self.look), markup(notes), self.done
        )
        before, after = self._neighbours(evaluated, path)
        how = addresses.link(path, addresses.HOW)
        step_stops = self.book.studio.meter.step.value
        said = known(evaluated, self.learnt, step_stops) if self.learnt is not None else None
        shown = {"view": view, "before": before, "after": after, "how": how, "known": said}
        self.page(path, "recipe.html", evaluated.title, **shown)
        self.card(evaluated)
        self.on_set(evaluated)

    def card(self, evaluated: Evaluated) -> None:
        halted = bool(evaluated.safety_halts)
        drawings = {} if halted else drawn.for_card(evaluated.staging, self.look)
        view = card_page(evaluated, drawings, self.book.studio.address)
        path = addresses.card(evaluated.slug)
        # nothing to press on paper: a link would put the folder that the card was printed from into its PDF
        self.page(path, "card.html", f"{evaluated.title}, set-up card", view=view, how="")

    def on_set(self, evaluated: Evaluated) -> None:
        studio = self.book.studio
        view = on_set_page(evaluated, studio)
        path, title = addresses.on_set(evaluated.slug), f"{evaluated.title}, on set"
        carried, data = alone(studio.theme, "on-set"), data_block(view.data)
        units = studio.habits.units
        values = {"house": studio.name, "title": title, "view": view, "units": units}
        shown = {**values, "alone": carried, "data": data}
        self.written.files[path] = render(studio.theme, "alone/on-set.html", shown)

    def _neighbours(self, evaluated: Evaluated, path: str) -> tuple[Step | None, Step | None]:
        at = [one.slug for one in self.done].index(evaluated.slug)
        pair = (self.done[at - 1] if at else None, self.done[at + 1] if at + 1 < len(self.done) else None)
        steps = [Step(o.title, addresses.link(path, addresses.recipe(o.slug))) if o else None for o in pair]
        return steps[0], steps[1]

    def house(self) -> None:
        studio = self.book.studio
        self.page(addresses.GEAR, "gear.html", "Gear", tables=gear_tables(studio))
        room = studio.room
        size = (("width", room.width), ("length", room.length), ("height", room.height))
        self.page(addresses.ROOM, "room.html", "Room", table=room_table(studio), size=size, room=room)
        halted = [
            (Step(one.title, addresses.recipe(one.slug)), verdicts(one).safety_halts)
            for one in self.done
            if one.safety_halts
        ]
        self.page(addresses.SAFETY, "safety.html", "Safety", halted=halted, fastest=studio.habits.fastest)
        self.page(addresses.HOW, "how.html", "How it is computed", checks=CHECKS, habits=studio.habits)
        self.page(addresses.WORDS, "words.html", "Words")
        if plans := self._plans():
            shown = {"plans": plans, "before": BEFORE, "cautions": (*self._rig(), *CAUTIONS)}
            self.page(addresses.READINGS, "readings.html", "Readings", **shown)
        for page in self.book.pages:
            self._house_page(page)

    def course(self) -> None:
        """The sessions, what is asked on paper, and the page that leads to them; nothing without sessions."""
        made = sessions(self.book.course, self.done)
        for session, after in zip(made, [*made[1:], None], strict=False):
            html = self._markdown(session.page.text, session.page.file, session.path, 2, "", 2)
            following = Step(after.title, addresses.link(session.path, after.path)) if after else None
            values = {"session": session, "body": markup(html), "after": following}
            home = addresses.link(session.path, addresses.COURSE)
            self.page(session.path, "session.html", session.title, contents=home, **values)
        if made:
            self.page(addresses.COURSE, "course.html", "Course", sessions=made)
            self.page(addresses.SHEET, "sheet.html", "Questions", sessions=made, answers=False)
            self.page(addresses.ANSWERS, "sheet.html", "Answers", sessions=made, answers=True)

    def _house_page(self, page: MarkdownPage) -> None:
        path = addresses.house_page(page.slug)
        # the title is the first line
        html = self._markdown(page.text, page.file, path, 2, "", 2)
        self.page(path, "page.html", page.title, body=markup(html))

    def _markdown(self, text: str, file: str, path: str, line: int, prefix: str, top: int) -> str:
        names = self._names()

        def resolve(name: str) -> str | None:
            found = names.find(name)
            return addresses.link(path, found) if found else None

        rendered = markdown.render(text, file, resolve, line, top, prefix)
        self.written.faults += rendered.faults
        return rendered.html

    def _names(self) -> markdown.Names:
        recipes: dict[str, str] = {}
        for one in self.book.recipes:
            for name in (one.slug, one.recipe.title, one.slug.partition("-")[2]):
                if name:
                    recipes.setdefault(name.casefold(), addresses.recipe(one.slug))
        pages = {name: path for page in self.book.pages for name, path in _page_names(page).items()}
        fixed = {
            "gear": addresses.GEAR,
            "room": addresses.ROOM,
            "safety": addresses.SAFETY,
            "how": addresses.HOW,
            "words": addresses.WORDS,
            "index": addresses.INDEX,
        }
        return markdown.Names(recipes, fixed | pages)


def _page_names(page: MarkdownPage) -> Mapping[str, str]:
    path = addresses.house_page(page.slug)
    return {page.slug.casefold(): path, page.title.casefold(): path}
