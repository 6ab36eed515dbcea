"""What the server acknowledged is in its store exactly once after every crash."""

from __future__ import annotations

import os

import pytest
from bench_server import BenchServer
from losses import killed_server_trial

#: How many crashed runs are tried here; the benchmark folder tries many more.
TRIALS = int(os.environ.get("STRANDWRIGHT_KILL_TRIALS", "2"))


@pytest.mark.parametrize("seed", range(TRIALS))
def test_a_killed_server_loses_and_doubles_nothing(bench: BenchServer, seed: int) -> None:
    """Counts and readings sent until acknowledged are there once, in order, after any crash."""
    killed_server_trial(bench, seed, kills=3)
