"""What can be asked after each session's text, and which questions a book's recipes give."""

from collections.abc import Iterable, Sequence
from typing import TypeAlias

from thirdstop.pages.course import correcting, handling, lighting
from thirdstop.pages.course.question import Maker, Question
from thirdstop.pages.evaluated import Evaluated

TOPICS: dict[str, tuple[Maker, ...]] = {
    "safety": (handling.bag_place, handling.bag, handling.rhythm),
    "placing": (handling.floor_point,),
    "clicks": (handling.turn_back, handling.another_aperture),
    "distance": (lighting.farther,),
    "metering": (lighting.held, lighting.receptor),
    "ratio": (lighting.ratio, lighting.apart),
    "card": (lighting.card_moved, lighting.card_share),
    "room": (lighting.room_share, lighting.whole_fill),
    "correcting": (correcting.row, correcting.second_row, correcting.third_row),
}
"""By the word that a file of the course carries in its name: '2-clicks.md'."""

MOST = 6
"""Questions after one session."""


Questions: TypeAlias = dict[str, tuple[Question | None, ...]]
"""By topic what each of its kinds asks of one recipe."""


def asked_of(evaluated: Evaluated) -> Questions:
    """Every question that a recipe gives; none of one with a halt on safety: nobody builds it."""
    if evaluated.safety_halts:
        return {}
    return {topic: tuple(make(evaluated) for make in makers) for topic, makers in TOPICS.items()}


def questions(topic: str, done: Iterable[Evaluated]) -> tuple[Question, ...]:
    """Up to `MOST` questions of a topic: its kinds in turn, each of another recipe as long as there are any.

    KeyError for a topic that is none.
    """
    makers = TOPICS[topic]
    made = ([make(one) for make in makers] if not one.safety_halts else () for one in done)
    return chosen(len(makers), made)


def chosen(kinds: int, made: Iterable[Sequence[Question | None]]) -> tuple[Question, ...]:
    """The same out of what is asked of each recipe in turn; looks at no more recipes than it needs."""
    found: list[Question] = []
    for of_recipe in made:
        first = len(found) % kinds
        texts = {other.text for other in found}
        # the kind whose turn it is, else the next one that this recipe has something to ask of
        turn = (*of_recipe[first:], *of_recipe[:first])
        found += [one for one in turn if one is not None and one.text not in texts][:1]
        if len(found) == MOST:
            break
    return tuple(found)
