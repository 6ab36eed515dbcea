"""The committed pages of docs/validation are what the published checks give today."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
TOOL = ROOT / "tools" / "make_validation_pages.py"


def test_the_pages_are_up_to_date() -> None:
    """Made again from the checks, no page differs, none is missing and none is left over."""
    run = subprocess.run(
        [sys.executable, str(TOOL), "--check"], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr or run.stdout
