"""A question with one right answer and wrong ones that come of known errors, each with its reason."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from thirdstop.pages.evaluated import Evaluated

FEWEST_WRONG = 2
"""With fewer wrong answers left, the question teaches nothing."""


@dataclass(frozen=True)
class Option:
    """An answer to choose, and why it is right or what error it comes of."""

    text: str
    right: bool
    reason: str


@dataclass(frozen=True)
class Question:
    """One question about one recipe."""

    slug: str
    """The recipe's."""
    recipe: str
    """The recipe's title."""
    text: str
    options: tuple[Option, ...]
    """In the order in which they are shown; exactly one is right."""

    @property
    def right(self) -> Option:
        """The right answer."""
        return next(option for option in self.options if option.right)


Maker: TypeAlias = Callable[[Evaluated], Question | None]
"""Makes a question of a recipe, or None where the recipe has nothing to ask of that kind."""


def question(
    evaluated: Evaluated, text: str, right: tuple[str, str], wrong: Sequence[tuple[str, str]]
) -> Question | None:
    """A question from a right and several wrong (answer, reason); None where too few wrong ones differ.

    Wrong answers that read like the right one, or like each other, are left out. The order hangs on the
    texts alone: the same each time, and no place is the right one's.
    """
    options = {right[0]: Option(right[0], True, right[1])}
    for answer, reason in wrong:
        options.setdefault(answer, Option(answer, False, reason))
    if len(options) <= FEWEST_WRONG:
        return None
    ordered = sorted(options.values(), key=lambda one: hashlib.sha256((text + one.text).encode()).digest())
    return Question(evaluated.slug, evaluated.title, text, tuple(ordered))
