"""Ten thousand crashes of the server while counts and readings are sent: none lost, none doubled.

It runs only when it is named, for it takes hours; ``STRANDWRIGHT_MANY_KILLS`` sets the number.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from bench_server import BenchServer  # pyright: ignore[reportMissingImports]
from losses import killed_server_trial  # pyright: ignore[reportMissingImports]

KILLS = int(os.environ.get("STRANDWRIGHT_MANY_KILLS", "0"))
#: Kills in one trial; each trial has a store of its own [-]
EACH = 4


@pytest.mark.skipif(KILLS == 0, reason="set STRANDWRIGHT_MANY_KILLS=10000 to run it")
def test_many_kills(tmp_path):
    """Every trial holds what the suite's few hold."""
    for seed in range(KILLS // EACH):
        server = BenchServer(tmp_path / f"{seed}.db")
        server.start()
        try:
            killed_server_trial(server, 1000 + seed, kills=EACH)
        finally:
            server.stop()
