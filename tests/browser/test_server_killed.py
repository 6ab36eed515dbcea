"""What the server acknowledged is in its store exactly once after every crash."""

from __future__ import annotations

import os

from bench_server import BenchServer
from losses import killed_server_trial

#: How many crashed runs are tried here; the benchmark folder tries many more.
TRIALS = int(os.environ.get("STRANDWRIGHT_KILL_TRIALS", "1"))
KILLS = 4


def test_a_killed_server_loses_and_doubles_nothing(bench: BenchServer) -> None:
    """Counts and readings sent until acknowledged are there once, in order, after any crash."""
    cut_off = sum(killed_server_trial(bench, seed, kills=KILLS) for seed in range(TRIALS))
    # Else the server was killed while nothing was at stake.
    assert cut_off >= 1
