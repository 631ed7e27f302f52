"""Every page of the site, from the book and what was computed of its recipes."""

from collections.abc import Callable, Iterator, Sequence
from weakref import WeakKeyDictionary

from thirdstop.book.book import Book
from thirdstop.book.studio import Studio
from thirdstop.errors import Fault
from thirdstop.pages import addresses
from thirdstop.pages.course.pages import sessions
from thirdstop.pages.course.topics import Questions, asked_of
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import Step, Written, house_of
from thirdstop.pages.learnt import Learnt
from thirdstop.pages.of_house import Matter, answered, bundles, names_of, static_bundle
from thirdstop.pages.of_recipe import Around, card_of, page_at, pages_of, paths_of
from thirdstop.pages.rendering import render
from thirdstop.pages.summaries import Summary, summary_of
from thirdstop.pages.views.related import Seen, nearest


def whole_site(
    book: Book,
    done: Sequence[Evaluated],
    progress: Callable[[int], None] | None = None,
    learnt: Learnt | None = None,
) -> Written:
    """Every file of the site. `progress` is called with 1 after each recipe.

    `learnt` is how well the studio is known; without it the page of readings and all about it is left out.
    """
    written = Written()
    recipes = [_summary(one, book.studio.theme) for one in done]
    matter = matter_of(book, recipes, lambda at: asked_of(done[at]), learnt)
    for evaluated, around in zip(done, arounds(matter, recipes), strict=True):
        written.add(pages_of(matter.house, evaluated, around))
        if progress is not None:
            progress(1)
    for bundle in bundles(matter, recipes):
        written.add(bundle.make())
    return written


def matter_of(
    book: Book, recipes: Sequence[Summary], questions_of: Callable[[int], Questions], learnt: Learnt | None
) -> Matter:
    """What the pages of the house are made of; of the book its recipes are not looked at."""
    house = house_of(book.studio, book.pages, bool(book.course), bool(learnt and learnt.plans))
    names = names_of(((one.slug, one.title) for one in recipes), book.pages)
    return Matter(
        house, book.pages, sessions(book.course, [one.asked for one in recipes], questions_of), names, learnt
    )


def arounds(matter: Matter, recipes: Sequence[Summary]) -> Iterator[Around]:
    """For each recipe in turn what its pages show of the rest of the book."""
    near = nearest([Seen(one.slug, one.title, bool(one.safety_halts), one.look) for one in recipes])
    learnt = matter.learnt
    for at, one in enumerate(recipes):
        before, after = recipes[at - 1] if at else None, recipes[at + 1] if at + 1 < len(recipes) else None
        yield Around(
            before=_step(before, one.slug),
            after=_step(after, one.slug),
            near=near[at],
            links=answered(one.asks, matter.names),
            known=(learnt.worths.get(one.slug), learnt.shot.get(one.slug)) if learnt is not None else None,
        )


def _step(to: Summary | None, slug: str) -> Step | None:
    return to.step(addresses.recipe(slug)) if to is not None else None


_SUMMARIES: WeakKeyDictionary[Evaluated, dict[str, Summary]] = WeakKeyDictionary()


def _summary(evaluated: Evaluated, theme: str) -> Summary:
    """Made once as long as somebody holds the recipe: the preview asks for page after page."""
    made = _SUMMARIES.setdefault(evaluated, {})
    if theme not in made:
        made[theme] = summary_of(evaluated, theme)
    return made[theme]


def card_alone(book: Book, evaluated: Evaluated) -> Written:
    """The set-up card of one recipe with what it loads, at the same paths as in the site."""
    written = static_bundle(book.studio).make()
    written.add(card_of(house_of(book.studio, book.pages, bool(book.course), False), evaluated))
    return written


def some_pages(book: Book, done: Sequence[Evaluated], path: str) -> Written:
    """The file of this path, of a recipe alone, else with those that are made along with it; without it where
    the site has none.
    """
    folder = path.partition("/")[0]
    if folder == addresses.STATIC:
        return static_bundle(book.studio).make()
    recipes = [_summary(one, book.studio.theme) for one in done]
    if folder == "recipes":
        return _recipe_page(book, done, recipes, path)
    matter = matter_of(book, recipes, lambda at: asked_of(done[at]), None)
    found = (bundle for bundle in bundles(matter, recipes) if path in bundle.paths)
    return next((bundle.make() for bundle in found), Written())


def _recipe_page(book: Book, done: Sequence[Evaluated], recipes: Sequence[Summary], path: str) -> Written:
    house = house_of(book.studio, book.pages, bool(book.course), False)
    names = names_of(((one.slug, one.title) for one in recipes), book.pages)
    # the course asks about recipes; no recipe's page shows anything of it
    matter = Matter(house, book.pages, (), names, None)
    for evaluated, around in zip(done, arounds(matter, recipes), strict=True):
        if path in paths_of(evaluated.slug):
            return page_at(house, evaluated, around, path)
    return Written()


def faults_page(book: Book | None, path: str, faults: Sequence[Fault]) -> bytes:
    """What stands in place of a page while the book has faults; `book` is the last one that had none."""
    theme = book.studio.theme if book else Studio.model_fields["theme"].default
    house = book.studio.name if book else "thirdstop"
    values: dict[str, object] = {
        "root": addresses.to_root(path),
        "home": "",
        "house": house,
        "title": "Faults",
    }
    values |= {"menu": (), "units": "metric", "both_units": True, "faults": faults}
    return render(theme, "faults.html", values)
