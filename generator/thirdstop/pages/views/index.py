"""The index: every recipe as a small plan with its figures, and what it is found, filtered and sorted by."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from hashlib import sha256

from markupsafe import Markup

from thirdstop.book.feet import half_inches
from thirdstop.checks.backdrop import facing_reflectance, tone_stops
from thirdstop.checks.places import backdrop_point, background
from thirdstop.checks.severity import by_severity, unstated
from thirdstop.pages import addresses, figures
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import briefly, sought
from thirdstop.pages.views.card import number_of
from thirdstop.pages.views.headline import Headline, five, highest_m

_RATIOS = ((3.0, "under 3:1"), (5.0, "3:1 to 5:1"), (float("inf"), "5:1 and over"))
_TONES = ((-3.0, "near black"), (-1.0, "dark"), (1.0, "mid"), (float("inf"), "light"))
"""Stops from mid-grey, up to which a backdrop is called so."""


@dataclass(frozen=True)
class Entry:
    """One recipe."""

    number: str
    title: str
    purpose: str
    address: str
    card: str
    on_set: str
    thumbnail: Drawn
    five: tuple[Headline, ...]
    halted: bool
    faults: str
    """The worst that the checks find wrong, and how many more; empty where nothing is, or it halts."""
    words: tuple[str, ...]
    """What holds for it, each with its kind: 'people=one person'."""
    gear: tuple[str, ...]
    """Lamps, shapers, cards, panels and booms without which it can't be built."""
    ceiling_cm: int
    """How high the room must be, rounded up."""
    ceiling_half_inches: int
    """The same as it is shown in feet."""
    ratio_stops: float
    revised: str
    search: str
    """What a search looks through word by word, in lower case."""
    phrases: tuple[str, ...]
    """What it takes as a whole, in lower case."""


@dataclass(frozen=True)
class FilterGroup:
    """Words of one kind; those that are chosen of one kind are alternatives."""

    name: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Listed:
    """One recipe's entry, filled in, with what it has in common with others or not."""

    html: Markup = field(repr=False)
    kinds: dict[str, tuple[str, ...]]
    gear: tuple[str, ...]
    ceiling_cm: int
    key: str
    """A digest of the HTML, which stands for it where the entry shows itself: that is long, and looked at for
    every recipe each time.
    """


def listed(html: str, kinds: dict[str, tuple[str, ...]], gear: tuple[str, ...], ceiling_cm: int) -> Listed:
    """An entry, its digest worked out."""
    return Listed(Markup(html), kinds, gear, ceiling_cm, sha256(html.encode()).hexdigest())


@dataclass(frozen=True)
class Index:
    """The first page."""

    entries: tuple[Markup, ...]
    groups: tuple[FilterGroup, ...]
    ceilings: tuple[tuple[int, int, str], ...]
    """Heights to choose from, every 10 cm: centimetres, half inches rounded up, and in words."""
    gear: tuple[str, ...]
    """Everything that some recipe needs and some other one doesn't."""


def index(entries: Sequence[Listed]) -> Index:
    """The entries in their order, and those filter words that tell some of them apart."""
    kinds = [one.kinds for one in entries]
    # what was kept comes back as plain text
    filled = tuple(Markup(one.html) for one in entries)
    return Index(filled, tuple(_groups(kinds)), _ceilings(entries), _telling_gear(entries))


def entry_of(evaluated: Evaluated, thumbnail: Drawn, kinds: dict[str, tuple[str, ...]]) -> Entry:
    """A recipe's entry; `kinds` as `kinds_of` has them."""
    recipe, slug = evaluated.recipe, evaluated.slug
    gear = _gear(evaluated)
    ceiling_cm = round(float(figures.length_up(highest_m(evaluated.staging)).value) * 100)
    shown = five(evaluated)
    # a phrase is taken as a whole, never word by word: 'one person' has no light
    said = [word for found in kinds.values() for word in found if " " not in word]
    return Entry(
        number=number_of(slug),
        title=evaluated.title,
        purpose=recipe.purpose,
        address=addresses.recipe(slug),
        card=addresses.card(slug),
        on_set=addresses.on_set(slug),
        thumbnail=thumbnail,
        five=shown,
        halted=bool(evaluated.safety_halts),
        faults="" if evaluated.safety_halts else _faults(evaluated),
        words=tuple(f"{kind}={word}" for kind, found in kinds.items() for word in found),
        gear=gear,
        ceiling_cm=ceiling_cm,
        ceiling_half_inches=half_inches(highest_m(evaluated.staging), up=True),
        ratio_stops=round(evaluated.readings.ratio.stops, 3),
        revised=str(recipe.revised) if recipe.revised else "",
        search=" ".join(
            [evaluated.title, recipe.purpose, *recipe.tags, *said, *sought.also(evaluated, kinds), *gear]
        ).casefold(),
        phrases=sought.phrases(evaluated, kinds, shown, ceiling_cm),
    )


def _faults(evaluated: Evaluated) -> str:
    """What only isn't stated is no fault."""
    found = [one for one in by_severity(evaluated.findings) if one.verdict != "pass" and not unstated(one)]
    if not found:
        return ""
    worst = briefly.line(evaluated.staging, found[0]).removeprefix("Halt: ").partition(": ")[0]
    return worst + (f"; {len(found) - 1} more" if len(found) > 1 else "") + "."


def kinds_of(evaluated: Evaluated) -> dict[str, tuple[str, ...]]:
    """What the recipe is, by kind of word."""
    sitters = evaluated.staging.sitters
    return {
        "ratio": (ratio_group(evaluated.readings.ratio.ratio),),
        "lights": (figures.counted(len(evaluated.recipe.lights), "light", "lights"),),
        "people": (figures.counted(len(sitters), "person", "people"),),
        "pose": tuple(dict.fromkeys(sitter.pose for sitter in sitters)),
        "headwear": ("hat" if any(sitter.hat for sitter in sitters) else "no hat",),
        "glasses": ("glasses" if any(sitter.glasses for sitter in sitters) else "no glasses",),
        "backdrop": _tone(evaluated),
    }


def ratio_group(ratio: float) -> str:
    """Its filter's words, by the figure that is shown: 4.97 shows as 5:1, which is '5:1 and over'."""
    shown = figures.ratio(ratio).removesuffix(":1")
    # only what is above every limit has a word before its figure
    value = float("inf") if shown.startswith("above ") else float(shown)
    return next((words for limit, words in _RATIOS if value < limit), _RATIOS[-1][1])


def _tone(evaluated: Evaluated) -> tuple[str, ...]:
    """How the backdrop comes out behind the head; nothing where it isn't measured."""
    point = backdrop_point(evaluated.staging)
    if point is None or point not in evaluated.readings.readings:
        return ()
    reflectance = facing_reflectance(evaluated.staging, background(evaluated.staging))
    tone = tone_stops(evaluated.readings[point].stops_from_key, reflectance)
    return (next(words for limit, words in _TONES if tone < limit),)


def _gear(evaluated: Evaluated) -> tuple[str, ...]:
    """What must be owned: lamps, shapers, grids, panels, booms."""
    items = evaluated.staging.items
    lights = evaluated.recipe.lights
    found = [part for light in lights for part in (light.lamp, light.shaper, light.grid) if part]
    found += [item.gear for item in items if item.kind in ("card", "blocker")]
    found += [item.support.boom for item in items if item.support and item.support.boom]
    return tuple(dict.fromkeys(found))


def _telling_gear(entries: Sequence[Listed]) -> tuple[str, ...]:
    owned = Counter(name for entry in entries for name in entry.gear)
    return tuple(name for name in sorted(owned) if owned[name] < len(entries))


def _ceilings(entries: Sequence[Listed]) -> tuple[tuple[int, int, str], ...]:
    """Every 10 cm from where some recipe fits to where all do; none where all need the same.

    In feet they are rounded up as the heights of recipes are: what stands under one in metres
    does so in feet.
    """
    tens = sorted({-(-entry.ceiling_cm // 10) * 10 for entry in entries})
    if len(tens) < 2:
        return ()
    heights = [(cm, figures.length_up(cm / 100)) for cm in tens]
    return tuple((cm, half_inches(cm / 100, up=True), figures.told(height)) for cm, height in heights)


def _groups(kinds: list[dict[str, tuple[str, ...]]]) -> list[FilterGroup]:
    groups = []
    for name in kinds[0] if kinds else ():
        words = {word for found in kinds for word in found[name]}
        if any(set(found[name]) != words for found in kinds):
            groups.append(FilterGroup(name, _ordered(name, words)))
    return groups


def _ordered(name: str, words: set[str]) -> tuple[str, ...]:
    for kind, steps in (("ratio", _RATIOS), ("backdrop", _TONES)):
        if name == kind:
            return tuple(label for _, label in steps if label in words)
    return tuple(sorted(words, key=lambda word: (not word.startswith("one "), word.startswith("no "), word)))
