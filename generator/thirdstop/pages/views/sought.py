"""What a recipe is found by on the index, beside its own prose: phrases of the filters, figures as printed,
and other words of the trade for what it has.
"""

from collections.abc import Iterator

from thirdstop.pages import figures
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views.headline import Headline
from thirdstop.staging.shapes import Lambertian

LOW_CEILING_CM = 240
"""What fits under this is found as 'low ceiling'; common practice, no source: a flat's usual ceiling."""

_ALSO_SAID = {"hat": ("brim",), "glasses": ("spectacles",), "no glasses": ("no spectacles",)}
"""Other words for a filter's own."""
_BEHIND = ("hair light", "rim light", "backlight", "back light")
"""What the trade calls a light from behind the sitter."""


def phrases(
    evaluated: Evaluated, kinds: dict[str, tuple[str, ...]], shown: tuple[Headline, ...], ceiling_cm: int
) -> tuple[str, ...]:
    """What holds for the recipe as a whole phrase, in lower case: 'one light', '1 light', '3.9:1', 'f/8'."""
    said = [word for found in kinds.values() for word in found]
    said += [other for word in said for other in _ALSO_SAID.get(word, ())]
    lights, people = len(evaluated.recipe.lights), len(evaluated.staging.sitters)
    said += [*_counted(lights, "light", "lights"), *_counted(lights, "lamp", "lamps")]
    said += [*_counted(people, "person", "people"), *_counted(people, "sitter", "sitters")]
    said += ["single lamp", "single light"] if lights == 1 else []
    said += ["low ceiling"] if ceiling_cm <= LOW_CEILING_CM else []
    said += _BEHIND if _from_behind(evaluated) else ()
    said += [*_printed(shown), f"iso {evaluated.staging.meter.iso:g}"]
    return tuple(dict.fromkeys(word.replace("\u00a0", " ").casefold() for word in said))


def _counted(count: int, one: str, many: str) -> tuple[str, str]:
    """'two lights' and '2 lights'."""
    return figures.counted(count, one, many), f"{count} {one if count == 1 else many}"


def _printed(shown: tuple[Headline, ...]) -> Iterator[str]:
    """The figures as the entry prints them, in metres and in feet; 'above 8:1' also as '8:1'."""
    for one in shown:
        text = str(one.figure).replace("\u00a0", " ")
        yield from filter(None, (text, one.figure.feet))
        if text.startswith("above "):
            yield text.removeprefix("above ")


def also(evaluated: Evaluated, kinds: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Other single words of the trade for what the recipe has."""
    staging = evaluated.staging
    has = {item.kind for item in staging.items}
    said = [other for found in kinds.values() for word in found for other in _ALSO_SAID.get(word, ())]
    people = "person" if len(staging.sitters) == 1 else "people"
    words = ["flash", people, *(word for word in said if " " not in word)]
    words += ["reflector", "bounce"] if "card" in has else []
    words += ["flag", "gobo"] if "blocker" in has else []
    words += ["background", "backdrop"] if "backdrop" in has else []
    words += ["softbox", "box"] if _has_box(evaluated) else []
    return tuple(dict.fromkeys(words))


def _has_box(evaluated: Evaluated) -> bool:
    """Whether a lamp shines through cloth that isn't an umbrella's."""
    cloth = {one.emitter for one in evaluated.staging.lamps if isinstance(one.bare_emission, Lambertian)}
    return any(one.name in cloth and "umbrella" not in one.shaper for one in evaluated.recipe.lights)


def _from_behind(evaluated: Evaluated) -> bool:
    """Whether a lamp that is meant for a sitter stands farther from the camera than the mark."""
    return any(
        item.kind == "lamp" and item.role in ("key", "accent") and item.toward_m < 0
        for item in evaluated.staging.items
    )
