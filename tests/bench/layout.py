"""Every rule of tests/drawings/test_layout.py over many generated set-ups: layout.py [how many, 1000]."""

import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def main() -> int:
    """Exit status 0 when no drawing of any set-up breaks a rule."""
    os.environ["THIRDSTOP_STAGINGS"] = sys.argv[1] if len(sys.argv) > 1 else "1000"
    return int(pytest.main(["-q", "-n0", f"--rootdir={ROOT}", str(ROOT / "tests/drawings/test_layout.py")]))


if __name__ == "__main__":
    sys.exit(main())
