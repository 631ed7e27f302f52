"""A set-up before the back wall itself: everything is published, and nothing is hung."""

import re
from pathlib import Path

from pages.samples import DEMO, of_book
from thirdstop.pages.views.order import before_sitters
from thirdstop.pages.whole import whole_site

SLUG = "01-borrowed-window"


def test_a_recipe_without_a_backdrop_has_all_its_pages(tmp_path: Path) -> None:
    """Its table names the wall and what is known of its paint; neither steps nor card hang anything."""
    text = (DEMO / "recipes" / f"{SLUG}.yaml").read_text(encoding="utf-8")
    bare = re.sub(r"^backdrop: .*\n", "", text, flags=re.MULTILINE)
    assert bare != text
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes" / f"{SLUG}.yaml").write_text(bare, encoding="utf-8")
    (tmp_path / "studio.yaml").write_bytes((DEMO / "studio.yaml").read_bytes())
    book, done = of_book(tmp_path)
    written = whole_site(book, done)
    page, card, on_set = (
        written.files[f"recipes/{SLUG}/{name}.html"].decode() for name in ("index", "card", "on-set")
    )

    assert written.faults == []
    assert "the back wall (" in page
    assert "the back wall (" in card
    assert not any("ang the backdrop" in each for each in (page, card, on_set))
    assert "backdrop" not in [item.kind for item in before_sitters(done[0].staging)]
