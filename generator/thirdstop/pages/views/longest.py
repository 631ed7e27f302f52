"""What takes the room of a sheet that is too long: the longest of its texts, by their letters."""

from collections.abc import Iterable, Iterator

from thirdstop.pages.views.card import CardPage
from thirdstop.pages.views.tags import Tag

_NAMED = 3
"""So many are named."""


def longest_of_card(card: CardPage) -> str:
    """'the cautions (512 letters), the row of key (180 letters), …'."""
    return _longest(_of_card(card))


def longest_of_tags(tags: Iterable[Tag]) -> str:
    """The same of a recipe's stand tags."""
    return _longest(part for tag in tags for part in _of_tag(tag))


def _of_card(card: CardPage) -> Iterator[tuple[str, str]]:
    yield "the title", card.title
    yield "the cautions", card.cautions
    yield "the doors", card.doors
    yield "what the checks say of safety", " ".join(look.text for look in card.looks if look.stays)
    for row in card.rows:
        yield f"the row of {row.name}", "; ".join(row.details)
    for power in card.powers:
        yield f"the power of {power.name}", " ".join((power.name, power.says, *power.details))


def _of_tag(tag: Tag) -> Iterator[tuple[str, str]]:
    yield f"the head of {tag.name}", tag.recipe + tag.carries
    for block in tag.blocks:
        yield f"{block.title} of {tag.name}", " ".join(block.says)
    for caution in tag.cautions:
        yield f"a caution of {tag.name}", caution


def _longest(parts: Iterable[tuple[str, str]]) -> str:
    ranked = sorted(parts, key=lambda part: -len(part[1]))[:_NAMED]
    return ", ".join(f"{name} ({len(text)} letters)" for name, text in ranked)
