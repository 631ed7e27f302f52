"""Nobody sits under what is still going up: steps and screens of every recipe, in their order."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from pages.samples import DEMO, one
from pages.test_weights import too_light
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.views import building, order, steps, weights

SLUGS = sorted(path.stem for path in (DEMO / "recipes").glob("*.yaml"))


def _places(each: Evaluated, told: list[str]) -> tuple[list[int], list[int], int]:
    """Where in a list of steps things go up, where sitters come, and where all is checked."""
    stood = [str(item.number) for item in each.staging.items if item.kind != "sitter" and item.support]
    up = [i for i, text in enumerate(told) if any(f"({number})" in text for number in stood)]
    came = [i for i, text in enumerate(told) if re.match(r"Only now:? (seat|stand) ", text)]
    return (
        up,
        came,
        next(i for i, text in enumerate(told) if text.startswith(("Check it all", "With nobody"))),
    )


@pytest.mark.parametrize("slug", SLUGS)
def test_all_that_stands_is_up_and_checked_before_anyone_sits(slug: str) -> None:
    """On the page and on set: stands, boom, power, then the check, then the sitters, then the meter."""
    each = one(slug)
    for told in (list(steps.steps(each)), [screen.title for screen in building.screens(each)]):
        up, came, checked = _places(each, told)
        power = [i for i, text in enumerate(told) if text.startswith("Set ") and "camera" not in text]

        assert up and power
        assert max(*up, *power) < checked < min(came)
        assert len(came) == len(each.staging.sitters)
        assert told[-1].startswith("Meter")


@pytest.mark.parametrize("slug", SLUGS)
def test_every_thing_is_put_up_once(slug: str) -> None:
    """Nothing is left out between those before the sitters and those after."""
    staging = one(slug).staging
    put = [item.number for item in (*order.before_sitters(staging), *order.after_sitters(staging))]

    assert sorted(put) == sorted(item.number for item in staging.items if item.kind != "sitter")


def test_what_the_lap_holds_waits_for_the_lap() -> None:
    """A card with no stand that lies lower than the nose comes with the sitter; held over it, before."""
    staging = one("03-footlights").staging
    lap = staging.item("lap card")
    high = replace(lap, height_m=2.0)
    raised = replace(staging, items=tuple(high if item is lap else item for item in staging.items))

    assert order.after_sitters(staging) == (lap,)
    assert order.after_sitters(raised) == ()
    assert high in order.before_sitters(raised)


def test_weights_come_before_the_load_and_are_those_that_are_needed() -> None:
    """'first 14 kg (recipe: 10 kg)', and what hangs at the boom's rear, in steps and on screens."""
    each = too_light()
    support = each.staging.item("key").support
    assert support is not None
    step = next(text for text in steps.steps(each) if text.startswith("Key ("))
    screen = next(one for one in building.screens(each) if one.title.endswith(": stand"))

    said = weights.bag(support), f"{weights.counterweight(support)} at its rear"
    assert "(recipe: 0.5" in said[0]
    assert all(text in step and text in " ".join(screen.says) for text in said)
    assert step.index(said[0]) < step.index("middle of the face")


def test_a_recipes_own_steps_stand_under_the_rule(demo_site: Path) -> None:
    """The rule stands over the steps of every page, before the first of them; so do the cautions."""
    for slug in SLUGS:
        html = (demo_site / "recipes" / slug / "index.html").read_text(encoding="utf-8")
        assert html.index('id="cautions"') < html.index(order.RULE) < html.index('<ol class="steps"')


def test_its_own_steps_come_after_the_rule_on_set() -> None:
    """They can't be put in order, so the first screen says it."""
    each = one("03-footlights")
    recipe = each.recipe.model_copy(update={"steps": ["Hang the key (1).", "Sit down."]})
    told = building.screens(replace(each, loaded=replace(each.loaded, recipe=recipe)))

    assert told[0].says == (order.RULE,)
    assert [screen.says[0] for screen in told[1:3]] == ["Hang the key (1).", "Sit down."]
