"""One number for a bag and for a counterweight, wherever a page says them."""

import re
from dataclasses import replace

from pages.samples import one
from thirdstop.book.pounds import pounds
from thirdstop.checks.weights import needed_bag_kg
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.figures import END, FEET
from thirdstop.pages.views import things, weights

BOOMED = "03-footlights"


def too_light(slug: str = BOOMED, bag_kg: float = 0.5) -> Evaluated:
    """A demo recipe on a boom whose weights are too small."""
    each = one(slug)
    items = tuple(
        replace(item, support=replace(item.support, bag_mass_kg=bag_kg, counterweight_kg=0.0))
        if item.support is not None
        else item
        for item in each.staging.items
    )
    return replace(each, staging=replace(each.staging, items=items))


def test_the_needed_weight_comes_first_and_the_recipes_beside_it() -> None:
    """In the words that the table, the steps and the card share."""
    support = next(item.support for item in too_light().staging.items if item.support is not None)

    assert metric(weights.bag(support)).endswith("\u00a0kg (recipe: 0.5\u00a0kg)")
    assert float(weights.bag(support).split("\u00a0")[0]) > 0.5
    assert metric(weights.counterweight(support)).endswith("\u00a0kg (recipe: none)")
    heavy = replace(support, bag_mass_kg=40.0, counterweight_kg=6.0)
    assert (metric(weights.bag(heavy)), metric(weights.counterweight(heavy))) == ("40\u00a0kg", "6\u00a0kg")


def metric(text: str) -> str:
    """Without the pounds that it carries."""
    return re.sub(f"{FEET}[^{END}]*{END}", "", text)


def test_a_bag_in_pounds_is_no_less_than_in_kilograms() -> None:
    """What is needed is rounded up, and so is a bag of the recipe that is enough."""
    support = next(item.support for item in too_light().staging.items if item.support is not None)
    own = replace(support, bag_mass_kg=40.0)

    needed_kg = needed_bag_kg(support)
    assert f"{FEET}{pounds(needed_kg, up=True)}{END}".replace(" ", "\u00a0") in weights.bag(support)
    assert f"{FEET}1.1\u00a0lb{END})" in weights.bag(support)
    assert weights.bag(own) == f"40\u00a0kg{FEET}88.2\u00a0lb{END}"
    assert weights.bag_figure(replace(own, bag_mass_kg=88 * 0.45359237)).imperial == (("88", "lb"),)


def test_the_table_says_what_is_needed() -> None:
    """Bag and counterweight of each stand, as the shared words have them."""
    each = too_light()
    rows = {row.name: "; ".join(row.details) for row in things.rows(each.staging, each.recipe)}
    held = [(item.name, item.support) for item in each.staging.items if item.support is not None]

    assert held
    for name, support in held:
        assert f"bag {weights.bag(support)}" in rows[name]
        if support.boom:
            assert f"{weights.counterweight(support)} at its rear" in rows[name]
