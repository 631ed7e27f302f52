"""The pages that are not one recipe's own, each with all that it is made of."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from thirdstop.book.book import MarkdownPage
from thirdstop.book.studio import Studio
from thirdstop.calibrating.plan_told import BEFORE, CAUTIONS, PlanWords
from thirdstop.checks.registry import CHECKS
from thirdstop.pages import addresses, markdown
from thirdstop.pages.course.pages import Session
from thirdstop.pages.drawn import of_agreement
from thirdstop.pages.house import Bundle, House, Step, Written
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.of_recipe import written_notes
from thirdstop.pages.rendering import markup, static_files
from thirdstop.pages.summaries import Summary, asked_by
from thirdstop.pages.views import walls
from thirdstop.pages.views.agreement import AGREEMENT, BINS, CALIBRATED, OMISSIONS
from thirdstop.pages.views.index import Listed, index
from thirdstop.pages.views.listing import listing
from thirdstop.pages.views.minds import RULES
from thirdstop.pages.views.studio import Needed, gear_tables, room_table
from thirdstop.pages.views.verdicts import Shown
from thirdstop.pages.views.walls import Walls
from thirdstop.pages.views.words import glossary, terms_in


@dataclass(frozen=True)
class Matter:
    """What the pages of a house are about, beside its recipes."""

    house: House
    pages: Sequence[MarkdownPage]
    course: Sequence[Session]
    names: markdown.Names
    learnt: Learnt | None


def bundles(matter: Matter, recipes: Sequence[Summary]) -> Iterator[Bundle]:
    """Every file of the site that is not a recipe's own."""
    house = matter.house
    yield static_bundle(house.studio)
    yield Bundle((addresses.INDEX,), (house, tuple(one.listed for one in recipes)), _index)
    built = [one for one in recipes if not one.safety_halts]
    needs = tuple((one.step(addresses.GEAR), one.crossed.needs) for one in recipes)
    yield Bundle((addresses.GEAR,), (house, needs), _gear)
    reached = tuple((one.step(addresses.ROOM), one.crossed.walls) for one in built)
    yield Bundle((addresses.ROOM,), (house, reached), _room)
    minds = tuple((one.step(addresses.SAFETY), one.crossed.minds) for one in recipes)
    halted = tuple((one.step(addresses.SAFETY), one.safety_halts) for one in recipes if one.safety_halts)
    yield Bundle((addresses.SAFETY,), (house, halted, minds), _safety)
    yield Bundle((addresses.HOW,), (house,), _how)
    terms = tuple((one.step(addresses.WORDS), one.crossed.terms) for one in recipes)
    yield Bundle((addresses.WORDS,), (house, terms, tuple(_prose(matter))), _words)
    if matter.learnt is not None and matter.learnt.plans:
        yield Bundle((addresses.READINGS,), (house, matter.learnt.plans, matter.learnt.rig), _readings)
    for page in matter.pages:
        links = links_of(page.text, matter.names)
        yield Bundle((addresses.house_page(page.slug),), (house, page, links), _house_page)
    made = matter.course
    for session, after in zip(made, [*made[1:], None], strict=False):
        following = Step(after.title, addresses.link(session.path, after.path)) if after else None
        links = links_of(session.page.text, matter.names)
        yield Bundle((session.path,), (house, session, following, links), _session)
    if made:
        yield Bundle((addresses.COURSE, addresses.SHEET, addresses.ANSWERS), (house, tuple(made)), _course)


def _prose(matter: Matter) -> Iterator[tuple[Step, tuple[str, ...]]]:
    """The house's own pages and the course's sessions, each with the words of the glossary in it."""
    texts = [
        *((page.title, addresses.house_page(page.slug), page.text) for page in matter.pages),
        *((f"Course: {one.title}", one.path, one.page.text) for one in matter.course),
    ]
    for title, path, text in texts:
        yield Step(title, addresses.link(addresses.WORDS, path)), terms_in(text)


def links_of(text: str, names: markdown.Names) -> tuple[tuple[str, str], ...]:
    """What a text's links name, with where that stands; without what there isn't."""
    return answered(asked_by(text), names)


def answered(asks: Iterable[str], names: markdown.Names) -> tuple[tuple[str, str], ...]:
    """Names with where they stand; without what there isn't."""
    return tuple((name, path) for name in asks if (path := names.find(name)) is not None)


def static_bundle(studio: Studio) -> Bundle:
    """What the theme brings along."""
    return Bundle((addresses.STATIC,), (studio.theme,), _static)


def _static(theme: str) -> Written:
    return Written({f"{addresses.STATIC}/{name}": data for name, data in static_files(theme)})


def _index(house: House, listed: Sequence[Listed]) -> Written:
    about, title = house.studio.about or "", house.studio.name
    page = house.page(addresses.INDEX, "index.html", title, about=about, view=index(listed))
    return Written({addresses.INDEX: page})


def _gear(house: House, needs: Needed) -> Written:
    tables = gear_tables(house.studio, needs)
    return Written({addresses.GEAR: house.page(addresses.GEAR, "gear.html", "Gear", tables=tables)})


def _room(house: House, recipes: Sequence[tuple[Step, Walls]]) -> Written:
    room = house.studio.room
    size = (("width", room.width), ("length", room.length), ("height", room.height))
    told = {"walls": walls.rows(recipes), "walls_say": walls.says(recipes)}
    values = {"table": room_table(house.studio), "size": size, "room": room, **told}
    return Written({addresses.ROOM: house.page(addresses.ROOM, "room.html", "Room", **values)})


def _safety(
    house: House,
    halted: Sequence[tuple[Step, Sequence[Shown]]],
    minds: Sequence[tuple[Step, Sequence[str]]],
) -> Written:
    here = {rule: listing((step, rule in found) for step, found in minds) for rule in RULES}
    values = {"halted": halted, "fastest": house.studio.habits.fastest, "here": here}
    return Written({addresses.SAFETY: house.page(addresses.SAFETY, "safety.html", "Safety", **values)})


def _how(house: House) -> Written:
    values = {
        "checks": CHECKS,
        "habits": house.studio.habits,
        "agreement": AGREEMENT,
        "bins": BINS,
        "chart": of_agreement(house.look),
        "calibrated": CALIBRATED,
        "omissions": OMISSIONS,
    }
    return Written({addresses.HOW: house.page(addresses.HOW, "how.html", "How it is computed", **values)})


def _words(
    house: House, recipes: Sequence[tuple[Step, Sequence[str]]], pages: Sequence[tuple[Step, Sequence[str]]]
) -> Written:
    words = glossary(recipes, pages)
    return Written({addresses.WORDS: house.page(addresses.WORDS, "words.html", "Words", words=words)})


def _readings(house: House, plans: Sequence[PlanWords], rig: Sequence[str]) -> Written:
    path = addresses.READINGS
    shown = {"plans": plans, "before": BEFORE, "cautions": (*rig, *CAUTIONS)}
    return Written({path: house.page(path, "readings.html", "Readings", **shown)})


def _house_page(house: House, page: MarkdownPage, links: Sequence[tuple[str, str]]) -> Written:
    path = addresses.house_page(page.slug)
    # the title is the first line
    text = written_notes(page.text, page.file, path, dict(links), 2, "", 2)
    return Written({path: house.page(path, "page.html", page.title, body=markup(text.html))}, text.faults)


def _session(house: House, session: Session, after: Step | None, links: Sequence[tuple[str, str]]) -> Written:
    """One session of the course: its text, and what is asked after it."""
    page, path = session.page, session.path
    text = written_notes(page.text, page.file, path, dict(links), 2, "", 2)
    home = addresses.link(path, addresses.COURSE)
    values = {"session": session, "body": markup(text.html), "after": after, "contents": home}
    return Written({path: house.page(path, "session.html", session.title, **values)}, text.faults)


def _course(house: House, made: Sequence[Session]) -> Written:
    """The page that leads to the sessions, and what is asked on paper."""
    papers = ((addresses.SHEET, "Questions", False), (addresses.ANSWERS, "Answers", True))
    files = {
        path: house.page(path, "sheet.html", title, sessions=made, answers=answers)
        for path, title, answers in papers
    }
    contents = house.page(addresses.COURSE, "course.html", "Course", sessions=made)
    return Written({addresses.COURSE: contents, **files})


def names_of(recipes: Iterable[tuple[str, str]], pages: Iterable[MarkdownPage]) -> markdown.Names:
    """What links may call things of the book; `recipes` as slug and title, of several the first."""
    found: dict[str, str] = {}
    for slug, title in recipes:
        for name in (slug, title, slug.partition("-")[2]):
            if name:
                found.setdefault(name.casefold(), addresses.recipe(slug))
    own = {
        name.casefold(): addresses.house_page(page.slug) for page in pages for name in (page.slug, page.title)
    }
    fixed = {
        "gear": addresses.GEAR,
        "room": addresses.ROOM,
        "safety": addresses.SAFETY,
        "how": addresses.HOW,
        "words": addresses.WORDS,
        "index": addresses.INDEX,
    }
    return markdown.Names(found, fixed | own)
