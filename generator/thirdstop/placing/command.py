"""The command `place`: the book's recipe, an ask, an answer as text or JSON, and into the file."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any, Literal

from thirdstop.book.book import Book, LoadedRecipe, open_book, open_studio
from thirdstop.book.grammar import QuantityError
from thirdstop.book.marks import near
from thirdstop.book.naming import named
from thirdstop.book.quantities import Click
from thirdstop.book.ranges import parse_eye_height
from thirdstop.book.recipe import Recipe
from thirdstop.book.sources import STUDIO_FILE
from thirdstop.book.studio import Studio
from thirdstop.calibrating.history import changed
from thirdstop.checks.findings import Finding
from thirdstop.errors import BookFaults, UsageError
from thirdstop.exposure.readings import LampReading
from thirdstop.placing.answers import Answer, Placement, Reached, Suggestion, ThingPlaced
from thirdstop.placing.gear import used_gear
from thirdstop.placing.matching import Match, Wish, match
from thirdstop.placing.movers import ASPECTS, Aspect
from thirdstop.placing.placing import left_to_find, place
from thirdstop.placing.repeating import Repeated, repeat
from thirdstop.placing.telling import in_units, match_told, told
from thirdstop.placing.values import Changes, Value
from thirdstop.placing.writing import missing, write_recipe, written
from thirdstop.staging.studio_check import check_studio

PLACE_FORMAT = "thirdstop place 1"
MATCH_FORMAT = "thirdstop match 1"


@dataclass(frozen=True, eq=False)
class PlaceRun:
    """One run of the command."""

    book: Book
    loaded: LoadedRecipe
    answer: Answer

    @property
    def text(self) -> str:
        """For people."""
        studio = self.book.studio
        return in_units(told(self.answer, studio.meter.step.value), studio.habits.units)

    @property
    def json(self) -> dict[str, Any]:
        """For programs: docs/json.md."""
        return place_json(self.answer)

    @property
    def halts(self) -> bool:
        """Whether the answer has a halt that the recipe as it is has not."""
        best = self.answer.best
        return best is not None and any(finding.verdict == "halt" for finding in best.findings)


def run_place(
    root: FilePath, name: str, move: Sequence[str], also: Sequence[str], keep: Sequence[str]
) -> PlaceRun:
    """The answer for one recipe of the book in `root`.

    Raises BookFaults where the book can't be read, UsageError for names that there aren't.
    """
    book = _open(root)
    loaded = named(book.recipes, name)
    answer = place(loaded.recipe, book.studio, loaded.marks, loaded.slug, move, aspects(also), aspects(keep))
    return PlaceRun(book, loaded, answer)


def aspects(words: Sequence[str]) -> tuple[Aspect, ...]:
    """'bearing,height' → the aspects; raises UsageError for a word that is none."""
    found: list[Aspect] = []
    for word in (part.strip() for text in words for part in text.split(",")):
        known = next((aspect for aspect in ASPECTS if aspect == word), None)
        if known is None:
            hint = near(word, ASPECTS) or ", ".join(ASPECTS)
            raise UsageError(f"'{word}' can't be let move or held; write: {hint}")
        found.append(known)
    return tuple(found)


def write_answer(run: PlaceRun) -> list[str]:
    """Puts the answer into the recipe's file; the places that changed, dotted. Empty where nothing did."""
    best = run.answer.best
    assert best is not None
    changes = changes_to_write(run.loaded, best)
    if not changes:
        return []
    units = run.book.studio.habits.units
    text = written(run.loaded.text, run.loaded.marks, run.loaded.recipe, changes, units)
    write_recipe(run.book.root / run.loaded.file, run.loaded.text, text)
    return [
        ".".join(str(part + 1) if isinstance(part, int) else part for part in path) for path, _ in changes
    ]


def changes_to_write(loaded: LoadedRecipe, best: Placement) -> Changes:
    """The answer's values, and the clicks of lamps whose power the file says is to be found.

    A light that has a level keeps its power to be found: its click follows from the level each time.
    """
    lights = loaded.recipe.lights
    powers = [path for path in left_to_find(loaded.recipe) if path[-1] == "power"]
    unwritten = missing(loaded.marks, powers)
    clicks: list[tuple[tuple[str | int, ...], Value]] = [
        (path, Click(best.lamps[int(path[1])].click))
        for path in powers
        if path not in unwritten and lights[int(path[1])].level is None
    ]
    out_of_range = [lamp for lamp in best.lamps if not 1 <= lamp.click <= lamp.clicks]
    if clicks and out_of_range:
        raise UsageError(f"'{out_of_range[0].emitter}' has no such click; nothing was written")
    return (*best.changes, *clicks)


# Matching


@dataclass(frozen=True, eq=False)
class MatchRun:
    """One run of the command for another sitter, another room, or mirrored."""

    book: Book
    match: Match
    repeated: Repeated | None = None
    """The shoot of the log that is set up again; None where a recipe is matched."""

    @property
    def text(self) -> str:
        """For people."""
        lines = "\n".join([*self.repeated.told, "", ""]) if self.repeated is not None else ""
        studio = self.book.studio
        return in_units(lines + match_told(self.match, studio.meter.step.value), studio.habits.units)

    @property
    def json(self) -> dict[str, Any]:
        """For programs: docs/json.md."""
        found = match_json(self.match)
        if self.repeated is not None:
            shoot, others = self.repeated.shoot, self.repeated.others
            found["shoot"] = {
                "file": shoot.file,
                "set": list(changed(shoot)),
                "others": [one.file for one in others],
            }
        return found

    @property
    def halts(self) -> bool:
        """Whether it has a halt that the recipe had not."""
        return any(finding.verdict == "halt" for finding in self.match.findings)


def run_match(
    root: FilePath,
    name: str,
    eye_height: str | None,
    pose: str | None,
    studio: FilePath | None,
    mirror: bool,
    gear: Sequence[str] = (),
) -> MatchRun:
    """The recipe as it would be for another sitter, in another room, with other gear, or mirrored.

    Raises BookFaults where a file can't be read or nothing can be staged, UsageError for what can't be meant.
    """
    book = _open(root)
    loaded = named(book.recipes, name)
    eyes_m, posed = sitter_asked(eye_height, pose)
    there = None if studio is None else other_studio(studio)
    swaps = gear_swaps(gear, loaded.recipe, book.studio)
    wish = Wish(eyes_m, posed, there, mirror, swaps)
    return MatchRun(book, match(loaded.recipe, book.studio, loaded.marks, loaded.slug, wish))


def run_repeat(root: FilePath, name: str, eye_height: str | None, pose: str | None) -> MatchRun:
    """A set of the log again, for today's sitter.

    Raises BookFaults where a file can't be read or nothing can be staged, UsageError for what can't be meant.
    """
    eyes_m, posed = sitter_asked(eye_height, pose)
    found = repeat(root, name, Wish(eyes_m, posed))
    return MatchRun(found.book, found.match, found)


def sitter_asked(
    eye_height: str | None, pose: str | None
) -> tuple[float | None, Literal["seated", "standing"] | None]:
    """Eye height in metres and pose as typed; raises UsageError for what is neither."""
    try:
        eyes_m = None if eye_height is None else parse_eye_height(eye_height).m
    except QuantityError as error:
        raise UsageError(f"--eye-height: {error.wrong}; write: {error.write}") from error
    if pose not in (None, "seated", "standing"):
        raise UsageError("--pose is seated or standing")
    posed: Literal["seated", "standing"] | None = "standing" if pose == "standing" else None
    return eyes_m, "seated" if pose == "seated" else posed


def gear_swaps(words: Sequence[str], recipe: Recipe, studio: Studio) -> tuple[tuple[str, str], ...]:
    """'round box 90=square box 60' → what the recipe uses, and what it shall use instead.

    Raises UsageError where the recipe doesn't use the one, or the studio doesn't have the other as such.
    """
    used = {name: kind for kind, name in used_gear(recipe)}
    found = []
    for word in words:
        old, equals, new = (part.strip() for part in word.partition("="))
        if not equals or not new:
            raise UsageError(f"--gear '{word}' is no swap; write: --gear 'round box 90=square box 60'")
        if old not in used:
            hint = near(old, used) or ", ".join(used)
            raise UsageError(f"the recipe doesn't use '{old}'; write one of: {hint}")
        owned = [piece.name for piece in getattr(studio, used[old])]
        if new not in owned:
            hint = near(new, owned) or ", ".join(owned)
            raise UsageError(f"the studio has no '{new}' among its {used[old]}; write one of: {hint}")
        found.append((old, new))
    return tuple(found)


def other_studio(file: FilePath) -> Studio:
    """A studio file that is not this book's, by itself or in its book's folder.

    Raises BookFaults with everything that is wrong with it, UsageError where there is none.
    """
    found = file / STUDIO_FILE if file.is_dir() else file
    if not found.exists():
        raise UsageError(f"there is no studio file {found}; write the way to a {STUDIO_FILE}")
    studio, marks = open_studio(found)
    if faults := check_studio(studio, marks):
        raise BookFaults(faults)
    return studio


def _open(root: FilePath) -> Book:
    book = open_book(root)
    if faults := check_studio(book.studio, book.studio_marks):
        raise BookFaults(faults)
    return book


# JSON


def match_json(one: Match) -> dict[str, Any]:
    """A match as JSON-ready data."""
    return {
        "format": MATCH_FORMAT,
        "recipe": one.slug,
        "title": one.title,
        "wish": one.wish,
        "found": one.found,
        "changes": [{"what": c.what, "was": c.was, "now": c.now} for c in one.changes],
        "lamps": [_lamp_json(lamp) for lamp in one.after.lamps],
        "ratio": round(one.after.ratio.ratio, 4),
        "ratio_before": round(one.before.ratio.ratio, 4),
        "band_stops": round(one.after.ratio.band_stops, 4),
        "key_f_number": round(one.after[one.after.key_point].f_number, 4),
        "differs": list(one.differs),
        "findings": _findings_json(one.findings),
    }


def place_json(answer: Answer) -> dict[str, Any]:
    """The answer as JSON-ready data."""
    return {
        "format": PLACE_FORMAT,
        "recipe": answer.slug,
        "title": answer.title,
        "moved": list(answer.moved),
        "wanted": {
            "ratio": answer.wanted_ratio,
            "convention": answer.convention,
            "within_stops": round(answer.within_stops, 4),
        },
        "best": None if answer.best is None else _placement_json(answer.best),
        "others": [_placement_json(other) for other in answer.others],
        "lowest": None if answer.lowest is None else _reached_json(answer.lowest),
        "highest": None if answer.highest is None else _reached_json(answer.highest),
        "suggestions": [_suggestion_json(suggestion) for suggestion in answer.suggestions],
        "against_spill": None if answer.against_spill is None else _suggestion_json(answer.against_spill),
        "reason": answer.reason,
        "refused": answer.refused,
    }


def _placement_json(one: Placement) -> dict[str, Any]:
    return {
        "things": [_thing_json(thing) for thing in one.things],
        "lamps": [_lamp_json(lamp) for lamp in one.lamps],
        "ratio": round(one.ratio.ratio, 4),
        "ratio_stops": round(one.ratio.stops, 4),
        "band_stops": round(one.ratio.band_stops, 4),
        "key_f_number": round(one.key_f_number, 4),
        "goals": [
            {
                "goal": goal.name,
                "wanted_stops": round(goal.wanted, 4),
                "found_stops": round(goal.found, 4),
                "met": goal.met,
            }
            for goal in one.goals
        ],
        "clear_m": _rounded(one.costs.clear_m),
        "way_m": _rounded(one.costs.way_m),
        "evenness_stops": _rounded(one.costs.evenness_stops),
        "evenness_of": one.costs.evenness_of,
        "findings": _findings_json(one.findings),
        "findings_before": _findings_json(one.standing),
    }


def _findings_json(findings: Sequence[Finding]) -> list[dict[str, str]]:
    return [
        {"check": f.check, "verdict": f.verdict, "about": f.about, "text": f.text, "remedy": f.remedy}
        for f in findings
    ]


def _thing_json(thing: ThingPlaced) -> dict[str, Any]:
    return {
        "name": thing.name,
        "kind": thing.kind,
        "surface": thing.surface,
        "string_m": round(thing.string_m, 4),
        "bearing_deg": round(thing.bearing_deg, 2),
        "height_m": round(thing.height_m, 4),
        "toward_m": round(thing.toward_m, 4),
        "side_m": round(thing.side_m, 4),
        "words": thing.words,
        "was": thing.was,
    }


def _lamp_json(lamp: LampReading) -> dict[str, Any]:
    return {
        "lamp": lamp.emitter,
        "click": lamp.click,
        "clicks": lamp.clicks,
        "shown": lamp.shown,
        "predicted": lamp.predicted,
    }


def _reached_json(end: Reached) -> dict[str, Any]:
    return {"ratio": round(end.ratio, 4), "things": [_thing_json(thing) for thing in end.things]}


def _suggestion_json(one: Suggestion) -> dict[str, Any]:
    return {
        "words": one.words,
        "reaches": one.reaches,
        "ratio": round(one.ratio, 4),
        "things": [_thing_json(thing) for thing in one.things],
        "lamps": [_lamp_json(lamp) for lamp in one.lamps],
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
