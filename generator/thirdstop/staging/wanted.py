"""What a recipe wants of its light: the target, the powers left to be found, the points to show."""

from collections.abc import Sequence

from thirdstop.book.marks import near
from thirdstop.book.quantities import Click
from thirdstop.book.recipe import Recipe, Target
from thirdstop.book.studio import Studio
from thirdstop.staging.lookup import one_of
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.problems import Path, Problems
from thirdstop.staging.staging import Item, TargetPlace

FRONTAL_DEG = 20.0
PROFILE_DEG = 60.0

FURTHER_POINTS = ("chest", "hands", "feet")
"""What `measure` may name beside the points that are always there."""


def target_of(
    recipe: Recipe,
    studio: Studio,
    points: Sequence[MeasuringPoint],
    items: Sequence[Item],
    problems: Problems,
) -> TargetPlace:
    """The target in numbers; faults where it can't be meant so."""
    target, habits = recipe.target, studio.habits
    if target.ratio is not None and target.between is None and not problems:
        _needs_between(recipe, items, problems)
    _levels(target, problems)
    light, tone = target.backdrop_light, target.backdrop_tone
    return TargetPlace(
        ratio=target.ratio.value if target.ratio is not None else None,
        convention=target.convention or habits.convention,
        within_stops=(target.within or habits.within).value,
        between=_between(target, points, problems),
        backdrop_light_stops=light.value if light is not None else None,
        backdrop_tone_stops=tone.value if tone is not None else None,
    )


def _between(target: Target, points: Sequence[MeasuringPoint], problems: Problems) -> tuple[str, str] | None:
    if target.between is None:
        return None
    receptors = {point.name: point.receptor for point in points}
    unknown = [index for index, name in enumerate(target.between) if name not in receptors]
    for index in unknown:
        name = target.between[index]
        write = near(name, receptors) or one_of(list(receptors))
        wrong = "there is no measuring point of this name"
        if name in FURTHER_POINTS:
            wrong, write = f"'{name}' isn't measured in this recipe", f"measure: [{name}]"
        problems.add(("target", "between", index), wrong, name, write)
    first, second = target.between
    if first == second:
        wrong = "a ratio compares two different points"
        problems.add(("target", "between", 1), wrong, second, "another measuring point")
    elif not unknown and receptors[first] != receptors[second]:
        wrong = (
            f"'{first}' is read with a {receptors[first]} receptor, '{second}' with a {receptors[second]} one"
        )
        problems.add(("target", "between"), wrong, "", "two points with the same receptor")
    return first, second


def _levels(target: Target, problems: Problems) -> None:
    light, tone = target.backdrop_light, target.backdrop_tone
    if light is not None and light.to != "key":
        problems.add(
            ("target", "backdrop_light"),
            "light on the backdrop is said from the key",
            str(light),
            "-1.5 stops from key",
        )
    if tone is not None and tone.to != "mid-grey":
        problems.add(
            ("target", "backdrop_tone"),
            "a backdrop's tone is said from mid-grey",
            str(tone),
            "-1 stop from mid-grey",
        )


def _needs_between(recipe: Recipe, items: Sequence[Item], problems: Problems) -> None:
    """Where both cheeks see the key alike, or only one is seen, a ratio must name its two points."""
    keys = [item for item in items if item.kind == "lamp"]
    if not keys:
        return
    turn_deg = recipe.sitters[0].head.deg
    off_deg = abs((keys[0].bearing_deg - turn_deg + 180.0) % 360.0 - 180.0)
    if off_deg < FRONTAL_DEG:
        wrong = f"the key stands {off_deg:.0f}° from the nose line, so both cheeks read nearly alike"
    elif abs(turn_deg) > PROFILE_DEG:
        wrong = f"with the head turned by {abs(turn_deg):.0f}° only one cheek is seen"
    else:
        return
    problems.add(
        ("target", "ratio"),
        wrong + "; a ratio then needs 'between'",
        str(recipe.target.ratio),
        "between: [forehead, under chin]",
    )


def refuse_points(recipe: Recipe, points: Sequence[MeasuringPoint], problems: Problems) -> None:
    """Notes each further point to show that there isn't."""
    names = [*FURTHER_POINTS, *(point.name for point in points)]
    for index, name in enumerate(recipe.measure):
        if name not in names:
            write = near(name, names) or one_of(FURTHER_POINTS)
            problems.add(("measure", index), "there is no measuring point of this name", name, write)


def refuse_powers(recipe: Recipe, problems: Problems) -> None:
    """Notes each light whose power nothing settles, or two things do.

    The key's follows from the aperture; a further light has its click, or brings the backdrop to a level.
    """
    levels = set()
    for index, light in enumerate(recipe.lights):
        path: Path = ("lights", index)
        stated = isinstance(light.power, Click)
        if light.level is not None and (index == 0 or stated):
            wrong = "a light has its power or its level, not both"
            if index == 0:
                wrong = "the key's power follows from the aperture; a level is for further lights"
            problems.add((*path, "level"), wrong, str(light.level), "no 'level' here")
        elif index > 0 and not stated and light.level is None:
            wrong = (
                "only the key's power follows from the aperture; a further light needs its click or its level"
            )
            problems.add(
                (*path, "power"), wrong, str(light.power), "power: click 9, or level: +0.5 stops from key"
            )
        elif index > 0 and light.level is not None:
            levels.add(light.level.value)
            if len(levels) > 1:
                wrong = "lights whose power is to be found bring the backdrop to one level together"
                problems.add((*path, "level"), wrong, str(light.level), "the same level, or a power for one")
                levels = {light.level.value}
