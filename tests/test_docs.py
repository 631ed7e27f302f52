"""The documents: links lead somewhere, the README's plan is the demo's own.

To draw the README's plan anew: `PYTHONPATH=tests python tests/test_docs.py`.
"""

import re
from pathlib import Path

import pytest

from drawings.test_golden import alike_lines
from staging.books import staged
from thirdstop.drawings.plan import plan

ROOT = Path(__file__).resolve().parents[1]
PLAN = ROOT / "docs" / "plan.svg"
DOCUMENTS = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])


def readme_plan() -> str:
    """The plan of the demo's first recipe, a line an element."""
    return plan(staged("borrowed-window")).svg.replace("><", ">\n<") + "\n"


def test_the_readmes_plan_is_drawn_from_the_demo() -> None:
    """docs/plan.svg is what the first recipe's plan is today."""
    assert alike_lines(PLAN.read_text(encoding="utf-8"), readme_plan()) == ""


@pytest.mark.parametrize("document", DOCUMENTS, ids=[path.name for path in DOCUMENTS])
def test_links_lead_to_files_that_are_there(document: Path) -> None:
    """Every relative link of a document names a file of the project."""
    links = re.findall(r"\]\(([^)#\s]+)", document.read_text(encoding="utf-8"))
    missing = [link for link in links if "://" not in link and not (document.parent / link).exists()]

    assert missing == []


if __name__ == "__main__":
    PLAN.write_text(readme_plan(), encoding="utf-8")
