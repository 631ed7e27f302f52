"""The index: every recipe as a small plan with its figures, and the words it is found by."""

from collections.abc import Iterable
from dataclasses import dataclass

from thirdstop.pages import addresses, figures
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.card import number_of
from thirdstop.pages.views.headline import Headline, five, highest_m

_RATIOS = ((3.0, "under 3:1"), (5.0, "3:1 to 5:1"), (float("inf"), "5:1 and over"))


@dataclass(frozen=True)
class Entry:
    """One recipe."""

    number: str
    title: str
    purpose: str
    address: str
    card: str
    thumbnail: Drawn
    five: tuple[Headline, ...]
    halted: bool
    words: tuple[str, ...]
    """Filter words that hold for it."""
    search: str
    """What a search looks through, in lower case."""


@dataclass(frozen=True)
class FilterGroup:
    """Words of one kind, of which one may be chosen."""

    name: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Index:
    """The first page."""

    entries: tuple[Entry, ...]
    groups: tuple[FilterGroup, ...]


def index(done: Iterable[Evaluated], thumbnails: Iterable[Drawn]) -> Index:
    """The entries in book order, and those filter words that tell some of them apart."""
    pairs = list(zip(done, thumbnails, strict=True))
    sorts = [_sorts(evaluated) for evaluated, _ in pairs]
    entries = tuple(
        _entry(evaluated, drawn, found) for (evaluated, drawn), found in zip(pairs, sorts, strict=True)
    )
    return Index(entries, tuple(_groups(sorts)))


def _entry(evaluated: Evaluated, thumbnail: Drawn, sorts: dict[str, tuple[str, ...]]) -> Entry:
    recipe = evaluated.recipe
    words = tuple(word for found in sorts.values() for word in found)
    return Entry(
        number=number_of(evaluated.slug),
        title=evaluated.title,
        purpose=recipe.purpose,
        address=addresses.recipe(evaluated.slug),
        card=addresses.card(evaluated.slug),
        thumbnail=thumbnail,
        five=five(evaluated),
        halted=bool(evaluated.safety_halts),
        words=words,
        search=" ".join([evaluated.title, recipe.purpose, *recipe.tags, *words]).casefold(),
    )


def _sorts(evaluated: Evaluated) -> dict[str, tuple[str, ...]]:
    """What the recipe is, by kind of word."""
    staging = evaluated.staging
    people = len(staging.sitters)
    ratio = evaluated.readings.ratio.ratio
    gear = [item.gear.split(" on ")[0] for item in staging.items if item.kind == "lamp"]
    gear += [item.gear for item in staging.items if item.kind in ("card", "blocker")]
    gear += [item.support.boom for item in staging.items if item.support and item.support.boom]
    worn = [word for word in ("hat", "glasses") if any(getattr(sitter, word) for sitter in staging.sitters)]
    return {
        "ratio": (next(words for limit, words in _RATIOS if ratio < limit),),
        "people": ("one person" if people == 1 else f"{people} people",),
        "worn": tuple(worn) or ("nothing on the face",),
        "pose": tuple(dict.fromkeys(sitter.pose for sitter in staging.sitters)),
        "ceiling": (f"under {figures.length_up(_half_step_up(highest_m(staging)))}",),
        "gear": tuple(dict.fromkeys(gear)),
    }


def _half_step_up(height_m: float) -> float:
    """The next 10 cm, so that ceilings fall into few groups."""
    return -(-round(height_m * 100) // 10) / 10


def _groups(sorts: list[dict[str, tuple[str, ...]]]) -> list[FilterGroup]:
    groups = []
    for name in sorts[0] if sorts else ():
        words = {word for found in sorts for word in found[name]}
        if any(set(found[name]) != words for found in sorts):
            groups.append(FilterGroup(name, _ordered(name, words)))
    return groups


def _ordered(name: str, words: set[str]) -> tuple[str, ...]:
    if name == "ratio":
        return tuple(label for _, label in _RATIOS if label in words)
    return tuple(sorted(words, key=lambda word: (word != "one person", word)))
