"""What the house's pages say of recipes: gear and who needs it, words and where they are used, walls."""

import re
from dataclasses import replace

import pytest

from pages.samples import demo, one
from thirdstop.book.feet import in_feet
from thirdstop.exposure.black_walls import ratio_in_black_walls
from thirdstop.pages.house import Step
from thirdstop.pages.views import walls
from thirdstop.pages.views.crossed import Crossed, crossed_of
from thirdstop.pages.views.listing import listing
from thirdstop.pages.views.needs import Need, fetched, needs_of
from thirdstop.pages.views.studio import gear_tables
from thirdstop.pages.views.walls import Walls
from thirdstop.pages.views.words import TERMS, glossary, terms_in

DONE = demo()[1]
CROSSED: dict[str, Crossed] = {each.slug: crossed_of(each) for each in DONE}
STEPS = {each.slug: Step(each.title, f"recipes/{each.slug}/index.html") for each in DONE}


def test_a_size_is_read_in_feet_on_both_its_sides() -> None:
    """120 × 90 cm: 3 ft 11 in and 2 ft 11½ in; no number is left without its unit."""
    tables = gear_tables(demo()[0].studio)
    texts = [value.text for table in tables for row in table.rows for value in row.values]

    assert "120 cm × 90 cm" in texts
    assert in_feet("120 cm × 90 cm") == "3 ft 11 in × 2 ft 11½ in"
    assert not [text for text in map(in_feet, texts) if re.search(r"\d × .*(?:ft|in)\b", text)]


def test_a_recipe_needs_what_it_names() -> None:
    """Lamp, shaper, dish, card with its surface, sheet, stands, bags with their number, camera; no boom."""
    assert needs_of(one("10-clean-sheet")) == (
        Need("lamps", "battery 400", 1),
        Need("lamps", "battery 200", 1),
        Need("shapers", "round box 90", 1),
        Need("shapers", "dish 18", 1),
        Need("cards", "folding card 120 x 90", 1),
        Need("backdrops", "white paper", 1),
        Need("stands", "stand B", 1),
        Need("stands", "floor stand", 1),
        Need("stands", "stand C", 1),
        Need("bags", "bag 10", 1),
        Need("bags", "bag 8", 2),
        Need("cameras", "full-frame", 1),
        Need("surfaces", "white", 1),
    )


def test_gear_and_recipes_lead_to_each_other() -> None:
    """Whatever a recipe fetches has a row of that anchor and name, which lists the recipe and no more."""
    studio = demo()[0].studio
    tables = gear_tables(studio, [(STEPS[slug], found.needs) for slug, found in CROSSED.items()])
    rows = {row.anchor: row for table in tables for row in table.rows}
    fetching = {
        (anchor, each.title) for each in DONE for kind in fetched(each, studio) for _, anchor in kind.things
    }
    listed = {
        (anchor, step.title)
        for anchor, row in rows.items()
        for step in (row.needed.recipes if row.needed else ())
    }

    assert fetching == {pair for pair in listed if not pair[0].startswith("surfaces-")}
    for each in DONE:
        for kind in fetched(each, studio):
            assert all(name.endswith(rows[anchor].name) for name, anchor in kind.things)


def test_many_recipes_that_are_all_are_every_recipe() -> None:
    """Four of four are 'every'; three of three, or four of five, are named."""
    steps = [Step(str(number), "") for number in range(5)]

    assert listing((step, True) for step in steps[:4]).every
    assert not listing((step, True) for step in steps[:3]).every
    assert not listing((step, step.title != "0") for step in steps).every


def test_every_word_leads_to_where_it_is_used() -> None:
    """No word without a place; blockers lead to the recipes that have one, or speak of one."""
    entries = glossary([(STEPS[slug], found.terms) for slug, found in CROSSED.items()], [])
    by_anchor = {entry.term.anchor: entry for entry in entries}
    blocked = {each.title for each in DONE if any(item.kind == "blocker" for item in each.staging.items)}

    assert [entry.term for entry in entries] == list(TERMS)
    assert all(entry.recipes.recipes or entry.pages for entry in entries)
    assert blocked <= {step.title for step in by_anchor["blocker"].recipes.recipes}
    assert by_anchor["mark"].recipes.every
    assert not by_anchor["boom"].recipes.every


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Move the card, then the set-up cards.", ("card", "set-up-card")),
        ("A discard is no card-table of ours.", ("card",)),
        ("Two clicks on the boom.", ("boom", "stop")),
        ("The Ms are not meant, M is.", ("mark",)),
        ("Nothing.", ()),
    ],
)
def test_words_are_found_whole(text: str, found: tuple[str, ...]) -> None:
    """A word within another is none; a set-up card is no card."""
    assert terms_in(text) == found


def test_rules_come_up_where_the_rig_has_the_thing() -> None:
    """The child's rule for the child's recipes, the boom's for those with one, the shiny one's for silver."""
    children = [slug for slug, found in CROSSED.items() if "child" in found.minds]
    booms = {slug for slug, found in CROSSED.items() if "booms" in found.minds}

    assert children == ["15-the-smallest-part", "19-cloud-over-a-child"]
    assert booms == {
        each.slug for each in DONE if any(item.support and item.support.boom for item in each.staging.items)
    }
    assert "shiny" in CROSSED["06-under-the-brim"].minds
    assert "shiny" not in CROSSED["04-front-of-house"].minds


@pytest.mark.parametrize("slug", ["01-borrowed-window", "06-under-the-brim", "13-double-act"])
def test_black_walls_part_the_sides(slug: str) -> None:
    """Walls light the shadow side more than the lit one, so without them the ratio rises: by no less than
    what their last bounce alone accounts for, since they light card, floor and ceiling as well.
    """
    evaluated = one(slug)
    ratio = evaluated.readings.ratio
    black = ratio_in_black_walls(evaluated.staging, evaluated.readings)
    found = CROSSED[slug].walls
    last_bounce = ratio.ratio * (1 - found.lit_share) / (1 - found.shadow_share)

    assert black is not None
    assert black.ratio >= last_bounce > ratio.ratio


def test_walls_that_are_black_already_change_nothing() -> None:
    """Blackened twice is blackened once."""
    evaluated = one("01-borrowed-window")
    black = ratio_in_black_walls(evaluated.staging, evaluated.readings)
    scene = evaluated.staging.scene
    panels = tuple(
        replace(panel, front=replace(panel.front, reflectance=0.0)) if "wall" in panel.name else panel
        for panel in scene.panels
    )
    dark = replace(evaluated.staging, scene=replace(scene, panels=panels))
    again = ratio_in_black_walls(dark, evaluated.readings)
    assert black is not None
    assert again is not None

    assert again.ratio == pytest.approx(black.ratio, rel=1e-9)


def test_a_light_that_comes_off_a_wall_has_no_black_walls() -> None:
    """Taking the wall away would take the light away: the table says so instead of a number."""
    evaluated = one("16-light-off-the-wall")
    assert ratio_in_black_walls(evaluated.staging, evaluated.readings) is None
    (row,) = walls.rows([(STEPS[evaluated.slug], CROSSED[evaluated.slug].walls)])

    assert row.black == "–"
    assert row.note == "its own light comes off a wall"


def test_the_walls_in_a_sentence() -> None:
    """Least and most by their stops, the most by its title; nothing where nothing was computed."""
    told = [
        (Step("Low", ""), Walls(4.0, "lit : shadow", 0.0, 0.3, 8.0)),
        (Step("High", ""), Walls(4.0, "lit : shadow", 0.0, 0.1, 4.6)),
    ]

    assert walls.says(told) == "Between 0.2 and 1.0\u00a0stop of ratio go to the walls; most in ‘Low’."
    assert walls.says([(Step("Low", ""), Walls(4.0, "lit : shadow", 0.0, 0.3, None))]) == ""
