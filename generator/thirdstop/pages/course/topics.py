"""What can be asked after each session's text, and which questions a book's recipes give."""

from collections.abc import Iterable, Sequence
from hashlib import sha256
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
Marked: TypeAlias = dict[str, tuple[str | None, ...]]
"""The same, each question by a mark that two have only if they read alike."""


def asked_of(evaluated: Evaluated) -> Questions:
    """Every question that a recipe gives; none of one with a halt on safety: nobody builds it."""
    if evaluated.safety_halts:
        return {}
    return {topic: tuple(make(evaluated) for make in makers) for topic, makers in TOPICS.items()}


def questions(topic: str, done: Sequence[Evaluated]) -> tuple[Question, ...]:
    """Up to `MOST` questions of a topic: its kinds in turn, each of another recipe as long as there are any.

    KeyError for a topic that is none.
    """
    makers = TOPICS[topic]
    asked = [asked_of(one).get(topic, (None,) * len(makers)) for one in done]
    found = chosen([[one.text if one else None for one in each] for each in asked])
    made = (asked[at][kind] for at, kind in found)
    return tuple(one for one in made if one is not None)


def marks_of(asked: Questions) -> Marked:
    """What stands for a recipe's questions while they are chosen from."""
    return {
        topic: tuple(None if one is None else sha256(one.text.encode()).hexdigest()[:16] for one in each)
        for topic, each in asked.items()
    }


def chosen(marked: Iterable[Sequence[str | None]]) -> list[tuple[int, int]]:
    """Which recipe's question of which kind, out of what stands for each recipe's questions of one topic."""
    found: list[tuple[int, int]] = []
    taken: set[str] = set()
    for at, marks in enumerate(marked):
        if len(found) == MOST:
            break
        for turn in range(len(marks)):
            # the kind whose turn it is, else the next one that this recipe has something to ask of
            kind = (len(found) + turn) % len(marks)
            mark = marks[kind]
            if mark is not None and mark not in taken:
                taken.add(mark)
                found.append((at, kind))
                break
    return found
