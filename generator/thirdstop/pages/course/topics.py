"""What can be asked after each session's text, and which questions a book's recipes give."""

from collections.abc import Sequence

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


def questions(topic: str, done: Sequence[Evaluated]) -> tuple[Question, ...]:
    """Up to `MOST` questions of a topic: its kinds in turn, each of another recipe as long as there are any.

    Recipes with a halt on safety are not asked about: nobody builds them. KeyError for a topic that is none.
    """
    makers = TOPICS[topic]
    chosen: list[Question] = []
    for evaluated in done:
        if len(chosen) == MOST:
            break
        first = len(chosen) % len(makers)
        # the kind whose turn it is, else the next one that this recipe has something to ask of
        made = (make(evaluated) for make in (*makers[first:], *makers[:first]) if not evaluated.safety_halts)
        texts = {other.text for other in chosen}
        chosen += [one for one in made if one is not None and one.text not in texts][:1]
    return tuple(chosen)
