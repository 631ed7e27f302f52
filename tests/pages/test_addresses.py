"""How pages name each other."""

from itertools import product
from posixpath import dirname, relpath

from thirdstop.pages.addresses import link

PATHS = (
    "index.html",
    "gear.html",
    "course/index.html",
    "course/2-clicks.html",
    "recipes/01-window/index.html",
    "recipes/01-window/card.html",
    "recipes/01-window-two/index.html",
    "static/fonts/text.woff2",
)


def test_a_link_is_the_way_from_one_page_to_the_other() -> None:
    """As the standard library finds it, from every folder to every other one and to the page itself."""
    for page, target in product(PATHS, PATHS):
        way = relpath(target, dirname(page) or ".")

        assert link(page, target) == way
        assert link(page, f"{target}#mark") == f"{way}#mark"
