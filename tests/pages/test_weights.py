"""One number for a bag and for a counterweight, wherever a page says them."""

from dataclasses import replace

from pages.samples import one
from thirdstop.pages.evaluated import Evaluated
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

    assert weights.bag(support).endswith("\u00a0kg (recipe: 0.5\u00a0kg)")
    assert float(weights.bag(support).split("\u00a0")[0]) > 0.5
    assert weights.counterweight(support).endswith("\u00a0kg (recipe: none)")
    heavy = replace(support, bag_mass_kg=40.0, counterweight_kg=6.0)
    assert (weights.bag(heavy), weights.counterweight(heavy)) == ("40\u00a0kg", "6\u00a0kg")


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
