"""The course as pages show it: the sessions with their questions, the sheet, the record."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from thirdstop.book.book import MarkdownPage, topic_of
from thirdstop.pages import addresses
from thirdstop.pages.course.question import Option, Question
from thirdstop.pages.course.topics import Marked, Questions, chosen

LETTERS = "abcdef"


@dataclass(frozen=True)
class Answer:
    """An answer to choose, with the letter it has on paper."""

    letter: str
    text: str
    right: bool
    reason: str


@dataclass(frozen=True)
class Asked:
    """A question as it stands on a page."""

    number: int
    name: str
    """Of its form fields; unlike any other on the page."""
    recipe: str
    address: str
    """Of the recipe's page."""
    text: str
    answers: tuple[Answer, ...]

    @property
    def right(self) -> Answer:
        """The right answer."""
        return next(answer for answer in self.answers if answer.right)


@dataclass(frozen=True)
class Session:
    """A session: its text's page, and what is asked after it."""

    number: int
    page: MarkdownPage
    path: str
    asked: tuple[Asked, ...]

    @property
    def title(self) -> str:
        """As its file says."""
        return self.page.title

    @property
    def key(self) -> str:
        """Under which a browser remembers how far somebody came."""
        return self.page.slug


def sessions(
    course: Sequence[MarkdownPage], marked: Sequence[Marked], questions_of: Callable[[int], Questions]
) -> list[Session]:
    """The course's sessions; their links to recipes hold on every page of the course's folder.

    `marked` stands for what is asked of each recipe, in book order; `questions_of` says it of one, by place.
    """
    made = []
    for number, page in enumerate(course, 1):
        topic, path = topic_of(page.slug), addresses.session(page.slug)
        found = (questions_of(at)[topic][kind] for at, kind in chosen(one.get(topic, ()) for one in marked))
        asked = tuple(
            _asked(index, one, page.slug, path) for index, one in enumerate(found, 1) if one is not None
        )
        made.append(Session(number, page, path, asked))
    return made


def _asked(number: int, one: Question, slug: str, at: str) -> Asked:
    return Asked(
        number=number,
        name=f"{slug}-{number}",
        recipe=one.recipe,
        address=addresses.link(at, addresses.recipe(one.slug)),
        text=one.text,
        answers=tuple(map(_answer, LETTERS, one.options)),
    )


def _answer(letter: str, option: Option) -> Answer:
    return Answer(letter, option.text, option.right, option.reason)
