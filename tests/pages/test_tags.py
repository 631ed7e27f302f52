"""Stand tags: one for each stand, with the figures of the staging and what that stand must be minded for."""

from dataclasses import replace

import numpy as np
import pytest

from pages.samples import HALT, demo, halted, one
from thirdstop.checks.findings import Finding
from thirdstop.checks.registry import check
from thirdstop.checks.statics import required_bag_kg
from thirdstop.checks.weights import needed_counterweight_kg
from thirdstop.pages.figures import END, FEET
from thirdstop.pages.views.tags import Block, Tag, tags
from thirdstop.staging.staging import Item, Support

SLUGS = [each.slug for each in demo()[1] if not each.safety_halts]


def metres(block: Block, label: str) -> float:
    """A block's figure by its label."""
    return float(dict(block.figures)[label].value)


@pytest.mark.parametrize("slug", SLUGS)
def test_each_stand_has_a_tag_with_its_own_figures(slug: str) -> None:
    """A tag for each thing on a stand, in order; the foot's distances from two opposite sides add up to the
    room, and height, lean and string are the item's.
    """
    evaluated = one(slug)
    held = [item for item in evaluated.staging.items if item.support is not None]
    found = tags(evaluated)

    assert [(tag.number, tag.name) for tag in found] == [(str(item.number), item.name) for item in held]
    for tag, item in zip(found, held, strict=True):
        assert item.support is not None
        assert_placed(tag, item, item.support)


def assert_placed(tag: Tag, item: Item, support: Support) -> None:
    base, face, weights = tag.blocks
    foot_m = [figure.value for _, figure in base.figures[:2]]
    assert foot_m == [
        f"{abs(round(float(value), 2)):.2f}" for value in (-support.base_m[1], support.base_m[0])
    ]
    side = "to camera-right" if support.base_m[0] >= 0.005 else "to camera-left"
    assert base.figures[1][0] in (side, "across, from M")
    assert metres(face, "height") == pytest.approx(item.height_m, abs=0.0051)
    strings = [label for label, _ in face.figures if label.startswith("string from ")]
    assert [label.endswith(item.string_from) for label in strings] == [True]
    assert metres(face, strings[0]) == pytest.approx(item.string_m, abs=0.0051)
    assert (len(face.figures) == 6) == (support.boom is not None)
    if support.bag_mass_kg or required_bag_kg(support):
        assert metres(weights, "bag, at least") >= max(support.bag_mass_kg, required_bag_kg(support)) - 0.051


def test_a_tag_says_where_lean_and_swing_begin_and_whose_nose_it_is() -> None:
    """On every stand; with two sitters the string starts at the nose over M, and the aim is another's."""
    face = tags(one("13-double-act"))[0].blocks[1]

    assert "string from near one’s nose" in dict(face.figures)
    assert face.says[0] == "Aim far one’s nose."
    for tag in tags(one("01-borrowed-window")):
        assert "Swing: 0° faces the camera, 180° the backdrop. Lean: the face up or down from level." in (
            tag.blocks[1].says
        )


def test_walls_and_mark_tell_of_the_same_foot() -> None:
    """The wall distances of the foot are M's own less or plus its place from M."""
    evaluated = one("01-borrowed-window")
    base = tags(evaluated)[0].blocks[0]
    support = evaluated.staging.items[0].support
    room = evaluated.staging.room
    assert support is not None

    assert metres(base, "from the left wall") == pytest.approx(support.base_m[0] - room.left_m, abs=0.0051)
    assert metres(base, "from the back wall") == pytest.approx(room.back_m - support.base_m[1], abs=0.0051)


def test_cautions_follow_the_stand() -> None:
    """A boom's tag speaks of the boom, a card's of no lamp, a child's set of the child."""
    boom = " ".join(tags(one("03-footlights"))[0].cautions)
    card = " ".join(tags(one("01-borrowed-window"))[1].cautions)
    child = [" ".join(tag.cautions) for tag in tags(one("15-the-smallest-part"))]

    assert "balance it before it goes up" in boom.replace("\n", " ")
    assert "boom" not in card
    assert "shaper" not in card
    assert all("A child is in the set" in text for text in child)


def test_what_a_check_says_of_a_stand_is_on_its_tag_alone() -> None:
    """The remedy of a look on safety about 'key' stands on the key's tag and on no other."""
    look = Finding("statics", "look", "key: stand", "It is light.", "Use a heavier stand.", safety=True)
    evaluated = one("01-borrowed-window")
    key, card = tags(replace(evaluated, findings=(*evaluated.findings, look)))

    assert look.remedy in key.cautions
    assert look.remedy not in card.cautions


def test_a_bag_that_is_too_light_is_not_printed() -> None:
    """Where the checks ask for more than the recipe hangs, the tag has what they ask for, and says so: of the
    bag, and of what hangs at the boom's rear.
    """
    evaluated = one("03-footlights")
    item = evaluated.staging.items[0]
    assert item.support is not None
    light = replace(item, support=replace(item.support, bag_mass_kg=0.5, counterweight_kg=0.0))
    staging = replace(evaluated.staging, items=(light, *evaluated.staging.items[1:]))
    weights = tags(replace(evaluated, staging=staging))[0].blocks[2]
    assert light.support is not None

    assert required_bag_kg(light.support) > 0.5
    assert metres(weights, "bag, at least") == pytest.approx(required_bag_kg(light.support))
    assert f"Not the recipe’s bag: its 0.5\u00a0kg{FEET}1.1\u00a0lb{END} is too little." in weights.says
    assert metres(weights, "at its rear") == pytest.approx(needed_counterweight_kg(light.support))
    assert needed_counterweight_kg(light.support) > 0
    assert "Not the recipe’s weight at its rear: it has none." in weights.says


def test_a_counterweight_that_is_too_heavy_is_not_printed() -> None:
    """20 kg at the rear would pull it down there: the tag has what balances it, as the finding says."""
    evaluated = one("03-footlights")
    item = evaluated.staging.items[0]
    assert item.support is not None
    heavy = replace(item, support=replace(item.support, counterweight_kg=20.0))
    staging = replace(evaluated.staging, items=(heavy, *evaluated.staging.items[1:]))
    weights = tags(replace(evaluated, staging=staging))[0].blocks[2]

    assert metres(weights, "at its rear") < 10
    assert any(
        "weight at its rear: its 20\u00a0kg" in line and "is too much." in line for line in weights.says
    )


def test_two_heads_under_one_boom_ask_once() -> None:
    """The same remedy of two findings stands on the tag once."""
    evaluated = one("03-footlights")
    name = evaluated.staging.items[0].name
    remedy = "First look for another way."
    found = [Finding("overhead", "look", name, "It hangs there.", remedy, safety=True)] * 2

    said = tags(replace(evaluated, findings=tuple(found)))[0].cautions

    assert said.count(remedy) == 1


def test_a_tag_has_one_number_for_its_bag() -> None:
    """What would be enough once the boom is balanced is left to the page."""
    evaluated = one("03-footlights")
    item = evaluated.staging.items[0]
    assert item.support is not None
    unbalanced = replace(item, support=replace(item.support, counterweight_kg=0.0))
    staging = replace(evaluated.staging, items=(unbalanced, *evaluated.staging.items[1:]))
    findings = check(staging, evaluated.readings)
    (tag,) = tags(replace(evaluated, staging=staging, findings=findings))

    assert any("enough once" in finding.remedy for finding in findings)
    assert any(caution.startswith("Hang at least") for caution in tag.cautions)
    assert not any("enough once" in caution for caution in tag.cautions)


def test_a_halted_recipe_has_one_tag_with_its_halt() -> None:
    """Nothing to build from: no figure, no place, the halt's words."""
    (tag,) = tags(halted(one("01-borrowed-window")))

    assert tag.blocks == ()
    assert tag.carries == ""
    assert tag.halts[0].text == HALT.text
    assert np.size(tag.cautions) == 0
