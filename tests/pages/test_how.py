"""What the site says of its own accuracy is what was measured."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_the_page_states_the_measured_agreement() -> None:
    """Recipes, points, median and worst difference on the page are those of docs/agreement.md; and what the
    stagings at random gave, which nothing was tuned on.
    """
    measured = (ROOT / "docs" / "agreement.md").read_text(encoding="utf-8")
    page = (ROOT / "themes" / "default" / "templates" / "how.html").read_text(encoding="utf-8")
    found = re.search(r"(\d+) recipes, (\d+) points. Worst ([\d.]+) stop, .*? median ([\d.]+);", measured)
    assert found
    recipes, points, worst, median = found.groups()

    assert recipes == "19"
    assert "nineteen recipes" in page
    assert f"{points} measuring points" in page
    assert f"a median of {median} stop and by {worst} stop at worst" in page

    row = re.search(r"at random, .*? \| (\d+) \| (\d+) \| ([\d.]+) \| ([\d.]+) \| ([\d.]+) \| 2 \|", measured)
    assert row
    stagings, points, worst, most, median = row.groups()
    assert f"On {stagings} stagings at random" in page
    assert f"at {points} points, the median is {median} stop, 95 in 100 are under {most}" in page
    assert f"two points are over 0.05, the worst {worst} stop" in page
