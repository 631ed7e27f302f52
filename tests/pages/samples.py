"""The demo book computed quickly: one scan of each scene, without the bands of place and paint."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from thirdstop.book.book import Book
from thirdstop.book.defaults import defaults_of
from thirdstop.book.studio import Studio
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.pages.evaluated import Evaluated
from thirdstop.placing.correction import Correction
from thirdstop.placing.curve import KeyCurve, RatioCurve
from thirdstop.placing.mirror_set import MirrorSet, mirror_recipe
from thirdstop.running import StagedRecipe, fill_curve, open_and_stage
from thirdstop.staging.resolve import stage

DEMO = Path(__file__).resolve().parents[2] / "recipes"

CORRECTIONS = (
    Correction(
        "The shadow side (right cheek) reads f/4 + 6/10, 1/3 stop over.",
        "Aim 'card' again first: between key and face. Then 'card' goes to a string of 90 cm. "
        "Then meter the key again.",
        "'card' and the room return about 18 % more light than assumed",
        "shadow side f/4 + 3/10, ratio 3.8:1",
        "backdrop from key +0.1 stop",
        "Shadow f/4 + 6/10, 1/3 stop over: aim card again, then a string of 90 cm; then meter the key again",
    ),
    Correction(
        "The shadow side (right cheek) reads f/2.8 + 7/10, 1/3 stop under.",
        "Aim 'lap card' again first: between key and face. No place of it brings the ratio back: the "
        "nearest that fits is 4.5:1, where 'lap card' goes to a string of 65 cm: nearer it helps no more.",
        "'lap card' and the room return about 16 % less light than assumed",
        "ratio 4.5:1 if left as it is",
        "key reading −0.1 stop",
        "Shadow f/2.8 + 7/10, 1/3 stop under: aim lap card again; "
        "then a string of 65 cm, 4.5:1 is the best to be had: nearer it helps no more",
    ),
    Correction(
        "The key reads f/8 + 3/10, 1/3 stop over.",
        "Turn key down 1 click, to click 15 (1/16 + 2/3). Then read the shadow side.",
        "'key' gives 1/3 stop more than it is known for",
        "key f/8, ratio 4:1",
    ),
    Correction(
        "The sitter has leaned in by 10 cm: key f/8 + 1/10, ratio 4.5:1.",
        "Bring the nose back over M; no click is needed meanwhile. "
        "A drift of 21 cm to the key or 26 cm from it keeps 1/3 stop.",
        "the nose stands 10 cm nearer to the camera than M",
        "key f/8, ratio 4:1",
        "nothing else by 0.1 stop or more",
        "Sitter 10 cm nearer reads f/8 + 1/10, 4.5:1: nose back over M; "
        "drift of 21 cm to the key or 26 cm from it keeps 1/3 stop",
    ),
    Correction(
        "The sitter is taller: eyes at 1.32 m.",
        "Raise camera, key and cards by 10 cm, same strings.",
        "eyes 10 cm higher, the same pose",
        "key f/8, ratio 3.9:1",
        "nothing else by 0.1 stop or more",
        "Sitter 10 cm taller, eyes 1.32 m: raise camera, key and cards by 10 cm, same strings",
    ),
)
"""As the demo's recipes have them, the longest of their kind among them."""

HALT = Finding(
    "statics",
    "halt",
    "key: stand",
    "The lamp 'key' tips by itself.",
    "Use a heavier stand.",
    safety=True,
)


def evaluated(staged: StagedRecipe) -> Evaluated:
    """A recipe with readings from one scan, and findings that follow from them."""
    staging = staged.staging
    readings = read(staging, solve(staging.scene, SCAN))
    findings = check(staging, readings)
    defaults = tuple(defaults_of(staged.loaded.recipe))
    return Evaluated(staged.loaded, staging, readings, findings, defaults, CORRECTIONS)


MOVES = RatioCurve(
    card="card",
    distances_m=np.array([0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1.2]),
    ratios=np.array([2.74, 3.29, 3.93, 4.2, 4.68, 5.52, 7.9]),
    key_stops=np.array([0.51, 0.25, 0.03, 0.0, -0.06, -0.12, -0.2]),
    chosen_m=0.75,
    in_frame_to_m=0.55,
)
"""A curve with numbers of its own, and a gap in which nothing was computed."""


KEY_MOVES = KeyCurve(
    lamp="key",
    distances_m=np.array([0.85, 0.95, 1.07, 1.2, 1.35, 1.7]),
    ratios=np.array([3.9, 4.04, 4.02, 3.9, 3.72, 3.3]),
    key_stops=np.array([0.9, 0.6, 0.3, 0.0, -0.3, -0.9]),
    shows=np.array([True, False, False, False, False, False]),
    joined=np.array([True, True, True, True, False]),
    chosen_m=1.2,
)
"""Likewise of the key: in the picture at its nearest place, with a gap before the last."""


def with_moves(each: Evaluated, studio: Studio) -> Evaluated:
    """The recipe with curves of its card and its key, and mirrored by one scan."""
    recipe = mirror_recipe(each.recipe, studio, None)
    staging, _ = stage(recipe, studio, each.loaded.marks, each.slug)
    assert staging is not None
    staging = charge(staging)
    readings = read(staging, solve(staging.scene, SCAN))
    differs = ("The sides stand 0.2 stop more apart than in the set-up as it was written.",)
    mirror = MirrorSet("", None, readings, check(staging, readings), MOVES, differs)
    return replace(
        each, moves=MOVES, key_moves=KEY_MOVES, curve=fill_curve(MOVES, each.readings.ratio), mirror=mirror
    )


@cache
def demo() -> tuple[Book, tuple[Evaluated, ...]]:
    """The whole demo book."""
    return of_book(DEMO)


def of_book(root: Path) -> tuple[Book, tuple[Evaluated, ...]]:
    """A book with every recipe evaluated."""
    book, staged = open_and_stage(root)
    done = list(map(evaluated, staged))
    if root == DEMO:
        done[0] = with_moves(done[0], book.studio)
        done[2] = replace(done[2], mirror=MirrorSet("Mirrored it can't be built: the door is in the way."))
    return book, tuple(done)


def one(slug: str) -> Evaluated:
    """One demo recipe."""
    return next(each for each in demo()[1] if each.slug == slug)


def halted(each: Evaluated) -> Evaluated:
    """The same recipe with a halt on safety."""
    return replace(each, findings=(HALT, *each.findings))


ADDRESS = "https://example.org/book/"
"""Where a book may stand on the web."""


@cache
def shown() -> list[Evaluated]:
    """The demo book's recipes with one of them halted, as the demo site has them."""
    _, done = demo()
    return [halted(each) if each is done[1] else each for each in done]
