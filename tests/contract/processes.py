"""Starts benches in processes of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import strandwright

HERE = Path(__file__).parent
SOURCE = Path(strandwright.__file__).parents[1]


def start_writer(*arguments: str) -> subprocess.Popen[str]:
    """Start ``writer.py``."""
    paths = [str(SOURCE), str(HERE), os.environ.get("PYTHONPATH", "")]
    return subprocess.Popen(
        [sys.executable, str(HERE / "writer.py"), *arguments],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
        stdout=subprocess.PIPE,
        text=True,
    )
