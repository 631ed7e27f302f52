"""The wheel carries the themes and the demo book, and nothing else beside the package."""

import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def _tracked(folder: str) -> set[str]:
    listed = subprocess.run(
        ["git", "ls-files", "-z", folder], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout
    return {name for name in listed.split("\0") if name}


def test_the_wheel_holds_themes_and_the_demo_book(tmp_path: Path) -> None:
    """Every tracked file of themes/ and recipes/ is in the wheel under the package's data."""
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    wanted = {f"thirdstop/_data/{name}" for name in _tracked("themes") | _tracked("recipes")}

    assert wanted <= names
    assert {name.split("/")[0].split("-")[0] for name in names} == {"thirdstop"}
    assert "thirdstop/first_book/studio.yaml" in names
