"""Where each page of the site stands, and how pages name each other: relative, with the file named."""

INDEX = "index.html"
GEAR = "gear.html"
ROOM = "room.html"
READINGS = "readings.html"
SAFETY = "safety.html"
HOW = "how.html"
WORDS = "words.html"
COURSE = "course/index.html"
SHEET = "course/sheet.html"
ANSWERS = "course/answers.html"
STATIC = "static"


def recipe(slug: str) -> str:
    """The recipe's own page."""
    return f"recipes/{slug}/index.html"


def card(slug: str) -> str:
    """The recipe's set-up card."""
    return f"recipes/{slug}/card.html"


def on_set(slug: str) -> str:
    """The recipe's page for a phone on set, one file that carries all it needs."""
    return f"recipes/{slug}/on-set.html"


def house_page(slug: str) -> str:
    """A Markdown page of the house's own."""
    return f"pages/{slug}.html"


def session(slug: str) -> str:
    """A session of the course."""
    return f"course/{slug}.html"


def link(page: str, target: str) -> str:
    """`target`, perhaps with an anchor, as it is written on `page`; both from the site's root."""
    path, mark, anchor = target.partition("#")
    here, there = page.split("/")[:-1], path.split("/")
    same = 0
    # thousands of links are made for one page; posixpath would ask the system where it stands for each
    while same < min(len(here), len(there) - 1) and here[same] == there[same]:
        same += 1
    return "/".join([".."] * (len(here) - same) + there[same:]) + mark + anchor


def to_root(page: str) -> str:
    """What stands before a path from the site's root on `page`: '' or '../../'."""
    return "../" * page.count("/")
