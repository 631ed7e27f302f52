"""Questions about what to do when the set reads otherwise: from the recipe's own correction table."""

from thirdstop.pages.course.question import Question, question
from thirdstop.pages.evaluated import Evaluated


def row(evaluated: Evaluated, number: int = 0) -> Question | None:
    """What a row of the table shows, with the answers of the other rows to choose from."""
    rows = [one for one in evaluated.corrections if one.do]
    if number >= len(rows):
        return None
    asked = rows[number]
    others = [one for one in rows if one.do != asked.do][:3]
    return question(
        evaluated,
        f"{asked.shows.rstrip('.')}. What do you do?",
        (asked.do, f"Taken as the cause: {asked.cause}." if asked.cause else "By the recipe's table."),
        [(one.do, f"That answers another case: {one.shows.rstrip('.')}.") for one in others],
    )


def second_row(evaluated: Evaluated) -> Question | None:
    """The same of the table's second row."""
    return row(evaluated, 1)


def third_row(evaluated: Evaluated) -> Question | None:
    """The same of the table's third row."""
    return row(evaluated, 2)
