"""The glossary: every word with its one meaning, and where in the book it is used."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from thirdstop.checks.registry import CHECKS
from thirdstop.pages import addresses
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import Step
from thirdstop.pages.views import things
from thirdstop.pages.views.listing import Listing, listing


@dataclass(frozen=True)
class Term:
    """A word."""

    anchor: str
    title: str
    text: str
    forms: str = ""
    """How it is written in prose, as a regular expression; left out: the anchor, or with an s."""
    at: tuple[tuple[str, str], ...] = ()
    """Fixed pages that have it: title and path."""

    @property
    def pattern(self) -> str:
        """What is looked for in prose."""
        return rf"(?i)\b(?:{self.forms or self.anchor + 's?'})\b"


_GEAR, _ROOM, _HOW, _SAFETY = (
    (title, path)
    for title, path in (
        ("Gear", addresses.GEAR),
        ("Room", addresses.ROOM),
        ("How it is computed", addresses.HOW),
        ("Safety", addresses.SAFETY),
    )
)


def _part(page: tuple[str, str], anchor: str, title: str) -> tuple[str, str]:
    return f"{page[0]}: {title}", f"{page[1]}#{anchor}"


TERMS = (
    Term(
        "mark",
        "mark, M",
        "The taped point on the floor under the sitter’s nose. Everything is measured from it; its own place "
        "is given from two walls.",
        "the mark|M",
    ),
    Term(
        "lamp",
        "lamp, shaper",
        "The flash head, and the box, dish, grid or umbrella on its front.",
        "lamps?|shapers?",
        (_part(_GEAR, "lamps", "lamps"), _part(_GEAR, "shapers", "shapers")),
    ),
    Term(
        "card",
        "card",
        "A panel that is meant to return light. The printed page is always called the set-up card.",
        "(?<!set-up )cards?",
        (_part(_GEAR, "cards-and-panels", "cards and panels"), _part(_GEAR, "surfaces", "surfaces of cards")),
    ),
    Term(
        "blocker",
        "blocker",
        "A panel that is meant to stop light: a flag, a net, or black beside the face.",
        "blockers?|flags?|nets?",
        (_part(_GEAR, "cards-and-panels", "cards and panels"),),
    ),
    Term(
        "boom",
        "boom",
        "An arm on a stand that carries a load beside it: so far its reach, from so far round its stand’s "
        "side.",
        "",
        (_part(_SAFETY, "stands", "stands and booms"),),
    ),
    Term(
        "bag",
        "bag",
        "A sandbag that keeps a stand from tipping. It hangs on the column, or on the leg under the load "
        "where a recipe says so, clear of the floor.",
        "bags?|sandbags?",
        (_part(_GEAR, "sandbags", "sandbags"), _part(_SAFETY, "stands", "stands and booms")),
    ),
    Term(
        "set-up-card",
        "set-up card",
        "The printed sheet of one recipe: all that builds the set, on one page.",
        "set-up cards?",
    ),
    Term(
        "stand-tag",
        "stand tag",
        "A small sheet that hangs on a stand while the set is built: what goes onto it, where it stands, how "
        "heavy its bag is.",
        "(?:stand )?tags?",
    ),
    Term(
        "floor-point",
        "floor point",
        "Where the middle of a face stands plumb over the floor: so far along the camera line from M, so far "
        "across. A stand’s base has its own.",
        "floor points?",
    ),
    Term(
        "string",
        "string",
        "The straight distance from the tip of the nose to the middle of a face. A check, held in the hand.",
    ),
    Term(
        "bearing",
        "bearing",
        "The angle on the floor at M, from the line toward the camera, camera-left or camera-right.",
    ),
    Term(
        "lean",
        "lean",
        "The angle of a face from upright: 0° upright, 90° facing straight up or down.",
    ),
    Term(
        "swing",
        "swing",
        "Where a face looks on the plan, from the line toward the camera: 0° toward the camera, 180° away "
        "from it.",
    ),
    Term(
        "left-right",
        "camera-left, camera-right",
        "As the camera sees it; L and R for short. A sitter’s own left and right are called the sitter’s.",
        "camera-(?:left|right)",
    ),
    Term("stop", "stop", "Twice or half the light. A click is a third of one.", "stops?|clicks?"),
    Term(
        "receptor",
        "receptor",
        "The white part of the meter that light falls on: flat for what comes from one side, most from "
        "straight ahead; a dome for what comes from all round, half as much from square to the side, none "
        "from straight behind.",
        "receptors?|dome|flat disc",
        (_part(_HOW, "meter", "the meter"),),
    ),
    Term(
        "key-reading",
        "key reading",
        "The reading under the chin that sets the aperture.",
        "key readings?|reads? the key|meter the key",
        (_part(_HOW, "meter", "the meter"),),
    ),
    Term(
        "fill",
        "fill",
        "All light at a point but the key lamp’s own direct share.",
        "fill",
    ),
    Term(
        "budget",
        "budget",
        "A reading split by where its light last came from.",
        "",
        (_part(_ROOM, "walls", "what the walls do"),),
    ),
    Term(
        "ratio",
        "ratio",
        "How many times more light one point gets than another. ‘lit : shadow’ compares all that arrives; "
        "‘key : fill’ the key alone with the rest.",
        "",
        (_part(_HOW, "meter", "the meter"), _part(_ROOM, "walls", "what the walls do")),
    ),
    Term(
        "band",
        "band",
        "What a number may be off by: it holds nine cases in ten.",
        "",
        (_part(_HOW, "bands", "bands"),),
    ),
    Term("finding", "finding", "What a check says: pass, look, or halt.", "findings?|halts?", (_HOW,)),
    Term(
        "assumed",
        "assumed",
        "A value that nobody measured and no publication gave.",
        "assumed",
        (_GEAR, _ROOM),
    ),
    Term("default", "default", "A value that the recipe left out, with what stands in for it."),
)

_EVERY = frozenset(
    {
        *("mark", "floor-point", "string", "lean", "swing", "left-right", "lamp", "set-up-card"),
        *("stop", "receptor", "key-reading", "fill", "budget", "ratio", "band", "finding"),
    }
)
"""On the page of every recipe, whatever it is about."""


def _has(kind: str) -> Callable[[Evaluated], bool]:
    return lambda one: any(item.kind == kind for item in one.staging.items)


_USES: dict[str, Callable[[Evaluated], bool]] = {
    "card": _has("card"),
    "blocker": _has("blocker"),
    "boom": lambda one: any(item.support and item.support.boom for item in one.staging.items),
    "bag": lambda one: any(item.support and item.support.bag_mass_kg for item in one.staging.items),
    "stand-tag": lambda one: any(item.support for item in one.staging.items) and not one.safety_halts,
    "bearing": lambda one: any(light.at.bearing is not None for light in one.recipe.lights),
    "assumed": lambda one: any(
        "assumed" in detail for row in things.rows(one.staging, one.recipe) for detail in row.details
    ),
    "default": lambda one: bool(one.defaults),
}
"""Words that stand on a recipe's page only where the set-up has the thing."""


@dataclass(frozen=True)
class Entry:
    """A word on the page."""

    term: Term
    recipes: Listing
    pages: tuple[Step, ...]
    """Pages of the house, sessions of the course, checks, parts of fixed pages."""


def terms_of(evaluated: Evaluated) -> tuple[str, ...]:
    """Anchors of the words that a recipe's page uses: by its set-up, or in its own prose."""
    recipe = evaluated.recipe
    prose = terms_in(" ".join((recipe.purpose, recipe.notes, *recipe.steps)))
    return tuple(
        term.anchor
        for term in TERMS
        if term.anchor in _EVERY
        or term.anchor in prose
        or (term.anchor in _USES and _USES[term.anchor](evaluated))
    )


def terms_in(text: str) -> tuple[str, ...]:
    """Anchors of the words that stand in a text."""
    return tuple(term.anchor for term in TERMS if re.search(term.pattern, text))


def glossary(
    recipes: Sequence[tuple[Step, Sequence[str]]], pages: Sequence[tuple[Step, Sequence[str]]]
) -> tuple[Entry, ...]:
    """Every word with where it is used: recipes and pages, each with the anchors of its words."""
    checks = [
        (_to(f"Check: {one.title}", f"{addresses.HOW}#{one.name}"), terms_in(one.title)) for one in CHECKS
    ]
    return tuple(
        Entry(
            term,
            listing((step, term.anchor in used) for step, used in recipes),
            (
                *(_to(title, path) for title, path in term.at),
                *(step for step, used in (*pages, *checks) if term.anchor in used),
            ),
        )
        for term in TERMS
    )


def _to(title: str, path: str) -> Step:
    return Step(title, addresses.link(addresses.WORDS, path))
