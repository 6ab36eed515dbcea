"""Ten thousand crashes while counts and readings are sent: none lost, none doubled.

It runs only when it is named, for it takes hours; ``STRANDWRIGHT_MANY_KILLS`` sets the number.
Half of the crashes are of a server with a bench without a screen before it, half of server and
browser in turn, with rounds wound, spools weighed and lengths read at the screen.
"""

from __future__ import annotations

import os
import random
import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from bench_server import BenchServer  # pyright: ignore[reportMissingImports]
from chromium import KillableChromium  # pyright: ignore[reportMissingImports]
from losses import killed_server_trial  # pyright: ignore[reportMissingImports]
from playwright.sync_api import sync_playwright
from trials import Trial  # pyright: ignore[reportMissingImports]

KILLS = int(os.environ.get("STRANDWRIGHT_MANY_KILLS", "0"))
#: Kills in one trial without a screen; each trial has a store of its own [-]
EACH = 4

needs_time = pytest.mark.skipif(KILLS == 0, reason="set STRANDWRIGHT_MANY_KILLS=10000 to run it")


@needs_time
def test_many_kills_of_the_server(tmp_path):
    """Every trial holds what the suite's few hold, and most kills cut off an act under way."""
    trials, cut_off = max(KILLS // 2 // EACH, 1), 0
    for seed in range(trials):
        server = BenchServer(tmp_path / f"{seed}.db")
        server.start()
        try:
            cut_off += killed_server_trial(server, 1000 + seed, kills=EACH)
        finally:
            server.stop()
    sys.stdout.write(f"{trials * EACH} kills, {cut_off} of them while an act was with the server\n")
    assert cut_off > trials * EACH / 2


@needs_time
def test_many_kills_of_server_and_browser(tmp_path):
    """Every winding holds what the suite's few hold, and kills of both fall while acts wait."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    assert path is not None, "the program 'chromium' is not installed"
    killed = at_stake = seed = 0
    with sync_playwright() as playwright:
        while killed < KILLS // 2:
            server = BenchServer(tmp_path / f"{seed}.db")
            (profile := tmp_path / f"profile {seed}").mkdir()
            browser = KillableChromium(path, profile, playwright)
            server.start()
            try:
                kills = Trial(random.Random(1000 + seed), server, browser).run()
            finally:
                browser.kill()
                server.stop()
            assert kills.server_at_stake >= 1
            assert kills.browser_at_stake >= 1
            killed += kills.server + kills.browser
            at_stake += kills.server_at_stake + kills.browser_at_stake
            seed += 1
    sys.stdout.write(f"{killed} kills, {at_stake} of them with acts waiting or on their way\n")
