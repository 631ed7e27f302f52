"""The code itself: lint, format, types, and that every stage imports only stages before it."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "generator" / "thirdstop"
STAGES = ["book", "staging", "exposure", "calibrating", "checks"]
STAGES += ["placing", "drawings", "pages", "publishing"]
ANYWHERE = {"errors", "constants", "shares", "typed", "resources"}


@pytest.mark.parametrize(
    "command",
    [["ruff", "check"], ["ruff", "format", "--check"], ["mypy"]],
    ids=["lint", "format", "types"],
)
def test_clean(command: list[str]) -> None:
    """Lint, format and strict types find nothing in the package and its tests."""
    arguments = [] if command == ["mypy"] else ["generator", "tests"]
    done = subprocess.run(
        [sys.executable, "-m", *command, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )

    assert done.returncode == 0, done.stdout + done.stderr


def _imports(path: Path) -> set[str]:
    """Second parts of every `thirdstop.x` import in a module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return {name.split(".")[1] for name in names if name.startswith("thirdstop.")}


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_imports_only_stages_before_it(stage: str) -> None:
    """One direction: text to site."""
    allowed = set(STAGES[: STAGES.index(stage) + 1]) | ANYWHERE | {"__version__"}
    wrong = {
        f"{path.relative_to(PACKAGE)}: {name}"
        for path in (PACKAGE / stage).rglob("*.py")
        for name in _imports(path) - allowed
    }

    assert wrong == set()


def test_no_module_is_longer_than_it_should_be() -> None:
    """A module of the package has 400 lines at most (tables of data left out)."""
    tables = {"font_widths.py"}
    long = {
        str(path.relative_to(PACKAGE)): lines
        for path in PACKAGE.rglob("*.py")
        if path.name not in tables and (lines := path.read_text(encoding="utf-8").count("\n")) > 400
    }

    assert long == {}


def test_nothing_points_at_one_machine() -> None:
    """No tracked text holds an absolute path of somebody's machine."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True)
    found = []
    for name in filter(None, listed.stdout.split("\0")):
        path = ROOT / name
        if path.suffix in {".py", ".md", ".yaml", ".toml", ".html", ".css", ".js", ".txt", ".json"}:
            text = path.read_text(encoding="utf-8", errors="replace")
            if name != "tests/test_code.py" and any(part in text for part in ("/home/", "/Users/", "/root/")):
                found.append(name)

    assert found == []
